package binding

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

// rung adds a vertex on the left edge, half way between rows 4 and 5, where the
// second joint's weight goes from ¼ to ½; the right edge has none there.
func rung(weights ...float32) func(*rig.Rig) {
	return func(r *rig.Rig) {
		m := &r.Meshes[0]
		m.Positions = append(m.Positions, .1, .45, 0)
		m.Joints = append(m.Joints, 0, 0, 0, 0)
		m.Weights = append(m.Weights, 0, 0, 0, 0)
		m.Primitives[0].Count++
		for t := 0; t < len(m.Triangles); t += 3 {
			if m.Triangles[t] == 8 && m.Triangles[t+1] == 10 { // the edge from row 4 to row 5
				m.Triangles[t+1] = 22
				m.Triangles = append(m.Triangles, 22, 10, m.Triangles[t+2])
			}
		}
		weigh(22, weights...)(r)
	}
}

func TestMirrorMismatch(t *testing.T) {
	// Some vertices of the left lower arm that hang on it alone, handed to the upper
	// arm: all of their weight is elsewhere, 2 for them and 2 for the ones opposite.
	n := lamp.Meshes[0].Vertices()
	const upper, lower = 7, 8 // nodes and joints of the sample
	whole := func(r *rig.Rig) (list []rig.Vertex) {
		m := &r.Meshes[0]
		for v := range n {
			if m.Joints[m.K*v] == lower && m.Weights[m.K*v] == 1 {
				list = append(list, rig.Vertex(v))
			}
		}
		return list
	}
	enough := n/200 + 1
	if have := len(whole(lamp)); have < enough || lamp.Nodes[lower].Name != "lowerArm_L" || lamp.Nodes[upper].Name != "upperArm_L" {
		t.Fatalf("%d vertices on %q, %q", have, lamp.Nodes[lower].Name, lamp.Nodes[upper].Name)
	}
	hand := func(count int) func(*rig.Rig) {
		return func(r *rig.Rig) {
			for _, v := range whole(r)[:count] {
				r.Meshes[0].Joints[r.Meshes[0].K*int(v)] = upper
			}
		}
	}
	nameless := func(r *rig.Rig) {
		for i := range r.Nodes {
			r.Nodes[i].Name = ""
		}
	}
	share := float64(2*enough) / float64(n)
	checktest.Run(t, mirrorMismatch, Measure, []checktest.Row{
		{Name: "clean", Rig: clean},
		{Name: "clean, joints without names", Rig: clean, Plant: nameless},
		{Name: "ladder", Rig: ladder},
		{Name: "a forearm handed over", Rig: clean, Plant: hand(enough), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "share", Value: share, Tolerance: 1e-12,
			// Upper and lower arm of both sides differ alike; the left of both first.
			Joints: []rig.Node{upper, lower, upper + 4, lower + 4},
			More:   map[string]float64{"differ": float64(2 * enough), "largest difference": 2}}}},
		{Name: "just under 1 %", Rig: clean, Plant: hand(enough - 1)},
		{Name: "limit moved", Rig: clean, Plant: hand(enough), Limits: map[string]float64{"share": 2 * share}},
		{Name: "one row, ¼ + ¼ apart", Rig: ladder, Plant: weigh(10, .25, .75), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "share", Value: 2. / 22, Tolerance: 1e-12, Vertices: []rig.Vertex{10, 11},
			More: map[string]float64{"largest difference": .5, "mean difference": 1. / 22, "unpaired": 0}}}},
		{Name: "difference just under", Rig: ladder, Plant: weigh(10, .4501, .5499)},
		{Name: "difference just over", Rig: ladder, Plant: weigh(10, .4499, .5501), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "share", Value: 2. / 22, Tolerance: 1e-12}}},
		{Name: "difference allowed", Rig: ladder, Plant: weigh(10, .25, .75), Limits: map[string]float64{"difference": .6}},
		{Name: "one vertex more, weights between its neighbours'", Rig: ladder, Plant: rung(.625, .375)},
		{Name: "one vertex more, other weights", Rig: ladder, Plant: rung(1, 0), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "share", Value: 1. / 23, Tolerance: 1e-6, Vertices: []rig.Vertex{22},
			More: map[string]float64{"largest difference": .75, "unpaired": 0}}}},
		{Name: "one vertex far out", Rig: ladder, Plant: both(weigh(20, 1, 0), func(r *rig.Rig) { r.Meshes[0].Positions[62] = .3 })},
		{Name: "all in one place", Rig: ladder, Plant: func(r *rig.Rig) { clear(r.Meshes[0].Positions) }, Skip: "no mirror plane was found"},
		{Name: "no triangle", Rig: ladder, Plant: func(r *rig.Rig) { r.Meshes[0].Triangles = nil }, Skip: "no triangles in this file"},
		{Name: "no weights in the mesh", Rig: ladder, Plant: func(r *rig.Rig) { m := &r.Meshes[0]; m.K, m.Joints, m.Weights = 0, nil, nil }, Skip: "no vertex of a skin has a mirror partner"},
		{Name: "no skin", Rig: ladder, Plant: unskinned, Skip: "no skin in this file"},
	})
}

