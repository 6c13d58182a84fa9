package found

import (
	"context"
	"math"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/bends"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/scene"
)

// TestBleed: what the planted fault draws along is what the lens shows in that
// finding's own pose, and a sound joint draws nothing.
func TestBleed(t *testing.T) {
	res := examined(t, "bends/tear-along")
	seen := false
	findings := res.Findings()
	for i := range findings {
		m := MoveOf(&findings[i])
		if findings[i].ID != "bends/tear-along" {
			continue
		}
		seen = true
		f, err := Field(res, "bleed", Params{Joint: rig.None, Move: m})
		if err != nil || m.Axis == "" {
			t.Fatalf("%+v: %v", m, err)
		}
		n := 0
		for _, list := range f.Values {
			for _, v := range list {
				if v > 0 {
					n++
				}
				if v != v {
					t.Fatal("a vertex has no value")
				}
			}
		}
		if n != 6 || !strings.Contains(f.Caption, "\"lowerArm_L\", "+m.Axis) || !strings.Contains(f.Caption, "6 vertices") {
			t.Errorf("%d vertices drawn along, want the six planted; says %q", n, f.Caption)
		}
		for _, s := range findings[i].Where.Spots {
			for _, v := range s.Vertices {
				if !(f.Values[s.Surface][v] > 0) {
					t.Errorf("vertex %d of the finding is not drawn along", v)
				}
			}
		}
		m.Joint = named(t, res.Exam.Rig, "lowerArm_R")
		if f, err = Field(res, "bleed", Params{Joint: rig.None, Move: m}); err != nil || !strings.Contains(f.Caption, "draws nothing along") {
			t.Errorf("the other arm: %q, %v", f.Caption, err)
		}
	}
	if !seen {
		t.Error("the fault is not found")
	}
	if f, err := Field(res, "bleed", Params{Joint: rig.None}); err != nil || !strings.Contains(f.Caption, "Play a move") {
		t.Errorf("without a move: %v, %v", f, err)
	}
}

// TestStrainIsTheStations: the numbers under the lenses stretch and turned over, taken
// from the drawn figure, are those that the station found for the same move.
func TestStrainIsTheStations(t *testing.T) {
	for _, id := range []string{"", "bends/turned-over", "binding/sum-off"} {
		res := examined(t, id)
		r := res.Exam.Rig
		p, err := scene.Prepare(context.Background(), r, nil)
		if err != nil {
			t.Fatal(err)
		}
		s := scene.New(r, p, nil)
		b := inspect.FactsOf[bends.Facts](res)
		looked := 0
		for i := range b.Moves {
			m := &b.Moves[i]
			if m.P99 == nil || i%16 > 0 && i > 8 {
				continue
			}
			looked++
			st := scene.State{Width: 64, Height: 64, Clip: rig.None, Move: scene.Move{Joint: m.Joint, Axis: m.Axis, Degrees: m.Degrees}}
			for _, way := range []struct {
				method           deform.Method
				p99, max, turned float64
			}{{deform.Linear, *m.P99, *m.Max, *m.Turned}, {deform.Dual, *m.P99Dual, *m.MaxDual, *m.TurnedDual}} {
				st.Method = way.method
				got := s.Strained(&st)
				// Vertices are drawn in single precision: a triangle or two may fall on the other side.
				over := way.turned * float64(m.Triangles)
				if got.Triangles != m.Triangles || math.Abs(got.P99/way.p99-1) > 1e-3 || math.Abs(got.Max/way.max-1) > 1e-3 || math.Abs(float64(got.Turned)-over) > 1.5 {
					t.Errorf("%q: %s %s %g°, method %d: %+v, the station has %d triangles, p99 %g, largest %g, turned over %g",
						id, r.Nodes[m.Joint].Name, m.Axis, m.Degrees, way.method, got, m.Triangles, way.p99, way.max, over)
				}
			}
		}
		if looked < 12 {
			t.Errorf("%q: only %d moves looked at", id, looked)
		}
	}
}

func named(t *testing.T, r *rig.Rig, name string) rig.Node {
	t.Helper()
	for n := range r.Nodes {
		if r.Nodes[n].Name == name {
			return rig.Node(n)
		}
	}
	t.Fatalf("no node %q", name)
	return rig.None
}
