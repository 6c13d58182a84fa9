package scene

import (
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
	"rigloupe/viewer/camera"
)

func TestNothingIsDrawnTwice(t *testing.T) {
	r, p := lamp(t, lamplighter.T)
	s := New(r, p, nil)
	st := still(200, 160)
	st.PointerList = []Pointer{{Number: 1, Grade: 2, Vertex: 40, Node: rig.None}}
	first := s.Draw(&st)
	if !first.Changed {
		t.Error("the first picture is not called changed")
	}
	pix := slices.Clone(first.Pix)
	if again := s.Draw(&st); again.Changed || !slices.Equal(again.Pix, pix) {
		t.Error("the same state was drawn again")
	}
	for name, change := range map[string]func(){
		"paper":    func() { st.Night = true },
		"lens":     func() { st.Lens = Count },
		"bones":    func() { st.Bones = false },
		"key":      func() { st.PointerList[0].Grade = 3 },
		"clip":     func() { st.Clip, st.Seconds = 0, .2 },
		"hover":    func() { st.Hover = Choice{Kind: OnFinding, Number: 1} },
		"size":     func() { st.Width = 180 },
		"fields":   func() { s.SetFields(nil) },
		"prepared": func() { s.SetPrepared(p) },
	} {
		change()
		if got := s.Draw(&st); !got.Changed {
			t.Errorf("%s changed, nothing was drawn", name)
		}
	}
	// Going back gives the first pixels again: a picture depends on its state only.
	back := still(200, 160)
	back.PointerList = []Pointer{{Number: 1, Grade: 2, Vertex: 40, Node: rig.None}}
	if got := s.Draw(&back); !slices.Equal(got.Pix, pix) {
		t.Error("the first state came back with other pixels")
	}
}

// Rigs that break every habit must still give a picture.
func TestStrangeRigs(t *testing.T) {
	nan := float32(math.NaN())
	broken := box(false)
	broken.Positions[0], broken.Positions[4] = nan, float32(math.Inf(1))
	allNaN := box(false)
	for i := range allNaN.Positions {
		allNaN.Positions[i] = nan
	}
	wild := box(false)
	wild.Triangles = append(wild.Triangles, 0, 1, 4000, 7, 7, 7)
	far := box(false)
	far.Positions[0] = 3e38
	flat := box(false)
	for i := 1; i < len(flat.Positions); i += 3 {
		flat.Positions[i] = 0
	}
	badNode := rigOf(box(false))
	badNode.Nodes[0].Matrix[0] = math.NaN()
	unbound := rigOf(box(false))
	unbound.Skins = []rig.SkinData{{Joints: []rig.Node{0, 0}}}
	unbound.Surfaces[0].Skin = 0
	unbound.Meshes[0].K = 4
	unbound.Meshes[0].Joints, unbound.Meshes[0].Weights = make([]uint16, 32), make([]float32, 32)
	unbound.Meshes[0].Primitives[0].Sets = 1
	unbound.Meshes[0].Joints[0], unbound.Meshes[0].Weights[0] = 1, 1
	points := box(false)
	points.Triangles = nil
	hidden := rigOf(box(false))
	hidden.Scenes, hidden.Shown = []rig.Scene{{}}, 0
	for name, r := range map[string]*rig.Rig{
		"no node at all":            {Shown: rig.None},
		"joints only":               bare(),
		"a vertex is not a number":  rigOf(broken),
		"no vertex is a number":     rigOf(allNaN),
		"an index points nowhere":   rigOf(wild),
		"a vertex at 3e38 m":        rigOf(far),
		"no height":                 rigOf(flat),
		"a matrix is not a number":  badNode,
		"bound to nothing":          unbound,
		"a mesh of points":          rigOf(points),
		"nothing in the scene":      hidden,
		"two boxes on one place":    rigOf(box(false), box(true)),
		"nodes but nothing on them": {Shown: rig.None, Nodes: []rig.NodeData{{Parent: rig.None, Mesh: rig.None, Skin: rig.None, Matrix: rig.Identity}}, Order: []rig.Node{0}},
	} {
		t.Run(name, func(t *testing.T) {
			for _, p := range []*Prepared{nil, prepared(t, r)} {
				s := New(r, p, nil)
				for _, lens := range Lenses() {
					st := still(90, 70)
					st.Lens = lens
					st.Chosen = Choice{Kind: OnVertex, Vertex: 3, Node: rig.None}
					st.Hover = Choice{Kind: OnJoint, Node: 0}
					st.PointerList = []Pointer{{Number: 1, Vertex: 1, Node: rig.None}, {Number: 2, Surface: 9, Node: rig.None}, {Number: 3, Surface: -1, Node: 99}}
					pic := s.Draw(&st)
					// The rose or at least the paper is there, and all of it opaque.
					for i, c := range pic.Pix {
						if c>>24 != 255 {
							t.Fatalf("%s: pixel %d is %08x", lens, i, c)
						}
					}
					if s.Caption(&st) == "" {
						t.Errorf("%s: no caption", lens)
					}
					for y := 0; y < 70; y += 7 {
						for x := 0; x < 90; x += 7 {
							s.Pick(x, y)
						}
					}
					s.Probe(0, 0)
					s.ViewOf(&st, Place{Surface: 0, Vertices: []rig.Vertex{0, 2}, Node: rig.None})
					for _, v := range []float64{st.Camera.Scale, s.View(&st, camera.Left).Scale} {
						if math.IsNaN(v) || math.IsInf(v, 0) {
							t.Errorf("%s: a camera of scale %g", lens, v)
						}
					}
				}
			}
		})
	}
}

