package scene

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// halfOf is one half of a picture, row by row.
func halfOf(p Picture, right bool) (out []uint32) {
	for y := range p.H {
		a, b := 0, p.W/2
		if right {
			a, b = p.W/2, p.W
		}
		out = append(out, p.Pix[y*p.W+a:y*p.W+b]...)
	}
	return out
}

// The right half shows the other figure, the left one this one, by one camera: a figure
// beside itself is the same pixel by pixel but for the words, another is not; and what is
// taken away leaves the picture as it was.
func TestBeside(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	p, err := Prepare(context.Background(), r, nil)
	if err != nil {
		t.Fatal(err)
	}
	s := New(r, p, nil)
	st := State{Width: 400, Height: 300, Joint: rig.None, Clip: rig.None, Chosen: Choice{Node: rig.None, Surface: -1}, Hover: Choice{Node: rig.None, Surface: -1}, Moving: true, Lens: Plain}
	whole := slices.Clone(s.Draw(&st).Pix)
	st.Split, st.Beside = true, true
	// The camera is given, so that both pictures have the same.
	st.Camera = s.View(&st, 0)
	s.SetBeside(New(r, p, nil), true)
	same := s.Draw(&st)
	differ := func(p Picture) (n int) {
		l, r := halfOf(p, false), halfOf(p, true)
		for y := range p.H - 40 { // above the words
			for x := 2; x < p.W/2-2; x++ { // but for the line between them
				if l[y*p.W/2+x] != r[y*p.W/2+x] {
					n++
				}
			}
		}
		return n
	}
	if n := differ(same); n != 0 {
		t.Errorf("a figure beside itself differs in %d pixels", n)
	}
	other := lamplighter.Build(lamplighter.Options{Vertices: 4000, Pose: lamplighter.A})
	q, err := Prepare(context.Background(), other, nil)
	if err != nil {
		t.Fatal(err)
	}
	left := halfOf(same, false)
	s.SetBeside(New(other, q, nil), false)
	apart := s.Draw(&st)
	if n := differ(apart); n < 200 {
		t.Errorf("a figure in another pose differs in %d pixels", n)
	}
	if !slices.Equal(halfOf(apart, false), left) {
		t.Error("the left half is not this figure")
	}
	// What is under the right half of another shape: its joints, which are this figure's by place
	// and name, and no vertex, since those are others.
	boned := st
	boned.Bones = true
	s.Draw(&boned)
	hits := [2]map[Kind]int{{}, {}}
	for y := 0; y < 300; y += 2 {
		for x := 0; x < 400; x += 2 {
			h := s.Pick(x, y)
			hits[x/200][h.Kind]++
			if h.Kind == OnJoint && (h.Other || s.rig.Nodes[h.Node].Name == "") {
				t.Fatalf("at %d, %d: %+v", x, y, h)
			}
		}
	}
	if hits[0][OnVertex] == 0 || hits[0][OnJoint] == 0 || hits[1][OnVertex] != 0 || hits[1][OnJoint] == 0 {
		t.Errorf("under the halves lie %v", hits)
	}
	s.SetBeside(New(r, p, nil), true) // of the same shape: a click on the right is one on the left
	s.Draw(&boned)
	alike, found := 0, 0
	for y := 0; y < 300; y += 3 {
		for x := 0; x < 200; x += 3 {
			l, r := s.Pick(x, y), s.Pick(x+200, y)
			if l.Kind != OnVertex && l.Kind != OnJoint {
				continue
			}
			found++
			if l.Kind == r.Kind && l.Node == r.Node && l.Surface == r.Surface && l.Vertex == r.Vertex {
				alike++
			}
		}
	}
	if found < 200 || alike != found {
		t.Errorf("%d of %d clicks on the right choose what those on the left do", alike, found)
	}
	// A figure a hundred times as large is seen by the same view, drawn as small.
	big := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	for i := range big.Nodes {
		if big.Nodes[i].Parent < 0 {
			m := &big.Nodes[i].Matrix
			for k := range m {
				m[k] *= 100
			}
		}
	}
	large, err := Prepare(context.Background(), big, nil)
	if err != nil {
		t.Fatal(err)
	}
	s.SetBeside(New(big, large, nil), false)
	if k := s.larger(); k < 99 || k > 101 || !strings.Contains(s.under(&st)[1], "100 as large") {
		t.Errorf("%g times as large: %q", k, s.under(&st)[1])
	}
	inked := func(half []uint32) (n int) {
		for _, c := range half {
			if c != s.paper.Paper {
				n++
			}
		}
		return n
	}
	small := s.Draw(&st)
	if l, r := inked(halfOf(small, false)), inked(halfOf(small, true)); math.Abs(float64(l-r)) > .1*float64(l) {
		t.Errorf("drawn as small it covers %d pixels, this one %d", r, l)
	}
	s.SetBeside(nil, false)
	st.Split, st.Beside, st.Camera = false, false, State{}.Camera
	if !slices.Equal(s.Draw(&st).Pix, whole) {
		t.Error("taken away, the picture is another")
	}
}

