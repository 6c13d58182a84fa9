package camera

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
)

var window = Window{Width: 1440, Height: 900, Inset: [4]int{96, 388, 250, 372}}

func cameras() map[string]Camera {
	out := map[string]Camera{}
	for _, f := range []From{ThreeQuarter, Front, Left, Back} {
		c := Look(f, mgl64.Vec3{0, 0, 1}, mgl64.Vec3{.1, .9, -.2}, 1, window)
		out[f.String()] = c
		out[f.String()+", near"] = c.Near(7, 500, 300).Turn(33, 80).Shift(40, -12)
	}
	return out
}

func TestPixelAndWorldAreInverse(t *testing.T) {
	for name, c := range cameras() {
		for _, p := range []mgl64.Vec3{{0, 0, 0}, {.3, 1.7, .2}, {-.9, .4, -.5}} {
			x, y, depth, ok := c.Pixel(p)
			if !ok {
				t.Fatalf("%s: %v lies behind the eye", name, p)
			}
			if d := c.World(x, y, depth).Sub(p).Len(); d > 1e-9 {
				t.Errorf("%s: %v came back %g m off", name, p, d)
			}
			// One pixel to the right is 1/PixelsPerMetre metres to the right.
			if d := c.World(x+1, y, depth).Sub(p).Len(); math.Abs(d*c.PixelsPerMetre(p)-1) > 1e-9 {
				t.Errorf("%s: a pixel at %v is %g m, want 1/%g", name, p, d, c.PixelsPerMetre(p))
			}
		}
	}
}

func TestBehindTheEye(t *testing.T) {
	c := Look(Front, mgl64.Vec3{0, 0, 1}, mgl64.Vec3{}, 1, window)
	if _, _, _, ok := c.Pixel(c.Eye().Add(mgl64.Vec3{0, 0, 1})); ok {
		t.Error("a point behind the eye was projected")
	}
}

func TestRasterViewAgrees(t *testing.T) {
	for name, c := range cameras() {
		for _, unit := range []float64{1, 2} {
			v := c.View(unit)
			p := mgl64.Vec3{.2, 1.1, -.3}
			x, y, depth, _ := c.Pixel(p)
			px, py, d, ok := v.Point(float32(p[0]), float32(p[1]), float32(p[2]))
			if !ok || math.Abs(float64(px)-x*unit) > .02 || math.Abs(float64(py)-y*unit) > .02 || math.Abs(float64(d)-depth) > 1e-4 {
				t.Errorf("%s at %g×: raster says %g %g %g, camera %g %g %g", name, unit, px, py, d, x*unit, y*unit, depth)
			}
		}
	}
}

// Sides: glTF 2.0, Coordinate System and Units: a figure faces +Z, its left is +X.
func TestSides(t *testing.T) {
	left, front, up := mgl64.Vec3{1, 0, 0}, mgl64.Vec3{0, 0, 1}, mgl64.Vec3{0, 1, 0}
	for _, row := range []struct {
		name   string
		from   From
		facing mgl64.Vec3
		point  mgl64.Vec3
		right  int // of the middle on the page: +1, −1, 0
		nearer int // than the middle: +1, −1, 0
	}{
		{"front: its left hand is on the right", Front, front, left, 1, 0},
		{"front: its nose is nearer", Front, front, front, 0, 1},
		{"back: its left hand is on the left", Back, front, left, -1, 0},
		{"back: its nose is farther", Back, front, front, 0, -1},
		{"left: its left hand is nearer", Left, front, left, 0, 1},
		{"left: its nose is on the left", Left, front, front, -1, 0},
		{"three-quarter: its left hand is nearer", ThreeQuarter, front, left, 1, 1},
		{"three-quarter: its nose is nearer", ThreeQuarter, front, front, -1, 1},
		{"facing +X, front: +X is nearer", Front, left, left, 0, 1},
		{"facing +X, front: +Z is on the left", Front, left, front, -1, 0},
		{"facing unknown: as +Z", Front, mgl64.Vec3{}, left, 1, 0},
		{"facing up: as +Z", Front, up, left, 1, 0},
	} {
		c := Look(row.from, row.facing, mgl64.Vec3{}, 1, window)
		x, _, depth, _ := c.Pixel(row.point)
		if got := sign(x-c.CX, 1); got != row.right {
			t.Errorf("%s: x %g, middle %g", row.name, x, c.CX)
		}
		if got := sign(c.Distance-depth, .05); got != row.nearer {
			t.Errorf("%s: depth %g, middle %g", row.name, depth, c.Distance)
		}
	}
	if _, y, _, _ := new(Camera).Pixel(up); y != 0 {
		t.Errorf("a zero camera projects to %g", y)
	}
}

