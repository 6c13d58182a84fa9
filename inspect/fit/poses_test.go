package fit

import (
	"math"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// posed stance joints of a figure, by role of the left side, about an axis through them by
// degrees; the right side as its mirror image (axis a, −b, −c). What is bound follows.
func posed(r *rig.Rig, by stance) *rig.Rig {
	roles := exam.New(r).Roles()
	for role, turn := range by {
		for _, side := range []string{"left", "right"} {
			axis := turn.axis
			if side == "right" {
				axis = space.Vec{axis[0], -axis[1], -axis[2]}
			}
			n := &r.Nodes[roles.Node(side+role)]
			n.R = space.XYZW(space.About(axis, turn.degrees*math.Pi/180).Mul(space.FromXYZW(n.R)))
			n.Matrix = n.TRS.Affine()
		}
	}
	return r
}

type stance = map[string]struct {
	axis    space.Vec
	degrees float64
}

var (
	lower   = space.Vec{0, 0, -1} // abduction, the other way round
	bend    = space.Vec{0, -1, 0}
	outward = space.Vec{0, 0, 1}
	forth   = space.Vec{-1, 0, 0}
)

// The same person in other rest poses: arms at the sides and up, elbows and knees bent,
// legs apart.
func TestPoses(t *testing.T) {
	for i, row := range []struct {
		name string
		by   stance
		most float64
	}{
		{"arms 30° below level", stance{"UpperArm": {lower, 30}}, 2.5},
		{"arms 45° below level", stance{"UpperArm": {lower, 45}}, 2.5},
		{"arms 60° below level", stance{"UpperArm": {lower, 60}}, 3},
		{"arms 30° above level", stance{"UpperArm": {lower, -30}}, 3},
		{"elbows bent by 40°", stance{"LowerArm": {bend, 40}}, 3},
		{"arms down, elbows bent", stance{"UpperArm": {lower, 45}, "LowerArm": {bend, 30}}, 3},
		{"legs apart by 12° each", stance{"UpperLeg": {outward, 12}}, 3},
		{"knees bent by 20°", stance{"UpperLeg": {forth, 10}, "LowerLeg": {forth, -20}, "Foot": {forth, 10}}, 3},
	} {
		t.Run(row.name, func(t *testing.T) {
			for k, of := range []struct {
				name string
				rig  *rig.Rig
				off  float64
			}{{"grown", menagerie.Person(menagerie.Options{}), 0}, {"three heads", menagerie.ThreeHeads(menagerie.Options{}), 1.5}} {
				if !rounds.Run(i+k, 3) {
					continue
				}
				b, joints, height := stripped(posed(of.rig, row.by))
				list, err := Person(b, Options{}, nil)
				if err != nil {
					t.Errorf("%s: %v", of.name, err)
					continue
				}
				report(t, of.name, list, joints, height, row.most+of.off)
			}
		})
	}
}

// It does not matter how a figure stands in the world, how large it is, or which way the
// front was taken to be.
func TestPlaced(t *testing.T) {
	b, _, _ := stripped(menagerie.Person(menagerie.Options{}))
	want, err := Person(b, Options{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range []struct {
		name   string
		turn   space.Quat
		factor float64
		shift  space.Vec
	}{
		{"the other front", space.Still(), 1, space.Vec{}},
		{"a hundred times as large", space.Still(), 100, space.Vec{}},
		{"a thousandth", space.Still(), .001, space.Vec{}},
		{"turned by 37° and shifted", space.About(space.Vec{0, 1, 0}, .65), 1, space.Vec{5, -3, 9}},
		{"lying", space.About(space.Vec{1, 0, 0}, -math.Pi/2), 1, space.Vec{}},
	} {
		if !rounds.Run(i, 4) {
			continue
		}
		t.Run(row.name, func(t *testing.T) {
			c := *b
			c.Points = append([]float32{}, b.Points...)
			move := func(p space.Vec) space.Vec { return row.turn.Rotate(p).Mul(row.factor).Add(row.shift) }
			for v := range len(c.Points) / 3 {
				p := move(space.At(c.Points, v))
				c.Points[3*v], c.Points[3*v+1], c.Points[3*v+2] = float32(p[0]), float32(p[1]), float32(p[2])
			}
			c.Up, c.Front, c.Plane.Normal = row.turn.Rotate(b.Up), row.turn.Rotate(b.Front), row.turn.Rotate(b.Plane.Normal)
			c.Plane.Offset = b.Plane.Offset*row.factor + c.Plane.Normal.Dot(row.shift)
			if row.name == "the other front" {
				c.Front = c.Front.Mul(-1)
			}
			got, err := Person(&c, Options{}, nil)
			if err != nil {
				t.Fatal(err)
			}
			for i := range want {
				if d := got[i].At.Sub(move(want[i].At)).Len() / row.factor; got[i].Name != want[i].Name || d > .01 {
					t.Errorf("%s, %s: %.4f m apart", want[i].Name, got[i].Name, d)
				}
			}
		})
	}
}
