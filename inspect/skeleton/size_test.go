package skeleton

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// The head bound turned by 3° about +X: each vertex it dominates is off by
// 2·sin 1.5° × its distance from that axis (closed form); the figure is the 95th
// percentile of those, worked out here from the file's weights.
func TestShiftIsThe95thPercentile(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{})
	head := lamplighter.Node("head")
	lamplighter.Misbind(int(head), 0, 3)(r)
	at := r.RestWorld()[head].Origin()
	m := &r.Meshes[0]
	var off []float64
	for v := range m.Vertices() {
		k := v * m.K
		for i := k; i < (v+1)*m.K; i++ {
			if m.Weights[i] > m.Weights[k] {
				k = i
			}
		}
		if rig.Node(m.Joints[k]) == head {
			off = append(off, 2*math.Sin(1.5*math.Pi/180)*math.Hypot(float64(m.Positions[3*v+1])-at[1], float64(m.Positions[3*v+2])-at[2]))
		}
	}
	slices.Sort(off)
	want := off[int(math.Ceil(0.95*float64(len(off))))-1]
	if got := *measured(t, r).at(head).Drift; math.Abs(got-want) > 1e-6 {
		t.Errorf("%v m over %d vertices, want %v (from %v to %v)", got, len(off), want, off[0], off[len(off)-1])
	}
}

// A loose sleeve around the arm does not change what holds the elbow: the innermost
// section counts.
func TestInnermostSection(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{})
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

// Part of a chain taken off is hung where its partner hangs, on its own side; the
// distance is that of its joint from the bone, worked by hand.
func TestHangsAsItsPartner(t *testing.T) {
	for _, row := range []struct {
		off, on string
		metres  float64
	}{{"chain_L_3", "chain_L_2", 0.064}, {"hand_L", "lowerArm_L", 0.269}} {
		r := lamplighter.Build(lamplighter.Options{})
		lamplighter.Detach(int(lamplighter.Node(row.off)))(r)
		f := measured(t, r)
		if len(f.Loose) != 1 || f.Loose[0].HangOn != lamplighter.Node(row.on) || math.Abs(*f.Loose[0].Distance-row.metres) > 1e-6 {
			t.Errorf("%s: %+v, want on %s", row.off, f.Loose, row.on)
		}
	}
}

// A coarse coat goes round both knees at once: that is no section of either.
func TestCoatIsNoLimb(t *testing.T) {
	f := measured(t, lamplighter.Build(lamplighter.Options{Vertices: 4000}))
	for _, knee := range []string{"lowerLeg_L", "lowerLeg_R"} {
		if s := sectionOf(f, lamplighter.Node(knee)); s != nil {
			t.Errorf("%s: a section of radius %.3f m, %.2f off", knee, s.Radius, s.Offset)
		}
	}
	if s := sectionOf(f, lamplighter.Node("foot_L")); s == nil || s.Offset > 0.3 {
		t.Errorf("ankle: %+v, want its own section", s)
	}
}
