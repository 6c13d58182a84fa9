package fit

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/space"
)

// Where joints stand that no shape tells: shares of what lies between those it does tell, as
// person.go gives them with their sources; the ball of the foot at two thirds of it, from the
// heel, measured on the foot (common practice, no source).
func TestShares(t *testing.T) {
	b, _, height := stripped(built(menagerie.Person(menagerie.Options{}))(t))
	list, err := Person(b, Options{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	at := func(name string) space.Vec {
		i := slices.IndexFunc(list, func(j Joint) bool { return j.Name == name })
		if i < 0 {
			t.Fatal("no ", name)
		}
		return list[i].At
	}
	hips, neck := at("hips")[1], at("neck")[1]
	left := func(v float64, over space.Vec) float64 { return v / over[0] }
	for _, row := range []struct {
		what            string
		got, want, near float64
	}{
		{"spine, from the hips to the neck", (at("spine")[1] - hips) / (neck - hips), .23, 1e-6},
		{"chest, from the hips to the neck", (at("chest")[1] - hips) / (neck - hips), .58, 1e-6},
		{"hips, over the legs' joints", hips/at("leftUpperLeg")[1] - 1, .03, 1e-3},
		{"collar, from the plane to the shoulder", left(at("leftShoulder")[0], at("leftUpperArm")), .3, 1e-6},
		{"elbow, from the shoulder to the wrist", at("leftLowerArm").Sub(at("leftUpperArm")).Len() / (at("leftLowerArm").Sub(at("leftUpperArm")).Len() + at("leftHand").Sub(at("leftLowerArm")).Len()), .53, .02},
	} {
		if math.Abs(row.got-row.want) > row.near {
			t.Errorf("%s: %.4f, want %.4f", row.what, row.got, row.want)
		}
	}
	heel, tip := math.Inf(1), math.Inf(-1)
	for v := range len(b.Points) / 3 {
		if p := space.At(b.Points, v); p[0] > 0 && p[1] < 0.05*height {
			heel, tip = min(heel, p[2]), max(tip, p[2])
		}
	}
	if got := (at("leftToes")[2] - heel) / (tip - heel); math.Abs(got-.66) > .06 {
		t.Errorf("the ball of the foot at %.3f of the foot", got)
	}
}
