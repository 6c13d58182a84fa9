package intake

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

// target adds one target to the post that moves some vertices by x metres.
func target(weight, x float32, vertices ...int) func(*rig.Rig) {
	return func(r *rig.Rig) {
		m := &r.Meshes[0]
		t := rig.Target{Name: "t", Positions: make([]float32, len(m.Positions))}
		for _, v := range vertices {
			t.Positions[3*v] = x
		}
		m.Targets, m.Morph = append(m.Targets, t), append(m.Morph, weight)
	}
}

// doubled adds a vertex 8 at the place of vertex 0.
func doubled() *rig.Rig {
	r := post(false)
	m := &r.Meshes[0]
	m.Positions = append(m.Positions, m.Positions[:3]...)
	m.Triangles[15] = 8
	m.Primitives[0].Count++
	return r
}

// The post's diagonal is √6 m.
func TestMorphs(t *testing.T) {
	d := math.Sqrt(6)
	shape := []rig.Node{postShape}
	checktest.Run(t, morphs, Measure, []checktest.Row{
		{Name: "clean", Rig: plainPost, Plant: target(0, .1, 0, 3)},
		{Name: "on at rest", Rig: plainPost, Plant: target(.25, .1, 0), Want: []checktest.Want{{Grade: check.Note, Name: "weight at rest", Value: .25, Nodes: shape, Subject: `surface "post", target "t" is on at rest`}}},
		{Name: "off by the node", Rig: plainPost, Plant: func(r *rig.Rig) {
			target(.25, .1, 0)(r)
			r.Nodes[postShape].Weights = []float32{0}
		}},
		{Name: "moves both of one place", Rig: doubled, Plant: target(0, .5, 0, 8)},
		{Name: "parts, just under", Rig: doubled, Plant: target(0, float32(.99e-4*d), 0)},
		{Name: "parts, just over", Rig: doubled, Plant: target(0, float32(1.01e-4*d), 0), Want: []checktest.Want{{Grade: check.Flaw, Name: "gap", Value: 1.01e-4, Tolerance: 1e-9, Nodes: shape, Vertices: []rig.Vertex{8}}}},
		{Name: "far, just under", Rig: plainPost, Plant: target(0, float32(.99*d), 3)},
		{Name: "far, just over", Rig: plainPost, Plant: target(0, float32(1.01*d), 3), Want: []checktest.Want{{Grade: check.Flaw, Name: "shift", Value: 1.01, Tolerance: 1e-6, Nodes: shape, Vertices: []rig.Vertex{3}}}},
		{Name: "far by the node's scale", Rig: plainPost, Plant: func(r *rig.Rig) {
			target(0, float32(1.01*d), 3)(r)
			scaled(postTop, 100, 100, 100)(r)
		}, Want: []checktest.Want{{Grade: check.Flaw, Value: 1.01, Tolerance: 1e-6}}},
		{Name: "empty", Rig: plainPost, Plant: target(0, 0), Want: []checktest.Want{{Grade: check.Note, Name: "empty", Value: 1, Nodes: shape}}},
		{Name: "normals alone are something", Rig: plainPost, Plant: func(r *rig.Rig) {
			target(0, 0)(r)
			r.Meshes[0].Targets[0].Normals = []float32{1}
		}},
		{Name: "no positions at all", Rig: plainPost, Plant: func(r *rig.Rig) { r.Meshes[0].Targets, r.Meshes[0].Morph = make([]rig.Target, 2), make([]float32, 2) },
			Want: []checktest.Want{{Grade: check.Note, Value: 2, Subject: `surface "post": 0, 1`}}},
		{Name: "skinned and keyed", Rig: skinnedPost, Plant: func(r *rig.Rig) {
			target(0, .1, 0)(r)
			r.Clips = []rig.ClipData{{Seconds: 1, Channels: []rig.Channel{{Node: postShape, Path: rig.Weights, Width: 1, Times: []float32{0, 1}, Values: []float32{0, 1}}}}}
		}, Want: []checktest.Want{{Grade: check.Note, Name: "targets", Value: 1, Nodes: shape, Subject: `surface "post" is skinned and morphed; 1 clip moves the targets`}}},
		{Name: "none", Rig: skinnedPost, Skip: "no morph target in this file"},
		{Name: "no vertex", Rig: hollow, Plant: func(r *rig.Rig) { r.Meshes[0].Targets = make([]rig.Target, 1) }, Skip: "the figure has no size"},
		{Name: "empty file", Rig: nothing, Skip: "no morph target in this file"},
	})
}
