package bends

import (
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
)

// A ring a thousandth as wide as long is a slit: 1 m × 5 mm is a section, 1 m × 0.5 mm is none. Of a
// rectangle the determinant of the second moments over the square of their sum is about the square of the sides' ratio.
func TestSlitIsNoSection(t *testing.T) {
	for wide, want := range map[float64]bool{.005: true, .0005: false, 0: false} {
		r := &ring{points: []crossing{{a: 0}, {a: 1}, {a: 2}, {a: 3}}}
		if got := r.lay([]float64{0, 0, 0, 1, 0, 0, 1, wide, 0, 0, wide, 0}, mgl64.Vec3{0, 0, 1}) != nil; got != want {
			t.Errorf("1 m × %g m: a section %v", wide, got)
		}
	}
}

// A slab of 1 × 1 m encloses something from about 3 mm on: its volume over its surface to the power of 1.5 is .01/2.88 at 1 cm,
// .002/2.84 at 2 mm.
func TestFlatPieces(t *testing.T) {
	for thick, want := range map[float64]bool{.01: true, .002: false} {
		if got := encloses(-thick, 2+4*thick); got != want {
			t.Errorf("a slab of %g m: encloses %v", thick, got)
		}
	}
}

// Weights of two vertices in one place that differ by a thousandth in sum open a seam when bent; by rounding (5e-5) they do not.
func TestSeamOfWeights(t *testing.T) {
	for differ, want := range map[float64]int{5e-5: 0, 1e-3: 1} {
		b := &body{r: &rig.Rig{Nodes: make([]rig.NodeData, 2)}, tri: []uint32{0, 1, 2}, place: []uint32{0, 0, 1}, of: make([]uint32, 2),
			start: []uint32{0, 2, 4, 5}, holder: []int32{0, 1, 0, 1, 0}, weight: []float64{.5, .5, .5 + differ/2, .5 - differ/2, 1}}
		b.findSeams()
		if len(b.seams) != want {
			t.Errorf("weights %g apart: %d seams", differ, len(b.seams))
		}
	}
}
