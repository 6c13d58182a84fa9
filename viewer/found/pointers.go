package found

import (
	"rigloupe/inspect"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/scene"
)

// Pointers answers where the findings lie on the figure, in the verdict's order; a
// finding without a place has none. Vertices and joints come before a point: they follow
// the pose.
func Pointers(r *inspect.Result) []scene.Pointer {
	findings := r.Findings()
	var pointers []scene.Pointer
	for _, n := range r.Verdict().Order {
		f := &findings[n-1]
		k := scene.Pointer{Number: n, Grade: uint8(f.Grade), Surface: -1, Node: rig.None}
		switch w := &f.Where; {
		case len(w.Spots) > 0 && len(w.Spots[0].Vertices) > 0:
			k.Surface, k.Vertex = w.Spots[0].Surface, w.Spots[0].Vertices[0]
			if w.Point != nil { // for a vertex that is not drawn
				k.Point = *w.Point
			}
		case len(w.Joints) > 0:
			k.Node = w.Joints[0]
		case w.Point != nil:
			k.Point = *w.Point
		case len(w.Nodes) > 0:
			k.Node = w.Nodes[0]
		default:
			continue
		}
		pointers = append(pointers, k)
	}
	return pointers
}
