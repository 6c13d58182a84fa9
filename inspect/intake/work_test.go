package intake

import (
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// hung are so many nodes in a chain or side by side, every one a joint of one skin, scaled a
// little unlike, and a surface of that skin for each.
func hung(n int, chain bool) *rig.Rig {
	r := &rig.Rig{Shown: 0, Scenes: []rig.Scene{{}}}
	s := rig.SkinData{Skeleton: rig.None}
	for i := range n {
		up := rig.Node(rig.None)
		if chain {
			up = rig.Node(i) - 1
		}
		scale := 1 + .01*float64(i%40)
		if chain {
			scale = 1 + 1e-3*float64(i%2)
		}
		d := rig.NodeData{Parent: up, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{R: [4]float64{.1, 0, 0, .995}, S: [3]float64{scale, scale, scale}}}
		d.Matrix = d.TRS.Affine()
		if up >= 0 {
			r.Nodes[up].Children = []rig.Node{rig.Node(i)}
		} else {
			r.Scenes[0].Roots = append(r.Scenes[0].Roots, rig.Node(i))
		}
		r.Nodes = append(r.Nodes, d)
		s.Joints, s.Bind = append(s.Joints, rig.Node(i)), append(s.Bind, rig.Identity)
	}
	r.Skins = []rig.SkinData{s}
	r.Meshes = []rig.MeshData{{K: 1, Positions: []float32{0, 0, 0, 1, 0, 0, 0, 1, 0}, Joints: []uint16{0, 0, 0}, Weights: []float32{1, 1, 1}, Triangles: []uint32{0, 1, 2},
		Primitives: []rig.PrimitiveData{{Count: 3, TriCount: 1, Mode: 4, Sets: 1, PositionType: 5126}}}}
	for i := range n {
		r.Nodes[i].Mesh, r.Nodes[i].Skin = 0, 0
		r.Surfaces = append(r.Surfaces, rig.Surface{Node: rig.Node(i), Mesh: 0, Skin: 0})
	}
	r.SetOrder()
	return r
}

// The roots of a skin and its surfaces are not held against each other one by one, and no
// way up a chain is walked for each node of it.
func TestAnchorsGoByTheNodes(t *testing.T) {
	worked := func(n int, chain bool) (steps, looks int) {
		r := hung(n, chain)
		d := newDown(r)
		all := 0
		for _, k := range d.topmost(r.Skins[0].Joints) {
			all += len(d.anchor(k).Scaled)
		}
		for _, s := range r.Surfaces {
			all += len(d.anchor(s.Node).Turned)
		}
		var same factors
		for i := range r.Surfaces {
			same.put(d.scale[r.Surfaces[i].Node], i)
		}
		for _, k := range d.topmost(r.Skins[0].Joints) {
			all += len(same.alike(d.scale[k], mostListed))
		}
		if all < n {
			t.Fatalf("%d of %d listed: the fixture asks for nothing", all, n)
		}
		return d.steps, same.looks
	}
	for _, chain := range []bool{true, false} {
		s1, l1 := worked(4000, chain)
		s2, l2 := worked(8000, chain)
		if float64(s2) > 2.2*float64(s1) || float64(l2) > 2.2*float64(l1)+100 {
			t.Errorf("chain %v: %d nodes and %d factors looked at for 4,000, %d and %d for 8,000", chain, s1, l1, s2, l2)
		}
		if s2 > 8000*210 || l2 > 8000*210 {
			t.Errorf("chain %v: %d nodes and %d factors looked at for 8,000", chain, s2, l2)
		}
	}
}

// What the walks down answer is what a walk up from each node finds.
func TestAnchorsAreTheWalk(t *testing.T) {
	for _, chain := range []bool{true, false} {
		r := hung(90, chain)
		e := exam.New(r)
		f := Facts{}
		f.placement(e, make([]bool, len(r.Nodes)), make([]rig.Node, len(r.Nodes)))
		want := len(r.Nodes)
		if chain {
			want = 1
		}
		if len(f.Anchors) != want {
			t.Fatalf("chain %v: %d roots", chain, len(f.Anchors))
		}
		for i := range f.Anchors {
			a := &f.Anchors[i]
			both := 0
			for _, s := range r.Surfaces {
				scale := [3]float64{1, 1, 1}
				for n := s.Node; n >= 0; n = r.Nodes[n].Parent {
					for c := range 3 {
						scale[c] *= r.Nodes[n].S[c]
					}
				}
				if alike(scale, a.Scale) {
					both++
				}
			}
			if len(a.Both) != both {
				t.Errorf("chain %v, root %d: %d surfaces under its factor, want %d", chain, a.Node, len(a.Both), both)
			}
		}
	}
}
