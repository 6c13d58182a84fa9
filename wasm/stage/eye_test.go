package stage

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"rigloupe/inspect/rounds"
	"rigloupe/viewer/camera"
	"rigloupe/wasm/bridge"
)

// same tells that two cameras show the same picture to a thousandth of a pixel.
func same(a, b camera.Camera) bool {
	near := func(x, y, scale float64) bool { return math.Abs(x-y) <= 1e-6*max(1, scale) }
	return a.Target.Sub(b.Target).Len() < 1e-6 && near(a.Yaw, b.Yaw, 1) && near(a.Pitch, b.Pitch, 1) &&
		near(a.Scale, b.Scale, a.Scale) && near(a.CX, b.CX, 1e3) && near(a.CY, b.CY, 1e3) && near(a.Distance, b.Distance, a.Distance)
}

// command is one thing that a person does with the view.
type command struct {
	name string
	do   func(*bench)
}

func commands() []command {
	from := func(side string) command {
		return command{"from " + side, func(b *bench) { b.must(b.set(&bridge.Show{From: &side})) }}
	}
	return []command{
		from("three-quarter"), from("front"), from("left"), from("back"),
		{"whole", func(b *bench) { b.frameAll() }},
		{"turn", func(b *bench) { b.turn(50, -20) }},
		{"near", func(b *bench) { b.near(1.2, math.NaN(), math.NaN()) }},
		{"near a pixel", func(b *bench) { b.near(.9, 100, 60) }},
		{"shift", func(b *bench) { b.shift(12, -7) }},
		{"place", func(b *bench) { b.frame(&bridge.Place{Node: new(6)}) }},
		{"other place", func(b *bench) {
			b.frame(&bridge.Place{Surface: new(0), Vertices: []int{400, 401}})
		}},
		{"back", func(b *bench) { b.goBack() }},
		{"window", func(b *bench) { b.resize(400, 300) }},
		{"other window", func(b *bench) { b.resize(300, 260) }},
		{"insets", func(b *bench) { b.must(b.set(&bridge.Show{Inset: []float64{10, 30, 20, 40}})) }},
		{"split", func(b *bench) { b.must(b.set(&bridge.Show{Split: new(true)})) }},
		{"one", func(b *bench) { b.must(b.set(&bridge.Show{Split: new(false)})) }},
	}
}

// Motion is an ornament: whatever commands follow each other, and however fast, they end
// in the view that they end in without motion. A glide that the next command starts from
// the old eye, or drops, fails here.
func TestCommandsEndAlikeWithMotion(t *testing.T) {
	all := commands()
	run := func(order []int, pause time.Duration, reduced bool) *bench {
		b := opened(t, 80, 50) // what is drawn is not looked at
		b.must(b.set(&bridge.Show{ReducedMotion: &reduced}))
		b.after(100 * time.Millisecond)
		for _, i := range order {
			all[i].do(b)
			b.after(pause)
		}
		b.after(400 * time.Millisecond)
		return b
	}
	check := func(order []int, pause time.Duration) {
		t.Helper()
		a, b := run(order, pause, true), run(order, pause, false)
		if !same(a.state.Camera, b.state.Camera) || a.whole != b.whole || a.side() != b.side() || (a.before == nil) != (b.before == nil) {
			name := ""
			for _, i := range order {
				name += all[i].name + ", "
			}
			t.Errorf("%sone each %v: with motion\n%+v, from %q, want\n%+v, from %q", name, pause, b.state.Camera, b.side(), a.state.Camera, a.side())
		}
	}
	// Those of the issue: a side asked for, then the whole figure, in the same moment.
	for i := range 4 {
		check([]int{i, 4}, 0)
	}
	r := rand.New(rand.NewPCG(9, 2))
	many := 4
	if rounds.Long() {
		many = 60
	}
	for n := range many {
		order := make([]int, 2+r.IntN(4))
		for i := range order {
			order[i] = r.IntN(len(all))
		}
		check(order, time.Duration(n%4)*60*time.Millisecond)
	}
}

