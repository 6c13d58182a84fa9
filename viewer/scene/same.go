package scene

import (
	"math"
	"slices"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
)

// sameWithin is how far a vertex may be elsewhere, in shares of the longest side, and what
// is drawn of both figures still be the same: some steps of float32.
const sameWithin = 1e-6

// SameShape tells that two rigs look alike at rest, so that what Prepare worked out for one
// holds for the other: the same surfaces with the same triangles and materials, every vertex
// in its place in the world. Weights, joints and clips may differ.
func SameShape(a, b *rig.Rig) bool {
	parts := drawn(a)
	if !slices.Equal(parts, drawn(b)) || len(a.Materials) != len(b.Materials) {
		return false
	}
	pa, pb := deform.NewPose(a), deform.NewPose(b)
	for _, s := range parts {
		if a.Surfaces[s].Mesh != b.Surfaces[s].Mesh {
			return false
		}
		m, n := &a.Meshes[a.Surfaces[s].Mesh], &b.Meshes[b.Surfaces[s].Mesh]
		if !slices.Equal(m.Triangles, n.Triangles) || len(m.Positions) != len(n.Positions) || !slices.Equal(m.Normals, n.Normals) ||
			!slices.EqualFunc(m.Primitives, n.Primitives, func(p, q rig.PrimitiveData) bool {
				return p.First == q.First && p.Count == q.Count && p.FirstTri == q.FirstTri && p.TriCount == q.TriCount && p.Material == q.Material
			}) {
			return false
		}
		x, y := make([]float32, len(m.Positions)), make([]float32, len(m.Positions))
		deform.NewDeformer(a, s).Apply(pa, deform.Linear, x, nil, nil, nil)
		deform.NewDeformer(b, s).Apply(pb, deform.Linear, y, nil, nil, nil)
		size, off := float32(0), float32(0)
		for i := range x {
			size, off = max(size, float32(math.Abs(float64(x[i])))), max(off, float32(math.Abs(float64(x[i]-y[i]))))
		}
		if !(off <= sameWithin*size) && size > 0 {
			return false
		}
	}
	return true
}
