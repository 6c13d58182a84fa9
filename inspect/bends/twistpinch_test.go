package bends

import (
	"math"
	"slices"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Half a turn leaves |1 − 2w| of the radius (W7: nothing at ½). Of a ramp along both
// bones, the middle third of the first ends at w = ⅓, that of the second begins at ⅔.
func TestTwistPinch(t *testing.T) {
	third := 1. / 3
	// Thirty rings, so that the thirds of both bones lie on one.
	ramped := func() *rig.Rig { return tube(1, .2, 30, 16, true, ramp(1)) }
	checktest.Run(t, twistPinch, Measure, []checktest.Row{
		{Name: "a ramp along both bones", Rig: ramped, Want: []checktest.Want{{Grade: check.Note, Name: "width left", Value: third, Tolerance: 1e-6, Joints: []rig.Node{0, 1}}}},
		{Name: "a ramp within a third of each", Rig: tubeOf(ramp(.3))},
		{Name: "a quarter all along", Rig: tubeOf(even(.24))},
		{Name: "a little more", Rig: tubeOf(even(.26)), Want: []checktest.Want{{Grade: check.Note, Value: .48, Tolerance: 1e-6}}},
		{Name: "half and half", Rig: tubeOf(even(.5)), Want: []checktest.Want{{Grade: check.Note, Value: 0, Tolerance: 1e-6}}},
		{Name: "limit moved", Rig: ramped, Limits: map[string]float64{"width": .33}},
		// Its neck keeps 0.41, but nobody twists a neck by half a turn.
		{Name: "clean figure, its neck left out", Rig: clean},
		{Name: "forearm twisted from the wrist", Rig: clean, Plant: func(r *rig.Rig) { lamplighter.LongTwist(r) }, Limits: map[string]float64{"width": .4},
			Want: []checktest.Want{{Grade: check.Note, Value: 0, Tolerance: .02, Joints: []rig.Node{lamplighter.Node("lowerArm_L")}}}},
		{Name: "no section: a slit", Rig: func() *rig.Rig { return tube(1, .2, 8, 8, true, even(.5)) }, Plant: flatten},
	})
}

// The place of the pinch and the pose that shows it.
func TestTwistPlace(t *testing.T) {
	f := measured(t, tube(1, .2, 40, 16, true, ramp(1)))
	if len(f.Twists) != 2 {
		t.Fatalf("%d bones, want 2", len(f.Twists))
	}
	for i, w := range []struct{ at, x float64 }{{2. / 3, -1. / 3}, {1. / 3, 1. / 3}} {
		tw := &f.Twists[i]
		if tw.Turned != 1 {
			t.Errorf("bone %d: joint %d was turned", i, tw.Turned)
		}
		near(t, "along", tw.At, w.at, 1e-9)
		near(t, "x", tw.point[0], w.x, 1e-9)
		near(t, "by dual quaternions", *tw.RadiusDual, 1, 1e-6)
	}
}

// A bone that no turn of the bend set twists within 20° is measured but not judged, as a
// finger's: there is no pose to show it in.
func TestTwistPose(t *testing.T) {
	f := measured(t, tube(1, .2, 30, 16, true, ramp(1)))
	for _, row := range []struct {
		degrees float64
		known   bool
	}{{0, true}, {19, true}, {21, false}, {69, false}, {71, true}, {90, true}} { // at 90° the turn across
		s, c := math.Sincos(row.degrees * math.Pi / 180)
		g := *f
		g.Twists = slices.Clone(f.Twists)
		for i := range g.Twists {
			g.Twists[i].Axis = mgl64.Vec3{c, s, 0}
		}
		if m := g.pose(&g.Twists[0]); (m != nil) != row.known {
			t.Errorf("%g°: pose %+v", row.degrees, m)
		}
		found, _ := Station.Judge(&g, nil)
		named := slices.ContainsFunc(found, func(x check.Finding) bool { return x.ID == twistPinch.ID })
		if named != row.known {
			t.Errorf("%g°: judged %v", row.degrees, named)
		}
	}
}
