package binding

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// bone sets the length of the ladder's middle bone.
func bone(length float64) func(*rig.Rig) {
	return func(r *rig.Rig) {
		r.Nodes[2].TRS.T[1] = length
		r.Nodes[2].Matrix = r.Nodes[2].TRS.Affine()
		r.Skins[0].Bind[2][7] = -.5 - length
	}
}

// Row 0, left, on the second joint, whose own patch begins in row 4: 0.4 m along the
// left edge.
func TestStrayIsland(t *testing.T) {
	drop := weigh(0, .9, .1)
	checktest.Run(t, strayIsland, Measure, []checktest.Row{
		{Name: "clean", Rig: clean},
		{Name: "ladder", Rig: ladder},
		{Name: "a drop at the foot, bone of 0.5 m", Rig: ladder, Plant: drop},
		{Name: "bone of 0.21 m", Rig: ladder, Plant: both(drop, bone(.21))},
		{Name: "bone of 0.19 m", Rig: ladder, Plant: both(drop, bone(.19)), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "distance", Value: .4 / .19, Tolerance: 1e-6, Joints: []rig.Node{1}, Vertices: []rig.Vertex{0},
			Subject: `"mid" on 1 vertex`, Point: &space.Vec{.1, 0, 0}, Near: 1e-6,
			More: map[string]float64{"distance in metres": .4, "share of the joint's weight": .1 / 11.1}}}},
		{Name: "limit moved", Rig: ladder, Plant: both(drop, bone(.19)), Limits: map[string]float64{"distance": 2.2}},
		{Name: "limit moved down", Rig: ladder, Plant: drop, Limits: map[string]float64{"distance": .7}, Want: []checktest.Want{{
			Grade: check.Flaw, Value: .8, Tolerance: 1e-6}}},
		{Name: "as heavy as a tenth", Rig: ladder, Plant: both(weigh(0, 0, 1), weigh(1, .7, .3), bone(.1))},
		{Name: "too faint to be seen", Rig: ladder, Plant: both(weigh(0, .991, .009), bone(.1))},
		{Name: "a shell of its own, followed altogether", Rig: ladder, Plant: both(shell(5, 1), bone(.1))},
		{Name: "a shell of its own, a third", Rig: ladder, Plant: both(shell(1.5, .3), bone(.1)), Want: []checktest.Want{{
			// Straight: from row 10 at y = 1 up to 1.5.
			Grade: check.Flaw, Name: "distance", Value: 5, Tolerance: 1e-5, Joints: []rig.Node{1}, Vertices: []rig.Vertex{22, 23, 24}}}},
		{Name: "no skin", Rig: ladder, Plant: unskinned, Skip: "no skin in this file"},
	})
}

// shell adds a loose triangle above x = 0.1, its foot at a height, with weight on the
// second joint and the rest on the first.
func shell(y float32, weight float32) func(*rig.Rig) {
	return func(r *rig.Rig) {
		m := &r.Meshes[0]
		for _, d := range [][2]float32{{0, 0}, {0, .1}, {.1, .1}} {
			m.Positions = append(m.Positions, .1+d[0], y+d[1], 0)
			m.Joints = append(m.Joints, 1, 0, 0, 0)
			m.Weights = append(m.Weights, weight, 1-weight, 0, 0)
		}
		m.Triangles = append(m.Triangles, 22, 24, 23)
		m.Primitives[0].Count += 3
		m.Primitives[0].TriCount++
	}
}

// Distances along the edges of the ladder, by hand: down the left edge, or across a
// rung or a diagonal.
func TestWalk(t *testing.T) {
	e := exam.New(ladder())
	g := buildGraph(e, 0, e.RestPositions(0))
	var w walk
	is := make([]bool, 22)
	w.from(g, []uint32{8}, []uint32{0, 1, 3, 21}, is, 1<<20)
	for place, want := range map[int]float64{
		0: .4, 1: .3 + math.Hypot(.2, .1), // a diagonal goes from left to right, one row down
		3: .2 + math.Hypot(.2, .1), 21: .2 + .6,
	} {
		if math.Abs(float64(w.far[place])-want) > 1e-6 {
			t.Errorf("to %d: %g m, want %g", place, w.far[place], want)
		}
	}
	if slices.Contains(is, true) {
		t.Error("targets are left marked")
	}
	if left := w.from(g, []uint32{8}, []uint32{21}, is, 3); left != 3 {
		t.Errorf("budget of 3: %d places left", left)
	}
	if n := len(g.to); n != 2*41 { // 21 edges up and down, 11 rungs, 10 diagonals, less one: 20+11+10
		t.Errorf("%d neighbours, want 82", n)
	}
}
