package bends

import (
	"slices"

	"rigloupe/inspect/geom"
)

// findSlits notes what lies across a slit: what moves with a limb there is no stray weight, though the surface goes round.
func (b *body) findSlits() {
	b.across = geom.Slits(geom.BoundaryLoops(b.edges), func(p uint32) [3]float64 { return b.at(b.of[p]) }, geom.SlitWidth*b.e.Diagonal())
	for p := range b.across {
		b.slits = append(b.slits, p)
	}
	slices.Sort(b.slits)
}