// A box seen from the front: the pixel in the middle of its front face is that
// face, and the nearest corner is the right one.
func TestPickAndProbe(t *testing.T) {
	r := rigOf(box(true))
	s := New(r, prepared(t, r), nil)
	st := still(200, 200)
	st.Bones, st.Staff = false, false
	for _, moving := range []bool{false, true} {
		st.Moving = moving
		st.Camera = s.View(&st, camera.Front)
		s.Draw(&st)
		// 0.3 m right of and 0.2 m above the middle of the front face z = 0.5.
		x, y, _, _ := st.Camera.Pixel(space.Vec{.3, .7, .5})
		h := s.Pick(int(x), int(y))
		if h.Kind != OnVertex || h.Surface != 0 || h.Point.Sub(space.Vec{.3, .7, .5}).Len() > .02 {
			t.Fatalf("picked %+v", h)
		}
		if got := space.At32(r.Meshes[0].Positions, h.Vertex); got != [3]float32{.5, 1, .5} {
			t.Errorf("nearest corner %v, want the upper left front one 0.5 1 0.5", got)
		}
		if face := h.Triangle / 2; face != 4 {
			t.Errorf("triangle %d is of face %d, want the front, 4", h.Triangle, face)
		}
		if h := s.Pick(2, 2); h.Kind != Nothing || h.Surface != -1 || h.Node != rig.None {
			t.Errorf("on bare paper: %+v", h)
		}
	}
	if h := s.Pick(-1, 500); h.Kind != Nothing {
		t.Errorf("outside: %+v", h)
	}

	p, ok := s.Probe(0, 5)
	if !ok || p.Position != p.Posed || !p.IsDrawn || p.Element != 5 || p.Primitive != 0 || p.Sum != 0 || p.Partner != -1 || p.Mismatch == p.Mismatch {
		t.Errorf("probe: %+v, %v", p, ok)
	}
	for _, bad := range [][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 24}} {
		if _, ok := s.Probe(bad[0], rig.Vertex(bad[1])); ok {
			t.Errorf("probe %v found something", bad)
		}
	}
}

func TestPickAJointAndAKey(t *testing.T) {
	r, p := lamp(t, lamplighter.T)
	s := New(r, p, nil)
	st := still(400, 360)
	st.PointerList = []Pointer{{Number: 17, Grade: 3, Vertex: 900, Node: rig.None}}
	st.Camera = s.View(&st, camera.Front)
	s.Draw(&st)
	hand := nodeNamed(t, r, "hand_L")
	x, y, _, _ := st.Camera.Pixel(r.RestWorld()[hand].Origin())
	if h := s.Pick(int(x)+2, int(y)-1); h.Kind != OnJoint || h.Node != hand {
		t.Errorf("beside the left hand's joint: %+v", h)
	}
	b := s.pointers[0].Label()
	if h := s.Pick(int(b.X0+b.X1)/2, int(b.Y0+b.Y1)/2); h.Kind != OnFinding || h.Number != 17 {
		t.Errorf("on the key: %+v", h)
	}
	st.Bones = false
	s.Draw(&st)
	if h := s.Pick(int(x)+2, int(y)-1); h.Kind == OnJoint {
		t.Error("a joint was picked although bones are not shown")
	}
}