// Split vertices in one place: the one most alike is the partner.
func TestMirrorMismatchSplit(t *testing.T) {
	r := ladder()
	m := &r.Meshes[0]
	for _, v := range []int{10, 11} { // row 5 twice, bound as ½ ½ and as 0 1
		m.Positions = append(m.Positions, m.Positions[3*v:3*v+3]...)
		m.Joints = append(m.Joints, 1, 0, 0, 0)
		m.Weights = append(m.Weights, 1, 0, 0, 0)
	}
	m.Primitives[0].Count += 2
	for i, v := range m.Triangles {
		if i > 30 && (v == 10 || v == 11) {
			m.Triangles[i] = v + 12
		}
	}
	f := measured(t, r)
	for v, d := range f.WeightMismatch[0] {
		if d != 0 {
			t.Errorf("vertex %d differs by %g", v, d)
		}
	}
	if f.MirrorMismatch.Compared != 24 {
		t.Errorf("%d compared, want 24", f.MirrorMismatch.Compared)
	}
}

// What has no partner and no surface near is counted and left out.
func TestUnpaired(t *testing.T) {
	r := ladder()
	r.Meshes[0].Positions[62] = .3 // row 10, left, pulled out of the plane
	f := measured(t, r)
	if f.MirrorMismatch.Unpaired == 0 || f.MirrorMismatch.Unpaired+f.MirrorMismatch.Compared != 22 {
		t.Errorf("%+v", *f.MirrorMismatch)
	}
	if d := f.WeightMismatch[0][20]; !math.IsNaN(float64(d)) {
		t.Errorf("the vertex pulled out differs by %g", d)
	}
}

// Joints without a partner by name are paired by place.
func TestPartnersByPlace(t *testing.T) {
	r := ladder()
	for _, x := range []float64{.3, -.3} {
		hang("strut", 0, true, false)(r)
		n := &r.Nodes[len(r.Nodes)-1]
		n.Name, n.TRS.T = "", [3]float64{x, .2, .1}
		n.Matrix = n.TRS.Affine()
		r.Skins[0].Bind[len(r.Skins[0].Bind)-1] = rig.Affine{0: 1, 3: -x, 5: 1, 7: -.2, 10: 1, 11: -.1}
	}
	// Vertices of row 2 hang on the strut of their side.
	m := &r.Meshes[0]
	m.Joints[16], m.Joints[20] = 3, 4
	f := measured(t, r)
	if f.MirrorMismatch.Largest != 0 {
		t.Errorf("largest %g, want 0", f.MirrorMismatch.Largest)
	}
	m.Joints[20] = 3 // now both hang on the left strut
	if f = measured(t, r); f.MirrorMismatch.Over != 2 || f.MirrorMismatch.Largest != 2 {
		t.Errorf("%+v, want 2 over, largest 2", *f.MirrorMismatch)
	}
}

// over lays a second surface on the first, vertex on vertex but for a shift, of two stiff
// halves: a sleeve over an arm.
func over(shift func(v int) float32) func(*rig.Rig) {
	return func(r *rig.Rig) {
		m := r.Meshes[0]
		m.Positions, m.Joints, m.Weights = slices.Clone(m.Positions), make([]uint16, len(m.Joints)), make([]float32, len(m.Weights))
		m.Primitives, m.Triangles = slices.Clone(m.Primitives), slices.Clone(m.Triangles)
		for v := range m.Vertices() {
			m.Positions[3*v+2] += shift(v)
			m.Joints[m.K*v], m.Weights[m.K*v] = uint16(v/12), 1
		}
		r.Meshes = append(r.Meshes, m)
		n := r.Nodes[r.Surfaces[0].Node]
		n.Parent, n.Children, n.Mesh = rig.None, nil, 1
		r.Nodes = append(r.Nodes, n)
		at := rig.Node(len(r.Nodes) - 1)
		r.Surfaces = append(r.Surfaces, rig.Surface{Node: at, Mesh: 1, Skin: 0})
		if len(r.Scenes) > 0 {
			r.Scenes[0].Roots = append(r.Scenes[0].Roots, at)
		}
		r.SetOrder()
	}
}

// Two parts that meet in one place are each compared with their own kind opposite,
// whichever of the two rounding makes the nearer one.
func TestPartsInOnePlace(t *testing.T) {
	for _, row := range []struct {
		name  string
		shift func(v int) float32
	}{
		{"to the bit", func(int) float32 { return 0 }},
		{"but for rounding", func(v int) float32 { return 1e-7 * float32(v%5-2) }},
		{"rounded the other way", func(v int) float32 { return 1e-7 * float32(2-v%3) }},
	} {
		r := ladder()
		over(row.shift)(r)
		if m := measured(t, r).MirrorMismatch; m.Over != 0 || m.Compared != 44 {
			t.Errorf("%s: %+v", row.name, *m)
		}
		// A row of the arm is bound otherwise on the left: told as without the sleeve.
		weigh(10, .25, .75)(r)
		if m := measured(t, r).MirrorMismatch; m.Over != 2 || math.Abs(m.Largest-.5) > 1e-6 {
			t.Errorf("%s, one row planted: %+v", row.name, *m)
		}
	}
}

// What has no partner is compared with the part that faces its own, not with one that
// happens to lie over it.
func TestNoPartnerButAnotherPart(t *testing.T) {
	r := ladder()
	over(func(int) float32 { return 1e-4 })(r)
	rung(.625, .375)(r)                  // as its neighbours have it
	r.Meshes[0].Positions[3*22+2] = 1e-4 // its image lies on the sleeve
	if m := measured(t, r).MirrorMismatch; m.Over != 0 {
		t.Errorf("%+v", *m)
	}
}
