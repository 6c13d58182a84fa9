package deform

import (
	"math"
	"testing"

	"rigloupe/inspect/rig"
)

// W15 (worked number, closed form): 90° about Z and a shift by 1 2 3.
func TestW15DualQuaternion(t *testing.T) {
	m := about(0, 0, 1, 90*degree)
	m[3], m[7], m[11] = 1, 2, 3
	var d palettes
	d.fill([][12]float32{m.Float32()})
	near(t, "W15 parts", d.quats[0][:], []float64{0, 0, .707107, .707107, 1.060660, .353553, 1.060660, -1.060660}, digits)
	if !d.rigid {
		t.Error("W15: a rigid motion was taken for a stretch")
	}
	near(t, "W15 point", apply(points([]float32{1, 0, 0}, 1), Dual, m), []float64{1, 3, 3}, 1e-6)
	near(t, "W15 point, two joints alike", apply(points([]float32{1, 0, 0}, .5, .5), Dual, m, m), []float64{1, 3, 3}, 1e-6)
}

// W16–W20 (worked numbers, closed form).
func TestDual(t *testing.T) {
	c, back := shift(1, 0, 0), shift(-1, 0, 0)
	z := about(0, 0, 1, 90*degree)
	elbow := c.Mul(&z)
	elbow = elbow.Mul(&back)
	screw := z
	screw[11] = 2
	for _, w := range []struct {
		name         string
		point        []float32
		w1, w2       float32
		joint        rig.Affine
		dual, linear []float64
	}{
		{"W16", []float32{1, .1, 0}, .5, .5, elbow, []float64{0.929289, 0.070711, 0}, []float64{.95, .05, 0}},
		{"W17", []float32{1.2, .1, 0}, .5, .5, elbow, []float64{1.070711, 0.212132, 0}, []float64{1.05, .15, 0}},
		{"W18", []float32{1, .1, 0}, .3, .7, elbow, []float64{0.910262, 0.044127, 0}, nil},
		{"W19", []float32{1, 0, 0}, .5, .5, screw, []float64{0.707107, 0.707107, 1}, nil},
		{"W20", []float32{1, 0, 0}, .75, .25, screw, []float64{0.929788, 0.368095, 0.438306}, nil},
	} {
		t.Run(w.name, func(t *testing.T) {
			r := points(w.point, w.w1, w.w2)
			near(t, "dual", apply(r, Dual, rig.Identity, w.joint), w.dual, digits)
			if w.linear != nil {
				near(t, "linear", apply(r, Linear, rig.Identity, w.joint), w.linear, digits)
			}
		})
	}
}

// W18, W21 (worked numbers): q and −q are one motion, whichever comes out of the
// matrix; without the sign rule the point would land at 0.931800 −0.073136 0.
func TestAntipodal(t *testing.T) {
	c, back := shift(1, 0, 0), shift(-1, 0, 0)
	z := about(0, 0, 1, 90*degree)
	elbow := c.Mul(&z)
	elbow = elbow.Mul(&back)
	r := points([]float32{1, .1, 0}, .3, .7)
	d := NewDeformer(r, 0)
	var pal palettes
	pal.fill([][12]float32{rig.Identity.Float32(), elbow.Float32()})
	for i := range pal.quats[1] {
		pal.quats[1][i] = -pal.quats[1][i]
	}
	out := make([]float32, 3)
	j := job{src: r.Meshes[0].Positions, pos: out}
	j.dual(&d.blends[0], &pal)
	near(t, "W18 negated", out, []float64{0.910262, 0.044127, 0}, digits)

	// W21: a blend that cancels to nothing, here by weights, keeps the strongest.
	r = points([]float32{1, .1, 0}, 1, -1)
	near(t, "W21", apply(r, Dual, elbow, elbow), []float64{.9, 0, 0}, digits)
}

// Stretching joints: exact for one joint, equal to linear for joints that stretch
// alike without turning, and mirrored ones stay mirrored.
func TestDualStretch(t *testing.T) {
	stretch := rig.Affine{2, 0, 0, .5, 0, 3, 0, 0, 0, 0, .5, -1}
	sheared := rig.Affine{1, .5, 0, 1, 0, 2, .25, 0, .1, 0, 1, 3}
	mirror := rig.Affine{-1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 2}
	z := about(0, 0, 1, 1)
	turnedStretch := z.Mul(&stretch)
	turnedMirror := z.Mul(&mirror)
	flat := rig.Affine{1, 0, 0, 1, 0, 1, 0, 2, 0, 0, 0, 3}
	for _, w := range []struct {
		name string
		m    rig.Affine
	}{
		{"stretch", stretch}, {"shear", sheared}, {"mirror", mirror}, {"turned stretch", turnedStretch},
		{"turned mirror", turnedMirror}, {"scale 100", rig.Affine{0: 100, 5: 100, 10: 100}}, {"flat", flat},
	} {
		t.Run(w.name, func(t *testing.T) {
			p := w.m.Point([3]float64{1, .5, -.25})
			r := points([]float32{1, .5, -.25}, .25, .75)
			near(t, "two alike", apply(r, Dual, w.m, w.m), p[:], 2e-5*max(1, math.Abs(p[0])))
		})
	}
}

// Weights need not sum to 1: the turn is made unit and the stretch divided by their sum,
// so that a vertex stands where it does with its weights made whole (W16: same point).
func TestDualSumsOffOne(t *testing.T) {
	c, back, z := shift(1, 0, 0), shift(-1, 0, 0), about(0, 0, 1, 90*degree)
	elbow := c.Mul(&z)
	elbow = elbow.Mul(&back)
	stretch := rig.Affine{2, 0, 0, .5, 0, 3, 0, 0, 0, 0, .5, -1}
	hair := rig.Affine{0: 1.005, 5: 1.005, 10: 1.005}
	for _, w := range []struct {
		name   string
		w1, w2 float32
		a, b   rig.Affine
		want   []float64
	}{
		{"a twelfth of the weight", .04, .04, rig.Identity, elbow, []float64{0.929289, 0.070711, 0}},
		{"half too much", .75, .75, rig.Identity, elbow, []float64{0.929289, 0.070711, 0}},
		{"stretched, a quarter lacks", .5, .25, stretch, stretch, []float64{2.5, .3, -1}},
		{"stretched by half a hundredth", .5, .5, hair, hair, []float64{1.005, .1005, 0}},
	} {
		near(t, w.name, apply(points([]float32{1, .1, 0}, w.w1, w.w2), Dual, w.a, w.b), w.want, 5e-6)
	}
}
