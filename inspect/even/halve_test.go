package even

import (
	"math"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// rebuilt is the rig with its halved primitives in place of the old ones; one primitive.
func rebuilt(r *rig.Rig, h *Halves) *rig.Rig {
	out := *r
	out.Meshes = append([]rig.MeshData(nil), r.Meshes...)
	for _, p := range h.Primitives {
		m := out.Meshes[p.Mesh]
		m.Positions, m.Normals, m.Joints, m.Weights, m.Targets, m.Triangles = p.Positions, p.Normals, p.Joints, p.Weights, p.Targets, p.Triangles
		m.UV = nil
		d := m.Primitives[0]
		d.Count, d.TriCount, d.HasUV, d.WeightSums = len(p.From), len(p.Triangles)/3, false, nil
		m.Primitives = []rig.PrimitiveData{d}
		m.Remeasure()
		out.Meshes[p.Mesh] = m
	}
	return &out
}

// A 40 mm patch on one side: the half without it gives the true figure within 1e-6 m, and
// closed: no border, no branching edge, as many triangles as there were.
func TestHalveGivesTheTrueFigure(t *testing.T) {
	truth := lamplighter.Build(lamplighter.Options{})
	for _, sign := range []float32{1, -1} {
		r := lamplighter.Clone(truth)
		m := &r.Meshes[0]
		for v := range m.Vertices() {
			p := space.At(m.Positions, v)
			if p.Sub(space.Vec{float64(sign) * 0.15, 1.25, 0.12}).Len() < 0.07 {
				m.Positions[3*v+2] += 0.04
			}
		}
		m.Remeasure()
		from := Behind
		if sign < 0 {
			from = To
		}
		h, err := Halve(exam.New(r), Wants{From: from, Limits: Usual})
		if err != nil {
			t.Fatal(err)
		}
		out := rebuilt(r, h)
		tree := geom.NewTree(truth.Meshes[0].Positions)
		worst, weights := 0.0, 0.0
		o := &out.Meshes[0]
		for v := range o.Vertices() {
			p := space.At(o.Positions, v)
			i, d := tree.Nearest(float32(p[0]), float32(p[1]), float32(p[2]), 1)
			worst = max(worst, math.Sqrt(float64(d)))
			weights = max(weights, apart(held(truth, 0, i), gathered(held(out, 0, int32(v)))))
		}
		if worst > 1e-6 || weights > 1e-5 || o.Vertices() != truth.Meshes[0].Vertices() {
			t.Errorf("side %g: %g m from the true figure, weights by %g; %d vertices, %d in truth", sign, worst, weights, o.Vertices(), truth.Meshes[0].Vertices())
		}
		closed(t, o, len(truth.Meshes[0].Triangles)/3)
		for v := range o.Vertices() { // normals of the true figure
			p := space.At(o.Positions, v)
			i, _ := tree.Nearest(float32(p[0]), float32(p[1]), float32(p[2]), 1)
			if a := space.Angle(space.At(o.Normals, v), space.At(truth.Meshes[0].Normals, int(i))); a > 0.03 {
				t.Fatalf("the normal of vertex %d is %.1f° off", v, a*180/math.Pi)
			}
		}
	}
}

func closed(t *testing.T, m *rig.MeshData, triangles int) {
	t.Helper()
	w := geom.Weld(m.Positions, nil)
	tri := make([]uint32, len(m.Triangles))
	for i, v := range m.Triangles {
		tri[i] = w.Of[v]
	}
	edges := geom.FindEdges(tri, w.Groups(), nil)
	open, odd := 0, 0
	for i, n := range edges.Count {
		if n == 1 {
			open++
		}
		if n > 2 || edges.Mixed[i] {
			odd++
		}
	}
	if open+odd > 0 || triangles > 0 && len(tri)/3 != triangles {
		t.Errorf("%d open edges, %d branching or mixed; %d triangles, want %d", open, odd, len(tri)/3, triangles)
	}
}

// A figure whose triangles cross the plane: moved to one side by a part of an edge and
// bumpy on one side, so that no vertex lies on the plane of the other half.
func TestHalveCuts(t *testing.T) {
	const rings, sides = 40, 33 // an odd number: no ring is symmetric vertex by vertex
	m := rig.MeshData{Name: "jar"}
	for i := range rings + 1 {
		y := math.Pi * float64(i) / rings
		for k := range sides {
			a := 2 * math.Pi * (float64(k) + 0.37) / sides
			r := math.Sin(y) * (1 + 0.2*math.Cos(3*y))
			m.Positions = append(m.Positions, float32(0.5*r*math.Cos(a)), float32(1.2*(1-math.Cos(y))/2), float32(0.3*r*math.Sin(a)))
			m.Normals = append(m.Normals, float32(math.Cos(a)), 0, float32(math.Sin(a)))
		}
	}
	at := func(i, k int) uint32 {
		if i == 0 || i == rings {
			return uint32(i * sides)
		}
		return uint32(i*sides + k%sides)
	}
	for i := range rings {
		for k := range sides {
			for _, tri := range [][3]uint32{{at(i, k), at(i+1, k), at(i, k+1)}, {at(i, k+1), at(i+1, k), at(i+1, k+1)}} {
				if tri[0] != tri[1] && tri[1] != tri[2] && tri[2] != tri[0] {
					m.Triangles = append(m.Triangles, tri[:]...)
				}
			}
		}
	}
	m.Primitives = []rig.PrimitiveData{{Count: m.Vertices(), TriCount: len(m.Triangles) / 3, Material: rig.None, HasNormals: true, Mode: 4}}
	m.Remeasure()
	one := rig.TRS{R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}
	r := &rig.Rig{File: rig.File{Kind: "glb"}, Shown: rig.None, Nodes: []rig.NodeData{{Name: "jar", Parent: rig.None, TRS: one, Matrix: one.Affine(), Skin: rig.None}},
		Meshes: []rig.MeshData{m}, Surfaces: []rig.Surface{{Node: 0, Mesh: 0, Skin: rig.None}}}
	r.SetOrder()
	for _, from := range []Giver{To, Behind} {
		e := exam.New(r)
		h, err := Halve(e, Wants{From: from, Limits: Limits{Move: 0.02, Uneven: 1}})
		if err != nil {
			t.Fatal(err)
		}
		if h.Cut == 0 {
			t.Error("no edge was cut: the test shows nothing")
		}
		out := rebuilt(r, h)
		closed(t, &out.Meshes[0], 0)
		if f := e.Mirror().Plane; true { // a mirror image of itself to rounding
			tree := geom.NewTree(out.Meshes[0].Positions)
			for v := range out.Meshes[0].Vertices() {
				p := f.Reflect(space.At(out.Meshes[0].Positions, v))
				if _, d := tree.Nearest(float32(p[0]), float32(p[1]), float32(p[2]), 1); math.Sqrt(float64(d)) > 1e-6 {
					t.Fatalf("vertex %d has no image: %g m", v, math.Sqrt(float64(d)))
				}
			}
		}
		s, _ := facts(t, out)
		if s.ZeroArea > 0 {
			t.Errorf("%d triangles without area", s.ZeroArea)
		}
		t.Logf("%d cut, laid by %.2g m, %d vertices for %d", h.Cut, h.Laid, out.Meshes[0].Vertices(), m.Vertices())
	}
}

// Mean has no half that stays.
func TestHalveRefuses(t *testing.T) {
	if _, err := Halve(exam.New(lamplighter.Build(lamplighter.Options{})), Wants{From: Mean, Limits: Usual}); err == nil {
		t.Error("the mean of two halves was made")
	}
}