// In a room higher than it is wide the halves lie on top of each other; the upper one is
// this figure, and a place of the lower one leads to where this camera has it.
func TestBesideStacked(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	p, err := Prepare(context.Background(), r, nil)
	if err != nil {
		t.Fatal(err)
	}
	s := New(r, p, nil)
	st := State{Width: 300, Height: 500, Joint: rig.None, Clip: rig.None, Chosen: Choice{Node: rig.None, Surface: -1}, Hover: Choice{Node: rig.None, Surface: -1}, Moving: true, Lens: Plain, Split: true, Beside: true}
	s.SetBeside(New(r, p, nil), true)
	st.Camera = s.View(&st, 0)
	pic := s.Draw(&st)
	differ := 0
	for y := 30; y < 220; y++ { // but for the words at the line
		for x := range 300 {
			if pic.Pix[y*300+x] != pic.Pix[(y+250)*300+x] {
				differ++
			}
		}
	}
	if differ != 0 {
		t.Errorf("a figure above itself differs in %d pixels", differ)
	}
	hits := [2]int{}
	for y := 0; y < 500; y += 10 {
		for x := 0; x < 300; x += 10 {
			if s.Pick(x, y).Kind != Nothing {
				hits[y/250]++
			}
		}
	}
	if hits[0] == 0 || hits[1] != hits[0] {
		t.Errorf("%d places above can be chosen, %d below", hits[0], hits[1])
	}
	ax, ay := st.Across(40, 60)
	bx, by := st.Across(40, 310)
	if ax != bx || math.Abs(ay-by) > 1e-9 {
		t.Errorf("(%g, %g) above, (%g, %g) below", ax, ay, bx, by)
	}
	c := st.Camera
	if back := Halved(Halved(c, st.Window(), false, true), st.Window(), true, true); math.Abs(back.Scale-c.Scale) > 1e-9*c.Scale || math.Abs(back.CY-c.CY) > 1e-9 {
		t.Errorf("there and back: %+v, was %+v", back, c)
	}
}

// Weights, clips and joints may differ where the shape is the same; a vertex, a triangle or
// a material elsewhere is another shape.
func TestSameShape(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	change := func(f func(*rig.Rig)) *rig.Rig {
		c := *r
		c.Meshes, c.Nodes = slices.Clone(r.Meshes), slices.Clone(r.Nodes)
		for i := range c.Meshes {
			m := &c.Meshes[i]
			m.Positions, m.Triangles, m.Weights = slices.Clone(m.Positions), slices.Clone(m.Triangles), slices.Clone(m.Weights)
			m.Primitives = slices.Clone(m.Primitives)
		}
		f(&c)
		return &c
	}
	for _, row := range []struct {
		name string
		as   *rig.Rig
		want bool
	}{
		{"itself", r, true},
		{"without clips", change(func(c *rig.Rig) { c.Clips = nil }), true},
		{"two weights exchanged", change(func(c *rig.Rig) { w := c.Meshes[0].Weights; w[0], w[1] = w[1], w[0] }), true},
		{"a vertex a millimetre off", change(func(c *rig.Rig) { c.Meshes[0].Positions[1] += .001 }), false},
		{"a triangle turned over", change(func(c *rig.Rig) { w := c.Meshes[0].Triangles; w[0], w[1] = w[1], w[0] }), false},
		{"another material", change(func(c *rig.Rig) { c.Meshes[0].Primitives[0].Material++ }), false},
		{"in A-pose", lamplighter.Build(lamplighter.Options{Vertices: 4000, Pose: lamplighter.A}), false},
	} {
		if got := SameShape(r, row.as); got != row.want {
			t.Errorf("%s: %v", row.name, got)
		}
	}
}
