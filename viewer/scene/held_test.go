package scene

import (
	"testing"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/marks"
)

// TestPointersFollowThePose: what points at a place goes along when the figure moves: a
// place told as a point of the rest pose, too, at a joint's origin or on the surface. The
// moved figure is worked out by package deform, not by the scene.
func TestPointersFollowThePose(t *testing.T) {
	r, p := lamp(t, lamplighter.T)
	s := New(r, p, nil)
	hand := nodeNamed(t, r, "hand_L")
	rest := r.RestWorld()
	mesh := r.Surfaces[0].Mesh
	surface := deform.RestSurface(r, 0)
	// A vertex that the hand holds alone, so that where it goes is told by the hand.
	vertex := -1
	for v := range r.Meshes[mesh].Vertices() {
		k := v * r.Meshes[mesh].K
		if r.Meshes[mesh].Weights[k] == 1 && r.Skins[0].Joints[r.Meshes[mesh].Joints[k]] == hand {
			vertex = v
			break
		}
	}
	if vertex < 0 {
		t.Fatal("the hand holds no vertex alone")
	}
	onSkin := space.Vec(space.Double(space.At32(surface, vertex)))
	far := space.Vec{40, 2, 0}
	points := []space.Vec{rest[hand].Origin(), onSkin, far}
	st := still(640, 480)
	st.Camera = s.View(&st, camera.Front)
	st.Pointers = true
	for i, q := range points {
		st.PointerList = append(st.PointerList, Pointer{Number: i + 1, Grade: 2, Surface: -1, Node: rig.None, Point: q})
	}
	pose := deform.NewPose(r)
	for _, seconds := range []float64{0, .4, .84, 1.3} {
		st.Clip, st.Seconds = 1, seconds
		s.Draw(&st)
		pose.Sample(1, seconds)
		now := pose.World[hand]
		back, _ := rest[hand].Inverse()
		want := []space.Vec{now.Origin(), now.Point(back.Point(onSkin)), far}
		for i, q := range points {
			at, ok := s.placeOf(&st, -1, 0, rig.None, q)
			if d := at.Sub(want[i]).Len(); !ok || !(d < 2e-5) {
				t.Errorf("at %.2f s the pointer of %v is at %v, %.4f m from its place", seconds, q, at, d)
			}
		}
		if moved := now.Origin(); seconds > 0 && space.Vec(moved).Sub(rest[hand].Origin()).Len() < .05 {
			t.Errorf("at %.2f s the hand has hardly moved: nothing is proved", seconds)
		}
	}
	// A move of the bend set takes them along as well.
	st.Clip, st.Seconds = rig.None, 0
	st.Move = Move{nodeNamed(t, r, "lowerArm_L"), "flexion", 90}
	s.Draw(&st)
	at, _ := s.placeOf(&st, -1, 0, rig.None, points[0])
	if d := at.Sub(rest[hand].Origin()).Len(); d < .1 {
		t.Errorf("the elbow bends by 90°, the pointer at the hand goes %.3f m", d)
	}
}

// TestLoupeFillsWithThePlace: the place of a finding is looked at through the loupe, be it
// a vertex, a joint or a point, and a small place is enlarged more than a large one.
func TestLoupeFillsWithThePlace(t *testing.T) {
	r, p := lamp(t, lamplighter.T)
	s := New(r, p, nil)
	head := nodeNamed(t, r, "head")
	st := still(900, 700)
	st.Loupe = true
	st.Camera = s.View(&st, camera.Front)
	zoom := map[string]float32{}
	for name, c := range map[string]Choice{
		"vertex": {Kind: OnVertex, Node: rig.None, Surface: 0, Vertex: 100},
		"spot":   {Kind: OnFinding, Number: 1, Node: rig.None, Surface: 0, Vertex: 100, Placed: true},
		"joint":  {Kind: OnFinding, Number: 1, Node: head, Surface: -1, Placed: true},
		"point":  {Kind: OnFinding, Number: 1, Node: rig.None, Surface: -1, Point: r.RestWorld()[head].Origin(), Placed: true},
		"large":  {Kind: OnFinding, Number: 1, Node: head, Surface: -1, Extent: .4, Placed: true},
		"small":  {Kind: OnFinding, Number: 1, Node: head, Surface: -1, Extent: .06, Placed: true},
	} {
		st.Chosen = c
		s.Draw(&st)
		x0, y0, x1, y1 := st.Window().Free()
		l, ok := s.loupe(&st, marks.Box{X0: float32(x0), Y0: float32(y0), X1: float32(x1), Y1: float32(y1)})
		if !ok {
			t.Errorf("%s: no loupe", name)
			continue
		}
		zoom[name] = l.Zoom
		if c.Extent > 0 && l.Zoom > 2.5 && float64(l.R)/(float64(l.Zoom)*l.Scale) < c.Extent/2 {
			t.Errorf("%s: the glass of %.0f px shows less than half of %.2f m", name, l.R, c.Extent)
		}
	}
	if zoom["spot"] <= zoom["vertex"] || zoom["small"] <= zoom["large"] || zoom["small"] < 4 || zoom["joint"] != zoom["point"] {
		t.Errorf("enlarged %v times", zoom)
	}
	st.Chosen = Choice{Kind: OnFinding, Number: 7, Node: rig.None, Surface: -1}
	if _, ok := s.loupe(&st, marks.Box{X1: 900, Y1: 700}); ok {
		t.Error("a finding without a place has a loupe")
	}
}

// Of twelve findings that lie in the picture nine have a pointer: one digit each.
func TestNinePointers(t *testing.T) {
	r := rigOf(box(true))
	s := New(r, prepared(t, r), nil)
	st := still(400, 300)
	st.Camera, st.Pointers = s.View(&st, camera.Front), true
	for i := range 12 {
		st.PointerList = append(st.PointerList, Pointer{Number: i + 1, Grade: 1, Surface: -1, Node: rig.None, Point: space.Vec{.08*float64(i) - .4, .5, .5}})
	}
	s.Draw(&st)
	if len(s.pointers) != 9 {
		t.Errorf("%d pointers, want 9", len(s.pointers))
	}
}
