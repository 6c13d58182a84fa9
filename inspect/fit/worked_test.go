package fit

import (
	"math"
	"testing"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/space"
)

// bar is a figure of one shell, a closed box 1 m high, on a grid of cubes of 1 cm.
func bar(t *testing.T, boxes ...[2]space.Vec) *figure {
	t.Helper()
	var points []float32
	var triangles []uint32
	for _, b := range boxes {
		points, triangles = box(points, triangles, b[0], b[1])
	}
	f, err := newFigure(&Body{Points: points, Triangles: triangles, Up: space.Vec{0, 1, 0}, Front: space.Vec{0, 0, 1}, Plane: geom.Plane{Normal: space.Vec{1, 0, 0}}}, 100, nil)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// What a solid of our own building shows is read at the shares that the table of constants
// says, on either side of each (common practice, no source).

// Shells 3 % of the height apart are one figure (shoes, a collar), 6 % apart two.
func TestShellsNearEachOther(t *testing.T) {
	for gap, want := range map[float64]bool{.03: true, .06: false} {
		f := bar(t, [2]space.Vec{{-.1, 0, -.1}, {.1, .5, .1}}, [2]space.Vec{{-.1, .5 + gap, -.1}, {.1, 1, .1}})
		far, _ := f.solid.Distances([]int32{f.nearest(space.Vec{0, .1, 0})})
		if got := !math.IsInf(float64(far[f.nearest(space.Vec{0, .9, 0})]), 1); got != want {
			t.Errorf("%g of the height apart: together %v", gap, got)
		}
	}
}

// Two legs on each side, one behind the other: four are told where they are apart for more
// than half of the lowest fifth of the height, that is 10 %. Legs of 7 % under a trunk are
// wheels or runners, of 13 % legs.
func TestFourLegsBehindEachOther(t *testing.T) {
	for high, want := range map[float64]bool{.07: false, .13: true} {
		var boxes [][2]space.Vec
		for _, x := range []float64{-.15, .15} {
			for _, z := range []float64{-.3, .3} {
				boxes = append(boxes, [2]space.Vec{{x - .05, 0, z - .05}, {x + .05, high + .02, z + .05}})
			}
		}
		f := bar(t, append(boxes, [2]space.Vec{{-.25, high, -.4}, {.25, 1, .4}})...)
		if got := f.fourLegs(); got != want {
			t.Errorf("legs of %g of the height: four %v", high, got)
		}
	}
}

// Cloth all around both legs for 4 % of the height is a hem of trousers or a ring, for 7 % it
// hides the fork; the section just above a fork is taken 1.5 % of the height over it: where
// a belt begins 5 % above the fork, legs do not grow into it.
func TestHemAndFork(t *testing.T) {
	legs := [][2]space.Vec{{{-.2, 0, -.1}, {-.05, .52, .1}}, {{.05, 0, -.1}, {.2, .52, .1}}, {{-.2, .5, -.1}, {.2, 1, .1}}}
	ring := func(low, high float64) [][2]space.Vec {
		return [][2]space.Vec{
			{{-.4, low, -.4}, {.4, high, -.35}}, {{-.4, low, .35}, {.4, high, .4}},
			{{-.4, low, -.4}, {-.35, high, .4}}, {{.35, low, -.4}, {.4, high, .4}},
		}
	}
	for high, want := range map[float64]bool{.04: false, .07: true} {
		l, err := bar(t, append(ring(.25, .25+high), legs...)...).findLegs()
		if err != nil {
			t.Fatal(err)
		}
		if l.hem != want {
			t.Errorf("cloth around the legs for %g of the height: it hides the fork %v", high, l.hem)
		}
	}
	// Both legs' section is .06 m²; a trunk of .4 × .2 m just above is 1.33 times that, the
	// belt of .8 × .8 m above that 10.7 times.
	l, err := bar(t, append([][2]space.Vec{{{-.4, .55, -.4}, {.4, .95, .4}}}, legs...)...).findLegs()
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(l.fork-.5) > .015 || math.Abs(l.grows-.08/.06) > .15 {
		t.Errorf("fork at %.3f m, the section grows %.2f times; want .5, 1.33", l.fork, l.grows)
	}
}

// A neck that is 2 % narrower than head and shoulders is none, 6 % a neck: cut out of a
// column of 30 × 30 cm.
func TestDentOfANeck(t *testing.T) {
	for dent, want := range map[float64]bool{.02: false, .12: true} {
		w := .15 * math.Sqrt(1-dent)
		if dent == .02 {
			w = .15 // the grid shows no 2 %
		}
		f := bar(t, [2]space.Vec{{-.15, 0, -.15}, {.15, .8, .15}}, [2]space.Vec{{-w, .79, -w}, {w, .86, w}}, [2]space.Vec{{-.15, .85, -.15}, {.15, 1, .15}})
		tr, err := f.findTrunk(.78)
		if err != nil {
			t.Fatal(err)
		}
		if got := tr.valley > 0; got != want {
			t.Errorf("%g narrower: a neck %v (%.3f)", dent, got, tr.valley)
		}
	}
	f := &figure{height: 1, solid: &geom.Solid{Cell: .01}, levels: make([]level, 21)}
	for j := range f.levels {
		f.levels[j].y = .01 * float64(j)
	}
	for dent, want := range map[float64]bool{.02: false, .04: true} {
		tr := &trunk{f: f, area: make([]float64, 21)}
		for j := range tr.area {
			tr.area[j] = 1
		}
		tr.area[12] = 1 - dent
		if err := tr.findNeck(.04); err != nil {
			t.Fatal(err)
		}
		if got := tr.valley > 0; got != want {
			t.Errorf("a dent of %g: a neck %v", dent, got)
		}
	}
}

// digitOn is a finger as a stick of length long (metres) out of a palm as thick as 12 cm, both round
// about +x, its tip at x = 0 and the wrist beyond the palm.
func digitOn(t *testing.T, long, half float64) (*figure, int32) {
	t.Helper()
	f := bar(t, [2]space.Vec{{0, .5 - half, -half}, {long, .5 + half, half}}, [2]space.Vec{{long, .4, -.1}, {long + .5, .6, .1}}, [2]space.Vec{{long + .3, 0, -.02}, {long + .34, 1, .02}})
	return f, f.nearest(space.Vec{f.own(space.Vec{0, .5, 0})[0], .5, 0})
}

// The corner of a fist is no finger: three half widths is the least that a finger stands out
// (of a section w² the half width of the circle as large is w/√π): a stick of 8 × 8 cm and
// 10 cm long stands out by 2.2 of them, one of 18 cm by 4.0.
func TestSlenderIsAFinger(t *testing.T) {
	for long, want := range map[float64]bool{.10: false, .18: true} {
		f, tip := digitOn(t, long, .04)
		if _, got := f.digitOf(tip, .6); got != want {
			t.Errorf("%g m long, 8 cm thick: a finger %v", long, got)
		}
	}
}

// Where the joints of a finger stand, from its tip, of its whole length: a straight one of
// which 76 mm are seen is 100 mm long; its joints stand 24, 52 and 100 mm from the tip. Of a
// thumb, 85 of 100 mm are seen, its joints stand 42 and 100 mm from the tip, and two fifths of the
// way from there to the wrist. Lengths: common practice, no source.
func TestJointsOfAFinger(t *testing.T) {
	line := func(seen float64) *digit {
		d := &digit{root: space.Vec{seen, 0, 0}}
		for i := range 11 {
			d.path = append(d.path, space.Vec{seen * float64(i) / 10, 0, 0})
		}
		return d
	}
	wrist := space.Vec{200, 0, 0}
	finger, thumb := jointsOf(line(76), wrist, false), jointsOf(line(85), wrist, true)
	for i, want := range []float64{100, 52, 24} {
		if math.Abs(finger[i][0]-want) > 1e-9 {
			t.Errorf("joint %d of a finger %g mm from its tip, want %g", i, finger[i][0], want)
		}
	}
	for i, want := range []float64{140, 100, 42} {
		if math.Abs(thumb[i][0]-want) > 1e-9 {
			t.Errorf("joint %d of a thumb %g mm from its tip, want %g", i, thumb[i][0], want)
		}
	}
}

// A chin's mark stands at the chin, the head's joint a twentieth of the way to the crown above it: chin
// at 1.50 m, crown at 1.70 m, the joint at 1.51 m.
func TestHeadOfAChin(t *testing.T) {
	if got := headOver(1.5, 1.7); math.Abs(got-1.51) > 1e-9 {
		t.Errorf("%g m", got)
	}
	if got := chinUnder(1.51, 1.7); math.Abs(got-1.5) > 1e-9 {
		t.Errorf("the chin of that head: %g m", got)
	}
}

// The head of the thigh bone where no leg was measured: Drillis and Contini 1966, as printed in
// Winter 2009, fig. 4.1: hip .530, crotch .485 of stature. A fork set at .970 m is of a person of 2 m.
func TestHipOverAFork(t *testing.T) {
	if got := hipOver(.970); math.Abs(got-1.060) > 1e-9 {
		t.Errorf("the hip at %g m, want 1.06", got)
	}
}

// A fork at half of the shoulders' height or higher is one, however broad the hips; lower it is a hem
// where the section grows more than two and a half times at once; below a quarter it is no fork.
func TestHiddenFork(t *testing.T) {
	for _, row := range []struct {
		share, grows float64
		hem, want    bool
	}{{.51, 3, false, false}, {.49, 3, false, true}, {.49, 2, false, false}, {.26, 2, false, false}, {.24, 2, false, true}, {.6, 1, true, true}} {
		if got := (&legs{grows: row.grows, hem: row.hem}).hidden(row.share); got != row.want {
			t.Errorf("%+v: hidden %v", row, got)
		}
	}
}

// A tail is at least 12 % of the height long, and begins where the section is no more than 1.7
// times its narrowest: sticks of 6 × 6 cm behind a trunk of 40 × 60 cm, 9 and 16 cm long.
func TestTailOfSticks(t *testing.T) {
	for long, want := range map[float64]int{.09: 0, .16: 3} {
		f := bar(t, [2]space.Vec{{-.2, 0, -.3}, {.2, 1, .3}}, [2]space.Vec{{-.03, .47, -.3 - long}, {.03, .53, -.29}})
		back := f.own(space.Vec{0, 0, -.3})[2]
		tail := f.tailOf(back+.1, .3)
		if len(tail) != want {
			t.Fatalf("%g of the height: %d joints", long, len(tail))
		}
		if want > 0 && tail[0][2] > back+.04 {
			t.Errorf("the tail begins %.3f m within the trunk", tail[0][2]-back)
		}
	}
}

// A finger behind its knuckle is as long as the palm (common practice, no source): of an arm 70 cm long,
// straight, the knuckle 10 cm from the tip, the wrist is 20 cm from it.
func TestPalmBehindAKnuckle(t *testing.T) {
	a := &arm{reach: .7, band: .01}
	for i := range 71 {
		a.path = append(a.path, space.Vec{.01 * (float64(i) + .5), 0, 0})
	}
	if got := a.wristBehind(space.Vec{.6, 0, 0}, space.Vec{.7, 0, 0}, .005, space.Vec{}); math.Abs(got[0]-.5) > .0051 {
		t.Errorf("the wrist at %v", got)
	}
}

// Both hands are taken for one where no joint misses the other's image by more than a fifth of the hand.
func TestHandsAlike(t *testing.T) {
	for off, want := range map[float64]bool{.19: true, .21: false} {
		left, right := [][3]space.Vec{{{1, 0, 0}, {1.1, 0, 0}, {1.2, 0, 0}}}, [][3]space.Vec{{{-1, 0, 0}, {-1.1, off, 0}, {-1.2, 0, 0}}}
		got := evenHands(left, right, 1)
		if (got != nil) != want || got != nil && math.Abs(got[0][1][1]-off/2) > 1e-12 {
			t.Errorf("%g of the hand apart: %v", off, got)
		}
	}
}

// The joints of a finger are less sure than the wrist that they hang on, of which more is
// seen, and surer than a toss of a coin.
func TestFingersAreSure(t *testing.T) {
	b, _, _ := stripped(menagerie.Person(menagerie.Options{}))
	p, err := measured(b, Options{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	p.fingers = make([][3]space.Vec, 5)
	of := map[string]float64{}
	for _, j := range p.joints(Options{}) {
		of[j.Name] = j.Sure
	}
	if s := of["leftIndexProximal"]; !(s > .5 && s < of["leftHand"]) || s != of["rightLittleDistal"] {
		t.Errorf("fingers %g, hand %g", s, of["leftHand"])
	}
}
