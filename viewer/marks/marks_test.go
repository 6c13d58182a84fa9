package marks

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/viewer/camera"
	"rigloupe/viewer/ramp"
	"rigloupe/viewer/raster"
)

func TestRound(t *testing.T) {
	for _, row := range []struct{ v, down, up float64 }{
		{1, 1, 1}, {1.99, 1, 2}, {2, 2, 2}, {4.9, 2, 5}, {5, 5, 5}, {9.99, 5, 10}, {10, 10, 10},
		{.25, .2, .5}, {.07, .05, .1}, {.1, .1, .1}, {3e-7, 2e-7, 5e-7}, {1234, 1000, 2000}, {1e9, 1e9, 1e9},
	} {
		if got := Round(row.v, 2, 5); math.Abs(got/row.down-1) > 1e-12 {
			t.Errorf("Round(%g) = %g, want %g", row.v, got, row.down)
		}
		if got := RoundUp(row.v); math.Abs(got/row.up-1) > 1e-12 {
			t.Errorf("RoundUp(%g) = %g, want %g", row.v, got, row.up)
		}
	}
	for _, v := range []float64{0, -3, math.NaN(), math.Inf(1)} {
		if got := Round(v, 2, 5); got != 1 {
			t.Errorf("Round(%g) = %g, want 1", v, got)
		}
	}
}

func TestRoseStep(t *testing.T) {
	for _, row := range []struct{ size, want float64 }{
		{1.86, .25}, {1.5, .25}, {2.4, .25}, {.2, .025}, {200, 25}, {78, 10},
	} {
		if got := RoseStep(row.size); math.Abs(got/row.want-1) > 1e-12 {
			t.Errorf("a figure of %g m: rings %g m apart, want %g", row.size, got, row.want)
		}
	}
}

func TestLength(t *testing.T) {
	for _, row := range []struct {
		v    float64
		want string
	}{
		{0, "0 m"}, {1.864, "1.86 m"}, {.05, "50 mm"}, {.2124, "212 mm"}, {.9996, "1 m"}, {12.04, "12 m"}, {78.3, "78.3 m"},
		{.00002, "20 µm"}, {12345, "12\u202f345 m"}, {1234567, "1235 km"}, {-.05, "−50 mm"},
	} {
		if row.v == 12345 {
			row.want = "12 km" // from 9,995 m on in kilometres
		}
		if got := Length(row.v); got != row.want {
			t.Errorf("Length(%g) = %q, want %q", row.v, got, row.want)
		}
	}
	for _, row := range []struct {
		v, step float64
		want    string
	}{{1.5, .5, "1.5"}, {0, .5, "0.0"}, {.25, .05, "0.25"}, {10, 5, "10"}, {-1, .5, "−1.0"}, {12500, 500, "12\u202f500"}} {
		if got := Metres(row.v, row.step); got != row.want {
			t.Errorf("Metres(%g, %g) = %q, want %q", row.v, row.step, got, row.want)
		}
	}
}

func TestKeysKeepApart(t *testing.T) {
	free := Box{0, 0, 640, 560}
	taken := []Box{{0, 0, 52, 560}, {460, 380, 640, 560}}
	// Nine places, five of them within a few pixels, two near the rim.
	places := [][2]float32{{320, 100}, {324, 104}, {318, 108}, {330, 99}, {322, 112}, {80, 300}, {600, 60}, {450, 420}, {320, 540}}
	var pointers []Pointer
	for i, p := range places {
		pointers = append(pointers, Pointer{X: p[0], Y: p[1], Number: 3 * (i + 1), Grade: 2})
	}
	body := func(x, y float32) bool { return x > 240 && x < 400 && y > 60 }
	LayPointers(pointers, free, 320, taken, body)
	for i := range pointers {
		k := &pointers[i]
		if !k.Laid {
			t.Errorf("pointer %d found no place", k.Number)
			continue
		}
		b := k.Label()
		if !b.within(free) {
			t.Errorf("pointer %d lies outside: %v", k.Number, b)
		}
		for _, q := range taken {
			if b.meets(q) {
				t.Errorf("pointer %d lies on what is taken", k.Number)
			}
		}
		for j := range pointers[:i] {
			if pointers[j].Laid && b.meets(pointers[j].Label()) {
				t.Errorf("pointers %d and %d cover each other", k.Number, pointers[j].Number)
			}
		}
	}
	again := append([]Pointer(nil), pointers...)
	LayPointers(again, free, 320, taken, body)
	for i := range pointers {
		if again[i] != pointers[i] {
			t.Errorf("pointer %d: laid again, it lies elsewhere", pointers[i].Number)
		}
	}
	full := []Pointer{{X: 20, Y: 20, Number: 1, Grade: 1}}
	if LayPointers(full, free, 320, []Box{free}, nil); full[0].Laid {
		t.Error("a pointer was laid where nothing is free")
	}
}

