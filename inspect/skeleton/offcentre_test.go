package skeleton

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// tube is a limb along +Y of radius 0.1 m, 64 sides, with a joint at its foot, one a
// metre up that stands off the middle by a way along X, and one at its top.
func tube(off float64, capped bool) *rig.Rig {
	const sides, rings, radius = 64, 45, 0.1
	r := &rig.Rig{Shown: 0, Scenes: []rig.Scene{{Roots: []rig.Node{0, 3}}}}
	joint := func(name string, parent rig.Node, t space.Vec) {
		tr := rig.TRS{T: [3]float64(t), R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}
		n := rig.Node(len(r.Nodes))
		r.Nodes = append(r.Nodes, rig.NodeData{Name: name, Parent: parent, Mesh: rig.None, Skin: rig.None, TRS: tr, Matrix: tr.Affine()})
		if parent >= 0 {
			r.Nodes[parent].Children = append(r.Nodes[parent].Children, n)
		}
	}
	joint("foot", rig.None, space.Vec{})
	joint("knee", 0, space.Vec{off, 1, 0})
	joint("hip", 1, space.Vec{-off, 1, 0})
	m := rig.MeshData{Name: "limb", K: 1}
	vertex := func(x, y, z float64, j uint16) uint32 {
		m.Positions = append(m.Positions, float32(x), float32(y), float32(z))
		m.Joints, m.Weights = append(m.Joints, j), append(m.Weights, 1)
		return uint32(len(m.Positions)/3 - 1)
	}
	for i := range rings {
		y := -0.1 + 2.2*float64(i)/(rings-1)
		for k := range sides {
			s, c := math.Sincos(2 * math.Pi * float64(k) / sides)
			vertex(radius*c, y, radius*s, uint16(min(2, int(y+0.5))))
		}
	}
	for i := range uint32(rings - 1) {
		for k := range uint32(sides) {
			a, b := i*sides+k, i*sides+(k+1)%sides
			m.Triangles = append(m.Triangles, a, a+sides, b, b, a+sides, b+sides)
		}
	}
	if capped {
		low, high := vertex(0, -0.1, 0, 0), vertex(0, 2.1, 0, 2)
		for k := range uint32(sides) {
			top := uint32(sides * (rings - 1))
			m.Triangles = append(m.Triangles, low, k, (k+1)%sides, high, top+(k+1)%sides, top+k)
		}
	}
	n := m.Vertices()
	m.Primitives = []rig.PrimitiveData{{Count: n, TriCount: len(m.Triangles) / 3, Material: rig.None, Mode: 4, Sets: 1, JointSets: 1, WeightSets: 1}}
	r.Meshes = []rig.MeshData{m}
	r.Nodes = append(r.Nodes, rig.NodeData{Name: "limb", Parent: rig.None, Mesh: 0, Skin: 0, TRS: rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}, Matrix: rig.Identity})
	r.Surfaces = []rig.Surface{{Node: 3, Mesh: 0, Skin: 0}}
	r.SetOrder()
	s := rig.SkinData{Skeleton: rig.None}
	for k := range 3 {
		w := r.RestWorld()[k]
		inv, _ := w.Inverse()
		s.Joints, s.Bind = append(s.Joints, rig.Node(k)), append(s.Bind, inv)
	}
	r.Skins = []rig.SkinData{s}
	return r
}

// A joint in a tube, off its middle by shares of the radius of a circle as large as the
// section (closed form: R·√(n·sin(2π/n)/2π) for n sides), and beyond the surface.
func TestOffCentreLimits(t *testing.T) {
	radius := 0.1 * math.Sqrt(64*math.Sin(2*math.Pi/64)/(2*math.Pi))
	inside, outside := "Joint off its middle", "Joint outside the surface"
	knee := []string{"knee"}
	for _, row := range []struct {
		off    float64
		capped bool
		side
	}{
		{0, true, side{name: "in the middle"}},
		{0.49 * radius, true, side{name: "0.49 of the radius off"}},
		{0.51 * radius, true, side{name: "0.51 off", grade: check.Note, title: inside, measure: "offset", value: 0.51, near: 1e-5, joints: knee}},
		{-0.51 * radius, false, side{name: "0.51 off, in an open tube", grade: check.Note, title: inside, measure: "offset", value: 0.51, near: 1e-5, joints: knee}},
		{0.099, true, side{name: "just within", grade: check.Note, title: inside, measure: "offset", value: 0.099 / radius, near: 1e-5, joints: knee}},
		{0.101, true, side{name: "just without", grade: check.Flaw, title: outside, measure: "winding number", value: 0, near: 1e-4, joints: knee}},
		{0.101, false, side{name: "without, beside an open tube", grade: check.Flaw, title: outside, measure: "winding number", value: 0, near: 0.01, joints: knee}},
		{0.101, true, side{name: "without, and nothing counts as that", limits: map[string]float64{"outside": -1}}},
	} {
		bothSides(t, "skeleton/off-centre", func() *rig.Rig { return tube(row.off, row.capped) }, []side{row.side})
	}
}

