package skeleton

import "testing"

// On a closed surface that is smooth there the winding number is one half, inside 1,
// outside 0 (Jacobson, Kavan, Sorkine-Hornung, Robust Inside-Outside Segmentation using
// Generalized Winding Numbers, 2013): a joint is outside from the surface on.
func TestOutsideFromTheSurfaceOn(t *testing.T) {
	for _, l := range offCentre.Limits {
		if l.Name == "outside" && l.Value == .5 && l.Below {
			return
		}
	}
	t.Error("a joint is outside by another winding number than that of a surface")
}
