package inspect

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/menagerie"
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

// Joints that hang wrongly are rows of child and parent, in the list and the document,
// and none is cut.
func TestWriteListOfWhatHangsWrongly(t *testing.T) {
	g := &rig.Rig{Nodes: []rig.NodeData{{Name: "wrist"}, {Name: "=1+1"}, {}}}
	where := check.Nowhere()
	for range 70 {
		where.Hang = append(where.Hang, [2]rig.Node{1, 0})
	}
	where.Hang = append(where.Hang, [2]rig.Node{2, rig.None})
	r := &Result{Exam: exam.New(g), Stations: []Outcome{{Findings: []check.Finding{{Where: where}}}}}
	var b strings.Builder
	if err := r.WriteList(&b, 1); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	if len(lines) != 72 || lines[0] != "child,parent" || lines[1] != "'=1+1,wrist" || lines[71] != "node 2," {
		t.Errorf("%d lines, %q, %q, %q", len(lines), lines[0], lines[1], lines[len(lines)-1])
	}
	if rows := r.where(&where).Hang; len(rows) != 71 || rows[0].Child.Node != 1 || rows[0].Parent.Node != 0 || rows[70].Parent != nil {
		t.Errorf("%d rows in the document", len(rows))
	}
}

// The table of joints names where a joint that hangs wrongly should hang.
func TestJointTableOfWhatHangsWrongly(t *testing.T) {
	person := menagerie.Person(menagerie.Options{})
	at := func(name string) rig.Node {
		return rig.Node(slices.IndexFunc(person.Nodes, func(n rig.NodeData) bool { return n.Name == name }))
	}
	var b strings.Builder
	if err := examined(t, rehung(person, at("lower_arm_l"), at("upper_arm_r"))).WriteJoints(&b); err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(b.String(), "\n") {
		if strings.Contains(line, ",lower_arm_l,") && strings.HasSuffix(line, fmt.Sprintf(",%d,upper_arm_l", at("upper_arm_l"))) {
			return
		}
	}
	t.Errorf("no row says where the forearm should hang:\n%s", b.String())
}
