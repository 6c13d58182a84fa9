package scene

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/viewer/raster"
)

func inNight(st State) State { st.Night = true; return st }

func measuring(st State) State { st.Lens, st.Bones = Measured, false; return st }

// heights is 1 in the middle of the figure, 0 at the floor, 2 at the top; the right
// half of the hat has none.
func heights(r *rig.Rig) *Field {
	f := &Field{Name: "height", Title: "Height", Caption: "Height. Of the figure.", Unit: "×", Kind: TwoSided, Low: 0, Middle: 1, High: 2, Values: make([][]float32, len(r.Surfaces))}
	for s := range r.Surfaces {
		m := &r.Meshes[r.Surfaces[s].Mesh]
		for v := range m.Vertices() {
			h := m.Positions[3*v+1] / .9
			if h > 1.85 && m.Positions[3*v] < 0 {
				h = float32(math.NaN())
			}
			f.Values[s] = append(f.Values[s], h)
		}
	}
	return f
}

// flagged puts every tenth band of triangles in one of two inks.
func flagged(r *rig.Rig) *Field {
	f := &Field{Name: "bands", Kind: ByCategory, Triangles: make([][]uint8, len(r.Surfaces))}
	for s := range r.Surfaces {
		m := &r.Meshes[r.Surfaces[s].Mesh]
		for t := range len(m.Triangles) / 3 {
			y := m.Positions[3*m.Triangles[3*t]+1]
			f.Triangles[s] = append(f.Triangles[s], uint8(max(0, int(y*10)%5-2)))
		}
	}
	return f
}

// boxField answers what the lens Measured makes of the values of a box, by vertex
// of the mesh.
func boxField(t *testing.T, f *Field) *values {
	t.Helper()
	r := rigOf(box(false))
	s := New(r, prepared(t, r), nil)
	s.SetField(f)
	st := measuring(still(64, 64))
	s.Draw(&st)
	l := s.now.values
	source := s.now.prepared.Source // corners are split along creases: the first of each stands for all
	l.value, l.category = firsts(source, l.value), firsts(source, l.category)
	return &l
}

func firsts[E any](source []uint32, all []E) (out []E) {
	for i, e := range all {
		if i == 0 || source[i] != source[i-1] {
			out = append(out, e)
		}
	}
	return out
}

func TestFieldScales(t *testing.T) {
	nan := float32(math.NaN())
	eight := func(v ...float32) [][]float32 { return [][]float32{v} }
	t.Run("value", func(t *testing.T) {
		l := boxField(t, &Field{Low: 1, High: 3, Values: eight(1, 2, 3, nan, 1.5, 5, 0, 3)})
		want := []float32{0, .5, 1, nan, .25, 2, -.5, 1} // the plate stops at 0 and 1
		if l.surface != raster.Value || !same(l.value, want) {
			t.Errorf("%v, want %v", l.value, want)
		}
	})
	t.Run("fitted", func(t *testing.T) {
		f := &Field{Values: eight(0, 0, 0, 0, 0, 0, 0, .7)}
		if low, _, high := f.span(); low != 0 || high < .5 || high > 1 {
			t.Errorf("span %v … %v", low, high)
		}
	})
	t.Run("two-sided", func(t *testing.T) {
		l := boxField(t, &Field{Kind: TwoSided, Low: .5, Middle: 1, High: 3, Values: eight(.5, .75, 1, 2, 3, 9, 0, nan)})
		want := []float32{-1, -.5, 0, .5, 1, 1, -1, nan}
		if l.surface != raster.TwoSided || !same(l.value, want) {
			t.Errorf("%v, want %v", l.value, want)
		}
	})
	t.Run("category", func(t *testing.T) {
		l := boxField(t, &Field{Kind: ByCategory, Values: eight(0, 1, 11, 12, nan, -1, 25, 3)})
		want := []uint8{0, 1, 11, 0, raster.NoCategory, raster.NoCategory, 1, 3}
		if l.surface != raster.Category || !slices.Equal(l.category, want) {
			t.Errorf("%v, want %v", l.category, want)
		}
	})
	t.Run("steps", func(t *testing.T) {
		l := boxField(t, &Field{Kind: BySteps, Values: eight(0, 1, 9, 40, nan, 2, 3, 4)})
		want := []uint8{0, 1, 9, 9, raster.NoCategory, 2, 3, 4}
		if l.surface != raster.Count || !slices.Equal(l.category, want) {
			t.Errorf("%v, want %v", l.category, want)
		}
	})
	t.Run("named steps", func(t *testing.T) { // three over ten shades: paper, the middle, ink
		l := boxField(t, &Field{Kind: BySteps, Names: []string{"a", "b", "c"}, Values: eight(0, 1, 2, 3, nan, 0, 1, 2)})
		if want := []uint8{0, 5, 9, 9, raster.NoCategory, 0, 5, 9}; !slices.Equal(l.category, want) {
			t.Errorf("%v, want %v", l.category, want)
		}
	})
	t.Run("triangles", func(t *testing.T) {
		l := boxField(t, &Field{Triangles: [][]uint8{{0, 1, 2, 0, 0, 0, 0, 0, 0, 0, 0, 3}}})
		r := rigOf(box(false))
		p := prepared(t, r)
		for k, from := range p.TriSource {
			if want := [12]uint16{0, 1, 2, 11: 3}[from]; l.material[k] != want {
				t.Errorf("triangle %d: %d, want %d", from, l.material[k], want)
			}
		}
	})
	t.Run("short", func(t *testing.T) { // fields of another figure break nothing
		boxField(t, &Field{Values: eight(1)})
		boxField(t, &Field{Triangles: [][]uint8{{1}}})
		boxField(t, nil)
	})
}

