package rest

import (
	"testing"

	"rigloupe/inspect/rig"
)

// A bind matrix scaled by 1, 1 and s has the determinant s, of the cube of its largest scale,
// however large it is drawn and whether it mirrors or not: down to a thousand-millionth it
// presses nothing flat (a part drawn in millimetres along one axis is sound), below it does.
func TestFlatFrom(t *testing.T) {
	for _, row := range []struct {
		s    float64
		flat bool
	}{{1, false}, {1e-3, false}, {1e-8, false}, {-1e-8, false}, {1e-10, true}, {-1e-10, true}, {0, true}} {
		for _, size := range []float64{1, 1e-4, 1e4} {
			r := &rig.Rig{Skins: []rig.SkinData{{Joints: []rig.Node{3}, HasBind: true, Bind: []rig.Affine{{0: size, 5: size, 10: size * row.s}}}}}
			if got := len(Flat(r)) == 1; got != row.flat {
				t.Errorf("%g of %g: flat %v", row.s, size, got)
			}
		}
	}
}
