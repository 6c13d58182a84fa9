package skeleton

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// The last link of a chain, so near to the one above (0.064 m) that no length is left.
func TestZeroLength(t *testing.T) {
	diagonal := measured(t, lamp()).Diagonal
	last := int(lamplighter.Node("chain_L_6"))
	w := lamp().RestWorld()
	pitch := w[last-1].Origin().Sub(w[last].Origin()).Len()
	left := func(share float64) func(*rig.Rig) {
		return of(lamplighter.MovePair(last, 0, pitch-share*diagonal, 0))
	}
	bothSides(t, "skeleton/zero-length", lamp, []side{
		{name: "1.1e-5 of the diagonal", plant: left(1.1e-5)},
		{name: "0.9e-5", plant: left(0.9e-5), grade: check.Note, measure: "length", value: 0.9e-5, near: 1e-7, joints: []string{"chain_L_6", "chain_R_6"}},
	})
}
