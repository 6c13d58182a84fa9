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

// handle adds a joint to the ladder's skin, its place to the left of the foot, and hands it so
// much of the foot's two places.
func handle(away, weight float64) func(*rig.Rig) {
	return func(r *rig.Rig) {
		n := rig.Node(len(r.Nodes))
		d := rig.NodeData{Name: "handle", Parent: r.Skins[0].Joints[0], Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: [3]float64{-away, 0, 0}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}}
		d.Matrix = d.TRS.Affine()
		r.Nodes = append(r.Nodes, d)
		r.Nodes[d.Parent].Children = append(r.Nodes[d.Parent].Children, n)
		k := uint16(len(r.Skins[0].Joints))
		inv := rig.Identity
		world := r.RestWorld()
		if back, ok := world[d.Parent].Inverse(); ok {
			inv = back
		}
		inv[3] += away
		r.Skins[0].Joints, r.Skins[0].Bind = append(r.Skins[0].Joints, n), append(r.Skins[0].Bind, inv)
		r.SetOrder()
		m := &r.Meshes[0]
		for v := range 2 {
			for c := range m.K {
				m.Weights[m.K*v+c] *= float32(1 - weight)
			}
			m.Joints[m.K*v+m.K-1], m.Weights[m.K*v+m.K-1] = k, float32(weight)
		}
	}
}

// A joint that holds nothing but a patch far from it, and no vertex of that by more than
// half, has no main patch to be far from: the distance is from the joint. The ladder is 1 m
// high and 0.2 m wide: a tenth of its diagonal is 0.102 m, twice a bone of a twentieth too.
func TestStrayAlone(t *testing.T) {
	at := func(x float64) []checktest.Want {
		return []checktest.Want{{Grade: check.Flaw, Name: "distance", Value: x / (.05 * math.Hypot(1, .2)), Tolerance: .02, Joints: []rig.Node{4}, Vertices: []rig.Vertex{0, 1},
			More: map[string]float64{"distance in metres": x, "share of the joint's weight": 1}}}
	}
	checktest.Run(t, strayIsland, Measure, []checktest.Row{
		{Name: "a metre away", Rig: ladder, Plant: handle(1.1, .4), Want: at(1)},
		{Name: "15 cm away", Rig: ladder, Plant: handle(.25, .4), Want: at(.15)},
		{Name: "5 cm away", Rig: ladder, Plant: handle(.15, .4)},
		{Name: "more than half its own", Rig: ladder, Plant: handle(1.1, .6)},
		{Name: "faint", Rig: ladder, Plant: handle(1.1, .009)},
	})
}

// A vertex that no triangle uses strays nowhere, and has no part in the figure's size.
func TestUnusedStraysNowhere(t *testing.T) {
	r := ladder()
	m := &r.Meshes[0]
	m.Positions = append(m.Positions, 50, 50, 50)
	m.Joints = append(m.Joints, 1, 0, 0, 0)
	m.Weights = append(m.Weights, .04, .96, 0, 0)
	m.Primitives[0].Count++
	e := exam.New(r)
	f, err := Measure(t.Context(), e)
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Strays) > 0 || f.CrossBody > 0 {
		t.Errorf("strays %+v, on the wrong side %d", f.Strays, f.CrossBody)
	}
	if d := e.Diagonal(); math.Abs(d-math.Hypot(1, .2)) > 1e-6 {
		t.Errorf("%g m from corner to corner, want that of 1 m by 0.2 m", d)
	}
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
