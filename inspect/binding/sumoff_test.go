package binding

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

// bytes stores the weights as integers of some full scale, as a file would; the
// raw sum of vertex v is off by less.
func bytes(v int, full, less uint32) func(*rig.Rig) {
	return func(r *rig.Rig) {
		m := &r.Meshes[0]
		p := &m.Primitives[0]
		p.WeightType = 5121
		if full == 65535 {
			p.WeightType = 5123
		}
		p.WeightSums = make([]uint32, 22)
		for i := range p.WeightSums {
			// Halves and quarters do not divide 255: round the first, the rest to it.
			a := uint32(math.Round(float64(m.Weights[4*i]) * float64(full)))
			b := full - a
			if i == v {
				if a > 0 {
					a -= less
				} else {
					b -= less
				}
			}
			m.Weights[4*i], m.Weights[4*i+1] = float32(a)/float32(full), float32(b)/float32(full)
			p.WeightSums[i] = a + b
		}
	}
}

func TestSumOff(t *testing.T) {
	far := math.Hypot(.1, 1) // of vertex 20 from the origin
	ulp := math.Nextafter32(1, 0)
	checktest.Run(t, sumOff, Measure, []checktest.Row{
		{Name: "clean", Rig: clean},
		{Name: "half is missing", Rig: ladder, Plant: weigh(20, 0, .5), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "largest error", Value: .5, Tolerance: 1e-7, Vertices: []rig.Vertex{20}, Subject: "1 vertex",
			More: map[string]float64{"off": 1, "throw at the figure": .5 * far, "throw 10 m from the origin": 5, "throw 100 m from the origin": 50}}}},
		{Name: "a fifth too much", Rig: ladder, Plant: weigh(20, 0, 1.2), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "largest error", Value: .2, Tolerance: 1e-7, Vertices: []rig.Vertex{20},
			More: map[string]float64{"throw at the figure": .2 * far}}}},
		// glTF validator: 2e-7 for each non-zero weight. One step below 1 is 6e-8.
		{Name: "one step of float32", Rig: ladder, Plant: weigh(20, 0, ulp)},
		{Name: "1.8e-7 with one weight", Rig: ladder, Plant: weigh(20, 0, 1-3*(1-ulp))},
		{Name: "2.4e-7 with one weight", Rig: ladder, Plant: weigh(20, 0, 1-4*(1-ulp)), Want: []checktest.Want{{
			Grade: check.Note, Name: "largest error", Value: 4 * float64(1-ulp), Tolerance: 1e-12, Vertices: []rig.Vertex{20}, Subject: "1 vertex, rounding"}}},
		{Name: "2.4e-7 with two weights", Rig: ladder, Plant: weigh(10, .5, .5-4*(1-ulp))},
		{Name: "just under 0.001", Rig: ladder, Plant: weigh(20, 0, .99901), Want: []checktest.Want{{
			Grade: check.Note, Name: "largest error", Value: .00099, Tolerance: 1e-7}}},
		{Name: "just over 0.001", Rig: ladder, Plant: weigh(20, 0, .99899), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "largest error", Value: .00101, Tolerance: 1e-7}}},
		{Name: "both kinds", Rig: ladder, Plant: both(weigh(20, 0, .9), weigh(21, 0, .9995), weigh(0, .9992)), Want: []checktest.Want{
			{Grade: check.Flaw, Name: "largest error", Value: .1, Tolerance: 1e-7, Vertices: []rig.Vertex{20}},
			{Grade: check.Note, Name: "largest error", Value: .0008, Tolerance: 1e-7, Vertices: []rig.Vertex{0, 21}}}},

		{Name: "8 bits, whole", Rig: ladder, Plant: bytes(20, 255, 0)},
		{Name: "8 bits, 254", Rig: ladder, Plant: bytes(20, 255, 1), Want: []checktest.Want{{
			Grade: check.Note, Name: "largest error", Value: 1. / 255, Tolerance: 1e-12, Vertices: []rig.Vertex{20},
			Subject: "1 vertex, rounding"}}},
		{Name: "8 bits, 253", Rig: ladder, Plant: bytes(20, 255, 2), Want: []checktest.Want{{
			Grade: check.Note, Name: "largest error", Value: 2. / 255, Tolerance: 1e-12}}},
		{Name: "8 bits, 252", Rig: ladder, Plant: bytes(20, 255, 3), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "largest error", Value: 3. / 255, Tolerance: 1e-12, Subject: "1 vertex, 8 bits"}}},
		{Name: "8 bits, 252 allowed", Rig: ladder, Plant: bytes(20, 255, 3), Limits: map[string]float64{"error-8-bit": .02}, Want: []checktest.Want{{
			Grade: check.Note, Name: "largest error", Value: 3. / 255, Tolerance: 1e-12}}},
		{Name: "floats held tighter", Rig: ladder, Plant: weigh(20, 0, .9995), Limits: map[string]float64{"error": 1e-4}, Want: []checktest.Want{{
			Grade: check.Flaw, Name: "largest error", Value: .0005, Tolerance: 1e-7}}},
		{Name: "16 bits, whole", Rig: ladder, Plant: bytes(20, 65535, 0)},
		{Name: "16 bits, one step", Rig: ladder, Plant: bytes(20, 65535, 1), Want: []checktest.Want{{
			Grade: check.Note, Name: "largest error", Value: 1. / 65535, Tolerance: 1e-12}}},
		{Name: "16 bits, 70 steps", Rig: ladder, Plant: bytes(20, 65535, 70), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "largest error", Value: 70. / 65535, Tolerance: 1e-12}}},

		{Name: "unbound is another matter", Rig: ladder, Plant: weigh(20)},
		{Name: "a vertex no triangle uses", Rig: ladder, Plant: both(loose, weigh(22, .5))},
		{Name: "limit moved", Rig: ladder, Plant: weigh(20, 0, .5), Limits: map[string]float64{"error": .6, "rounding": .6}},
		{Name: "no skin", Rig: ladder, Plant: unskinned, Skip: "no skin in this file"},
	})
}

// W1 (worked number): 1/255 missing at 1.7 m from the origin throws 6.666667 mm.
func TestThrow(t *testing.T) {
	r := ladder()
	copy(r.Meshes[0].Positions[60:], []float32{0, 1.7, 0})
	weigh(20, 0, 254./255)(r)
	f := measured(t, r)
	if got := f.Skins[0].Sums; len(got) != 1 || math.Abs(got[0].Throw-0.006666667) > 1e-6 {
		t.Errorf("thrown %+v, want 0.006666667 m", got)
	}
}

// The bin of a weight beyond all reason is the last one, on every platform: converted to
// a whole number it would leave that one's range.
func TestBinOfHugeWeights(t *testing.T) {
	for w, want := range map[float64]int{1e-45: 0, .1: 0, .15: 1, .95: 9, 1: 9, 1.5: 9, 1e18: 9, 1e19: 9, math.MaxFloat32: 9, math.Inf(1): 9} {
		if got := bin(w); got != want {
			t.Errorf("%g in bin %d, want %d", w, got, want)
		}
	}
}
