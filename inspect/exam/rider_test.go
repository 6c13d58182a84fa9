package exam

import (
	"fmt"
	"testing"

	"rigloupe/inspect/rig"
)

// hub is a root with so many joints in a row, on whose last stands a joint that three runs
// of so many joints each part from; a surface without triangles follows the root. n of
// these hubs hang on each other.
func hubs(n, row, run int) *rig.Rig {
	r := &rig.Rig{Shown: 0, Scenes: []rig.Scene{{Roots: []rig.Node{0}}}}
	add := func(up rig.Node) rig.Node {
		k := rig.Node(len(r.Nodes))
		r.Nodes = append(r.Nodes, rig.NodeData{Name: fmt.Sprint("j", k), Parent: up, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: [3]float64{0, .1, 0}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}})
		r.Nodes[k].Matrix = r.Nodes[k].TRS.Affine()
		if up >= 0 {
			r.Nodes[up].Children = append(r.Nodes[up].Children, k)
		}
		return k
	}
	at := rig.Node(rig.None)
	for range row {
		at = add(at)
	}
	for range n {
		at = add(at)
		hub := at
		for range 3 {
			last := hub
			for range run {
				last = add(last)
			}
			at = last
		}
	}
	s := rig.SkinData{Skeleton: rig.None}
	for k := range r.Nodes {
		s.Joints, s.Bind = append(s.Joints, rig.Node(k)), append(s.Bind, rig.Identity)
	}
	r.Skins = []rig.SkinData{s}
	r.Meshes = []rig.MeshData{{}}
	r.Surfaces = []rig.Surface{{Node: 0, Mesh: 0, Skin: 0}}
	r.SetOrder()
	return r
}

// A rider has twelve joints at least, and leaves as many to its mount: worked by hand, a hub
// with three runs of three is ten joints, with three of four thirteen. No more than six of
// them are tried.
func TestMountedCounts(t *testing.T) {
	for _, row := range []struct{ hubs, row, run, want int }{
		{1, 12, 3, 0},  // ten joints are no rider
		{1, 12, 4, 1},  // thirteen are
		{1, 11, 4, 0},  // eleven are no mount
		{5, 12, 4, 5},  //
		{9, 12, 4, 6},  // six are tried
		{1, 12, 11, 1}, // 34 joints
	} {
		e := New(hubs(row.hubs, row.row, row.run))
		if got := e.mounted(); len(got) != row.want {
			t.Errorf("%+v: %d places for a rider: %v", row, len(got), got)
		}
	}
}

// Of a seventh place nobody looks at, the document says so; of six it says nothing.
func TestRidersUnsought(t *testing.T) {
	for hubsN, want := range map[int]bool{6: false, 7: true} {
		e := New(hubs(hubsN, 12, 4))
		e.mounted()
		if got := e.moreRiders; got != want {
			t.Errorf("%d places: left out %v, want %v", hubsN, got, want)
		}
	}
}
