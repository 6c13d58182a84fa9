package inspect

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// A triangle without area is the grid's work where its longest side is at most four steps, and
// where the surface is not stored in such steps it is none.
func TestStepExplainsShortTriangles(t *testing.T) {
	g := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	g.SetOrder()
	e := exam.New(g)
	r := &Result{Exam: e}
	tri, rest, weld := g.Meshes[g.Surfaces[0].Mesh].Triangles, e.RestPositions(0), e.Weld(g.Surfaces[0].Mesh)
	longest := make([]float64, weld.Groups()) // by place: of its triangle whose longest side is shortest
	for i := range longest {
		longest[i] = math.Inf(1)
	}
	for c := 0; c+2 < len(tri); c += 3 {
		side := 0.
		for k := range 3 {
			side = max(side, space.At(rest, tri[c+k]).Sub(space.At(rest, tri[c+(k+1)%3])).Len())
		}
		for k := range 3 {
			longest[weld.Of[tri[c+k]]] = min(longest[weld.Of[tri[c+k]]], side)
		}
	}
	v := tri[len(tri)/2]
	side := longest[weld.Of[v]]
	where := check.Nowhere()
	where.Spots = []check.Spot{{Surface: 0, Vertices: []rig.Vertex{rig.Vertex(v)}}}
	for _, row := range []struct {
		name  string
		steps float64 // that the side is long
		nodes []rig.Node
		id    string
		want  bool
	}{
		{"3.9 steps", 3.9, []rig.Node{g.Surfaces[0].Node}, "surface/slivers", true},
		{"4.1 steps", 4.1, []rig.Node{g.Surfaces[0].Node}, "surface/slivers", false},
		{"of another surface", 3.9, nil, "surface/slivers", false},
		{"a seam", 3.9, []rig.Node{g.Surfaces[0].Node}, "binding/split-seam", false},
	} {
		cause := check.Finding{ID: "intake/packed", Where: check.Nowhere(), Measures: []check.Measure{{Name: "step", Value: side / row.steps / e.Diagonal()}}}
		cause.Where.Nodes = row.nodes
		a := &reach{r: r, cause: &cause}
		if got := a.explainsStep(&check.Finding{ID: row.id, Where: where}); got != row.want {
			t.Errorf("%s: explained %v", row.name, got)
		}
	}
}
