package skeleton

import (
	"math"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func TestRestPoseLimits(t *testing.T) {
	arms := func(left, right float64) func(*rig.Rig) { return of(lamplighter.LowerArms(left, right)) }
	both := []string{"upperArm_L", "upperArm_R"}
	bothSides(t, "skeleton/rest-pose", lamp, []side{
		{name: "level"},
		{name: "both arms 9.9° down", plant: arms(9.9, 9.9)},
		{name: "both 10.1°", plant: arms(10.1, 10.1), grade: check.Note, measure: "below level", value: 10.1, near: 1e-4, joints: both},
		{name: "both 19.9°", plant: arms(19.9, 19.9), grade: check.Note, measure: "below level", value: 19.9, near: 1e-4, joints: both},
		{name: "both 20.1°", plant: arms(20.1, 20.1)},
		{name: "both 64.9°", plant: arms(64.9, 64.9)},
		{name: "hanging", plant: arms(80, 80)},
		{name: "one 4.9°", plant: arms(4.9, 0)},
		{name: "one 5.1°", plant: arms(5.1, 0), grade: check.Note, measure: "difference", value: 5.1, near: 1e-4, joints: both},
		{name: "the other 5.1°", plant: arms(0, 5.1), grade: check.Note, measure: "difference", value: 5.1, near: 1e-4, joints: both},
	})
}

// What the arms' angles mean for motion is said plainly.
func TestArmsInWords(t *testing.T) {
	for degrees, want := range map[float64]string{
		0:  "A T-pose. Motion that stores turns from an A-pose 45° below level, put on as it is, holds these arms 45° too high.",
		15: "Between T and A: motion made for a T-pose holds these arms 15° too low, motion made for an A-pose 30° too high.",
		45: "An A-pose. Motion that stores turns from a T-pose, put on as it is, holds these arms 45° too low.",
		80: "They hang. Motion that stores turns from a T-pose, put on as it is, holds these arms 80° too low.",
	} {
		r := lamp()
		lamplighter.LowerArms(degrees, degrees)(r)
		if got := measured(t, r).ArmPose.Says; !strings.HasSuffix(got, want) {
			t.Errorf("%v°: %q, want %q", degrees, got, want)
		}
	}
}

// A knee 3° to the back is named, one 1° to the back is not, nor one to the front or
// side.
func TestBackwardKnee(t *testing.T) {
	hip, ankle := space.Vec{.09, .9275, 0}, space.Vec{.09, .06825, 0}
	mid := hip.Add(ankle).Mul(.5)
	half := hip.Sub(ankle).Len() / 2
	for _, row := range []struct {
		name    string
		degrees float64
		dir     space.Vec
		want    bool
	}{{"3° back", 3, space.Vec{0, 0, -1}, true}, {"1.9° back", 1.9, space.Vec{0, 0, -1}, false}, {"2.1° back", 2.1, space.Vec{0, 0, -1}, true}, {"15° front", 15, space.Vec{0, 0, 1}, false}, {"10° sideways", 10, space.Vec{1, 0, 0}, false}} {
		knee := mid.Add(row.dir.Mul(half * math.Tan(row.degrees/2*math.Pi/180)))
		f := measured(t, person(map[string]space.Vec{"leftUpperLeg": hip, "leftFoot": ankle, "leftLowerLeg": knee}))
		if got := *limb(f, "leftLeg").Bend; math.Abs(got-row.degrees) > 1e-6 {
			t.Errorf("%s: bent by %v°", row.name, got)
		}
		found, _ := Station.Judge(f, nil)
		named := false
		for _, x := range found {
			if x.ID == "skeleton/rest-pose" {
				named = true
				if math.Abs(x.Measures[0].Value-row.degrees) > 1e-6 || len(x.Where.Joints) != 2 {
					t.Errorf("%s: %v at %v", row.name, x.Measures, x.Where.Joints)
				}
			}
		}
		if named != row.want {
			t.Errorf("%s: named %v, want %v", row.name, named, row.want)
		}
	}
}

// The whole skeleton in a sentence, found or not.
func TestSkeletonInWords(t *testing.T) {
	for _, row := range []struct {
		name, want string
		rig        *rig.Rig
	}{
		{"the sample", "34 joints, 21 of a human body, all that are required among them. Arms: both level. A T-pose.", lamp()},
		{"a hand cut off", "33 joints, 20 of a human body; missing: left hand. Arms: ", func() *rig.Rig { r := lamp(); lamplighter.Amputate(r); return r }()},
		{"a hand of no side", "A hand alone (60\u00a0% sure): four runs of joints or more lie side by side on one joint, as fingers do. 25 joints.", hand(0)},
		{"a limb", "3 joints, 1 of a human body: not a whole figure.", tube(0, true)},
		{"no joint", "", &rig.Rig{Shown: rig.None}},
	} {
		got := measured(t, row.rig).Says
		if row.want == "" && got != "" || !strings.HasPrefix(got, row.want) {
			t.Errorf("%s: %q, want %q …", row.name, got, row.want)
		}
	}
}
