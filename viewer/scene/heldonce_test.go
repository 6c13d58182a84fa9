package scene

import (
	"testing"
	"unsafe"

	"rigloupe/inspect/lamplighter"
)

// TestHeldOnce: a heavy figure is in memory once: what is drawn of it lies in the rig and in
// what was prepared, and what moves it is not made again when the lines come.
func TestHeldOnce(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Vertices: 100_000})
	m := &r.Meshes[0]
	if n := len(m.Triangles) / 3; n <= roughWelds {
		t.Fatalf("%d triangles are no heavy figure", n)
	}
	box := SketchForStage(r)
	if len(box.Source)+len(box.Tri)+len(box.Normal) > 0 || !(box.Low[1] < box.High[1]) {
		t.Errorf("more than its box crosses: %d vertices, %v to %v", len(box.Source), box.Low, box.High)
	}
	s, err := Begin(r, box, nil)
	if err != nil {
		t.Fatal(err)
	}
	rough := s.fig
	p := prepared(t, r)
	s.SetPrepared(p)
	for name, one := range map[string]bool{
		"places":             one(s.fig.rig.Meshes[0].Positions, m.Positions),
		"joints":             one(s.fig.rig.Meshes[0].Joints, m.Joints),
		"weights":            one(s.fig.rig.Meshes[0].Weights, m.Weights),
		"normals of a rough": one(rough.prepared.Normal, m.Normals),
		"its triangles":      one(rough.prepared.Tri, m.Triangles),
		"edges":              one(s.fig.static.Edge, p.Edge),
		"places as posed":    one(s.fig.pos, rough.pos),
		"what moves it":      s.fig.deformers[0] == rough.deformers[0],
	} {
		if !one {
			t.Errorf("%s: held twice", name)
		}
	}
	if d := s.fig.deformers[0]; !one(d.Normals, p.Normal) {
		t.Error("the figure with lines is lit by the normals of the one without")
	}
}

// one tells that two lists lie in one place.
func one[E any](a, b []E) bool {
	return len(a) > 0 && len(a) == len(b) && unsafe.SliceData(a) == unsafe.SliceData(b)
}
