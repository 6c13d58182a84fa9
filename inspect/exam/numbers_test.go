package exam

import (
	"math"
	"testing"

	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

// Numbers that are no limit of a check, each on both sides.

// A surface of which a twentieth hangs on a second joint bends with it and is body; of
// which half a hundredth does, is a sword with the dust of a weight.
func TestStrayWeightIsNoBend(t *testing.T) {
	for weight, body := range map[float32]bool{.995: false, .95: true} {
		e := New(post(stiffBox{middle: [3]float64{.3, 1.5, 0}, half: [3]float64{.05, 1, .05}, skinned: true, weight: weight}))
		if e.IsBody(1) != body {
			t.Errorf("weight %g: body %v", weight, !body)
		}
	}
}

// A mirror plane means something from three quarters of the shape on; a figure has one.
func TestDoubtOfAMirror(t *testing.T) {
	for _, row := range []struct {
		alike  float64
		figure bool
		doubt  bool
	}{{.74, false, true}, {.76, false, false}, {.5, true, false}, {.99, false, false}} {
		m := &Mirror{Vertex: make([]rig.Vertex, 1), Figure: row.figure}
		m.Found, m.Alike = true, row.alike
		if (m.Doubt() != "") != row.doubt {
			t.Errorf("alike %g, figure %v: %q", row.alike, row.figure, m.Doubt())
		}
	}
}

// Weights that lack a hundredth are made whole where the shape is measured; what sums of
// float32 are off by is left as it is, to the bit.
func TestWholePositionsOfShortSums(t *testing.T) {
	for short, made := range map[float32]bool{.01: true, 1e-4: true, 4e-6: false} {
		r := post()
		m := &r.Meshes[0]
		for i := range m.Weights {
			m.Weights[i] *= 1 - short
		}
		e := New(r)
		whole, rest := e.WholePositions(0), e.RestPositions(0)
		top := 0
		for v := range m.Vertices() {
			if m.Positions[3*v+1] > m.Positions[3*top+1] {
				top = v
			}
		}
		if got := &whole[0] != &rest[0]; got != made {
			t.Errorf("sums short by %g: made whole %v, want %v", short, got, made)
		}
		if made && math.Abs(float64(whole[3*top+1])-2) > 1e-5 {
			t.Errorf("sums short by %g: the top stands at %v, want 2", short, whole[3*top+1])
		}
	}
}

// Two animals on one spot are two where the joints of one stand farther than a twentieth of the height
// from those of the other; nearer they are one body with two skeletons.
func TestFiguresStandApart(t *testing.T) {
	height := New(menagerie.Dog(menagerie.Options{Still: true})).Height()
	for share, want := range map[float64]int{.045: 0, .055: 2, .33: 2, 2.5: 2} {
		r := menagerie.Merge(menagerie.Dog(menagerie.Options{Still: true}), menagerie.Dog(menagerie.Options{Still: true, At: [3]float64{share * height, 0, 0}}))
		if got := len(New(r).Figures()); got != want {
			t.Errorf("%g of the height apart: %d figures, want %d", share, got, want)
		}
	}
}

// A shell joins two skeletons where each holds a fiftieth of it: less is a fault of weights.
func TestSharedShell(t *testing.T) {
	for share, want := range map[float64]int{.012: 2, .04: 0} {
		r := menagerie.Two(menagerie.Options{Still: true})
		first := &r.Skins[0]
		joined := uint16(len(first.Joints))
		first.Joints, first.Bind = append(first.Joints, r.Skins[1].Joints...), append(first.Bind, r.Skins[1].Bind...)
		m := &r.Meshes[0]
		for v := range int(share * float64(m.Vertices())) {
			clear(m.Joints[v*m.K : (v+1)*m.K])
			clear(m.Weights[v*m.K : (v+1)*m.K])
			m.Joints[v*m.K], m.Weights[v*m.K] = joined+4, 1
		}
		if got := len(New(r).Figures()); got != want {
			t.Errorf("%g of a shell on the other skeleton: %d figures, want %d", share, got, want)
		}
	}
}
