package scene

import (
	"fmt"
	"testing"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// farthest is the vertex of the first surface about which its joints, two at least
// with weight worth seeing, disagree most.
func farthest(r *rig.Rig, st *State) (best rig.Vertex) {
	p, most := deform.NewPose(r), 0.0
	NewBends(r).Stand(p, st)
	for v := range r.Meshes[r.Surfaces[0].Mesh].Vertices() {
		w, _ := deform.Sum(r, p, 0, rig.Vertex(v), deform.Linear)
		if len(w.Terms) > 1 && min(w.Terms[0].Weight, w.Terms[1].Weight) > .2 && w.Spread > most {
			best, most = rig.Vertex(v), w.Spread
		}
	}
	return best
}

// The sum's places are where the figure is drawn, at rest, in a clip and by both
// blends, and the way's ends are its places.
func TestSumIsWhereItIsDrawn(t *testing.T) {
	r, p := lamp(t, lamplighter.T)
	s := New(r, p, nil)
	for _, row := range []struct {
		name   string
		change func(*State)
	}{
		{"rest", func(*State) {}},
		{"stroll", func(st *State) { st.Clip, st.Seconds = 0, .4 }},
		{"wave, dual quaternion", func(st *State) { st.Clip, st.Seconds, st.Method = 1, .84, deform.Dual }},
		{"an arm bent", func(st *State) { st.Move = Move{nodeNamed(t, r, "upperArm_L"), "abduction", -60} }},
	} {
		st := still(64, 48)
		row.change(&st)
		s.Draw(&st)
		for v := rig.Vertex(0); int(v) < r.Meshes[0].Vertices(); v += 97 {
			w, ok := s.Sum(&st, 0, v)
			at, drawn := s.vertex(&s.views[0].state, 0, v)
			if !ok || !drawn {
				continue
			}
			if d := space.Double(at).Sub(w.Place).Len(); d > 2e-6 {
				t.Fatalf("%s, vertex %d: drawn %g m from the sum", row.name, v, d)
			}
			way := s.way(w, &st, &s.last.Camera)
			if n := len(w.Terms); len(way.Ends) != n || len(way.Steps) != n+2 || way.Steps[0] != way.Rest {
				t.Fatalf("%s, vertex %d: %d ends, %d steps for %d terms", row.name, v, len(way.Ends), len(way.Steps), n)
			}
		}
	}
	st := still(64, 48)
	if _, ok := s.Sum(&st, 0, 1<<20); ok {
		t.Error("a vertex that is not there has a sum")
	}
	if _, ok := s.Sum(&st, 9, 0); ok {
		t.Error("a surface that is not there has a sum")
	}
}

// Nothing of a sum is drawn unless a vertex is chosen and the sum is asked for; each
// term then changes the picture.
func TestSumIsDrawn(t *testing.T) {
	r, p := lamp(t, lamplighter.T)
	s := New(r, p, nil)
	st := still(320, 240)
	st.Clip, st.Seconds, st.Moving, st.Loupe = 1, .84, true, false
	st.Chosen = Choice{Kind: OnVertex, Vertex: farthest(r, &st), Node: rig.None}
	seen := map[string]string{}
	shows := func(name string) {
		pix := fmt.Sprint(s.Draw(&st).Pix)
		if other, twice := seen[pix]; twice {
			t.Errorf("%s: the same picture as %s", name, other)
		}
		seen[pix] = name
	}
	shows("no sum")
	st.Sum = true
	w, _ := s.Sum(&st, st.Chosen.Surface, st.Chosen.Vertex)
	for st.Terms = 0; st.Terms <= len(w.Terms); st.Terms++ {
		shows(string(rune('0'+st.Terms)) + " terms")
	}
	st.Chosen = Choice{Node: rig.None, Surface: -1}
	shows("a sum but no vertex")
	st.Sum = false
	if pix := fmt.Sprint(s.Draw(&st).Pix); seen[pix] != "a sum but no vertex" {
		t.Error("a sum without a vertex is drawn")
	}
}
