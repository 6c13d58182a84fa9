package scene

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func TestFloor(t *testing.T) {
	for _, row := range []struct {
		name         string
		move         space.Vec32 // of a cube of 1 m standing on the floor
		ground       float64
		low, high, x float64
	}{
		{name: "stands", low: 0, high: 1},
		{name: "floats 45 mm", move: space.Vec32{0, .045, 0}, low: .045, high: 1.045},
		{name: "its origin is its middle", move: space.Vec32{0, -.5, 0}, ground: -.5, low: 0, high: 1},
		{name: "stands aside", move: space.Vec32{5, 0, 0}, low: 0, high: 1, x: 5},
		{name: "a step aside", move: space.Vec32{.3, 0, 0}, low: 0, high: 1},
	} {
		m := box(true)
		for i := range m.Positions {
			m.Positions[i] += row.move[i%3]
		}
		r := rigOf(m)
		for _, p := range []*Prepared{nil, prepared(t, r)} {
			f := New(r, p, nil).floor
			if c := f.rose.Centre; math.Abs(c[1]-row.ground) > 1e-6 || math.Abs(c[0]-row.x) > 1e-6 {
				t.Errorf("%s: the rose lies at %v, want x %g, y %g", row.name, c, row.x, row.ground)
			}
			if math.Abs(f.staff.Low-row.low) > 1e-6 || math.Abs(f.staff.High-row.high) > 1e-6 {
				t.Errorf("%s: from %g to %g m on the staff, want %g to %g", row.name, f.staff.Low, f.staff.High, row.low, row.high)
			}
			if math.Abs(f.height-1) > 1e-6 {
				t.Errorf("%s: %g m tall, want 1", row.name, f.height)
			}
		}
	}
}

// A control rig: a root and controls without surface stay out of the picture, the
// end of a chain stays in.
func TestJointsShown(t *testing.T) {
	r := rigOf(box(true))
	root := addNode(r, "root", rig.None, space.Vec{})
	hips := addNode(r, "hips", root, space.Vec{0, .5, 0})
	chest := addNode(r, "chest", hips, space.Vec{0, .3, 0})
	end := addNode(r, "chestEnd", chest, space.Vec{0, .2, 0})
	control := addNode(r, "control", root, space.Vec{2, 0, 0})
	r.SetOrder()
	r.Skins = []rig.SkinData{{Joints: []rig.Node{root, hips, chest, end, control}, Skeleton: rig.None}}
	r.Surfaces[0].Skin = 0
	m := &r.Meshes[0]
	m.K, m.Joints, m.Weights = 4, make([]uint16, 4*24), make([]float32, 4*24)
	for v := range 24 {
		m.Joints[4*v], m.Weights[4*v] = uint16(1+v%2), 1
	}
	m.Primitives[0].Sets = 1
	s := New(r, prepared(t, r), nil)
	for n, want := range map[rig.Node]bool{root: false, hips: true, chest: true, end: true, control: false} {
		if got := s.bones.show[s.bones.place[n]]; got != want {
			t.Errorf("%s shown: %v, want %v", r.Nodes[n].Name, got, want)
		}
	}
	// What is chosen shows even so.
	st := still(60, 60)
	st.Chosen = Choice{Kind: OnJoint, Node: control}
	s.Draw(&st)
	if !s.bones.marks[s.bones.place[control]].Show {
		t.Error("a chosen control is not shown")
	}
}

func TestLegends(t *testing.T) {
	r, p := lamp(t, 0)
	s := New(r, p, unlike(r))
	st := still(10, 10)
	for _, row := range []struct {
		lens  Lens
		kind  string
		unit  string
		ticks []string
	}{
		{Plain, "none", "", nil},
		{Painted, "none", "", nil},
		{Dominant, "inks", "", nil},
		{Influence, "ramp", "", []string{"0", "0.25", "0.5", "0.75", "1"}},
		{MirrorWeights, "ramp", "", []string{"0", "0.25", "0.5", "0.75", "1"}},
		// The invented mismatch is 4 mm a metre of height, so 7.4 mm at the hat.
		{MirrorSurface, "ramp", "mm", []string{"0", "2.5", "5", "7.5", "10"}},
		{Count, "steps", "", []string{"0", "1", "2", "3", "4", "5", "6", "7", "8", "more"}},
	} {
		st.Lens = row.lens
		if got := s.Legend(&st); got.Kind != row.kind || got.Unit != row.unit || !slices.Equal(got.Ticks, row.ticks) {
			t.Errorf("%s: %+v, want %+v", row.lens, got, row)
		}
	}
}

// Once the examiner told the body from its gear the staff measures the body, and keeps
// what all that is shown measures for the words beside it.
func TestStaffMeasuresTheBody(t *testing.T) {
	r := rigOf(box(true))
	s := New(r, prepared(t, r), &Fields{Stands: [2]float64{.1, .8}})
	f := s.floor.staff
	if f.Low != .1 || f.High != .8 || f.WholeLow != 0 || f.WholeHigh != 1 {
		t.Errorf("%+v", f)
	}
	s.SetFields(&Fields{}) // not known
	if f = s.floor.staff; f.Low != 0 || f.High != 1 {
		t.Errorf("%+v", f)
	}
	s.SetFields(&Fields{Stands: [2]float64{.1, .8}})
	s.SetPrepared(prepared(t, r))
	if f = s.floor.staff; f.High != .8 {
		t.Errorf("dressed anew: %+v", f)
	}
}
