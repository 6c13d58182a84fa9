package binding

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// split doubles the left vertex of row 5, which lies 0.1 m beside the second joint;
// the triangles above use the twin, which has its own weights.
func split(weights ...float32) func(*rig.Rig) {
	return func(r *rig.Rig) {
		m := &r.Meshes[0]
		m.Positions = append(m.Positions, m.Positions[30:33]...)
		m.Joints = append(m.Joints, 0, 0, 0, 0)
		m.Weights = append(m.Weights, 0, 0, 0, 0)
		m.Primitives[0].Count++
		for i, v := range m.Triangles {
			if v == 10 && i >= 30 {
				m.Triangles[i] = 22
			}
		}
		weigh(22, weights...)(r)
	}
}

func TestSplitSeamCheck(t *testing.T) {
	checktest.Run(t, splitSeam, Measure, []checktest.Row{
		{Name: "clean", Rig: clean},
		{Name: "split, bound alike", Rig: ladder, Plant: split(.5, .5)},
		{Name: "just under", Rig: ladder, Plant: split(.4951, .5049)},
		{Name: "just over", Rig: ladder, Plant: split(.4949, .5051), Want: []checktest.Want{{Grade: check.Flaw, Name: "vertices", Value: 2}}},
		// One half of the weight stays: a turn of 90° about the bone parts them by
		// half of √2 · 0.1 m.
		{Name: "half apart", Rig: ladder, Plant: split(1, 0), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "vertices", Value: 2, Tolerance: 1e-7, Joints: []rig.Node{1}, Vertices: []rig.Vertex{10, 22},
			Subject: "2 vertices", Point: &space.Vec{.1, .5, 0}, Near: 1e-6,
			More: map[string]float64{"opens by": .05 * math.Sqrt2, "places": 1, "at a turn of": -90}}}},
		{Name: "no skin", Rig: ladder, Plant: unskinned, Skip: "no skin in this file"},
	})
	r := ladder()
	split(1, 0)(r)
	f := measured(t, r)
	if g := f.SeamGap[0]; math.Abs(float64(g[10])-.05*math.Sqrt2) > 1e-7 || g[22] != g[10] || !math.IsNaN(float64(g[9])) {
		t.Errorf("gap of 10, 22, 9: %g %g %g", g[10], g[22], g[9])
	}
}

// The short way through the bend set puts vertices where the deformer does.
func TestMoverIsTheDeformer(t *testing.T) {
	r := checktest.Built(lamplighter.Options{Pose: lamplighter.A, Vertices: 6000})
	e := exam.New(r)
	m := newMover(e)
	pose := deform.NewPose(r)
	d := deform.NewDeformer(r, 0)
	n := r.Meshes[0].Vertices()
	pos := make([]float32, 3*n)
	tried := 0
	for i := range m.joints {
		for k := range m.moves[i] {
			move := &m.moves[i][k]
			pose.Rest()
			for node, below := range m.below[i] {
				if below {
					pose.World[node] = move.matrix.Mul(&pose.World[node])
				}
			}
			d.Apply(pose, deform.Linear, pos, nil, nil, nil)
			for v := (i*7 + k) % 97; v < n; v += 97 {
				p := m.place(m.holds(0, rig.Vertex(v), every(4), false), i, move)
				for c := range 3 {
					if math.Abs(p[c]-float64(pos[3*v+c])) > 2e-6 {
						t.Fatalf("joint %d, %s %g°, vertex %d: %v, deformer %v", m.joints[i], move.Axis, move.Degrees, v, p, pos[3*v:3*v+3])
					}
				}
				tried++
			}
		}
	}
	if tried < 1000 {
		t.Errorf("only %d places compared", tried)
	}
}
