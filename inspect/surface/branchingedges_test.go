package surface

import (
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func TestBranchingEdges(t *testing.T) {
	a, b := rig.Vertex(sphereTri[0]), rig.Vertex(sphereTri[1])
	// A fin on the first edge, and one that stands a hair off it.
	n := uint32(len(sphere) / 3)
	x, y := space.At(sphere, sphereTri[0]), space.At(sphere, sphereTri[1])
	fin := append(slices.Clone(sphere), float32(x[0]+y[0]), float32(x[1]+y[1]), float32(x[2]+y[2]))
	off := slices.Clone(fin)
	for _, p := range [][3]float64{x, y} {
		off = append(off, float32(1.001*p[0]), float32(1.001*p[1]), float32(1.001*p[2]))
	}
	checktest.Run(t, branchingEdges, Measure, []checktest.Row{
		{Name: "closed", Rig: shape(sphere, sphereTri)},
		{Name: "a fin", Rig: shape(fin, append(slices.Clone(sphereTri), sphereTri[0], sphereTri[1], n)), Want: one(check.Flaw, "edges", 1, a, b)},
		{Name: "a fin a hair off", Rig: shape(off, append(slices.Clone(sphereTri), n+1, n+2, n))},
	})
}
