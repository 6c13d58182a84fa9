package skeleton

import (
	"math"
	"testing"

	"rigloupe/inspect/space"
)

// Rest poses worked by hand (closed form): angle of the upper arm below horizontal,
// bend of the elbow, class.
func TestArmsWorked(t *testing.T) {
	for _, row := range []struct {
		name         string
		s, e, w      space.Vec
		below, elbow float64
		class        string
	}{
		{"T", space.Vec{.2258, 1.4315, 0}, space.Vec{.55, 1.4, -.01}, space.Vec{.805, 1.375, 0}, 5.547, 3.994, "T"},
		{"A", space.Vec{.2258, 1.4315, 0}, space.Vec{.456, 1.2013, 0}, space.Vec{.6366, 1.0207, 0}, 45, 0, "A"},
		{"A, elbow bent", space.Vec{.18, 1.42, -.02}, space.Vec{.39, 1.22, -.04}, space.Vec{.53, 1.03, .05}, 43.474, 26.691, "A"},
		{"hanging", space.Vec{.19, 1.42, -.02}, space.Vec{.22, 1.10, -.03}, space.Vec{.23, .84, .02}, 84.356, 13.043, "hanging"},
		{"raised", space.Vec{.19, 1.42, 0}, space.Vec{.45, 1.6, 0}, space.Vec{.66, 1.74, 0}, -34.695, 1.005, ""},
		{"H-Anim default figure, left arm", space.Vec{.2029, 1.4376, -.0387}, space.Vec{.2014, 1.1357, -.0682}, space.Vec{.1984, .8663, -.0583}, 84.412, 7.693, "hanging"},
	} {
		below, ok := ArmBelow(row.s, row.e, space.Vec{0, 1, 0})
		class := ""
		if c := armClass([]float64{below}); c != nil {
			class = *c
		}
		if elbow := bend(row.s, row.e, row.w); !ok || math.Abs(below-row.below) > 6e-4 || math.Abs(elbow-row.elbow) > 6e-4 || class != row.class {
			t.Errorf("%s: %.3f° below, elbow %.3f°, %q; want %v, %v, %q", row.name, below, elbow, class, row.below, row.elbow, row.class)
		}
	}
	for _, row := range []struct {
		below float64
		class string
	}{{10, "T"}, {10.01, "between"}, {19.99, "between"}, {20, "A"}, {65, "A"}, {65.01, "hanging"}, {-10, "T"}, {-10.01, ""}} {
		class := ""
		if c := armClass([]float64{row.below}); c != nil {
			class = *c
		}
		if class != row.class {
			t.Errorf("%v° below: class %q, want %q", row.below, class, row.class)
		}
	}
	if _, ok := ArmBelow(space.Vec{1, 1, 1}, space.Vec{1, 1, 1}, space.Vec{0, 1, 0}); ok {
		t.Error("an arm without length has no angle")
	}
}

// Knees worked by hand (closed form), hip (.1,.93,0), ankle (.1,.07,0).
func TestKneesWorked(t *testing.T) {
	for _, row := range []struct {
		k    space.Vec
		want float64
	}{{space.Vec{.1, .5, .02}, 5.326}, {space.Vec{.1, .5, .08}, 21.078}, {space.Vec{.07, .5, 0}, 7.982}} {
		if got := bend(space.Vec{.1, .93, 0}, row.k, space.Vec{.1, .07, 0}); math.Abs(got-row.want) > 6e-4 {
			t.Errorf("knee %v: %.3f°, want %v", row.k, got, row.want)
		}
	}
}

// The palm of a left hand W = 0, I = (1, 0, .2), L = (.95, 0, −.25) looks down, and
// so does the mirrored right one; H-Anim's hangs towards the thigh.
func TestPalmWorked(t *testing.T) {
	if n := palmNormal(true, space.Vec{}, space.Vec{1, 0, .2}, space.Vec{.95, 0, -.25}); n.Sub(space.Vec{0, -1, 0}).Len() > 1e-12 {
		t.Errorf("left palm %v, want down", n)
	}
	if n := palmNormal(false, space.Vec{}, space.Vec{-1, 0, .2}, space.Vec{-.95, 0, -.25}); n.Sub(space.Vec{0, -1, 0}).Len() > 1e-12 {
		t.Errorf("right palm %v, want down", n)
	}
	n := palmNormal(true, space.Vec{.1984, .8663, -.0583}, space.Vec{.1983, .7815, -.0280}, space.Vec{.1925, .7866, -.1036})
	if n.Sub(space.Vec{-.9965, .0292, .0784}).Len() > 2e-4 {
		t.Errorf("palm of H-Anim's default figure %v", n)
	}
}

// Feet worked by hand: (.1,.07,−.02)→(.13,.02,.12) yaws 12.095° outward on the left;
// right (−.1,.07,−.02)→(−.06,.02,.12) 15.945° inward.
func TestFeetWorked(t *testing.T) {
	f := measured(t, person(map[string]space.Vec{
		"leftUpperLeg": {.1, .93, 0}, "rightUpperLeg": {-.1, .93, 0}, "leftLowerLeg": {.1, .5, .02}, "rightLowerLeg": {-.1, .5, .02},
		"leftFoot": {.1, .07, -.02}, "leftToes": {.13, .02, .12}, "rightFoot": {-.1, .07, -.02}, "rightToes": {-.06, .02, .12}}))
	l, r := limb(f, "leftFoot"), limb(f, "rightFoot")
	if l == nil || r == nil {
		t.Fatalf("feet not measured: %+v", f.Limbs)
	}
	if math.Abs(*l.Yaw-12.095) > 6e-4 || math.Abs(*r.Yaw+15.945) > 6e-4 {
		t.Errorf("yaw %.3f and %.3f, want 12.095 and −15.945", *l.Yaw, *r.Yaw)
	}
}
