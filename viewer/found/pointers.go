package found

import (
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/scene"
)

// Pointers answers where the findings lie on the figure, worst first, then in the
// order of the ledger; a finding without a place has none. Numbers count from 1
// in the order given. Vertices and joints come before a point: they follow the
// pose.
func Pointers(findings []check.Finding) []scene.Pointer {
	var pointers []scene.Pointer
	for i := range findings {
		f := &findings[i]
		k := scene.Pointer{Number: i + 1, Grade: uint8(f.Grade), Surface: -1, Node: rig.None}
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
	slices.SortStableFunc(pointers, func(a, b scene.Pointer) int { return int(b.Grade) - int(a.Grade) })
	return pointers
}
