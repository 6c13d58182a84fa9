package surface

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

func TestDoubledLimits(t *testing.T) {
	uv := func(bits uint32) func(*rig.Rig) {
		return func(r *rig.Rig) {
			m := &r.Meshes[0]
			m.UV = make([]float32, 2*m.Vertices())
			m.UV[len(m.UV)-1] = math.Float32frombits(bits)
		}
	}
	n := rig.Vertex(len(sphere) / 3)
	checktest.Run(t, doubledVertices, Measure, []checktest.Row{
		{Name: "whole", Rig: shape(sphere, sphereTri)},
		{Name: "one stored twice", Rig: shape(sphere, sphereTri), Plant: both(apart(0), uv(0)), Want: one(check.Note, "copies", 1, n)},
		{Name: "a UV differs by one bit", Rig: shape(sphere, sphereTri), Plant: both(apart(0), uv(1))},
		{Name: "a weight differs", Rig: shape(sphere, sphereTri), Plant: both(apart(0), weighted(0.001))},
	})
}
