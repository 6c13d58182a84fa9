package even

import (
	"math"
	"testing"

	"rigloupe/inspect/binding"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/inspect/surface"
)

// off is the largest distance of a pair from being mirror images, at rest in the world.
func off(f *Figure, r *rig.Rig) float64 {
	rest, worst := f.restOf(r), 0.0
	gone := map[int32]bool{}
	for _, g := range f.Drawn.LetGo {
		gone[g.A], gone[g.B] = true, true
	}
	for i, j := range f.Pairs.Of {
		if j >= 0 && !gone[int32(i)] {
			a := f.Shape.Plane.Reflect(space.At(rest, i))
			worst = max(worst, a.Sub(space.At(rest, int(j))).Len())
		}
	}
	return worst
}

func facts(t *testing.T, r *rig.Rig) (*surface.Facts, *binding.Facts) {
	t.Helper()
	e := exam.New(r)
	s, err := surface.Measure(t.Context(), e)
	if err != nil {
		t.Fatal(err)
	}
	b, err := binding.Measure(t.Context(), e)
	if err != nil {
		t.Fatal(err)
	}
	return s, b
}

// The sample with one side's lantern pulled out, bent by weights or with a bump: drawn even,
// paired places are mirror images within a millionth of the diagonal, the giving side stays
// to the bit and the true figure is found again.
func TestSampleDrawnEven(t *testing.T) {
	truth := lamplighter.Build(lamplighter.Options{})
	bump := func(metres float32, sign float64) func(*rig.Rig) {
		return func(r *rig.Rig) {
			m := &r.Meshes[0]
			for v := range m.Vertices() {
				p := space.At(m.Positions, v)
				if d := p.Sub(space.Vec{sign * 0.15, 1.25, 0.12}).Len(); d < 0.1 {
					m.Positions[3*v+2] += metres * float32(1-d/0.1)
				}
			}
			m.Remeasure()
		}
	}
	for _, w := range []struct {
		name  string
		plant func(*rig.Rig)
		from  Giver // that is sound
		move  float64
	}{
		{"left lantern 40 mm out", func(r *rig.Rig) { lamplighter.PullLantern(0.04)(r) }, Behind, 0.03},
		{"one vertex of the left cuff", func(r *rig.Rig) { lamplighter.PullVertex(0.02)(r) }, Behind, 0.02},
		{"bump on the left of the chest", bump(0.03, 1), Behind, 0.02},
		{"bump on the right", bump(0.03, -1), To, 0.02},
	} {
		r := lamplighter.Clone(truth)
		w.plant(r)
		e := exam.New(r)
		shape, _, err := ShapeOf(e, nil)
		if err != nil {
			t.Fatal(err)
		}
		limits := Limits{Move: w.move, Uneven: 0.2}
		if got := Smoother(shape, Pair(shape, limits)); got != w.from {
			t.Errorf("%s: side %d is called the smoother", w.name, got)
		}
		f, err := Alike(e, Wants{From: w.from, Limits: limits, Places: true, Weights: true})
		if err != nil {
			t.Fatal(err)
		}
		if x := off(f, f.Rig); x > 1e-6*e.Diagonal() {
			t.Errorf("%s: a pair is %g m off", w.name, x)
		}
		m, far := &f.Rig.Meshes[0], 0.0
		for v := range m.Vertices() {
			far = max(far, space.At(m.Positions, v).Sub(space.At(truth.Meshes[0].Positions, v)).Len())
			if x := truth.Meshes[0].Positions[3*v]; (x > 0) == (w.from == To) && x != 0 {
				if space.At(m.Positions, v) != space.At(r.Meshes[0].Positions, v) {
					t.Fatalf("%s: vertex %d of the giving side moved", w.name, v)
				}
			}
		}
		if far > 2e-6 || len(f.Drawn.LetGo) > 0 {
			t.Errorf("%s: %g m from the true figure; %d let go, pairs %v", w.name, far, len(f.Drawn.LetGo), f.Pairs.Count)
		}
		s, b := facts(t, f.Rig)
		if s.BodyMirror.UnmatchedShare > 0 || s.BodyMirror.Largest > 1e-5 || b.MirrorMismatch.Over > 0 {
			t.Errorf("%s: afterwards %.4f unmatched, largest %g m, %d with other weights", w.name, s.BodyMirror.UnmatchedShare, s.BodyMirror.Largest, b.MirrorMismatch.Over)
		}
		t.Logf("%s: %d moved, most %.1f mm; pairs %v", w.name, len(f.Drawn.Moved), 1000*f.Drawn.Most, f.Pairs.Count)
	}
}

// Weights that differ by side become alike, with partners exchanged; places stay to the bit.
func TestWeightsMirrored(t *testing.T) {
	truth := lamplighter.Build(lamplighter.Options{})
	for _, fault := range lamplighter.Faults() {
		if fault.ID != "binding/mirror-mismatch" {
			continue
		}
		r, _ := fault.On(truth)
		_, before := facts(t, r)
		for _, from := range []Giver{To, Behind} {
			f, err := Alike(exam.New(r), Wants{From: from, Limits: Usual, Weights: true})
			if err != nil {
				t.Fatal(err)
			}
			if _, after := facts(t, f.Rig); after.MirrorMismatch.Over > 0 || before.MirrorMismatch.Over == 0 {
				t.Errorf("%s, side %d: %d vertices differ, %d before", fault.Name, from, after.MirrorMismatch.Over, before.MirrorMismatch.Over)
			}
			for i, x := range f.Rig.Meshes[0].Positions {
				if x != r.Meshes[0].Positions[i] {
					t.Fatal("a place moved")
				}
			}
			m := &f.Rig.Meshes[0]
			for v := range m.Vertices() {
				sum := 0.0
				for _, w := range m.Weights[m.K*v : m.K*v+m.K] {
					sum += float64(w)
				}
				if math.Abs(sum-1) > 1e-6 {
					t.Fatalf("vertex %d: weights sum to %g", v, sum)
				}
			}
		}
	}
}

// A sound figure is left to the bit.
func TestSoundFigureStays(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Pose: lamplighter.A})
	for _, from := range []Giver{To, Behind, Mean} {
		f, err := Alike(exam.New(r), Wants{From: from, Limits: Usual, Places: true, Weights: true})
		if err != nil {
			t.Fatal(err)
		}
		if len(f.Meshes) > 0 || len(f.Drawn.Moved) > 0 {
			t.Errorf("side %d: %d places moved, %d weights", from, len(f.Drawn.Moved), f.Weighted)
		}
	}
}

// restOf is the body at rest as a rig shows it: 3·N, places as in Shape.
func (f *Figure) restOf(r *rig.Rig) []float32 {
	out := make([]float32, len(f.Shape.Points))
	for s := range r.Surfaces {
		if f.Mirror.Point[s] == nil {
			continue
		}
		p := deform.RestSurface(r, s)
		for v, i := range f.Mirror.Point[s] {
			if i >= 0 && f.Mirror.Vertex[i] == rig.Vertex(v) {
				copy(out[3*i:3*i+3], p[3*v:3*v+3])
			}
		}
	}
	return out
}
