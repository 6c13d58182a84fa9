package scene

import (
	"context"
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// pairOf stands a sample whose joints bear other names beside the sample.
func pairOf(t *testing.T, o lamplighter.Options) (s *Scene, other *Scene, st State) {
	t.Helper()
	make := func(o lamplighter.Options) *Scene {
		r := lamplighter.Build(o)
		p, err := Prepare(context.Background(), r, nil)
		if err != nil {
			t.Fatal(err)
		}
		return New(r, p, nil)
	}
	s, other = make(lamplighter.Options{Vertices: 4000}), make(o)
	s.SetBeside(other, false)
	s.SetForeign(other)
	none := Choice{Node: rig.None, Surface: -1}
	st = State{Width: 600, Height: 400, Joint: rig.None, Clip: rig.None, OtherClip: rig.None, Chosen: none, Hover: none, Moving: true, Lens: Plain, Bones: true, Split: true, Beside: true}
	return s, other, st
}

func node(r *rig.Rig, name string) rig.Node {
	for n := range r.Nodes {
		if r.Nodes[n].Name == name {
			return rig.Node(n)
		}
	}
	return rig.None
}

// Of a figure of another file a joint stands for the one of the same name, whatever its
// number; where a table of pairs is handed over, for that.
func TestForeignPartners(t *testing.T) {
	s, other, st := pairOf(t, lamplighter.Options{Vertices: 4000})
	// The other's nodes in another order: all numbers differ.
	last := len(other.rig.Nodes) - 1
	own := node(s.rig, "upperArm_L")
	if got := s.partner(own); other.rig.Nodes[got].Name != "upperArm_L" {
		t.Errorf("by name it is %q", other.rig.Nodes[got].Name)
	}
	st.Joint, st.Lens = own, Influence
	st.Chosen = Choice{Kind: OnJoint, Node: own, Surface: -1}
	s.SetPartners(map[rig.Node]rig.Node{own: rig.Node(last)})
	h := st
	if s.draws(1, &h); h.Joint != rig.Node(last) || h.Chosen.Node != rig.Node(last) {
		t.Errorf("the influence of %d and the choice of %d are shown, want %d", h.Joint, h.Chosen.Node, last)
	}
	h = st
	h.Chosen.Node, h.Joint = own+1, own+1
	if s.draws(1, &h); h.Joint != rig.None || h.Chosen.Kind != Nothing {
		t.Errorf("a joint without a partner is shown as %d, %v", h.Joint, h.Chosen)
	}
	if got := s.owner(rig.Node(last)); got != own {
		t.Errorf("it stands for %d, want %d", got, own)
	}
	snake, _, _ := pairOf(t, lamplighter.Options{Vertices: 4000, Names: lamplighter.Snake})
	if got := snake.partner(node(snake.rig, "upperArm_L")); got != rig.None {
		t.Errorf("a joint whose name the other has not is taken for %d", got)
	}
}

// A click on the right half names the joint there and the one of this figure that it
// stands for, both halves drawn by one camera; a figure on trial still takes none.
func TestForeignPicked(t *testing.T) {
	s, other, st := pairOf(t, lamplighter.Options{Vertices: 4000})
	st.Camera = s.View(&st, 0)
	s.Draw(&st)
	found := map[rig.Node]bool{}
	differ := 0
	for y := 0; y < st.Height; y += 2 {
		for x := range st.Width / 2 {
			a, b := s.Pick(x, y), s.Pick(x+st.Width/2, y)
			if b.Kind == OnVertex || a.Other {
				t.Fatalf("at %d, %d: %+v, %+v", x, y, a, b)
			}
			if a.Kind == OnJoint != (b.Kind == OnJoint) || a.Kind == OnJoint && b.Owner != a.Node {
				differ++
			}
			if b.Kind == OnJoint {
				found[b.Node] = true
				if !b.Other || b.Name != other.rig.Nodes[b.Node].Name {
					t.Fatalf("%+v", b)
				}
			}
		}
	}
	if len(found) < 15 || differ > 0 {
		t.Errorf("%d joints of the other can be chosen; %d places differ", len(found), differ)
	}
}

// It plays the clip that it is told, else that of the same name, within its own length.
func TestForeignClip(t *testing.T) {
	s, other, st := pairOf(t, lamplighter.Options{Vertices: 4000})
	st.Clip, st.Seconds = 0, 1e9
	other.rig.Clips[0], other.rig.Clips[1] = other.rig.Clips[1], other.rig.Clips[0]
	h := st
	s.draws(1, &h)
	if c := other.rig.Clips[h.Clip]; c.Name != s.rig.Clips[0].Name || h.Seconds != c.Seconds {
		t.Errorf("%q at %g s, want %q at its end, %g", c.Name, h.Seconds, s.rig.Clips[0].Name, c.Seconds)
	}
	h = st
	h.OtherClip = 0
	if s.draws(1, &h); h.Clip != 0 {
		t.Errorf("clip %d, want the one that was told", h.Clip)
	}
	other.rig.Clips = nil
	h = st
	h.OtherClip = 3
	if s.draws(1, &h); h.Clip != rig.None {
		t.Errorf("clip %d of a figure without clips", h.Clip)
	}
}

// What stands under the two is what the state says.
func TestForeignWords(t *testing.T) {
	s, _, st := pairOf(t, lamplighter.Options{Vertices: 4000})
	if got := s.under(&st); got != [2]string{"as it is", "as it would be"} {
		t.Error(got)
	}
	st.Halves = [2]string{"newer", "older"}
	if got := s.under(&st); got != st.Halves {
		t.Error(got)
	}
}

// Two figures of a match stand level, wherever their files put them: raised by 5 m and set
// aside, the other is drawn where it was.
func TestForeignLevel(t *testing.T) {
	s, other, st := pairOf(t, lamplighter.Options{Vertices: 4000})
	st.Bones, st.Camera = false, s.View(&st, 0)
	s.SetPartners(map[rig.Node]rig.Node{})
	there := slices.Clone(halfOf(s.Draw(&st), true))
	moved := *other.rig
	moved.Nodes = slices.Clone(moved.Nodes)
	for i := range moved.Nodes {
		if moved.Nodes[i].Parent < 0 {
			moved.Nodes[i].Matrix[7] += 5
			moved.Nodes[i].Matrix[3] -= 3
		}
	}
	p, err := Prepare(context.Background(), &moved, nil)
	if err != nil {
		t.Fatal(err)
	}
	away := New(&moved, p, nil)
	inked := func(half []uint32) (n int) {
		for _, c := range half {
			if c != s.paper.Paper {
				n++
			}
		}
		return n
	}
	s.SetForeign(away)
	if n := inked(halfOf(s.Draw(&st), true)); n > inked(there)/2 {
		t.Errorf("an older figure elsewhere is drawn where it was not: %d pixels inked", n)
	}
	s.SetPartners(map[rig.Node]rig.Node{})
	a, b := inked(there), inked(halfOf(s.Draw(&st), true))
	if a < 1000 || math.Abs(float64(a-b)) > .03*float64(a) {
		t.Errorf("%d pixels inked, %d where it stands elsewhere", a, b)
	}
}

// By a table of pairs a click on the other figure chooses the joint that the table sets
// against it, none where it has none.
func TestForeignOwner(t *testing.T) {
	s, other, st := pairOf(t, lamplighter.Options{Vertices: 4000})
	arm, head := node(s.rig, "upperArm_L"), node(other.rig, "head")
	st.Camera = s.View(&st, 0)
	s.SetPartners(map[rig.Node]rig.Node{arm: head})
	s.Draw(&st)
	owners := map[rig.Node]rig.Node{}
	for y := 0; y < st.Height; y += 2 {
		for x := st.Width / 2; x < st.Width; x += 2 {
			if h := s.Pick(x, y); h.Other {
				owners[h.Node] = h.Owner
			}
		}
	}
	if len(owners) < 15 {
		t.Fatalf("%d joints can be chosen", len(owners))
	}
	for n, owner := range owners {
		if want := map[bool]rig.Node{true: arm, false: rig.None}[n == head]; owner != want {
			t.Errorf("%s stands for %d, want %d", other.rig.Nodes[n].Name, owner, want)
		}
	}
}
