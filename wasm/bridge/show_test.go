package bridge

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/scene"
)

// figure has three nodes, one clip and one surface of two primitives: 4 and 6
// vertices.
func figure() *rig.Rig {
	m := rig.MeshData{Name: "Coat", Positions: make([]float32, 30)}
	m.Primitives = []rig.PrimitiveData{{First: 0, Count: 4}, {First: 4, Count: 6}}
	return &rig.Rig{
		Nodes:    []rig.NodeData{{Name: "hips"}, {Name: "spine"}, {Name: "coat"}},
		Clips:    []rig.ClipData{{Seconds: 2}},
		Meshes:   []rig.MeshData{m},
		Surfaces: []rig.Surface{{Node: 2, Mesh: 0, Skin: rig.None}},
	}
}

func TestApply(t *testing.T) {
	r := figure()
	none := scene.Choice{Node: rig.None, Surface: -1}
	start := scene.State{Joint: rig.None, Clip: rig.None, Chosen: none, Hover: none, Bones: true}
	for _, w := range []struct {
		name string
		show Show
		want func(*scene.State)
	}{
		{"nothing", Show{}, func(*scene.State) {}},
		{"paper", Show{Paper: new("night")}, func(s *scene.State) { s.Night = true }},
		{"lens", Show{Lens: new("mirror-weights")}, func(s *scene.State) { s.Lens = scene.MirrorWeights }},
		{"method", Show{Method: new("dual")}, func(s *scene.State) { s.Method = deform.Dual }},
		{"move", Show{Move: &Move{1, "flexion", 40}}, func(s *scene.State) { s.Move = scene.Move{Joint: 1, Axis: "flexion", Degrees: 40} }},
		{"move and then its angle", Show{Move: &Move{1, "x", 40}, Degrees: new(-9.5)}, func(s *scene.State) { s.Move = scene.Move{Joint: 1, Axis: "x", Degrees: -9.5} }},
		{"move farther than half a turn", Show{Move: &Move{1, "x", -1e9}}, func(s *scene.State) { s.Move = scene.Move{Joint: 1, Axis: "x", Degrees: -180} }},
		{"move by no number", Show{Move: &Move{1, "x", math.NaN()}}, func(s *scene.State) { s.Move = scene.Move{Joint: 1, Axis: "x"} }},
		{"move of a joint that is not there", Show{Move: &Move{3, "flexion", 40}}, func(s *scene.State) {}},
		{"no move", Show{Move: &Move{1, "", 40}}, func(s *scene.State) {}},
		{"angle without a move", Show{Degrees: new(30.)}, func(s *scene.State) {}},
		{"split", Show{Split: new(true)}, func(s *scene.State) { s.Split = true }},
		{"joint", Show{Joint: new(1)}, func(s *scene.State) { s.Joint = 1 }},
		{"joint that is not there", Show{Joint: new(3)}, func(s *scene.State) {}},
		{"clip", Show{Clip: new(0), Seconds: new(1.5)}, func(s *scene.State) { s.Clip, s.Seconds = 0, 1.5 }},
		{"clip that is not there", Show{Clip: new(1)}, func(s *scene.State) {}},
		{"time that is no number", Show{Seconds: new(math.NaN())}, func(s *scene.State) {}},
		{"bones off, loupe on", Show{Bones: new(false), Loupe: new(true)}, func(s *scene.State) { s.Bones, s.Loupe = false, true }},
		{"insets in CSS pixels", Show{Inset: []float64{10, 20.4, math.NaN(), 40}}, func(s *scene.State) { s.Inset = [4]int{5, 10, 0, 20} }},
		{"a sum, one term", Show{Sum: new(true), Terms: new(1)}, func(s *scene.State) { s.Sum, s.Terms = true, 1 }},
		{"less than no term", Show{Terms: new(-1)}, func(s *scene.State) {}},
		{"joint chosen", Show{Chosen: &Chosen{Kind: "joint", Node: new(2)}},
			func(s *scene.State) { s.Chosen = scene.Choice{Kind: scene.OnJoint, Node: 2, Surface: -1} }},
		{"vertex chosen", Show{Chosen: &Chosen{Kind: "vertex", Surface: new(0), Vertex: new(9)}},
			func(s *scene.State) {
				s.Chosen = scene.Choice{Kind: scene.OnVertex, Node: rig.None, Surface: 0, Vertex: 9}
			}},
		{"element of the second primitive", Show{Chosen: &Chosen{Kind: "vertex", Surface: new(0), Primitive: new(1), Vertex: new(5)}},
			func(s *scene.State) {
				s.Chosen = scene.Choice{Kind: scene.OnVertex, Node: rig.None, Surface: 0, Vertex: 9}
			}},
		{"element beyond its primitive", Show{Chosen: &Chosen{Kind: "vertex", Surface: new(0), Primitive: new(0), Vertex: new(4)}}, func(s *scene.State) {}},
		{"vertex beyond the mesh", Show{Chosen: &Chosen{Kind: "vertex", Surface: new(0), Vertex: new(10)}}, func(s *scene.State) {}},
		{"surface that is not there", Show{Chosen: &Chosen{Kind: "vertex", Surface: new(1), Vertex: new(0)}}, func(s *scene.State) {}},
		{"finding under the pointer", Show{Hover: &Chosen{Kind: "finding", Number: new(7), Surface: new(-1), Vertex: new(-1)}},
			func(s *scene.State) {
				s.Hover = scene.Choice{Kind: scene.OnFinding, Number: 7, Node: rig.None, Surface: -1}
			}},
		{"pointers", Show{PointerList: []Pointer{
			{Number: 1, Grade: "stop", Surface: new(0), Vertex: new(3)},
			{Number: 2, Grade: "note", Node: new(1), Point: []float64{1, 2, 3}},
		}}, func(s *scene.State) {
			s.PointerList = []scene.Pointer{
				{Number: 1, Grade: 3, Surface: 0, Vertex: 3, Node: rig.None},
				{Number: 2, Grade: 1, Surface: -1, Node: 1, Point: [3]float64{1, 2, 3}},
			}
		}},
		{"no pointers", Show{PointerList: []Pointer{}}, func(s *scene.State) { s.PointerList = []scene.Pointer{} }},
	} {
		t.Run(w.name, func(t *testing.T) {
			got, want := start, start
			w.want(&want)
			if err := w.show.Apply(&got, r, .5); err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(got, want) {
				t.Errorf("got\n%+v, want\n%+v", got, want)
			}
		})
	}
}

