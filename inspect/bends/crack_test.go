package bends

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// split gives one of the triangles at a vertex a twin of it that hangs on the second
// joint by more, and answers the twin.
func split(r *rig.Rig, v int, more float32) rig.Vertex {
	m := &r.Meshes[0]
	twin := uint32(len(m.Positions) / 3)
	m.Positions = append(m.Positions, m.Positions[3*v:3*v+3]...)
	m.Joints = append(m.Joints, m.Joints[4*v:4*v+4]...)
	w := m.Weights[4*v : 4*v+4]
	m.Weights = append(m.Weights, w[0]-more, w[1]+more, 0, 0)
	for i, t := range m.Triangles {
		if t == uint32(v) {
			m.Triangles[i] = twin
			break
		}
	}
	m.Primitives[0].Count++
	return rig.Vertex(twin)
}

// Two vertices of one place whose weights differ by d part by d·2·sin(θ/2) times their
// distance from the axis.
func TestCrack(t *testing.T) {
	// On the tube: x = ½, y = 0.2; the farthest that a turn of 45° across the bone takes it.
	const at = 30 * 16
	diagonal := math.Sqrt(4 + 2*.16)
	size := func(d float64) float64 {
		return d * 2 * math.Sin(22.5*math.Pi/180) * math.Hypot(.5, .2) / diagonal
	}
	torn := func(d float32) func(*rig.Rig) { return func(r *rig.Rig) { split(r, at, d) } }
	elbow := func(share float64) (func(*rig.Rig), float64) {
		_, planted := lamplighter.Fault{Plant: lamplighter.Crack(share)}.On(clean())
		return func(r *rig.Rig) { lamplighter.Crack(share)(r) }, planted.Size
	}
	_, half := elbow(.5)
	below, little := elbow(.5 * .9e-3 / half)
	above, more := elbow(.5 * 1.2e-3 / half)
	if little >= crackFlaw || more <= crackFlaw {
		t.Fatalf("planted %g and %g: not on both sides", little, more)
	}
	checktest.Run(t, crack, Measure, []checktest.Row{
		{Name: "whole tube", Rig: tubeOf(ramp(1))},
		{Name: "twins bound alike", Rig: tubeOf(ramp(1)), Plant: torn(0)},
		{Name: "twins apart a little", Rig: tubeOf(ramp(1)), Plant: torn(.0050)},
		{Name: "a little more", Rig: tubeOf(ramp(1)), Plant: torn(.0053),
			Want: []checktest.Want{{Grade: check.Flaw, Name: "gap", Value: size(.0053), Tolerance: 1e-7, Joints: []rig.Node{1},
				Vertices: []rig.Vertex{at, 41*16 + 2}, Point: &space.Vec{.5, .2, 0}, Near: 1e-6}}},
		{Name: "the same, limit moved", Rig: tubeOf(ramp(1)), Plant: torn(.0053), Limits: map[string]float64{"gap": 1.1e-3}},
		{Name: "clean figure", Rig: clean},
		{Name: "forearm, a little", Rig: clean, Plant: below},
		{Name: "forearm, a little more", Rig: clean, Plant: above,
			Want: []checktest.Want{{Grade: check.Flaw, Value: more, Tolerance: 1e-7, Joints: []rig.Node{lamplighter.Node("lowerArm_L")}}}},
		{Name: "no skin", Rig: tubeOf(ramp(1)), Plant: func(r *rig.Rig) { r.Skins = nil; r.Nodes[3].Skin, r.Surfaces[0].Skin = rig.None, rig.None },
			Skip: "no skin in this file"},
	})
}