// Every view command does what it says, from wherever the eye is, with motion on.
func TestViewsWithMotion(t *testing.T) {
	b := open(t)
	b.after(time.Second)
	for _, side := range []string{"front", "left", "back", "three-quarter", "left"} {
		b.turn(130, 40)
		b.near(3, 20, 20)
		if got := b.side(); got != "" {
			t.Errorf("turned by hand it is seen from %q", got)
		}
		b.must(b.set(&bridge.Show{From: &side}))
		if c, _ := b.changed(); c.From != side {
			t.Errorf("asked for %q the page hears %q", side, c.From)
		}
		b.after(time.Second)
		from, _ := camera.FromNamed(side)
		if want := b.scene.View(&b.state, from); !same(b.state.Camera, want) {
			t.Errorf("%s: %+v, want %+v", side, b.state.Camera, want)
		}
	}
	// The whole figure from where the eye is: nothing of it is outside, and it is not small.
	b.turn(77, 30)
	b.near(5, 10, 10)
	b.shift(400, 90)
	c := b.state.Camera
	b.frameAll()
	b.after(time.Second)
	if b.state.Camera.Yaw != c.Yaw || b.state.Camera.Pitch != c.Pitch {
		t.Error("showing the whole figure turned it")
	}
	b.filled("after 0", .6)
}

// filled fails where the figure's box does not fill its room: outside, or small.
func (b *bench) filled(when string, least float64) {
	b.t.Helper()
	x0, y0, x1, y1 := b.state.Window().Free()
	box := b.scene.Box()
	l, r, top, bottom := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	points := camera.Corners(box.Min, box.Max)
	for i := 0; i < len(points); i += 3 {
		x, y, _, _ := b.state.Camera.Pixel([3]float64{float64(points[i]), float64(points[i+1]), float64(points[i+2])})
		l, r, top, bottom = min(l, x), max(r, x), min(top, y), max(bottom, y)
	}
	slack := .06 * (x1 - x0) // the corners of a box are empty, and the near ones look wider apart
	if l < x0-slack || r > x1+slack || top < y0-slack || bottom > y1+slack {
		b.t.Errorf("%s: the figure reaches from %.0f, %.0f to %.0f, %.0f; the room is %.0f, %.0f to %.0f, %.0f", when, l, top, r, bottom, x0, y0, x1, y1)
	}
	if share := max((r-l)/(x1-x0), (bottom-top)/(y1-y0)); share < least {
		b.t.Errorf("%s: the figure takes %.2f of its room, want %.2f", when, share, least)
	}
}

// Each change of the view is taken back, the last one first, down to where it began; another
// figure begins anew.
func TestUndoView(t *testing.T) {
	b := open(t)
	b.after(time.Second)
	began := b.state.Camera
	b.keepView()
	for range 5 { // one drag
		b.turn(30, 5)
	}
	turned := b.state.Camera
	b.keepView() // a press that turned nothing
	b.frame(&bridge.Place{Node: new(6)})
	b.after(time.Second)
	b.must(b.set(&bridge.Show{From: new("back")}))
	b.after(time.Second)
	b.keepView()
	b.near(1.5, 100, 80)
	b.undoView()
	b.after(time.Second)
	if want := b.scene.View(&b.state, camera.Back); !same(b.state.Camera, want) {
		t.Errorf("near taken back: %+v, want %+v", b.state.Camera, want)
	}
	b.undoView() // the side
	b.undoView() // the place
	b.after(time.Second)
	if !same(b.state.Camera, turned) {
		t.Errorf("side and place taken back: %+v, want %+v", b.state.Camera, turned)
	}
	if !b.undoView() {
		t.Error("the drag cannot be taken back")
	}
	b.after(time.Second)
	if !same(b.state.Camera, began) {
		t.Errorf("all taken back: %+v, began at %+v", b.state.Camera, began)
	}
	if b.undoView() {
		t.Error("more can be taken back than was done")
	}
	b.keepView()
	b.turn(90, 0)
	figure, _ := sample()
	b.must(b.open(append([]byte(nil), figure...), nil, steady))
	if b.undoView() {
		t.Error("another figure is shown by the first one's view")
	}
}