func sign(x, slack float64) int {
	switch {
	case x > slack:
		return 1
	case x < -slack:
		return -1
	}
	return 0
}

func TestFit(t *testing.T) {
	for _, row := range []struct {
		name   string
		lo, hi [3]float64
	}{
		{"person", [3]float64{-.9, 0, -.2}, [3]float64{.9, 1.86, .2}},
		{"hand, 0.2 m", [3]float64{-.05, -.1, -.02}, [3]float64{.05, .1, .02}},
		{"tower, 200 m", [3]float64{-8, 0, -8}, [3]float64{8, 200, 8}},
		{"far from the origin", [3]float64{500, 30, -700}, [3]float64{501, 32, -699}},
		{"a plank", [3]float64{-4, 0, -1}, [3]float64{4, .1, 1}},
	} {
		for _, from := range []From{ThreeQuarter, Front, Left, Back} {
			points := Corners(row.lo, row.hi)
			half := mgl64.Vec3(row.hi).Sub(mgl64.Vec3(row.lo)).Len() / 2
			c := Fit(Look(from, mgl64.Vec3{0, 0, 1}, mgl64.Vec3(row.lo), half, window), window, points)
			x0, y0, x1, y1 := window.Free()
			lx, ly, hx, hy := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
			for i := 0; i < len(points); i += 3 {
				x, y, _, ok := c.Pixel(mgl64.Vec3{float64(points[i]), float64(points[i+1]), float64(points[i+2])})
				if !ok {
					t.Fatalf("%s, %s: a corner lies behind the eye", row.name, from)
				}
				lx, hx, ly, hy = min(lx, x), max(hx, x), min(ly, y), max(hy, y)
			}
			ax, ay := air*(x1-x0), air*(y1-y0)
			if lx < x0+ax-.1 || hx > x1-ax+.1 || ly < y0+ay-.1 || hy > y1-ay+.1 {
				t.Errorf("%s, %s: %g…%g × %g…%g lies outside %g…%g × %g…%g less 3 %%", row.name, from, lx, hx, ly, hy, x0, x1, y0, y1)
			}
			// And no smaller than it must be: one of the two ways is filled.
			if wide, high := (hx-lx)/(x1-x0-2*ax), (hy-ly)/(y1-y0-2*ay); max(wide, high) < .999 {
				t.Errorf("%s, %s: fills only %.3f × %.3f", row.name, from, wide, high)
			}
			if math.Abs((lx+hx)/2-(x0+x1)/2) > .1 || math.Abs((ly+hy)/2-(y0+y1)/2) > .1 {
				t.Errorf("%s, %s: not in the middle", row.name, from)
			}
		}
	}
}

func TestFitSurvives(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	for name, points := range map[string][]float32{
		"nothing": nil, "one point": {1, 2, 3}, "not a number": {nan, 0, 0, 0, inf, 0}, "one good": {nan, 0, 0, .5, .5, .5},
	} {
		c := Fit(Look(Front, mgl64.Vec3{}, mgl64.Vec3{}, 0, window), window, points)
		for _, v := range []float64{c.Scale, c.Distance, c.Target[0], c.Target[1], c.Target[2]} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Errorf("%s: %+v", name, c)
				break
			}
		}
	}
}

func TestNearKeepsThePoint(t *testing.T) {
	for name, c := range cameras() {
		before := c.World(613, 411, c.Distance)
		for _, factor := range []float64{1.3, .6, 40} {
			d := c.Near(factor, 613, 411)
			x, y, _, _ := d.Pixel(before)
			if math.Abs(x-613) > 1e-6 || math.Abs(y-411) > 1e-6 {
				t.Errorf("%s × %g: the point went to %g %g", name, factor, x, y)
			}
		}
		for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
			if c.Near(bad, 1, 1) != c {
				t.Errorf("%s × %g: moved", name, bad)
			}
		}
	}
}

func TestShiftFollowsThePointer(t *testing.T) {
	for name, c := range cameras() {
		x0, y0, _, _ := c.Pixel(c.Target)
		x, y, _, _ := func() (float64, float64, float64, bool) { d := c.Shift(31, -17); return d.Pixel(c.Target) }()
		if math.Abs(x-x0-31) > 1e-6 || math.Abs(y-y0+17) > 1e-6 {
			t.Errorf("%s: moved %g %g, want 31 −17", name, x-x0, y-y0)
		}
	}
}

