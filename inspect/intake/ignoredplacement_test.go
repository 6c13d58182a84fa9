package intake

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

func moved(n rig.Node, x, y, z float64) func(*rig.Rig) {
	return func(r *rig.Rig) { set(r, n, func(t *rig.TRS) { t.T = [3]float64{x, y, z} }) }
}

func TestIgnoredPlacement(t *testing.T) {
	shape := []rig.Node{postShape}
	checktest.Run(t, ignoredPlacement, Measure, []checktest.Row{
		{Name: "clean", Rig: skinnedPost},
		{Name: "clean figure", Rig: sample(nil)},
		{Name: "rounding", Rig: skinnedPost, Plant: moved(postShape, 5e-7, 0, 0)},
		{Name: "just under a millimetre", Rig: skinnedPost, Plant: moved(postShape, 0, .0009, 0),
			Want: []checktest.Want{{Grade: check.Note, Name: "placed", Value: 1, Nodes: shape, More: map[string]float64{"largest difference from identity": .0009}}}},
		{Name: "just over", Rig: skinnedPost, Plant: moved(postShape, 0, .0011, 0),
			Want: []checktest.Want{{Grade: check.Flaw, Name: "shift", Value: .0011, Tolerance: 1e-9, Nodes: shape}}},
		// Under a half turn about y the corner at (−.5, ., −.5) goes to the far one: √2 m.
		{Name: "turned", Rig: skinnedPost, Plant: turned(postShape, 0, 1, 0, 180),
			Want: []checktest.Want{{Grade: check.Flaw, Value: 1.4142135623730951, Tolerance: 1e-6, Nodes: shape, Vertices: []rig.Vertex{0}}}},
		{Name: "above both: carried by the skeleton too", Rig: skinnedPost, Plant: scaled(postTop, 100, 100, 100),
			Want: []checktest.Want{{Grade: check.Note, Value: 1, Nodes: shape, More: map[string]float64{"largest difference from identity": 99}}}},
		// The mesh's node undoes the turn of the one above it, but for the last digit: it is
		// nowhere else than at the origin, though the skeleton stands under that turn.
		{Name: "turned above both, and back", Rig: skinnedPost, Plant: func(r *rig.Rig) {
			turned(postTop, 0, 1, 0, 37)(r)
			turned(postShape, 0, 1, 0, -37+1e-9)(r)
		}},
		// Two surfaces of one skin whose nodes are placed: it is they that are counted.
		{Name: "two placed", Rig: skinnedPost, Plant: func(r *rig.Rig) {
			moved(postShape, 0, .0009, 0)(r)
			n := r.Nodes[postShape]
			n.Children = nil
			r.Nodes = append(r.Nodes, n)
			r.Scenes[r.Shown].Roots = append(r.Scenes[r.Shown].Roots, rig.Node(len(r.Nodes)-1))
			r.Nodes[len(r.Nodes)-1].Parent = rig.None
			r.Surfaces = append(r.Surfaces, rig.Surface{Node: rig.Node(len(r.Nodes) - 1), Mesh: r.Surfaces[0].Mesh, Skin: r.Surfaces[0].Skin})
			r.SetOrder()
		}, Want: []checktest.Want{{Grade: check.Note, Name: "placed", Value: 2}}},
		{Name: "plain mesh", Rig: plainPost, Plant: moved(postShape, 1, 0, 0), Skip: "no skinned surface in this file"},
		{Name: "no vertex", Rig: hollow, Plant: moved(postShape, 1, 0, 0),
			Want: []checktest.Want{{Grade: check.Note, Value: 1}}},
		{Name: "empty file", Rig: nothing, Skip: "no skinned surface in this file"},
	})
}
