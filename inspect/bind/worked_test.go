package bind

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Two places opposite each other, worked by hand: each gets half of its own weights and half
// of the other's with partners exchanged. Left: joint 0 whole; right: joint 1 by .6, joint 0
// by .4. So left: joint 0 has (1 + .6)/2, joint 1 .4/2; right the same exchanged.
func TestSidesGetTheMean(t *testing.T) {
	f := &Figure{Points: []float32{-1, 0, 0, 1, 0, 0}, Of: []int32{0, 0}, size: 2,
		Joints: Joints{At: []space.Vec{{-1, 0, 0}, {1, 0, 0}}, Parent: []int{-1, -1}, Partner: []int{1, 0}, Middle: &geom.Plane{Normal: [3]float64{1, 0, 0}}}}
	b := &Bound{Rows: NewRows(2)}
	b.Rows.Put(0, 0, 1)
	b.Rows.Put(1, 1, .6)
	b.Rows.Put(1, 0, .4)
	f.even(b, f.images())
	for place, own := range []int32{0, 1} {
		j, w := b.Rows.Joint[K*place:], b.Rows.Weight[K*place:]
		if j[0] != own || math.Abs(w[0]-.8) > 1e-12 || j[1] != 1-own || math.Abs(w[1]-.2) > 1e-12 || w[2] != 0 {
			t.Errorf("place %d: joints %v, weights %v; want %d by .8 and %d by .2", place, j[:3], w[:3], own, 1-own)
		}
	}
}

// Of three bones two are equally near, to a millionth: they share the heat of both, 1/d²
// each (Baran, Popović 2007, §4, with H the number of nearest bones over d²).
func TestBonesAsNear(t *testing.T) {
	f := &Figure{Bones: []Bone{{Joint: 4}, {Joint: 7}, {Joint: 9}}}
	s := f.source([]near{{0, 2}, {1, 2 * (1 + 5e-7)}, {2, 2.1}}, 0, 1, 1e-9)
	if !slices.Equal(s.Joints, []int32{4, 7}) || !slices.Equal(s.Parts, []float64{.5, .5}) || math.Abs(s.Heat-2./4) > 1e-12 {
		t.Errorf("%+v, want joints 4 and 7 by halves, heat 1/2", s)
	}
	if s = f.source([]near{{0, 2}, {1, 2 * (1 + 2e-6)}}, 0, 1, 1e-9); !slices.Equal(s.Joints, []int32{4}) || math.Abs(s.Heat-1./4) > 1e-12 {
		t.Errorf("%+v, want joint 4 alone, heat 1/4", s)
	}
}

// Guessed ends of partners: a joint a tenth of the bone's length off the other's image is its
// image, and gets the image of the longer bone; one half of it off keeps its own.
func TestPartnersEndsAlike(t *testing.T) {
	for _, row := range []struct {
		off  float64
		want space.Vec
	}{{.1, space.Vec{-1, .1 + 1, 0}}, {.5, space.Vec{-1, .5 + .6, 0}}} {
		j := &Joints{At: []space.Vec{{1, 0, 0}, {-1, row.off, 0}}, Parent: []int{-1, -1}, Partner: []int{1, 0}, Middle: &geom.Plane{Normal: [3]float64{1, 0, 0}}}
		bones := []Bone{{Joint: 0, From: j.At[0], To: j.At[0].Add(space.Vec{0, 1, 0}), End: true}, {Joint: 1, From: j.At[1], To: j.At[1].Add(space.Vec{0, .6, 0}), End: true}}
		j.even(bones)
		if d := bones[1].To.Sub(row.want).Len(); d > 1e-12 {
			t.Errorf("off by %g: the bone ends at %v, want %v", row.off, bones[1].To, row.want)
		}
	}
}

// A joint alone that stands beside another's guessed end bone by up to .35 of its length is a mark on it.
func TestMarksOnAGuessedEnd(t *testing.T) {
	for off, want := range map[float64]Idle{.34: Mark, .36: Works} {
		f := &Figure{Joints: Joints{At: []space.Vec{{0, 0, 0}, {.5, off, 0}}, Parent: []int{-1, -1}},
			Bones: []Bone{{Joint: 0, From: space.Vec{}, To: space.Vec{1, 0, 0}, End: true}, {Joint: 1, From: space.Vec{.5, off, 0}, To: space.Vec{.5, off, 0}, End: true}}}
		p := &Proposal{Idle: make([]Idle, 2)}
		f.marks(p, make([]bool, 2), nil)
		if p.Idle[1] != want {
			t.Errorf("%g of the bone beside it: %v, want %v", off, p.Idle[1], want)
		}
	}
}

// A bone at a chain's end is looked for as far as six times the bone before it: in a tube that goes on for 3 m
// it is four fifths of that long; places that another shell hides from every bone are counted.
func TestEndBoneGoesOn(t *testing.T) {
	var s shape
	s.add(arm(-.1, 5, .2))
	n := len(s.points) / 3
	s.add(ball(space.Vec{.98, .22, 0}, .05))
	f := New(s.points, s.triangles, limb(), nil)
	for _, b := range f.Bones {
		if long := b.To.Sub(b.From).Len(); b.Joint == 3 && math.Abs(long-.8*3) > .05 {
			t.Errorf("the last bone is %.2f m long, want 2.4", long)
		}
	}
	b := sound(t, "arm", f, f.Propose())
	if b.Unseen[0] != 0 || b.Unseen[1] == 0 {
		t.Errorf("unseen: %d of %d places of the arm, %d of the buckle", b.Unseen[0], n, b.Unseen[1])
	}
}

// A shell without a bone of its own is one piece up to an eighth of the figure's diagonal: a ball of 10 cm beside an arm of 2.7 m
// is, one of 60 cm bends with what it lies on.
func TestSmallPieces(t *testing.T) {
	for radius, want := range map[float64]Way{.05: AsOne, .3: ByCarry} {
		var s shape
		s.add(arm(-.1, 2.6, .2))
		s.add(ball(space.Vec{.98, .2 + radius*.4, 0}, radius))
		f := New(s.points, s.triangles, limb(), nil)
		p := f.Propose()
		p.On[1], p.May[1] = 0, p.May[0]
		b := sound(t, "arm", f, p)
		if b.Ways[1] != want {
			t.Errorf("a ball of radius %g: %v, want %v", radius, b.Ways[1], want)
		}
	}
}
