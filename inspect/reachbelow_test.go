package inspect

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// causeOf answers what a finding follows from, "" for none, "-" where it is not told at all.
func causeOf(res *Result, id string) string {
	for _, f := range res.Findings() {
		if f.ID == id && f.Cause == nil && f.Grade > check.Note {
			return ""
		}
	}
	for _, f := range res.Findings() {
		if f.ID == id && f.Cause != nil {
			return f.Cause.ID
		}
	}
	return "-"
}

// Two joints that bear each other's names hang on each other's limbs by name alone; one that
// hangs on the other limb without that is told by itself.
func TestHangsByNameAlone(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Vertices: 6000, Sway: true})
	a, b := lamplighter.Node("lowerArm_L"), lamplighter.Node("lowerArm_R")
	r.Nodes[a].Name, r.Nodes[b].Name = r.Nodes[b].Name, r.Nodes[a].Name
	res := examined(t, r)
	if got := causeOf(res, "skeleton/side-label"); got != "" {
		t.Errorf("names exchanged: side-label %q", got)
	}
	if got := causeOf(res, "skeleton/loose-chain"); got != "skeleton/side-label" && got != "-" {
		t.Errorf("names exchanged: loose-chain %q", got)
	}
}

// A joint scaled along one axis scales what hangs on it without a skin; a scale above the
// figure is told by itself.
func TestScaleBelowJoint(t *testing.T) {
	r := menagerie.Person(menagerie.Options{Gear: true})
	roles := lookedAt(t, r).Exam.Roles()
	hand := roles.Node("rightHand")
	if hand < 0 {
		t.Fatal("no hand")
	}
	r.Nodes[hand].S = [3]float64{1, 1.1, 1}
	r.Nodes[hand].Matrix = r.Nodes[hand].TRS.Affine()
	below := slices.ContainsFunc(r.Surfaces, func(s rig.Surface) bool {
		for n := s.Node; n >= 0; n = r.Nodes[n].Parent {
			if n == hand {
				return s.Skin < 0
			}
		}
		return false
	})
	if !below {
		t.Fatal("nothing hangs on that hand")
	}
	res := examined(t, r)
	if a, b := causeOf(res, "skeleton/scaled-joint"), causeOf(res, "intake/uneven-scale"); a != "" || b != "skeleton/scaled-joint" {
		t.Errorf("scaled-joint %q, uneven-scale %q", a, b)
	}
	r = menagerie.Person(menagerie.Options{Gear: true})
	for n := range r.Nodes {
		if d := &r.Nodes[n]; d.Parent < 0 {
			d.S[1] *= 1.1
			d.Matrix = d.TRS.Affine()
		}
	}
	if got := causeOf(examined(t, r), "intake/uneven-scale"); got != "" {
		t.Errorf("scaled above all: uneven-scale %q", got)
	}
}

// A figure that rests with one leg forward and one arm up, bound as before, has sides that
// differ by its pose; a few vertices on the wrong side are no pose's.
func TestPosedSides(t *testing.T) {
	pose := func() *rig.Rig {
		r := lamplighter.Build(lamplighter.Options{Vertices: 6000, Sway: true})
		for i := range r.Nodes {
			n := rig.Node(i)
			if d := &r.Nodes[i]; d.Mesh < 0 && d.Parent >= 0 {
				q := space.About(space.Vec{1, 0, 0}, float64(7+5*(int(n)%5))*math.Pi/180)
				d.R = space.XYZW(space.Mul(space.FromXYZW(d.R), q))
				d.Matrix = d.TRS.Affine()
			}
		}
		return r
	}
	res := examined(t, pose())
	told := false
	for _, f := range res.Findings() {
		told = told || posed(&f)
		if slices.Contains([]string{"surface/lopsided", "binding/mirror-mismatch", "binding/cross-body"}, f.ID) && f.Grade > check.Note {
			t.Errorf("%s %s %q: in its pose", f.Grade, f.ID, f.Title)
		}
	}
	if !told {
		t.Fatal("the figure is not told to open posed")
	}
}

// Vertices bound to nothing spoil the boxes of some surfaces of a real figure, exchanged binds
// those of others: what is told of all of them follows, though neither cause reaches all.
func TestBoxesOfTwoCauses(t *testing.T) {
	r := lamplighter.Clone(checktest.Named(t, "Knight.glb"))
	p := operated(r, lookedAt(t, r))
	ws := fault(fifthTogether, "both: an end bound to nothing, two binds exchanged")(p)
	if ws == nil {
		t.Fatal("not planted")
	}
	if got := causeOf(examined(t, p.r), "intake/bounds-off"); got == "" {
		t.Error("bounds-off is told as if it had no cause")
	}
}
