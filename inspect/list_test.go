package inspect

import (
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

func TestWriteListCutsNothing(t *testing.T) {
	g := &rig.Rig{
		Nodes:    []rig.NodeData{{Name: "Body", Parent: rig.None}, {Name: "hips", Parent: rig.None}},
		Surfaces: []rig.Surface{{Node: 0, Mesh: 0, Skin: rig.None}},
		Meshes:   []rig.MeshData{{Primitives: []rig.PrimitiveData{{First: 0, Count: 100}, {First: 100, Count: 50}}}},
	}
	spot := check.Spot{}
	for v := range rig.Vertex(120) {
		spot.Vertices = append(spot.Vertices, v)
	}
	where := check.Nowhere()
	where.Joints, where.Spots = []rig.Node{1}, []check.Spot{spot}
	r := &Result{Exam: exam.New(g), Stations: []Outcome{{Findings: []check.Finding{{Where: check.Nowhere()}, {Where: where}}}}}
	var b strings.Builder
	if err := r.WriteList(&b, 2); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	if len(lines) != 5 || !strings.Contains(lines[0], "hips") || lines[1] != "node 0, mesh 0, primitive 0" || lines[3] != "node 0, mesh 0, primitive 1" {
		t.Fatalf("got %q", lines)
	}
	if n := len(strings.Fields(lines[2])); n != 100 {
		t.Errorf("first primitive: %d vertices, want 100", n)
	}
	if want := "0 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19"; lines[4] != want {
		t.Errorf("second primitive: %q, want its own elements %q", lines[4], want)
	}
	for _, n := range []int{0, 3, -1} {
		if err := r.WriteList(&b, n); err == nil {
			t.Errorf("finding %d of 2: no error", n)
		}
	}
}
