package scene

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// TestMove carries the sample's vertices by hand: x + w(Rx − x) with w the weight of
// the turned joint and all below it (linear blend of one turn and none).
func TestMove(t *testing.T) {
	r, p := lamp(t, lamplighter.T)
	s := New(r, p, nil)
	joint := nodeNamed(t, r, "lowerArm_L")
	turns := s.Bends.Of(joint)
	if len(turns) == 0 {
		t.Fatal("the elbow has no moves")
	}
	below := map[rig.Node]bool{}
	for _, n := range r.Order {
		below[n] = n == joint || r.Nodes[n].Parent >= 0 && below[r.Nodes[n].Parent]
	}
	for _, turn := range turns {
		st := still(64, 64)
		st.Move = Move{joint, turn.Axis, turn.Max}
		s.fig.move(&st, true)
		rest := deform.RestSurface(r, 0)
		m := turn.Rotation(r.RestWorld()[joint].Origin(), turn.Max)
		moved := 0
		for i, v := range p.Source[p.First[0]:p.end(0)] {
			w := 0.
			mesh := &r.Meshes[r.Surfaces[0].Mesh]
			for k := int(v) * mesh.K; k < (int(v)+1)*mesh.K; k++ {
				if below[r.Skins[0].Joints[mesh.Joints[k]]] {
					w += float64(mesh.Weights[k])
				}
			}
			x := space.Double(space.At32(rest, v))
			want := x.Add(m.Point(x).Sub(x).Mul(w))
			if d := space.Double(space.At32(s.fig.pos, i)).Sub(want).Len(); !(d < 2e-6) {
				t.Fatalf("%s: vertex %d is %g m from its place", turn.Axis, v, d)
			}
			if w > 0 {
				moved++
			}
		}
		if moved == 0 {
			t.Errorf("%s moves nothing", turn.Axis)
		}
	}
	st := still(64, 64)
	st.Move = Move{joint, "abduction", 30} // an elbow has none
	if _, ok := s.Bends.Turn(st.Move); ok {
		t.Error("the elbow spreads")
	}
	st.Move = Move{joint, turns[0].Axis, math.NaN()}
	s.fig.move(&st, false)
	for i, v := range s.fig.pos {
		if v != v {
			t.Fatalf("number %d is NaN", i)
		}
	}
}

// leaf is three triangles on two joints that both stand at the origin: one held by
// the first, one by the second, one by both.
func leaf() *rig.Rig {
	r := &rig.Rig{Shown: rig.None}
	addNode(r, "stem", rig.None, space.Vec{})
	addNode(r, "tip", 0, space.Vec{})
	addNode(r, "leaf", rig.None, space.Vec{})
	r.Nodes[2].Mesh, r.Nodes[2].Skin = 0, 0
	r.SetOrder()
	r.Skins = []rig.SkinData{{Joints: []rig.Node{0, 1}, Bind: []rig.Affine{rig.Identity, rig.Identity}}}
	m := rig.MeshData{K: 1}
	for i, held := range [3][3]uint16{{0, 0, 0}, {1, 1, 1}, {0, 1, 0}} {
		y := float32(3 * i)
		m.Positions = append(m.Positions, 1, y, 0, 2, y, 0, 1, y+1, 0)
		m.Joints = append(m.Joints, held[:]...)
		m.Weights = append(m.Weights, 1, 1, 1)
		m.Triangles = append(m.Triangles, uint32(3*i), uint32(3*i+1), uint32(3*i+2))
	}
	m.Primitives = []rig.PrimitiveData{{Count: 9, TriCount: 3, Sets: 1, Material: rig.None, Mode: 4}}
	r.Meshes = []rig.MeshData{m}
	r.Surfaces = []rig.Surface{{Node: 2, Mesh: 0, Skin: 0}}
	r.Clips = []rig.ClipData{{Name: "turn", Seconds: 1, Channels: []rig.Channel{
		{Node: 1, Path: rig.Rotation, Times: []float32{0}, Values: []float32{0, 0, 1, 0}, Width: 4}, // half a turn about z
	}}, {Name: "grow", Seconds: 1, Channels: []rig.Channel{
		{Node: 1, Path: rig.Scale, Times: []float32{0}, Values: []float32{3, 1, 1}, Width: 3},
	}}, {Name: "shrink", Seconds: 1, Channels: []rig.Channel{
		{Node: 1, Path: rig.Scale, Times: []float32{0}, Values: []float32{.25, .25, 1}, Width: 3},
	}}}
	return r
}

