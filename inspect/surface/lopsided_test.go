package surface

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

var lamp = checktest.Built(lamplighter.Options{})

func clean() *rig.Rig { return lamplighter.Clone(lamp) }

// place puts the whole figure elsewhere, by its roots.
func place(a rig.Affine) func(*rig.Rig) {
	return func(r *rig.Rig) {
		for i := range r.Nodes {
			if n := &r.Nodes[i]; n.Parent < 0 {
				n.Matrix = a.Mul(&n.Matrix)
				n.TRS = n.Matrix.Decompose()
			}
		}
	}
}

// turn is a rotation about an axis of the world (0 x, 1 y, 2 z).
func turn(axis int, degrees float64) rig.Affine {
	a := rig.Identity
	s, c := math.Sincos(degrees * math.Pi / 180)
	i, j := (axis+1)%3, (axis+2)%3
	a[4*i+i], a[4*i+j], a[4*j+i], a[4*j+j] = c, -s, s, c
	return a
}

func shift(x, y, z float64) rig.Affine {
	a := rig.Identity
	a[3], a[7], a[11] = x, y, z
	return a
}

func scale(k float64) rig.Affine { return rig.Affine{0: k, 5: k, 10: k} }

// opposite answers for each vertex of the clean figure, which is symmetric to the
// bit, the one at (−x, y, z).
func opposite(p []float32) []rig.Vertex {
	at := map[[3]float32]rig.Vertex{}
	for v := range len(p) / 3 {
		at[[3]float32{p[3*v], p[3*v+1], p[3*v+2]}] = rig.Vertex(v)
	}
	out := make([]rig.Vertex, len(p)/3)
	for v := range out {
		out[v] = at[[3]float32{-p[3*v] + 0, p[3*v+1], p[3*v+2]}]
	}
	return out
}

// someLeft answers n vertices of the left side, spread over it, far from the middle.
func someLeft(p []float32, n int) (out []rig.Vertex) {
	for v := 0; v < len(p)/3; v++ {
		if p[3*v] > 0.1 {
			out = append(out, rig.Vertex(v))
		}
	}
	all := len(out)
	for i := range n {
		out[i] = out[i*all/n]
	}
	return out[:n]
}

func move(vertices []rig.Vertex, dx, dy, dz float64) func(*rig.Rig) {
	return func(r *rig.Rig) {
		p := r.Meshes[0].Positions
		for _, v := range vertices {
			p[3*v] += float32(dx)
			p[3*v+1] += float32(dy)
			p[3*v+2] += float32(dz)
		}
	}
}

func both(f ...func(*rig.Rig)) func(*rig.Rig) {
	return func(r *rig.Rig) {
		for _, f := range f {
			f(r)
		}
	}
}

