package geom_test

import (
	"fmt"

	"rigloupe/inspect/geom"
)

// Two triangles that a renderer stored with a vertex each for the seam between them.
func ExampleWeld() {
	positions := []float32{
		0, 0, 0, 1, 0, 0, 0, 1, 0,
		1, 0, 0, 1, 1, 0, 0, 1, 0,
	}
	w := geom.Weld(positions, nil)
	fmt.Println(w.Groups(), w.Of, w.First)
	// Output: 4 [0 1 2 1 3 2] [0 1 2 4]
}

// A tent, five long, and a flag to one side of its middle.
func ExampleFindMirror() {
	m := geom.FindMirror(geom.Shape{
		Points:    []float32{1, 0, 0, 2, 3, 0, 4, 1, 0, 1, 0, 5, 2, 3, 5, 4, 1, 5, 3.5, 3.5, 2},
		Triangles: []uint32{0, 1, 2, 3, 5, 4, 0, 3, 1, 1, 3, 4, 1, 4, 6},
	})
	fmt.Printf("z = %.3g, %d pairs, %d without a partner\n", m.Offset/m.Normal[2], m.Pairs, m.Unmatched)
	// Output: z = 2.5, 3 pairs, 1 without a partner
}