// A word that is not known changes nothing and is answered with those that are.
func TestApplyRefuses(t *testing.T) {
	for _, w := range []struct {
		show Show
		want string
	}{
		{Show{Paper: new("blue")}, "want day or night"},
		{Show{Lens: new("heat")}, "painted, plain, influence, dominant, count, mirror-surface, mirror-weights"},
		{Show{Method: new("cubic")}, "want linear or dual"},
		{Show{Inset: []float64{1}}, "want 4"},
		{Show{Chosen: &Chosen{Kind: "bone"}}, "want joint, vertex, finding or none"},
		{Show{Hover: &Chosen{Kind: "bone"}}, "want joint, vertex, finding or none"},
		{Show{PointerList: []Pointer{{Grade: "bad"}}}, "want stop, flaw or note"},
	} {
		w.show.Bones = new(true)
		st := scene.State{}
		err := w.show.Apply(&st, figure(), 1)
		if err == nil || !strings.Contains(err.Error(), w.want) {
			t.Errorf("%v, want %q", err, w.want)
		}
		if st.Bones {
			t.Errorf("%q: changed in part", w.want)
		}
	}
}

// Before a figure is there, only what needs none is taken.
func TestApplyWithoutFigure(t *testing.T) {
	st := scene.State{}
	if err := (&Show{Paper: new("night"), Joint: new(0), Clip: new(0)}).Apply(&st, nil, 1); err != nil {
		t.Fatal(err)
	}
	if !st.Night || st.Joint != rig.None || st.Clip != rig.None {
		t.Errorf("%+v", st)
	}
}

func TestPlace(t *testing.T) {
	r := figure()
	for _, w := range []struct {
		name  string
		place Place
		want  scene.Place
		ok    bool
	}{
		{"vertices", Place{Surface: new(0), Vertices: []int{1, 8, 99}, Extent: .1},
			scene.Place{Surface: 0, Vertices: []rig.Vertex{1, 8}, Node: rig.None, Extent: .1}, true},
		{"elements of a primitive", Place{Surface: new(0), Primitive: new(1), Vertices: []int{0, 5}},
			scene.Place{Surface: 0, Vertices: []rig.Vertex{4, 9}, Node: rig.None}, true},
		{"node", Place{Surface: new(-1), Node: new(1)}, scene.Place{Surface: -1, Node: 1}, true},
		{"point", Place{Node: new(-1), Point: []float64{1, 2, 3}}, scene.Place{Surface: -1, Node: rig.None, Point: [3]float64{1, 2, 3}}, true},
		{"vertices that are not there: the point", Place{Surface: new(0), Vertices: []int{10}, Point: []float64{1, 2, 3}},
			scene.Place{Surface: -1, Node: rig.None, Point: [3]float64{1, 2, 3}}, true},
		{"nothing", Place{}, scene.Place{Surface: -1, Node: rig.None}, false},
	} {
		got, ok := w.place.Place(r)
		if ok != w.ok || !reflect.DeepEqual(got, w.want) {
			t.Errorf("%s: got %+v %v, want %+v %v", w.name, got, ok, w.want, w.ok)
		}
	}
}

func TestCameraRoundTrip(t *testing.T) {
	w := camera.Window{Width: 1280, Height: 800, Inset: [4]int{1, 2, 3, 4}}
	c := camera.Camera{Target: [3]float64{1, 2, 3}, Yaw: .5, Pitch: .25, Distance: 7, Scale: 200, CX: 640, CY: 399}
	told := CameraOf(c, w)
	if got, ok := told.Camera(w); !ok || got != c {
		t.Errorf("got %+v %v, want %+v", got, ok, c)
	}
	wider := w
	wider.Width, wider.Inset = 1400, [4]int{1, 122, 3, 4}
	if got, _ := told.Camera(wider); got != c {
		t.Errorf("the free rectangle is the same, but the camera went to %+v", got)
	}
	for _, broken := range []Camera{{}, {Target: []float64{1, 2, 3}, Inset: []float64{0, 0, 0, 0}, Distance: math.NaN(), Scale: 1, Width: 1, Height: 1}} {
		if _, ok := broken.Camera(w); ok {
			t.Errorf("%+v was taken for a camera", broken)
		}
	}
}
