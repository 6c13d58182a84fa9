package geom

import (
	"math"
	"testing"

	"rigloupe/inspect/space"
)

// W72 (worked number, closed form).
func TestPointMoments(t *testing.T) {
	var p []float32
	for _, q := range []space.Vec32{{.5, 1.2, .1}, {.3, .4, -.2}, {.1, 1.7, .05}} {
		p = append(p, q[0], q[1], q[2], -q[0], q[1], q[2])
	}
	m := PointMoments(p)
	near(t, "centre", m.Centre[:], []float64{0, 1.1, -0.016667}, 1e-6)
	near(t, "covariance", m.Cov[:], []float64{.116667, 0, 0, .286667, .06, .017222}, 1e-6)
}

// The surface of a box a×b×c, by hand: faces across x add bc·(a²/4 + …). For the
// unit cube each variance is (2·¼ + 4·1/12)/6 = 5/36, also when one face is cut
// much finer than the others.
func TestSurfaceMoments(t *testing.T) {
	p, tri := cube()
	cut := append([]uint32(nil), tri[6:]...) // the face x = 0 again, as a fan of 2·40 slices
	pc := append([]float32(nil), p...)
	for i := range 40 {
		a, b := float32(i)/40, float32(i+1)/40
		k := uint32(len(pc) / 3)
		pc = append(pc, 0, a, 0, 0, b, 0, 0, b, 1, 0, a, 1)
		cut = append(cut, k, k+1, k+2, k, k+2, k+3)
	}
	for name, m := range map[string]Moments{
		"plain":   SurfaceMoments(p, tri),
		"uneven":  SurfaceMoments(pc, cut),
		"far off": SurfaceMoments(turned(p, space.Vec{0, 1, 0}, 0, 1, space.Vec{1024, -512, 256}), tri),
	} {
		c := []float64{.5, .5, .5}
		if name == "far off" {
			c = []float64{1024.5, -511.5, 256.5}
		}
		near(t, name+" area", []float64{m.Weight}, []float64{6}, 1e-6)
		near(t, name+" centre", m.Centre[:], c, 1e-6)
		near(t, name+" covariance", m.Cov[:], []float64{5. / 36, 0, 0, 5. / 36, 0, 5. / 36}, 1e-6)
	}
	if m := SurfaceMoments(p, []uint32{0, 0, 0}); m.Weight != 0 || m.Centre != [3]float64{} {
		t.Errorf("no area: %+v", m)
	}
}

func TestAxes(t *testing.T) {
	// W72's covariance: x decouples; y and z turn by ½·atan2(2·.06, .286667−.017222).
	axes, values := Axes([6]float64{.116667, 0, 0, .286667, .06, .017222})
	half := math.Atan2(.12, .286667-.017222) / 2
	near(t, "largest axis", []float64{math.Abs(axes[0][1]), math.Abs(axes[0][2])}, []float64{math.Cos(half), math.Sin(half)}, 1e-9)
	near(t, "middle axis", []float64{math.Abs(axes[1][0])}, []float64{1}, 1e-12)
	near(t, "trace", []float64{values[0] + values[1] + values[2]}, []float64{.116667 + .286667 + .017222}, 1e-12)
	for _, s := range [][6]float64{{}, {1, 0, 0, 1, 0, 1}, {3, 0, 0, 2, 0, 1}, {1, 1, 1, 1, 1, 1}, {1e-12, 1e-13, 0, 2e-12, 0, 1e-12}} {
		axes, v := Axes(s)
		for i := range 3 {
			near(t, "unit", []float64{axes[i].Len()}, []float64{1}, 1e-12)
			a := axes[i]
			image := space.Vec{s[0]*a[0] + s[1]*a[1] + s[2]*a[2], s[1]*a[0] + s[3]*a[1] + s[4]*a[2], s[2]*a[0] + s[4]*a[1] + s[5]*a[2]}
			near(t, "eigenvector", image[:], []float64{v[i] * a[0], v[i] * a[1], v[i] * a[2]}, 1e-12*(1+math.Abs(v[0])))
		}
	}
}

func near(t *testing.T, what string, got, want []float64, tolerance float64) {
	t.Helper()
	for i := range want {
		if !(math.Abs(got[i]-want[i]) <= tolerance) {
			t.Errorf("%s: %v, want %v", what, got, want)
			return
		}
	}
}