func TestLopsided(t *testing.T) {
	p := lamp.Meshes[0].Positions
	d := exam.New(lamp).Diagonal()
	n := len(p) / 3
	mirror := opposite(p)
	middle := geom.BoxOf(p).Center()

	// Each moved vertex and the one opposite lose their partner: 2·k of n.
	many := someLeft(p, n/200+1)
	few := many[:n/200]
	pairs := func(v []rig.Vertex) []rig.Vertex {
		v = slices.Clone(v)
		for _, m := range v {
			v = append(v, mirror[m])
		}
		return v
	}
	if 2*len(many) <= n/100 || 2*len(few) > n/100 {
		t.Fatalf("%d and %d moved of %d do not straddle 1 %%", len(many), len(few), n)
	}
	// The vertex farthest to the left, pulled farther: nothing lies nearer to its
	// image than the one opposite, so the mismatch is the pull.
	tip := rig.Vertex(0)
	for v := range n {
		if p[3*v] > p[3*tip] {
			tip = rig.Vertex(v)
		}
	}
	pulled := func(share float64) (pull, diagonal float64) {
		// The box grows with the pull; two rounds are enough for 1e-9.
		size := geom.BoxOf(p).Size()
		diagonal = d
		for range 4 {
			pull = share * diagonal
			diagonal = math.Hypot(math.Hypot(size[0]+pull, size[1]), size[2])
		}
		return pull, diagonal
	}
	over, _ := pulled(0.006)
	under, _ := pulled(0.0045)
	// The plane x = 0 leaning by 12° about z through the origin.
	s, c := math.Sincos(12 * math.Pi / 180)
	checktest.Run(t, lopsided, Measure, []checktest.Row{
		{Name: "clean", Rig: clean},
		{Name: "up and back", Rig: clean, Plant: place(shift(0, 2, -3))},
		{Name: "a hundred times as large", Rig: clean, Plant: place(scale(100))},
		{Name: "tipped forward", Rig: clean, Plant: place(turn(0, 30))},

		{Name: "more than 1 % moved", Rig: clean, Plant: move(many, 0, 0.05, 0), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "share", Value: float64(2*len(many)) / float64(n), Tolerance: 1e-12,
			Vertices: pairs(many), More: map[string]float64{}}}},
		{Name: "the same, leaning and far", Rig: clean, Plant: both(move(many, 0, 0.05, 0), place(turn(1, 40)), place(shift(5, 0, 2))), Want: []checktest.Want{
			{Grade: check.Flaw, Name: "share", Value: float64(2*len(many)) / float64(n), Tolerance: 1e-12, Vertices: pairs(many)},
			{Grade: check.Note, Name: "turn of the plane", Value: 40, Tolerance: 1e-3}}},
		{Name: "a little less, pulled far", Rig: clean, Plant: both(move(few[1:], 0, 0.006, 0), move([]rig.Vertex{tip}, over, 0, 0)), Want: []checktest.Want{{
			Grade: check.Note, Name: "largest mismatch", Value: 0.006, Tolerance: 1e-6, Vertices: []rig.Vertex{tip}}}},
		{Name: "one vertex just under", Rig: clean, Plant: move([]rig.Vertex{tip}, under, 0, 0)},
		{Name: "share allowed", Rig: clean, Plant: move(many, 0, 0.006, 0), Limits: map[string]float64{"share": 0.02}},

		{Name: "leaning 12°", Rig: clean, Plant: place(turn(2, 12)), Want: []checktest.Want{{
			Grade: check.Note, Name: "turn of the plane", Value: 12, Tolerance: 1e-4,
			Point: &space.Vec{-s * middle[1], c * middle[1], middle[2]}, Near: 0.05}}},
		{Name: "leaning just under", Rig: clean, Plant: place(turn(2, 0.49))},
		{Name: "faces sideways", Rig: clean, Plant: place(turn(1, 90)), Want: []checktest.Want{{
			Grade: check.Note, Name: "turn of the plane", Value: 90, Tolerance: 1e-4}}},
		{Name: "half a metre aside", Rig: clean, Plant: place(shift(0.5, 0, 0)), Want: []checktest.Want{{
			Grade: check.Note, Name: "distance from x = 0", Value: 0.5 / d, Tolerance: 1e-6, Point: &space.Vec{0.5, middle[1], middle[2]}, Near: 1e-5}}},
		// Leaning by less than the limit, high above the origin: the middle is aside
		// by sin 0.4° of its height, though the plane goes through the origin.
		{Name: "leaning a little, high up", Rig: clean, Plant: both(place(shift(0, 10, 0)), place(turn(2, 0.4))), Want: []checktest.Want{{
			Grade: check.Note, Name: "distance from x = 0", Value: math.Sin(0.4*math.Pi/180) * (10 + middle[1]) / d, Tolerance: 1e-4}}},
		{Name: "aside just under", Rig: clean, Plant: place(shift(0.0049*d, 0, 0))},

		{Name: "all in one place", Rig: clean, Plant: func(r *rig.Rig) { clear(r.Meshes[0].Positions) }, Skip: "no mirror plane was found"},
		{Name: "no triangles", Rig: clean, Plant: func(r *rig.Rig) { r.Meshes[0].Triangles = nil }, Skip: "no triangles in this file"},
		{Name: "nothing at all", Rig: func() *rig.Rig { return &rig.Rig{Shown: rig.None} }, Skip: "no triangles in this file"},
		{Name: "one triangle", Rig: clean, Plant: func(r *rig.Rig) {
			m := &r.Meshes[0]
			copy(m.Positions, []float32{-1, 0, 0, 1, 0, 0, 0, 2, 0})
			m.Triangles = []uint32{0, 1, 2}
		}},
		{Name: "not a number", Rig: clean, Plant: func(r *rig.Rig) { r.Meshes[0].Positions[3*tip] = float32(math.NaN()) }},
	})
}

