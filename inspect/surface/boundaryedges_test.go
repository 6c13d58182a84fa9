package surface

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func TestBoundaryEdges(t *testing.T) {
	a, b, c := rig.Vertex(sphereTri[0]), rig.Vertex(sphereTri[1]), rig.Vertex(sphereTri[2])
	length := 0.0
	for i := range uint32(3) {
		length += space.At(sphere, sphereTri[i]).Sub(space.At(sphere, sphereTri[(i+1)%3])).Len()
	}
	hole := one(check.Note, "loops", 1, a, b, c)
	hole[0].More, hole[0].Tolerance = map[string]float64{"edges": 3, "longest": length}, 1e-6
	checktest.Run(t, boundaryEdges, Measure, []checktest.Row{
		{Name: "closed", Rig: shape(sphere, sphereTri)},
		{Name: "a triangle missing", Rig: shape(sphere, sphereTri[3:]), Want: hole},
		{Name: "loop allowed", Rig: shape(sphere, sphereTri[3:]), Limits: map[string]float64{"loops": 1}},
	})
}
