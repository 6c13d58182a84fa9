package intake

import (
	"math"
	"sync"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

var small = sync.OnceValue(func() *rig.Rig { return checktest.Built(lamplighter.Options{Vertices: 4000}) })

// sample is a fresh small Lamplighter with one fault.
func sample(plant func(*rig.Rig) lamplighter.Planted) func() *rig.Rig {
	return func() *rig.Rig {
		r := lamplighter.Clone(small())
		if plant != nil {
			plant(r)
		}
		return r
	}
}

// unitTRS moves nothing.
var unitTRS = rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}

// set gives a node another transform.
func set(r *rig.Rig, n rig.Node, change func(*rig.TRS)) {
	change(&r.Nodes[n].TRS)
	r.Nodes[n].Matrix = r.Nodes[n].TRS.Affine()
}

// about is a rotation about an axis, degrees.
func about(x, y, z, degrees float64) [4]float64 {
	s, c := math.Sincos(degrees * math.Pi / 360)
	return [4]float64{x * s, y * s, z * s, c}
}

// Nodes of post.
const (
	postTop   rig.Node = iota // above all
	postRoot                  // joint 0 of a skinned one
	postTip                   // joint 1, one metre up
	postShape                 // carries the mesh
)

// post is a box 1 m wide and deep and 2 m high that stands on the ground in the
// middle, facing nowhere. Skinned: its lower half follows the root, its upper half
// the tip, a metre higher. Its mesh node hangs on postTop.
func post(skinned bool) *rig.Rig {
	r := &rig.Rig{File: rig.File{Name: "post.glb", Kind: "glb", Version: "2.0"}, Shown: 0}
	node := func(name string, parent rig.Node, y float64) {
		t := unitTRS
		t.T[1] = y
		r.Nodes = append(r.Nodes, rig.NodeData{Name: name, Parent: parent, TRS: t, Matrix: t.Affine(), Mesh: rig.None, Skin: rig.None})
		if parent >= 0 {
			r.Nodes[parent].Children = append(r.Nodes[parent].Children, rig.Node(len(r.Nodes)-1))
		}
	}
	node("top", rig.None, 0)
	node("base", postTop, 0)
	node("tip", postRoot, 1)
	node("post", postTop, 0)
	r.Nodes[postShape].Mesh = 0
	r.Scenes = []rig.Scene{{Roots: []rig.Node{postTop}}}
	m := rig.MeshData{Name: "post"}
	for i := range 8 {
		m.Positions = append(m.Positions, float32(i&1)-.5, float32(i>>1&1)*2, float32(i>>2)-.5)
	}
	m.Triangles = []uint32{0, 2, 3, 0, 3, 1, 4, 5, 7, 4, 7, 6, 0, 4, 6, 0, 6, 2, 1, 3, 7, 1, 7, 5, 0, 1, 5, 0, 5, 4, 2, 6, 7, 2, 7, 3}
	m.Primitives = []rig.PrimitiveData{{Count: 8, TriCount: 12, Material: rig.None, Mode: 4, PositionType: floatType,
		Min: [3]float64{-.5, 0, -.5}, Max: [3]float64{.5, 2, .5}, HasBounds: true}}
	m.Primitives[0].TrueMin, m.Primitives[0].TrueMax = m.Primitives[0].Min, m.Primitives[0].Max
	s := rig.Surface{Node: postShape, Mesh: 0, Skin: rig.None}
	if skinned {
		m.K = 4
		q := &m.Primitives[0]
		q.Sets, q.JointSets, q.WeightSets, q.JointType, q.WeightType = 1, 1, 1, ubyteType, floatType
		for i := range 8 {
			m.Joints = append(m.Joints, uint16(i>>1&1), 0, 0, 0)
			m.Weights = append(m.Weights, 1, 0, 0, 0)
		}
		down := rig.Identity
		down[7] = -1
		r.Skins = []rig.SkinData{{Joints: []rig.Node{postRoot, postTip}, Skeleton: rig.None, Bind: []rig.Affine{rig.Identity, down}, HasBind: true}}
		s.Skin, r.Nodes[postShape].Skin = 0, 0
	}
	r.Meshes, r.Surfaces = []rig.MeshData{m}, []rig.Surface{s}
	r.SetOrder()
	return r
}

func skinnedPost() *rig.Rig { return post(true) }
func plainPost() *rig.Rig   { return post(false) }

// nothing is a file with no node at all.
func nothing() *rig.Rig { return &rig.Rig{Shown: rig.None} }

// hollow is a skinned post with no vertex.
func hollow() *rig.Rig {
	r := post(true)
	m := &r.Meshes[0]
	m.Positions, m.Joints, m.Weights, m.Triangles = nil, nil, nil, nil
	m.Primitives[0].Count, m.Primitives[0].TriCount = 0, 0
	return r
}