// The staff's own contract: what stands on its upright is as high as it says.
func TestStaffReadsHeights(t *testing.T) {
	w := camera.Window{Width: 800, Height: 600}
	for _, row := range []struct {
		name   string
		height float64
		block  float64
	}{{"person", 1.86, .1}, {"hand", .2, .01}, {"tower", 200, 10}} {
		c := camera.Fit(camera.Look(camera.Front, mgl64.Vec3{}, mgl64.Vec3{}, row.height, w), w,
			camera.Corners([3]float64{-.1, 0, 0}, [3]float64{.1, row.height, 0}))
		p := Pen{Plate: raster.New(800, 600), Paper: ramp.Day()}
		p.Plate.Pave(p.Paper.Paper)
		s := &Staff{High: row.height, X: 20, Bottom: 600, Reach: 200}
		if got := p.Staff(s, &c); math.Abs(got/row.block-1) > 1e-9 {
			t.Errorf("%s: blocks of %g m, want %g", row.name, got, row.block)
		}
		// Blocks change at multiples of the block: look at the pixels between.
		for n := 0.; n*row.block < row.height-row.block; n++ {
			_, y, _, _ := c.Pixel(mgl64.Vec3{0, (n + .5) * row.block, 0})
			want := p.Paper.Ink
			if math.Mod(n, 2) == 1 {
				want = p.Paper.Sheet
			}
			if got := p.Plate.Pix[int(y)*800+22]; got != want {
				t.Errorf("%s: block %g is %08x, want %08x", row.name, n, got, want)
			}
		}
		c.Pitch = 1.2
		if got := p.Staff(s, &c); got != 0 {
			t.Errorf("%s: drawn although seen from above", row.name)
		}
	}
}

// A height that is not known yet is not pointed out; the rod stands all the same.
func TestStaffUntold(t *testing.T) {
	w := camera.Window{Width: 800, Height: 600}
	c := camera.Fit(camera.Look(camera.Front, mgl64.Vec3{}, mgl64.Vec3{}, 1.8, w), w, camera.Corners([3]float64{-.1, 0, 0}, [3]float64{.1, 1.8, 0}))
	inked := func(untold bool) (left, rod, words int) {
		p := Pen{Plate: raster.New(800, 600), Paper: ramp.Day()}
		p.Plate.Pave(p.Paper.Paper)
		p.Staff(&Staff{High: 1.8, WholeHigh: 2.2, X: 20, Bottom: 600, Reach: 200, Untold: untold}, &c)
		for i, v := range p.Plate.Pix {
			x, ink := i%800, v != p.Paper.Paper
			switch {
			case ink && x < 18:
				left++
			case ink && x < 26:
				rod++
			case ink && x > 80:
				words++
			}
		}
		return left, rod, words
	}
	if left, rod, words := inked(false); left == 0 || rod == 0 || words == 0 {
		t.Fatalf("told: %d %d %d pixels: the test sees nothing", left, rod, words)
	}
	if left, rod, words := inked(true); left != 0 || rod == 0 || words != 0 {
		t.Errorf("untold: %d pixels of the pointer, %d of the rod, %d of words", left, rod, words)
	}
}

func TestBonesSurvive(t *testing.T) {
	p := Pen{Plate: raster.New(64, 64), Paper: ramp.Night()}
	p.Plate.Pave(p.Paper.Paper)
	nan := float32(math.NaN())
	p.Bones(nil)
	p.Bones([]Joint{
		{X: 10, Y: 10, OK: true, Parent: -1, Show: true},
		{X: nan, Y: nan, OK: true, Parent: 0, Show: true},
		{X: 1e30, Y: 5, OK: true, Parent: 0, Show: true},
		{X: 10, Y: 10, OK: true, Parent: 0, Show: true, Chosen: true, Chain: true},
		{X: 50, Y: 40, OK: false, Parent: 3, Show: true},
	})
}

func TestSidesAreDrawnApart(t *testing.T) {
	draw := func(side int8) []uint32 {
		p := Pen{Plate: raster.New(120, 40), Paper: ramp.Day()}
		p.Plate.Pave(p.Paper.Paper)
		p.Bones([]Joint{{X: 10, Y: 20.5, OK: true, Parent: -1, Show: true, Side: side}, {X: 110, Y: 20.5, OK: true, Parent: 0, Show: true, Side: side}})
		return p.Plate.Pix[20*120+30 : 20*120+90]
	}
	count := func(row []uint32, c uint32) (n int) {
		for _, v := range row {
			if v == c {
				n++
			}
		}
		return n
	}
	day := ramp.Day()
	if n := count(draw(1), day.Left); n != 60 {
		t.Errorf("left: %d of 60 pixels inked, want an unbroken line", n)
	}
	if n := count(draw(-1), day.Right); n < 25 || n > 50 {
		t.Errorf("right: %d of 60 pixels inked, want a broken line", n)
	}
	if n := count(draw(0), day.Ink); n != 60 {
		t.Errorf("centre: %d of 60 pixels inked, want an unbroken line", n)
	}
}