func TestProbeReadsWhatIsStored(t *testing.T) {
	r, p := lamp(t, lamplighter.T)
	s := New(r, p, unlike(r))
	m := &r.Meshes[0]
	for v := rig.Vertex(0); v < 200; v += 7 {
		got, ok := s.Probe(0, v)
		if !ok {
			t.Fatalf("vertex %d: nothing", v)
		}
		sum := float32(0)
		for k := int(v) * m.K; k < (int(v)+1)*m.K; k++ {
			sum += m.Weights[k]
		}
		if math.Abs(float64(sum-got.Sum)) > 1e-6 {
			t.Errorf("vertex %d: sum %g, stored %g", v, got.Sum, sum)
		}
		if !slices.IsSortedFunc(got.Influences, func(a, b Hold) int { return int(math.Copysign(1, float64(b.Weight-a.Weight))) }) {
			t.Errorf("vertex %d: influences %v do not fall", v, got.Influences)
		}
		if want := .004 * m.Positions[3*v+1]; got.Distance == got.Distance && got.Distance != want {
			t.Errorf("vertex %d: distance %g, want %g", v, got.Distance, want)
		}
	}
}

func TestCaptions(t *testing.T) {
	r, p := lamp(t, lamplighter.T)
	arm := nodeNamed(t, r, "upperArm_L")
	held := map[int]bool{}
	m := &r.Meshes[0]
	for i, w := range m.Weights {
		if w > 0 && r.Skins[0].Joints[m.Joints[i]] == arm {
			held[i/m.K] = true
		}
	}
	s := New(r, p, nil)
	st := still(10, 10)
	for _, row := range []struct {
		lens  Lens
		joint rig.Node
		want  string
	}{
		{Influence, arm, "Influence of upperArm_L. " + say.Whole(len(held)) + " of " + say.Whole(m.Vertices()) + " vertices hold some."},
		{Influence, rig.None, "Influence. Choose a joint to see what it holds."},
		{MirrorWeights, rig.None, "Mirrored weights. Not looked at yet."},
	} {
		st.Lens, st.Joint = row.lens, row.joint
		if got := s.Caption(&st); got != row.want {
			t.Errorf("%s: %q, want %q", row.lens, got, row.want)
		}
	}
	for _, l := range Lenses() {
		st.Lens = l
		if c := s.Caption(&st); !strings.HasSuffix(c, ".") || strings.Contains(c, "  ") {
			t.Errorf("%s: %q", l, c)
		}
		if got, ok := LensNamed(l.String()); !ok || got != l {
			t.Errorf("lens %q is not found by its name", l)
		}
	}
	if got := say.Whole(1204518); got != "1\u202f204\u202f518" {
		t.Errorf("1204518 is written %q", got)
	}
}

// The left hand of a figure seen from the front is on the right of the page, and
// its bones are drawn as left.
func TestSides(t *testing.T) {
	r, p := lamp(t, lamplighter.T)
	s := New(r, p, nil)
	for name, want := range map[string]int8{"hand_L": 1, "hand_R": -1, "head": 0, "hips": 0} {
		j := s.bones.place[nodeNamed(t, r, name)]
		if j < 0 || s.bones.side[j] != want {
			t.Errorf("%s: place %d, want side %d", name, j, want)
		}
	}
	chain := s.bones.chain(nodeNamed(t, r, "upperArm_L"))
	for name, want := range map[string]bool{"shoulder_L": true, "upperArm_L": true, "lowerArm_L": true, "hand_L": true, "chest": false, "upperArm_R": false} {
		if got := chain[s.bones.place[nodeNamed(t, r, name)]]; got != want {
			t.Errorf("%s in the chain of upperArm_L: %v", name, got)
		}
	}
}

// What is brought to the front lies in the middle and faces the eye.
func TestViewOf(t *testing.T) {
	r := rigOf(box(true))
	s := New(r, prepared(t, r), nil)
	st := still(400, 300)
	st.Camera = s.View(&st, camera.Front)
	back := []rig.Vertex{8, 9, 10, 11} // face 4 5 1 0, z = −0.5
	c := s.ViewOf(&st, Place{Surface: 0, Vertices: back, Node: rig.None})
	x, y, _, _ := c.Pixel(space.Vec{0, .5, -.5})
	if math.Abs(x-200) > 1e-6 || math.Abs(y-150) > 1e-6 {
		t.Errorf("the middle of the back lies at %g %g, want 200 150", x, y)
	}
	if _, _, z := c.Axes(); z.Dot(space.Vec{0, 0, -1}) < .5 {
		t.Errorf("the back faces %v, the eye is at %v", space.Vec{0, 0, -1}, z)
	}
	if same := s.ViewOf(&st, Place{Surface: 0, Vertices: []rig.Vertex{999}, Node: rig.None}); same != st.Camera {
		t.Error("a vertex that there is not moved the camera")
	}
}
