package deform

import (
	"testing"

	"rigloupe/inspect/rig"
)

// The Khronos tutorial's SimpleSkin (chapters 19 and 20), built by hand: ten
// vertices between two joints, the second turned about Z.
func TestSimpleSkin(t *testing.T) {
	var pos []float32
	for i := range 5 {
		y := float32(i) / 2
		pos = append(pos, -.5, y, 0, .5, y, 0)
	}
	r := points(pos, .5, .5)
	m := &r.Meshes[0]
	for v := range 10 {
		w := []float32{0, .25, .5, .75, 1}[v/2]
		m.Weights[4*v], m.Weights[4*v+1] = 1-w, w
	}
	r.Nodes[0].Children, r.Nodes[1].Parent = []rig.Node{1}, 0
	r.Nodes[1].TRS.T = [3]float64{0, 1, 0}
	r.Nodes[1].Matrix = r.Nodes[1].TRS.Affine()
	r.Skins[0].Bind[1] = shift(0, -1, 0)
	r.SetOrder()
	near(t, "rest", RestSurface(r, 0), widen(pos), 0)

	for _, w := range []struct {
		name  string
		angle float64
		want  [][2]float64
	}{
		{"45°", 45, [][2]float64{{-.5, 0}, {.5, 0}, {-0.375, 0.448223}, {0.551777, 0.625}, {-0.426777, 0.823223},
			{0.426777, 1.176777}, {-0.655330, 1.125}, {0.125, 1.655330}, {-1.060660, 1.353553}, {-0.353553, 2.060660}}},
		{"90°", 90, [][2]float64{{-.5, 0}, {.5, 0}, {-.25, .5}, {.5, .75}, {-.25, .75},
			{.25, 1.25}, {-.5, .75}, {-.25, 1.5}, {-1, .5}, {-1, 1.5}}},
	} {
		t.Run(w.name, func(t *testing.T) {
			q := axis(0, 0, 1, w.angle*degree)
			r.Clips = []rig.ClipData{{Channels: []rig.Channel{{
				Node: 1, Path: rig.Rotation, Width: 4, Times: []float32{0},
				Values: []float32{float32(q[0]), float32(q[1]), float32(q[2]), float32(q[3])},
			}}}}
			p, out := NewPose(r), make([]float32, 30)
			p.Sample(0, 0)
			NewDeformer(r, 0).Apply(p, Linear, out, nil, nil, nil)
			var want []float64
			for _, xy := range w.want {
				want = append(want, xy[0], xy[1], 0)
			}
			near(t, "points", out, want, 1e-6)
		})
	}
}

// The standard's example of what acts on a skinned mesh (glTF 2.0, Joint
// Hierarchy): node 0 above the first joint and the joint's scale do, the mesh's
// node and its parent do not.
func TestIgnoredTransforms(t *testing.T) {
	r := points([]float32{1, 1, 1}, .5, .5)
	r.Nodes = append(r.Nodes, node(rig.TRS{T: [3]float64{5, 0, 0}, R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}),
		node(rig.TRS{T: [3]float64{0, 0, 99}, R: axis(1, 0, 0, 1), S: [3]float64{1, 1, 1}}))
	link := func(parent, child rig.Node) {
		r.Nodes[parent].Children = append(r.Nodes[parent].Children, child)
		r.Nodes[child].Parent = parent
	}
	r.Nodes[0].TRS.S = [3]float64{2, 2, 2}
	r.Nodes[0].Matrix = r.Nodes[0].TRS.Affine()
	link(3, 0) // above the joints
	link(0, 1)
	link(4, 2) // above the mesh's node
	r.SetOrder()
	near(t, "rest", RestSurface(r, 0), []float64{7, 2, 2}, 0)
}
