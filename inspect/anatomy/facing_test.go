package anatomy

import (
	"math"
	"testing"

	"rigloupe/inspect/rig"
)

// Worked row of the facing: thighs at (.09,.93,.01) and (−.09,.93,−.02) face
// (−.164399, 0, .986394), 9.462° off +Z (closed form).
func TestFacing(t *testing.T) {
	r := figure(nil)
	hips := r.RestWorld()[byName(r, "pelvis")].Origin()
	place := func(name string, x, y, z float64) {
		m := &r.Nodes[byName(r, name)].Matrix
		m[3], m[7], m[11] = x-hips[0], y-hips[1], z-hips[2]
	}
	place("left_thigh", .09, .93, .01)
	place("right_thigh", -.09, .93, -.02)
	f := find(r)
	dir, ok := f.Facing()
	if want := [3]float64{-.164399, 0, .986394}; !ok || math.Abs(dir[0]-want[0])+math.Abs(dir[1])+math.Abs(dir[2]-want[2]) > 2e-6 {
		t.Errorf("faces %v %v, want %v", dir, ok, want)
	}
	if off := math.Acos(dir[2]) * 180 / math.Pi; math.Abs(off-9.462) > 5e-4 {
		t.Errorf("%.4f° off, want 9.462", off)
	}
}

func TestFacingTurned(t *testing.T) {
	for _, yaw := range []float64{0, 30, 90, 179, -135} {
		r := figure(nil)
		n := byName(r, "pelvis")
		s, c := math.Sincos(yaw * math.Pi / 180)
		turn := rig.Affine{c, 0, s, 0, 0, 1, 0, 0, -s, 0, c, 0}
		r.Nodes[n].Matrix = turn.Mul(&r.Nodes[n].Matrix)
		f := find(r)
		dir, ok := f.Facing()
		if !ok || math.Abs(dir[0]-s)+math.Abs(dir[2]-c) > 1e-9 || f.Stands() > 3 {
			t.Errorf("turned by %v°: faces %v %v, %v° off upright", yaw, dir, ok, f.Stands())
		}
	}
}

func TestFacingUnknown(t *testing.T) {
	r := figure(nil)
	n := byName(r, "pelvis")
	back := rig.Affine{1, 0, 0, 0, 0, 0, 1, 0, 0, -1, 0, 0}
	r.Nodes[n].Matrix = back.Mul(&r.Nodes[n].Matrix)
	f := find(r)
	if _, ok := f.Facing(); ok || math.Abs(f.Stands()-90) > 3 || !f.IsFigure() {
		t.Errorf("lying: facing %v, %v° off upright, figure %v", ok, f.Stands(), f.IsFigure())
	}
	f = find(&rig.Rig{Shown: rig.None})
	if _, ok := f.Facing(); ok || !math.IsNaN(f.Stands()) || f.IsFigure() {
		t.Error("an empty rig faces nowhere")
	}
}

// A standing beast: the trunk level, all four feet on the ground.
func TestFourLegs(t *testing.T) {
	r := figure(nil)
	// Lay the trunk forward: everything above the hips is carried by the spine.
	spine := byName(r, "spine")
	m := &r.Nodes[spine].Matrix
	turn := rig.Affine{1, 0, 0, 0, 0, 0, -1, 0, 0, 1, 0, 0} // +Y → +Z
	*m = m.Mul(&turn)
	for _, side := range []string{"left", "right"} {
		// and let the arms hang: x → −Y of the world, which is −Z of the trunk.
		a := &r.Nodes[byName(r, side+"_upper_arm")].Matrix
		x := 1.0
		if side == "right" {
			x = -1
		}
		down := rig.Affine{0, 0, -x, 0, 0, 1, 0, 0, x, 0, 0, 0}
		*a = a.Mul(&down)
		for _, long := range []string{"_forearm", "_hand"} { // as long as its hind legs
			r.Nodes[byName(r, side+long)].Matrix[3] *= 1.6
		}
	}
	f := find(r)
	hand, foot := byName(r, "left_hand"), byName(r, "left_foot")
	if !f.NotBiped || f.IsFigure() || f.Of[hand].Role != "" || f.Of[foot].Role != "" {
		t.Errorf("four legs %v, figure %v, hand %v at %v, foot at %v", f.NotBiped, f.IsFigure(), f.Of[hand], f.Position(hand), f.Position(foot))
	}
	if len(f.FourFeet) != 4 || f.Node("hips") < 0 || f.Of[hand].Partner != byName(r, "right_hand") {
		t.Errorf("feet %v, hips %d, partner %d", f.FourFeet, f.Node("hips"), f.Of[hand].Partner)
	}
	sound(t, r, f)
}
