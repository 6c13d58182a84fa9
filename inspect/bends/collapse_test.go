package bends

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

func tubeOf(weight func(x, angle float64) float64) func() *rig.Rig {
	return func() *rig.Rig { return tube(1, .2, 40, 16, true, weight) }
}

// plateau is half and half but for the ends.
func plateau(x, _ float64) float64 {
	switch {
	case x < -.9:
		return 0
	case x > .9:
		return 1
	}
	return .5
}

// parted hangs every other line along the tube on the first joint, the others on the
// second.
func parted(_, angle float64) float64 { return math.Mod(math.Round(angle/(2*math.Pi)*16), 2) }

func TestCollapse(t *testing.T) {
	// Half and half, twisted by 90°: half of the section is left (W4, squared); the two
	// ends go over within one edge: between areas 1 and ½ a cone of 1 and √½,
	// (1 + √½ + ½)/3, less what the flat triangles of a twisted ring cut off.
	ends := (1 + math.Sqrt(.5) + .5) / 3
	half := 1 - (.5*1.8+ends*.2)/2
	// Turned against each other by 90°, two sets of lines wind the section to nothing:
	// the sines of δ + 90° and δ − 90° cancel.
	checktest.Run(t, collapse, Measure, []checktest.Row{
		{Name: "an even ramp, no figure", Rig: tubeOf(ramp(1))},
		{Name: "half and half, no figure: noted", Rig: tubeOf(plateau), Want: []checktest.Want{{Grade: check.Note, Name: "loss", Value: half, Tolerance: 0.02, Joints: []rig.Node{1}}}},
		{Name: "the same, limit moved below", Rig: tubeOf(plateau), Limits: map[string]float64{"guessed": 0.4},
			Want: []checktest.Want{{Grade: check.Flaw, Value: half, Tolerance: 0.02}}},
		{Name: "the same, the section may lose as much", Rig: tubeOf(plateau), Limits: map[string]float64{"guessed": 0.4, "area": 0.45},
			Want: []checktest.Want{{Grade: check.Note, Value: half, Tolerance: 0.02}}},
		{Name: "wound to nothing, no figure", Rig: tubeOf(parted), Want: []checktest.Want{{Grade: check.Flaw, Value: 1, Tolerance: 1e-6, Joints: []rig.Node{1}}}},
		// A row of triangles is missing all along: no section closes, so no width speaks for it. The fan over
		// the slit winds the other way: a little below nothing is left.
		{Name: "wound to nothing, slit open", Rig: tubeOf(parted), Plant: slit, Want: []checktest.Want{{Grade: check.Flaw, Value: 1, Tolerance: .06, Joints: []rig.Node{1}}}},
		// Joints side by side, as in a flat hand without names: no bone says which way they
		// turn, so no turn of theirs is a flaw. The loss is read off, value not from outside.
		{Name: "no joint has a bone", Rig: tubeOf(parted), Plant: sideBySide, Limits: map[string]float64{"guessed": 0.3}, Want: []checktest.Want{{Grade: check.Note, Value: .5, Tolerance: 0.01}}},
		{Name: "one joint holds all", Rig: tubeOf(even(1))},
		// The coat is noted in every row of the figure.
		{Name: "clean figure", Rig: clean, Limits: map[string]float64{"some": 0.6}},
		{Name: "elbow half and half over 10 cm", Rig: clean, Plant: func(r *rig.Rig) { lamplighter.Plateau(.05)(r) }, Limits: map[string]float64{"some": 0.6}},
		{Name: "over 18 cm", Rig: clean, Plant: func(r *rig.Rig) { lamplighter.Plateau(.09)(r) }, Limits: map[string]float64{"some": 0.6},
			// At most ½ sin² 75°; see Plateau.
			Want: []checktest.Want{{Grade: check.Flaw, Value: .4665, Tolerance: 0.01, Joints: []rig.Node{lamplighter.Node("lowerArm_L")}}}},
		{Name: "no skin", Rig: tubeOf(ramp(1)), Plant: func(r *rig.Rig) { r.Skins = nil; r.Nodes[3].Skin, r.Surfaces[0].Skin = rig.None, rig.None },
			Skip: "no skin in this file"},
	})
}

// slit takes out the triangles between two neighbouring lines of tubeOf's tubes.
func slit(r *rig.Rig) {
	m := &r.Meshes[0]
	var kept []uint32
	for t := 0; t < len(m.Triangles); t += 3 {
		first, second := false, false
		for _, v := range m.Triangles[t : t+3] {
			first, second = first || v%16 == 3, second || v%16 == 4
		}
		if !(first && second) {
			kept = append(kept, m.Triangles[t:t+3]...)
		}
	}
	m.Triangles = kept
	m.Primitives[0].TriCount = len(kept) / 3
}

// sideBySide leaves the two joints of tubeOf's tubes where they are, each below nothing
// and above nothing.
func sideBySide(r *rig.Rig) {
	world := r.RestWorld()
	for n := range 3 {
		d := &r.Nodes[n]
		d.Parent, d.Children, d.T = rig.None, nil, world[n].Origin()
		d.Matrix = d.TRS.Affine()
	}
	r.SetOrder()
}