func TestTurn(t *testing.T) {
	c := Look(Front, mgl64.Vec3{0, 0, 1}, mgl64.Vec3{}, 1, window)
	// Dragging right brings what was on the left (the figure's right) to the front.
	d := c.Turn(100, 0)
	if _, _, depth, _ := d.Pixel(mgl64.Vec3{-1, 0, 0}); depth >= d.Distance {
		t.Errorf("dragged right, the figure's right hand is %g m away, the middle %g", depth, d.Distance)
	}
	// Dragging down looks from above, and no farther than the pole.
	if e := c.Turn(0, 1e6); !(e.Pitch > 1.5 && e.Pitch < math.Pi/2) {
		t.Errorf("dragged down far: pitch %g", e.Pitch)
	}
}

func TestGlide(t *testing.T) {
	all := cameras()
	g := Glide{From: all["front"], To: all["back, near"], Seconds: GlideSeconds}
	if c, done := g.At(0); done || c.Target.Sub(g.From.Target).Len() > 1e-12 || math.Abs(c.Scale/g.From.Scale-1) > 1e-12 {
		t.Errorf("at 0: %+v", c)
	}
	for _, s := range []float64{GlideSeconds, 1, math.NaN()} {
		if c, done := g.At(s); !done || c != g.To {
			t.Errorf("at %g: %+v", s, c)
		}
	}
	a, _ := g.At(.1)
	if b, _ := g.At(.1); a != b {
		t.Error("the same moment gave two cameras")
	}
	// 170° to −170° is 20°, not 340°.
	g.From.Yaw, g.To.Yaw = 170*math.Pi/180, -170*math.Pi/180
	if c, _ := g.At(.1); math.Abs(math.Abs(c.Yaw)-math.Pi) > 1e-9 {
		t.Errorf("half way from 170° to −170° stands at %g°", c.Yaw*180/math.Pi)
	}
	if c, done := (&Glide{From: g.From, To: g.To}).At(0); !done || c != g.To {
		t.Error("a glide of no length is not over at once")
	}
}

func TestMovedKeepsTheMiddle(t *testing.T) {
	c := Look(Front, mgl64.Vec3{}, mgl64.Vec3{}, 1, window)
	to := Window{Width: 800, Height: 600}
	d := c.Moved(window, to)
	if x, y, _, _ := d.Pixel(d.Target); x != 400 || y != 300 {
		t.Errorf("the target lies at %g %g, want the middle 400 300", x, y)
	}
}

func TestNames(t *testing.T) {
	for _, f := range []From{ThreeQuarter, Front, Left, Back} {
		if got, ok := FromNamed(f.String()); !ok || got != f {
			t.Errorf("%v: named %q, read back as %v", f, f.String(), got)
		}
	}
	if _, ok := FromNamed("above"); ok {
		t.Error("a side that there is not was found")
	}
}

// The numbers of the eye's ways, set by hand at a page of 1,440 × 900: a drag across 600
// pixels is half a turn, a fitted figure has 3 % of the free room as air on each side, and
// the eye stands 5.2 half diagonals off, a lens as long as portraits are taken with.
func TestNumbersOfTheEye(t *testing.T) {
	c := Look(Front, mgl64.Vec3{0, 0, 1}, mgl64.Vec3{0, .9, 0}, 1, window)
	if math.Abs(c.Distance-5.2) > 1e-12 {
		t.Errorf("the eye is %g half diagonals off, want 5.2", c.Distance)
	}
	if d := c.Turn(300, 0).Yaw - c.Yaw; math.Abs(math.Abs(d)-math.Pi/2) > 1e-12 {
		t.Errorf("300 pixels turn by %g, want a quarter", d)
	}
	points := Corners([3]float64{-.2, 0, -.1}, [3]float64{.2, 1.8, .1})
	fitted := Fit(c, window, points)
	x0, y0, x1, y1 := window.Free()
	low, high := math.Inf(1), math.Inf(-1)
	for i := 0; i < len(points); i += 3 {
		_, y, _, _ := fitted.Pixel(mgl64.Vec3{float64(points[i]), float64(points[i+1]), float64(points[i+2])})
		low, high = min(low, y), max(high, y)
	}
	for _, air := range []float64{low - y0, y1 - high} {
		if share := air / (y1 - y0); math.Abs(share-.03) > .002 {
			t.Errorf("air of %.4f of the free height, want 0.03 (free %g %g %g %g)", share, x0, y0, x1, y1)
		}
	}
}