// Every variant of the sample is silent above a note, and of notes; but for a few
// triangles in the creases of coarse ones, whose smooth normals lie over 90° off.
func TestVariants(t *testing.T) {
	for _, pose := range []lamplighter.Pose{lamplighter.T, lamplighter.A} {
		for names := range lamplighter.Naming(3) {
			r := checktest.Built(lamplighter.Options{Pose: pose, Names: names, Vertices: 4000})
			for _, f := range checktest.Silent(t, &Station, r, check.Note) {
				if f.ID != "surface/bad-normals" || f.Measures[0].Value > 10 {
					t.Errorf("pose %d, names %d: %s %s %v", pose, names, f.ID, f.Subject, f.Measures)
				}
			}
		}
		for _, plant := range []func(*rig.Rig){place(shift(3, 2, -1)), place(turn(2, 12)), place(turn(1, 40)), place(scale(0.01)), place(scale(2.54))} {
			r := checktest.Built(lamplighter.Options{Pose: pose})
			plant(r)
			for _, f := range checktest.Silent(t, &Station, r, check.Note) {
				if f.ID != "surface/lopsided" && f.ID != "surface/bad-normals" {
					t.Errorf("moved, pose %d: %s %s %v", pose, f.ID, f.Subject, f.Measures)
				}
			}
		}
	}
}

// Half a body is lopsided although no plane mirrors it.
func TestLopsidedHalf(t *testing.T) {
	r := clean()
	m := &r.Meshes[0]
	var kept []uint32
	for i := 0; i < len(m.Triangles); i += 3 {
		if a, b, c := m.Triangles[i], m.Triangles[i+1], m.Triangles[i+2]; m.Positions[3*a] >= 0 && m.Positions[3*b] >= 0 && m.Positions[3*c] >= 0 {
			kept = append(kept, a, b, c)
		}
	}
	m.Triangles = kept
	found, _ := checktest.Judge(t, &Station, r, nil)
	i := slices.IndexFunc(found, func(f check.Finding) bool { return f.ID == lopsided.ID })
	if i < 0 || found[i].Grade != check.Flaw || found[i].Measures[0].Value < 0.5 {
		t.Errorf("%d findings", len(found))
	}
}

// A shape that nobody would mirror is not looked at, and says why.
func TestLopsidedNoPlane(t *testing.T) {
	m := lamplighter.Clone(lamp).Meshes[0]
	m.K, m.Joints, m.Weights = 0, nil, nil
	r := &rig.Rig{
		Nodes:    []rig.NodeData{{Name: "snail", Parent: rig.None, Mesh: 0, Skin: rig.None, TRS: rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}, Matrix: rig.Identity}},
		Meshes:   []rig.MeshData{m},
		Surfaces: []rig.Surface{{Node: 0, Mesh: 0, Skin: rig.None}},
		Shown:    rig.None,
	}
	r.SetOrder()
	for v := range m.Vertices() { // a sheet rolled up like a snail's shell, growing along
		x, y, z := float64(m.Positions[3*v]), float64(m.Positions[3*v+1]), float64(m.Positions[3*v+2])
		s, c := math.Sincos(3*x + 2*y)
		k := 0.3 + math.Exp(x)
		m.Positions[3*v], m.Positions[3*v+1], m.Positions[3*v+2] = float32(k*c+z), float32(k*s+y*x), float32(k*y+x*c)
	}
	found, outcomes := checktest.Judge(t, &Station, r, nil)
	found = slices.DeleteFunc(found, func(f check.Finding) bool { return f.ID != lopsided.ID })
	i := slices.IndexFunc(outcomes, func(o check.Outcome) bool { return o.ID == lopsided.ID })
	if len(found) > 0 || !strings.HasPrefix(outcomes[i].Reason, "no mirror plane was found: over the best one only") {
		t.Errorf("%d findings, reason %q", len(found), outcomes[i].Reason)
	}
	f, err := Measure(context.Background(), exam.New(r))
	if err != nil || f.Mirror == nil || f.Mismatch[0] != nil {
		t.Errorf("mirror %v, with a field: %v, %v", f.Mirror, f.Mismatch[0] != nil, err)
	}
}

func TestMeasureStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Measure(ctx, exam.New(lamp)); err == nil {
		t.Error("goes on after it was cancelled")
	}
}