// After places were shown there is one way back, to where the eye was before the first.
func TestBackToWhereIWas(t *testing.T) {
	b := open(t)
	b.after(time.Second)
	if b.goBack() || b.tell().Away {
		t.Error("there is a way back from where nobody went")
	}
	b.turn(140, 30)
	b.near(1.4, 150, 90)
	was := b.state.Camera
	b.frame(&bridge.Place{Node: new(6)})
	b.after(50 * time.Millisecond) // not there yet
	b.frame(&bridge.Place{Surface: new(0), Vertices: []int{400}})
	b.after(time.Second)
	b.turn(30, 0) // looking round at the place
	if c, _ := b.changed(); !c.Away {
		t.Error("the page does not hear of the way back")
	}
	if !b.goBack() {
		t.Fatal("no way back")
	}
	b.after(time.Second)
	if !same(b.state.Camera, was) {
		t.Errorf("back at %+v, was at %+v", b.state.Camera, was)
	}
	if b.goBack() || b.tell().Away {
		t.Error("the way back is there twice")
	}
	// In another window: the whole figure is whole again, not cut to the old size.
	b.must(b.set(&bridge.Show{From: new("front")}))
	b.after(time.Second)
	b.frame(&bridge.Place{Node: new(6)})
	b.resize(640, 480)
	b.goBack()
	b.after(time.Second)
	if want := b.scene.View(&b.state, camera.Front); !same(b.state.Camera, want) {
		t.Errorf("back at %+v, want %+v", b.state.Camera, want)
	}
	// A view asked for by name ends the way back; another figure has none.
	b.frame(&bridge.Place{Node: new(6)})
	b.must(b.set(&bridge.Show{From: new("left")}))
	if b.tell().Away {
		t.Error("a way back from a view asked for by name")
	}
	b.frame(&bridge.Place{Node: new(6)})
	figure, _ := sample()
	b.must(b.open(append([]byte(nil), figure...), nil, steady))
	if b.tell().Away {
		t.Error("a way back to another figure's view")
	}
}

// A window that changes fits the whole figure again, gliding or not; what a hand has
// brought near keeps its place.
func TestResize(t *testing.T) {
	b := open(t)
	b.after(time.Second)
	sizes := [][2]int{{1280, 800}, {500, 900}, {1440, 500}, {360, 700}, {820, 820}, {1920, 1080}, {320, 240}, {1024, 768}}
	for _, side := range rounds.Rows([]string{"three-quarter", "front", "left"}, 3) {
		b.must(b.set(&bridge.Show{From: &side}))
		for i, s := range sizes {
			if i%2 == 0 {
				b.after(time.Second)
			} else {
				b.after(40 * time.Millisecond) // while it glides
			}
			b.resize(s[0], s[1])
			b.must(b.set(&bridge.Show{Inset: []float64{float64(s[1]) / 10, float64(s[0]) / 8, float64(s[1]) / 6, float64(s[0]) / 9}}))
			b.after(300 * time.Millisecond)
			b.filled(fmt.Sprintf("%s, %d × %d", side, s[0], s[1]), .5)
			from, _ := camera.FromNamed(side)
			if want := b.scene.View(&b.state, from); !same(b.state.Camera, want) {
				t.Errorf("%s, %d × %d: not what a fresh view is", side, s[0], s[1])
			}
			if b.pic.W != b.state.Width || b.pic.H != b.state.Height {
				t.Errorf("a picture of %d × %d in a window of %d × %d", b.pic.W, b.pic.H, b.state.Width, b.state.Height)
			}
		}
	}
	// A clip that walks must not make a resize jump to where it is by now.
	b.resize(640, 400)
	b.must(b.set(&bridge.Show{From: new("front"), Clip: new(0), Seconds: new(.3)}))
	b.after(time.Second)
	before := b.state.Camera
	b.must(b.set(&bridge.Show{Seconds: new(.8)}))
	b.resize(641, 400)
	b.resize(640, 400)
	if !same(b.state.Camera, before) {
		t.Error("a resize fits the figure to another moment of its clip")
	}
	// Brought near by hand it is not fitted again: there and back it is the same view.
	b.near(4, 300, 120)
	near := b.state.Camera
	b.resize(1280, 800)
	if got := b.state.Camera.Scale; b.whole || got <= near.Scale {
		t.Errorf("brought near by hand and in a larger window: scale %g, was %g", got, near.Scale)
	}
	b.resize(640, 400)
	if !same(b.state.Camera, near) {
		t.Errorf("there and back: %+v, was %+v", b.state.Camera, near)
	}
}
