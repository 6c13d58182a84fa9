package scene

import (
	"slices"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
	"rigloupe/viewer/camera"
)

func TestCoarse(t *testing.T) {
	rounds.Dear(t)
	if testing.Short() {
		t.Skip("builds a figure of 200,000 triangles")
	}
	r := lamplighter.Build(lamplighter.Options{Vertices: 100000})
	p := prepared(t, r)
	n := len(p.Coarse.Tri) / 3
	if n < 26_000 || n > 44_000 { // set on what a frame has time for: DEVELOPERS, Speed
		t.Errorf("%d coarse triangles of %d, want about 40,000", n, len(p.Tri)/3)
	}
	if !slices.IsSorted(p.Coarse.Used) {
		t.Error("used vertices do not rise")
	}
	for _, e := range [][]uint32{p.Coarse.Tri, p.Coarse.Used} {
		if int(slices.Max(e)) >= len(p.Source) {
			t.Fatal("a coarse triangle names a vertex that there is not")
		}
	}
	// Every edge's ends belong to its triangles.
	for i := range p.Coarse.Edge {
		e := &p.Coarse.Edge[i]
		for _, tri := range []uint32{e.T0, e.T1} {
			if c := p.Coarse.Tri[3*tri : 3*tri+3]; !slices.Contains(c, e.A) || !slices.Contains(c, e.B) {
				t.Fatalf("edge %d is not of triangle %d", i, tri)
			}
		}
	}

	// Moving, the same places are picked and pointed at as at rest.
	s := New(r, p, nil)
	st := still(300, 300)
	st.Bones, st.Clip, st.Seconds = false, 1, .8
	st.Camera = s.View(&st, camera.Front)
	at := func(v rig.Vertex) space.Vec32 {
		q, ok := s.vertex(&s.views[0].state, 0, v)
		if !ok {
			t.Fatalf("vertex %d is nowhere", v)
		}
		return q
	}
	s.Draw(&st)
	whole := map[rig.Vertex]space.Vec32{}
	for v := rig.Vertex(0); v < 90000; v += 2111 {
		whole[v] = at(v)
	}
	still := s.Pick(150, 150)
	st.Moving = true
	s.Draw(&st)
	if s.now == s.fig {
		t.Fatal("moving, it is drawn in full")
	}
	for v, want := range whole {
		if got := at(v); got != want {
			t.Errorf("vertex %d is at %v while moving, at %v at rest", v, got, want)
		}
	}
	moving := s.Pick(150, 150)
	if d := moving.Point.Sub(still.Point).Len(); moving.Kind != OnVertex || moving.Surface != still.Surface || d > .02 {
		t.Errorf("picked %+v while moving, %+v at rest", moving, still)
	}
	m := &r.Meshes[0]
	if 3*moving.Triangle+2 >= len(m.Triangles) || !slices.Contains(m.Triangles[3*moving.Triangle:3*moving.Triangle+3], uint32(moving.Vertex)) &&
		space.Double(space.At32(m.Positions, moving.Vertex)).Sub(space.Double(space.At32(m.Positions, m.Triangles[3*moving.Triangle]))).Len() > .05 {
		t.Errorf("vertex %d does not belong to triangle %d", moving.Vertex, moving.Triangle)
	}
}