func same(a, b []float32) bool {
	return slices.EqualFunc(a, b, func(x, y float32) bool { return x == y || x != x && y != y })
}

func TestFieldLegend(t *testing.T) {
	for _, c := range []struct {
		name  string
		field *Field
		kind  string
		unit  string
		ticks []string
	}{
		{"none", nil, "none", "", nil},
		{"millimetres", &Field{Unit: "m", High: .02}, "ramp", "mm", []string{"0", "5", "10", "15", "20"}},
		{"micrometres", &Field{Unit: "m", High: 2e-5}, "ramp", "µm", []string{"0", "5", "10", "15", "20"}},
		{"metres", &Field{Unit: "m", High: 2}, "ramp", "m", []string{"0", "0.5", "1", "1.5", "2"}},
		{"stretch", &Field{Kind: TwoSided, Unit: "×", Low: .5, Middle: 1, High: 2}, "two-sided", "×", []string{"0.5", "0.75", "1", "1.5", "2"}},
		{"named", &Field{Kind: ByCategory, Names: []string{"a", "b"}}, "inks", "", []string{"a", "b"}},
		{"steps", &Field{Kind: BySteps}, "steps", "", []string{"0", "1", "2", "3", "4", "5", "6", "7", "8", "9"}},
	} {
		l := c.field.legend()
		if l.Kind != c.kind || l.Unit != c.unit || !slices.Equal(l.Ticks, c.ticks) {
			t.Errorf("%s: %+v", c.name, l)
		}
	}
}

// inked is an overlay over the Lamplighter: a loop round the coat, a frame in the
// middle plane, spots before and behind, a joint.
func inked(r *rig.Rig) *Overlay {
	o := &Overlay{Number: 1, Grade: 3}
	m := &r.Meshes[r.Surfaces[0].Mesh]
	var hollow, dots []Anchor
	for v := range m.Vertices() {
		switch y := m.Positions[3*v+1]; {
		case y > 1.7:
			hollow = append(hollow, OnMesh(0, rig.Vertex(v)))
		case y < .1:
			dots = append(dots, OnMesh(0, rig.Vertex(v)))
		}
	}
	loop := Line{Closed: true}
	for i := range 48 { // free in the world, so that half of it is hidden
		a := 2 * math.Pi * float64(i) / 48
		loop.Path = append(loop.Path, InWorld(space.Vec{.26 * math.Cos(a), .7, .26 * math.Sin(a)}))
	}
	o.Lines = []Line{loop, {Closed: true, Frame: true, Path: []Anchor{
		InWorld(space.Vec{0, 0, -.4}), InWorld(space.Vec{0, 0, .4}), InWorld(space.Vec{0, 1.95, .4}), InWorld(space.Vec{0, 1.95, -.4}),
	}}}
	o.Spots = []Spots{{1, hollow}, {0, dots}, {2, []Anchor{InWorld(space.Vec{0, 1.1, .3})}}, {3, []Anchor{OnNode(1)}}}
	return o
}

// TestOverlayFollows: a spot on a vertex goes with the pose, on the coarse copy
// too; an anchor that the figure does not have is left out.
func TestOverlayFollows(t *testing.T) {
	r, p := lamp(t, lamplighter.T)
	s := New(r, p, nil)
	v := rig.Vertex(0)
	m := &r.Meshes[r.Surfaces[0].Mesh]
	for i := range m.Vertices() { // the farthest out, on a swinging lantern
		if m.Positions[3*i] > m.Positions[3*v] {
			v = rig.Vertex(i)
		}
	}
	s.SetOverlay(&Overlay{Grade: 1, Spots: []Spots{{0, []Anchor{OnMesh(0, v), OnMesh(0, 1<<30), OnMesh(99, 0), OnNode(9999)}}}})
	st := still(200, 200)
	places := map[bool]space.Vec32{}
	for _, moving := range []bool{false, true} {
		st.Moving, st.Clip, st.Seconds = moving, 1, .84
		s.Draw(&st)
		for _, bad := range s.overlay.Spots[0].Place[1:] {
			if s.seen(&s.last, bad).OK {
				t.Errorf("%+v is seen", bad)
			}
		}
		q := s.seen(&s.last, s.overlay.Spots[0].Place[0])
		at, ok := s.vertex(&s.views[0].state, 0, v)
		if !ok || !q.OK {
			t.Fatalf("vertex %v, seen %v", ok, q.OK)
		}
		x, y, _, _ := s.last.Camera.Pixel(space.Double(at))
		if math.Hypot(x-float64(q.X), y-float64(q.Y)) > .01 {
			t.Errorf("moving %v: spot at %v %v, vertex at %v %v", moving, q.X, q.Y, x, y)
		}
		places[moving] = at
	}
	st.Clip = rig.None
	s.Draw(&st)
	if at, _ := s.vertex(&s.views[0].state, 0, v); at.Sub(places[false]).Len() < .05 {
		t.Errorf("the lantern did not move: %v, %v", at, places[false])
	}
}

// TestOverlayGoes: taken away, the picture is as before.

func TestOverlayGoes(t *testing.T) {
	r, p := lamp(t, lamplighter.T)
	s := New(r, p, nil)
	st := still(160, 120)
	before := slices.Clone(s.Draw(&st).Pix)
	s.SetOverlay(inked(r))
	with := slices.Clone(s.Draw(&st).Pix)
	s.SetOverlay(nil)
	after := s.Draw(&st).Pix
	if slices.Equal(before, with) {
		t.Error("nothing was inked")
	}
	if !slices.Equal(before, after) {
		t.Error("something is left of it")
	}
}