// Of several joints the worst is named first: places are gone through in that order.
func TestWorstIsFirst(t *testing.T) {
	r := lamp()
	lamplighter.MovePair(int(lamplighter.Node("lowerArm_L")), 0, 0, -0.035)(r)
	lamplighter.MoveJoint(int(lamplighter.Node("lowerArm_R")), 0.001)(r) // no longer exact partners
	w := r.RestWorld()[lamplighter.Node("lowerArm_R")]
	w[11] -= 0.01
	lamplighter.Rebind(r, map[rig.Node]rig.Affine{lamplighter.Node("lowerArm_R"): w})
	found, _ := Station.Judge(measured(t, r), nil)
	for _, f := range found {
		if f.ID == "skeleton/off-centre" {
			if len(f.Where.Joints) != 2 || f.Where.Joints[0] != lamplighter.Node("lowerArm_R") {
				t.Errorf("joints %v, want the right elbow first", f.Where.Joints)
			}
			return
		}
	}
	t.Error("not found")
}

// A loose sleeve around the arm does not change what holds the elbow: the innermost
// section counts.
func TestInnermostSection(t *testing.T) {
	r := checktest.Built(lamplighter.Options{})
	elbow := lamplighter.Node("lowerArm_L")
	before := sectionOf(measured(t, r), elbow)
	at := r.RestWorld()[elbow].Origin()
	box := rig.MeshData{Name: "sleeve", K: 4, Triangles: []uint32{0, 2, 1, 1, 2, 3, 4, 5, 6, 5, 7, 6, 0, 1, 4, 1, 5, 4, 2, 6, 3, 3, 6, 7, 0, 4, 2, 2, 4, 6, 1, 3, 5, 3, 7, 5}}
	for i := range 8 {
		for c := range 3 {
			d := -0.15
			if i>>c&1 == 1 {
				d = 0.15
			}
			box.Positions = append(box.Positions, float32(at[c]+d))
		}
		box.Joints, box.Weights = append(box.Joints, uint16(elbow), 0, 0, 0), append(box.Weights, 1, 0, 0, 0)
	}
	box.Primitives = []rig.PrimitiveData{{Count: 8, TriCount: 12, Material: rig.None, Mode: 4, Sets: 1, JointSets: 1, WeightSets: 1}}
	n := rig.Node(len(r.Nodes))
	r.Nodes = append(r.Nodes, rig.NodeData{Name: "sleeve", Parent: rig.None, Matrix: rig.Identity, TRS: rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}, Mesh: 1, Skin: 0})
	r.Meshes = append(r.Meshes, box)
	r.Surfaces = append(r.Surfaces, rig.Surface{Node: n, Mesh: 1, Skin: 0})
	r.Scenes[0].Roots = append(r.Scenes[0].Roots, n)
	r.SetOrder()
	after := sectionOf(measured(t, r), elbow)
	if before == nil || after == nil || after.Surface != 0 || math.Abs(after.Radius-before.Radius) > 1e-12 {
		t.Errorf("section %+v, want that of the arm, %+v", after, before)
	}
}

func sectionOf(f *Facts, n rig.Node) *Section {
	for i := range f.Sections {
		if f.Sections[i].Joint == n {
			return &f.Sections[i]
		}
	}
	return nil
}

// A coarse coat goes round both knees at once: that is no section of either.
func TestCoatIsNoLimb(t *testing.T) {
	f := measured(t, checktest.Built(lamplighter.Options{Vertices: 4000}))
	for _, knee := range []string{"lowerLeg_L", "lowerLeg_R"} {
		if s := sectionOf(f, lamplighter.Node(knee)); s != nil {
			t.Errorf("%s: a section of radius %.3f m, %.2f off", knee, s.Radius, s.Offset)
		}
	}
	if s := sectionOf(f, lamplighter.Node("foot_L")); s == nil || s.Offset > 0.3 {
		t.Errorf("ankle: %+v, want its own section", s)
	}
}