// The height with gear is said only where gear sticks out of the body.
func TestWithGear(t *testing.T) {
	for _, row := range []struct {
		s    Staff
		want string
	}{
		{Staff{Low: 0, High: 2.31, WholeLow: -.03, WholeHigh: 2.44}, "2.47 m with gear"},
		{Staff{Low: 0, High: 2, WholeLow: 0, WholeHigh: 2.009}, ""},
		{Staff{Low: 0, High: 2, WholeLow: -.02, WholeHigh: 2}, "2.02 m with gear"},
		{Staff{Low: 0, High: 2}, ""},
	} {
		if got := row.s.withGear(); got != row.want {
			t.Errorf("%+v: %q, want %q", row.s, got, row.want)
		}
	}
}

// Where the loupe has room, and how large it is there: a seventh of the free room, at
// most 84, none on a plate too small for glass and figure (set by look, at 320 to 1920).
func TestLoupeRadius(t *testing.T) {
	for _, row := range []struct{ w, h, want float64 }{
		{419, 900, 0}, {900, 339, 0}, {420, 340, .14 * 408}, {500, 900, 70}, {600, 900, 84}, {1920, 1080, 84},
	} {
		if got := LoupeRadius(Box{10, 20, 10 + float32(row.w), 20 + float32(row.h)}); math.Abs(float64(got)-row.want) > 1e-4 {
			t.Errorf("%g × %g: radius %g, want %g", row.w, row.h, got, row.want)
		}
	}
}

// A stem carries its tick where it is longer than 14 pixels: the ring's and the tick's own
// sizes leave no room on a shorter one.
func TestShortStemsCarryNoTick(t *testing.T) {
	inked := func(long float32) (n int) {
		p := Pen{Plate: raster.New(80, 60), Paper: ramp.Day()}
		p.Plate.Pave(p.Paper.Paper)
		p.Bones([]Joint{{X: 20, Y: 30, OK: true, Parent: -1, Show: true}, {X: 20 + long, Y: 30, OK: true, Parent: 0, Show: true, TwistY: 1}})
		at := int(20 + .4*long)
		for y := 34; y < 36; y++ { // below every ring
			for x := at - 1; x <= at+1; x++ {
				if p.Plate.Pix[80*y+x] != p.Paper.Paper {
					n++
				}
			}
		}
		return n
	}
	if n := inked(13); n != 0 {
		t.Errorf("a stem of 13: %d pixels of a tick", n)
	}
	if n := inked(16); n == 0 {
		t.Error("a stem of 16 has no tick")
	}
}

// Blocks of the staff are at least 14 pixels, so that two can be told apart and counted: a
// figure of 1.8 m on 230 pixels is measured in metres, on 300 in decimetres.
func TestStaffBlocksAreWideEnough(t *testing.T) {
	for _, row := range []struct {
		high  int
		block float64
	}{{230, 1}, {300, .1}} {
		w := camera.Window{Width: 400, Height: row.high}
		c := camera.Fit(camera.Look(camera.Front, mgl64.Vec3{}, mgl64.Vec3{}, 1.8, w), w, camera.Corners([3]float64{-.1, 0, 0}, [3]float64{.1, 1.8, 0}))
		p := Pen{Plate: raster.New(400, row.high), Paper: ramp.Day()}
		p.Plate.Pave(p.Paper.Paper)
		if got := p.Staff(&Staff{High: 1.8, X: 20, Bottom: float32(row.high), Reach: 200}, &c); math.Abs(got/row.block-1) > 1e-9 {
			t.Errorf("%d pixels: blocks of %g m, want %g", row.high, got, row.block)
		}
	}
}

// A stem of ten pixels is drawn, one of one pixel is not: with and without a parent the
// picture differs, or is the same. What is between lies under the rings.
func TestShortestStem(t *testing.T) {
	drawn := func(long float32, parent int) []uint32 {
		p := Pen{Plate: raster.New(60, 40), Paper: ramp.Day()}
		p.Plate.Pave(p.Paper.Paper)
		p.Bones([]Joint{{X: 20, Y: 20, OK: true, Parent: -1, Show: true}, {X: 20 + long, Y: 20, OK: true, Parent: parent, Show: true}})
		return p.Plate.Pix
	}
	for long, want := range map[float32]bool{1: false, 10: true, 30: true} {
		a, b := drawn(long, -1), drawn(long, 0)
		differ := false
		for i := range a {
			differ = differ || a[i] != b[i]
		}
		if differ != want {
			t.Errorf("a stem of %g pixels is drawn: %t, want %t", long, differ, want)
		}
	}
}
