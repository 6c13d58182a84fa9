package carry

import (
	"math"
	"testing"
)

// Trunks are of one shape within 2° and 3 %: the line between the limbs of one turned by 1.9° and by 2.1°,
// longer by 2.9 % and by 3.2 %.
func TestOneShape(t *testing.T) {
	for _, row := range []struct {
		degrees, longer float64
		want            bool
	}{{0, 1, true}, {1.9, 1, true}, {2.1, 1, false}, {0, 1.029, true}, {0, 1.032, false}, {0, 1 / 1.032, false}} {
		s, c := math.Sincos(row.degrees * math.Pi / 180)
		if got := oneShape(xyz(1, 0, 0), xyz(0, 3, 0), xyz(2*row.longer*c, 2*row.longer*s, 0), xyz(0, 6, 0)); got != row.want {
			t.Errorf("%+v: one shape %v", row, got)
		}
	}
}

// The ground under a foot that climbs lies as the foot does, up to 35° (common practice, no source): 34° is a
// slope, 36° a foot on its edge, and the ground is level.
func TestMostTip(t *testing.T) {
	for degrees, want := range map[float64]float64{34: 34, 36: 0} {
		l, p, _, times := stoodFoot(4, 120, always)
		l.climb = make([]float64, 4)
		s, c := math.Sincos(degrees * math.Pi / 360)
		for f := range l.wC {
			l.wC[f].X, l.wC[f].W = s, c
		}
		for f, n := range l.lay(p, times) {
			if got := math.Acos(clamp(n.Dot(axisY), -1, 1)) * 180 / math.Pi; math.Abs(got-want) > 1e-6 {
				t.Errorf("moment %d: a foot tilted by %g° on ground tilted by %g°", f, degrees, got)
			}
		}
	}
}