func TestStrain(t *testing.T) {
	r := leaf()
	s := New(r, prepared(t, r), nil)
	value := func(st *State, v rig.Vertex) float32 {
		s.Draw(st)
		return s.now.values.value[s.now.vertex(0, v)]
	}
	st := still(64, 64)
	st.Lens = Stretch
	for v := range rig.Vertex(9) {
		if got := value(&st, v); got > 1e-6 || got < -1e-6 {
			t.Errorf("at rest vertex %d has %v", v, got)
		}
	}
	for _, c := range []struct {
		name     string
		clip     rig.Clip
		v        rig.Vertex
		want     float64 // log2 of the stretch, at most 1
		p99, max float64
	}{
		{"turned as a whole", 0, 3, 0, 0, 0},
		{"drawn out to three times", 1, 3, 1, 5, 5}, // the third triangle's edge goes from 1 to 5 long
		{"pressed to a quarter", 2, 3, -1, 0, 0},
	} {
		st.Clip = c.clip
		if got := float64(value(&st, c.v)); math.Abs(got-c.want) > 1e-5 {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
		if m := s.Strained(&st); m.Triangles != 3 || c.max > 0 && math.Abs(m.Max-c.max) > 1e-5 || c.p99 > 0 && math.Abs(m.P99-c.p99) > 1e-5 {
			t.Errorf("%s: %+v", c.name, m)
		}
	}

	if l := s.Legend(&st); l.Kind != "two-sided" || l.Ticks[2] != "1" || l.Ticks[4] != "≥ 2" || l.Unit != "×" {
		t.Errorf("the scale is %+v", l)
	}

	st.Lens, st.Clip = TurnedOver, 0
	s.Draw(&st)
	flags := map[uint32]uint16{}
	for i, k := range s.now.values.material {
		flags[s.now.prepared.TriSource[i]] = k
	}
	if flags[0] != 0 || flags[1] != 0 || flags[2] != 1 {
		t.Errorf("turned over by triangle: %v, want the third alone", flags)
	}
	if m := s.Strained(&st); m.Turned != 1 {
		t.Errorf("%d turned over", m.Turned)
	}
	if got := s.Caption(&st); got != "Turned over. 1 of 3 triangles." {
		t.Errorf("says %q", got)
	}
	st.Clip = rig.None
	if got := s.Caption(&st); got != "Turned over. At rest nothing is. Play a move or a clip." {
		t.Errorf("says %q", got)
	}
}

// TestStrainedAsBends: over a whole move of the sample the count of triangles is that
// of those with a vertex held by the joint or below it.
func TestStrainedReach(t *testing.T) {
	r, p := lamp(t, lamplighter.T)
	s := New(r, p, nil)
	joint := nodeNamed(t, r, "lowerArm_L")
	st := still(64, 64)
	st.Move = Move{joint, "flexion", 120}
	m := s.Strained(&st)
	if m.Triangles == 0 || m.Triangles > len(p.Tri)/9 {
		t.Errorf("%d of %d triangles reached", m.Triangles, len(p.Tri)/3)
	}
	if !(m.P99 > 1.05 && m.P99 <= m.Max) {
		t.Errorf("stretch %+v", m)
	}
	st.Move.Degrees = 0
	if m := s.Strained(&st); math.Abs(m.Max-1) > 1e-3 || m.Turned != 0 {
		t.Errorf("not bent: %+v", m)
	}
}

// TestSplit holds the halves against whole pictures of the same size and camera.
func TestSplit(t *testing.T) {
	r, p := lamp(t, lamplighter.T)
	st := still(401, 240)
	st.Inset = [4]int{10, 30, 20, 60}
	st.Loupe = false
	st.Split = true
	st.Move = Move{nodeNamed(t, r, "lowerArm_L"), "flexion", 100}
	s := New(r, p, nil)
	st.Camera = s.View(&st, 0)
	pic := s.Draw(&st)
	got := slices.Clone(pic.Pix)
	states, middle := st.halves()
	if states[0].Width+states[1].Width != st.Width || middle != states[0].Width {
		t.Fatalf("halves %d and %d wide of %d", states[0].Width, states[1].Width, st.Width)
	}
	for i, h := range states {
		if h.Split || h.Method != deform.Method(i) {
			t.Fatalf("half %d is %v, split %v", i, h.Method, h.Split)
		}
		one := New(r, p, nil).Draw(&h)
		differ := 0
		for y := range h.Height {
			for x := range h.Width {
				// The line and the name stand on the side of the middle.
				inner := x >= h.Width-110 && y > h.Height-h.Inset[2]-24 || x >= h.Width-2
				if i == 1 {
					inner = x < 110 && y > h.Height-h.Inset[2]-24 || x < 2
				}
				if one.Pix[y*h.Width+x] != got[y*st.Width+x+i*middle] && !inner {
					differ++
				}
			}
		}
		if differ > 0 {
			t.Errorf("half %d differs from a picture by itself in %d pixels", i, differ)
		}
	}

	// What lies under a pixel of one half lies under the same pixel of the other, where
	// the pose does not part the two.
	at := func(side int, v rig.Vertex) (x, y int) {
		h := &states[side]
		s.fig.move(h, false)
		px, py, _, _ := h.Camera.Pixel(space.Double(space.At32(s.fig.pos, s.fig.vertex(0, v))))
		return int(px) + side*middle, int(py)
	}
	st.Bones, st.Pointers = false, false
	s.Draw(&st)
	head := p.Source[len(p.Source)/2]
	picked := 0
	for _, v := range []rig.Vertex{rig.Vertex(head), 100, 900, 2000, 3000} {
		if s.fig.vertex(0, v) < 0 {
			continue
		}
		for side := range 2 {
			x, y := at(side, v)
			hit := s.Pick(x, y)
			if hit.Kind != OnVertex {
				continue
			}
			picked++
			// The point under the pixel projects there again, in its own half.
			h := &states[side]
			px, py, _, _ := h.Camera.Pixel(hit.Point)
			if math.Abs(px+float64(side*middle)-float64(x)-.5) > 1 || math.Abs(py-float64(y)-.5) > 1 {
				t.Errorf("half %d: picked at %d %d, is at %.1f %.1f", side, x, y, px+float64(side*middle), py)
			}
			// And it lies on its triangle as that half has it.
			s.fig.move(h, false)
			if d := space.Double(space.At32(s.fig.pos, s.fig.vertex(0, hit.Vertex))).Sub(hit.Point).Len(); d > .1 {
				t.Errorf("half %d: vertex %d is %g m from the place that was picked", side, hit.Vertex, d)
			}
		}
	}
	if picked < 6 {
		t.Errorf("only %d places were picked", picked)
	}

	// At rest the two halves are the same, whole pixels apart, but for the last bits of
	// places in single precision.
	alike := st
	alike.Move, alike.Staff = Move{}, false
	pix, far := s.Draw(&alike).Pix, 0
	for y := 60; y < 200; y++ {
		for x := range 140 {
			if d := apart(pix[y*st.Width+60+x], pix[y*st.Width+middle+x]); d > 16 {
				far++
			}
		}
	}
	if far > 140*140/100 {
		t.Errorf("at rest the halves differ in %d of %d pixels", far, 140*140)
	}

	// A pixel of either half stands for the same place of the whole.
	x0, _, x1, _ := st.Window().Free()
	for side := range 2 {
		x, y := st.Across(float64(side*middle)+states[side].Camera.CX-st.Camera.CX+(x0+x1)/2+7, 50)
		if math.Abs(x-(x0+x1)/2-7) > 1e-9 || y != 50 {
			t.Errorf("half %d: 7 right of its middle is %g of the whole", side, x-(x0+x1)/2)
		}
	}
	if c := Halved(Halved(st.Camera, st.Window(), true, false), st.Window(), false, false); math.Abs(c.Scale/st.Camera.Scale-1) > 1e-12 || math.Abs(c.CX-st.Camera.CX) > 1e-9 {
		t.Error("split and whole again is another camera")
	}
}

// TestBendsAgree: the scene's moves are those of the bend set, joint by joint.
func TestBendsAgree(t *testing.T) {
	r, _ := lamp(t, lamplighter.A)
	want := anatomy.Find(r, r.RestWorld()).BendSet(r, r.RestWorld(), anatomy.SkinJoints(r))
	b := NewBends(r)
	n := 0
	for i := range r.Nodes {
		for _, turn := range b.Of(rig.Node(i)) {
			n++
			if !slices.ContainsFunc(want, func(w anatomy.Turn) bool { return w == turn }) {
				t.Errorf("node %d: %+v is not in the bend set", i, turn)
			}
			if math.Abs(space.Vec(turn.Dir).Len()-1) > 1e-9 {
				t.Errorf("node %d %s: axis of length %g", i, turn.Axis, turn.Dir.Len())
			}
		}
	}
	if n != len(want) {
		t.Errorf("%d moves, want %d", n, len(want))
	}
}

// apart is the largest difference of two pixels in one of red, green and blue.
func apart(a, b uint32) (most int) {
	for shift := 0; shift < 24; shift += 8 {
		d := int(a>>shift&255) - int(b>>shift&255)
		most = max(most, d, -d)
	}
	return most
}
