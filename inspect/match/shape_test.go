package match

import (
	"math"
	"testing"

	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/space"
)

// bones is a skeleton of places in the world, each with the joint it hangs on, without names.
func bones(parents []int, at ...space.Vec) *Skeleton {
	return NewSkeleton(menagerie.Hung(parents, at...))
}

// plainBody is a body 2 m wide and high: hips and a chest in the middle, arms of four joints (collar, shoulder,
// elbow, hand), legs of three. Joints: 0 hips, 1 chest, 2 head; 3–6 the left arm, 7–10 the right
// one; 11–13 the left leg, 14–16 the right one.
func plainBody(change func(parents []int, at []space.Vec)) *Skeleton {
	parents := []int{-1, 0, 1, 1, 3, 4, 5, 1, 7, 8, 9, 0, 11, 12, 0, 14, 15}
	at := []space.Vec{{0, 1, 0}, {0, 1.5, 0}, {0, 2, 0},
		{.05, 1.5, 0}, {.24, 1.5, 0}, {.6, 1.5, 0}, {1, 1.5, 0}, {-.05, 1.5, 0}, {-.24, 1.5, 0}, {-.6, 1.5, 0}, {-1, 1.5, 0},
		{.2, .9, 0}, {.2, .5, 0}, {.2, 0, 0}, {-.2, .9, 0}, {-.2, .5, 0}, {-.2, 0, 0}}
	if change != nil {
		change(parents, at)
	}
	return bones(parents, at...)
}

func attempt(s *Skeleton) *body {
	b := &body{s: s}
	b.pairUp()
	return b
}

// Partners stand within a twentieth of the whole's size of each other's images (common
// practice, no source): the size here is the diagonal of what holds all joints.
func TestPartnersOfAShape(t *testing.T) {
	for share, want := range map[float64]bool{.045: true, .055: false} {
		s := plainBody(nil)
		off := share * s.Size
		s = plainBody(func(_ []int, at []space.Vec) { at[16] = at[16].Add(space.Vec{0, 0, off}) })
		off *= s.Size / plainBody(nil).Size
		if got := attempt(s).partner[13] == 16; got != want {
			t.Errorf("%g of the size off the image: partners %v", share, got)
		}
	}
}

// What stands nearer to the middle than a hundredth of the size has no side.
func TestMiddleOfAShape(t *testing.T) {
	for share, want := range map[float64]bool{.008: false, .012: true} {
		x := share * plainBody(nil).Size
		s := plainBody(func(_ []int, at []space.Vec) { at[3][0], at[7][0] = x, -x })
		if got := attempt(s).partner[3] == 7; got != want {
			t.Errorf("%g of the size beside the middle: partners %v", share, got)
		}
	}
}

// The shoulder stands .24 of the arm's reach from the middle (Drillis and Contini 1966: .129 of .569
// heights, .227; a little more on rigs): of five joints at .05, .24, .55, .8 and 1 m the second.
func TestShoulderOfAShape(t *testing.T) {
	s := bones([]int{-1, 0, 1, 2, 3, 4, 0, 6, 7, 8, 9}, space.Vec{0, 1, 0},
		space.Vec{.05, 1, 0}, space.Vec{.24, 1, 0}, space.Vec{.55, 1, 0}, space.Vec{.8, 1, 0}, space.Vec{1, 1, 0},
		space.Vec{-.05, 1, 0}, space.Vec{-.24, 1, 0}, space.Vec{-.55, 1, 0}, space.Vec{-.8, 1, 0}, space.Vec{-1, 1, 0})
	clear(s.bone)
	for i := range s.f {
		s.f[i].role = ""
	}
	b := attempt(s)
	b.arms(limb{chain: []int{1, 2, 3, 4, 5}, root: 0, arc: .95})
	if s.f[2].role != "leftUpperArm" || s.f[3].role != "leftLowerArm" || s.f[1].role != "leftShoulder" {
		t.Errorf("collar %q, shoulder %q, elbow %q", s.f[1].role, s.f[2].role, s.f[3].role)
	}
	// A role that the shape alone tells is surer than a toss, and less sure than one that a name tells
	// as well (two of three kinds of evidence).
	if f := s.f[2].sure; !(f > .5 && f < .7) || !s.f[2].byShape {
		t.Errorf("%g sure by shape alone", f)
	}
}

// A foot that hangs elsewhere is looked for below the shin's end: no farther than two and a half
// shins, and steeply, by at least seven tenths of the way (45.6° off straight down).
func TestFootElsewhere(t *testing.T) {
	for _, row := range []struct {
		name string
		off  space.Vec // from the shin's end, which is .4 m long
		want bool
	}{
		{"2.4 shins below", space.Vec{0, -.96, 0}, true}, {"2.6 shins", space.Vec{0, -1.04, 0}, false},
		{"44° off straight down", space.Vec{0, -.2 * math.Cos(44*math.Pi/180), .2 * math.Sin(44*math.Pi/180)}, true},
		{"47°", space.Vec{0, -.2 * math.Cos(47*math.Pi/180), .2 * math.Sin(47*math.Pi/180)}, false},
	} {
		end := space.Vec{.2, 1.2, 0}
		foot := end.Add(row.off)
		s := bones([]int{-1, 0, 1, 0, 3, -1, 5, 5}, space.Vec{0, 2, 0},
			space.Vec{.2, 1.6, 0}, end, space.Vec{-.2, 1.6, 0}, space.Vec{-end[0], end[1], end[2]},
			space.Vec{0, 0, 0}, foot, space.Vec{-foot[0], foot[1], foot[2]})
		clear(s.bone)
		for i := range s.f {
			s.f[i].role = ""
		}
		b := attempt(s)
		b.gather()
		for _, l := range b.limbs {
			if l.chain[0] == 1 {
				b.legs(l)
			}
		}
		if got := s.f[6].role == "leftFoot"; got != row.want {
			t.Errorf("%s: the foot %v (%q, limbs %v, partners %v)", row.name, got, s.f[6].role, b.limbs, b.partner)
		}
	}
}
