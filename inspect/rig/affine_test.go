package rig

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
)

// near compares with the six digits that the worked numbers are printed with.
func near(t *testing.T, what string, got, want []float64) {
	t.Helper()
	for i := range want {
		if math.Abs(got[i]-want[i]) > 6e-7*math.Max(1, math.Abs(want[i])) {
			t.Errorf("%s: number %d is %.7f, want %.7f", what, i, got[i], want[i])
		}
	}
}

// W35 (worked number, closed form): T·R·S of glTF 2.0, Transformations, with the
// unit quaternion of (.1 .2 .3 .9), S = (2, .5, 1.5), T = (1, −2, 3).
func w35() TRS {
	l := math.Sqrt(.01 + .04 + .09 + .81)
	return TRS{T: [3]float64{1, -2, 3}, R: [4]float64{.1 / l, .2 / l, .3 / l, .9 / l}, S: [3]float64{2, .5, 1.5}}
}

func TestW35Compose(t *testing.T) {
	trs := w35()
	a := trs.Affine()
	columns := []float64{
		1.452632, 1.221053, -0.631579, -0.263158, 0.394737, 0.157895, 0.663158, -0.094737, 1.342105, 1, -2, 3,
	}
	var got []float64
	for c := range 4 {
		got = append(got, a[c], a[4+c], a[8+c])
	}
	near(t, "columns", got, columns)
	near(t, "determinant", []float64{a.Det()}, []float64{1.5})
	p := a.Point(mgl64.Vec3{1, 1, 1})
	near(t, "(1,1,1)", p[:], []float64{2.852632, -0.478947, 3.868421})
}

func TestW35Inverse(t *testing.T) {
	trs := w35()
	a := trs.Affine()
	inv, ok := a.Inverse()
	if !ok {
		t.Fatal("no inverse")
	}
	near(t, "inverse", inv[:], []float64{
		0.363158, 0.305263, -0.157895, 0.721053,
		-1.052632, 1.578947, 0.631579, 2.315789,
		0.294737, -0.042105, 0.596491, -2.168421,
	})
	one := a.Mul(&inv)
	near(t, "a·a⁻¹", one[:], Identity[:])
}

func TestInverseOfNothing(t *testing.T) {
	for name, a := range map[string]Affine{
		"flat":         {0: 1, 5: 1},
		"zero":         {},
		"not a number": {0: math.NaN(), 5: 1, 10: 1},
	} {
		if _, ok := a.Inverse(); ok {
			t.Errorf("%s: an inverse was answered", name)
		}
	}
}

func TestDecompose(t *testing.T) {
	for _, row := range []struct {
		name string
		trs  TRS
	}{
		{"W35", w35()},
		{"identity", TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}},
		{"mirrored in x", TRS{T: [3]float64{1, 2, 3}, R: [4]float64{0, 0, math.Sqrt2 / 2, math.Sqrt2 / 2}, S: [3]float64{-2, 3, 4}}},
	} {
		a := row.trs.Affine()
		d := a.Decompose()
		again := d.Affine()
		near(t, row.name, again[:], a[:])
		near(t, row.name+" scale", d.S[:], row.trs.S[:])
	}
}

// The example of glTF 2.0, Transformations: a turned child below an unevenly
// scaled parent has shear in its global matrix. Columns and cosine worked out by
// hand: S(2,1,1)·Rz(45°).
func TestShearBelowUnevenScale(t *testing.T) {
	h := math.Sqrt2 / 2
	parent := TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{2, 1, 1}}
	child := TRS{R: [4]float64{0, 0, math.Sin(math.Pi / 8), math.Cos(math.Pi / 8)}, S: [3]float64{1, 1, 1}}
	p, c := parent.Affine(), child.Affine()
	g := p.Mul(&c)
	near(t, "column 0", []float64{g[0], g[4], g[8]}, []float64{2 * h, h, 0})
	near(t, "column 1", []float64{g[1], g[5], g[9]}, []float64{-2 * h, h, 0})
	s := g.Scales()
	near(t, "cosine", []float64{(g[0]*g[1] + g[4]*g[5]) / (s[0] * s[1])}, []float64{-0.6})
}
