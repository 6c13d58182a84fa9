package geom

import (
	"math"

	"rigloupe/inspect/space"
)

// Moments are the weight, centre and covariance of a shape. Cov holds xx xy xz yy
// yz zz.
type Moments struct {
	Weight float64 // area in m² for surfaces, count for points
	Centre space.Vec
	Cov    [6]float64
}

// SurfaceMoments weighs every triangle by its area, so that uneven tessellation
// does not draw the centre or the axes (skinning statistics per vertex would).
// The integral of x·xᵀ over a triangle a b c of area A is
// A/12 · (aaᵀ + bbᵀ + ccᵀ + ssᵀ), s = a+b+c (exact; standard quadrature).
func SurfaceMoments(positions []float32, triangles []uint32) (m Moments) {
	return surfaceMoments(positions, triangles, nil)
}

func surfaceMoments(positions []float32, triangles []uint32, watch *Watch) (m Moments) {
	var o space.Vec // an origin near the shape keeps the sums short
	if len(triangles) > 0 {
		o = space.At(positions, triangles[0])
	}
	var first space.Vec
	var second [6]float64
	for t := 0; t+2 < len(triangles); t += 3 {
		if t%(3*Stride) == 0 && !watch.Spend(15*Stride) {
			break
		}
		a, b, c := space.At(positions, triangles[t]).Sub(o), space.At(positions, triangles[t+1]).Sub(o), space.At(positions, triangles[t+2]).Sub(o)
		area := b.Sub(a).Cross(c.Sub(a)).Len() / 2
		if !(area > 0) || math.IsInf(area, 0) {
			continue
		}
		s := space.Vec{a[0] + b[0] + c[0], a[1] + b[1] + c[1], a[2] + b[2] + c[2]}
		m.Weight += area
		k := 0
		for i := range 3 {
			first[i] += area / 3 * s[i]
			for j := i; j < 3; j++ {
				second[k] += area / 12 * (a[i]*a[j] + b[i]*b[j] + c[i]*c[j] + s[i]*s[j])
				k++
			}
		}
	}
	m.finish(o, first, second)
	return m
}

// PointMoments weighs every point the same.
func PointMoments(positions []float32) (m Moments) {
	var o space.Vec
	if len(positions) >= 3 {
		o = space.At(positions, 0)
	}
	var first space.Vec
	var second [6]float64
	for v := range len(positions) / 3 {
		p := space.At(positions, v).Sub(o)
		m.Weight++
		k := 0
		for i := range 3 {
			first[i] += p[i]
			for j := i; j < 3; j++ {
				second[k] += p[i] * p[j]
				k++
			}
		}
	}
	m.finish(o, first, second)
	return m
}

func (m *Moments) finish(o, first space.Vec, second [6]float64) {
	if m.Weight == 0 {
		return
	}
	k := 0
	for i := range 3 {
		for j := i; j < 3; j++ {
			m.Cov[k] = second[k]/m.Weight - first[i]/m.Weight*first[j]/m.Weight
			k++
		}
	}
	for i := range 3 {
		m.Centre[i] = o[i] + first[i]/m.Weight
	}
}

// Axes answers the three unit eigenvectors of a symmetric matrix (xx xy xz yy yz
// zz) and their values, largest first. Cyclic Jacobi rotations: exact for equal
// values too, where any turn of the axes is as good.
func Axes(s [6]float64) (axes [3]space.Vec, values space.Vec) {
	a := [3]space.Vec{{s[0], s[1], s[2]}, {s[1], s[3], s[4]}, {s[2], s[4], s[5]}}
	v := [3]space.Vec{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	for range 32 {
		off := a[0][1]*a[0][1] + a[0][2]*a[0][2] + a[1][2]*a[1][2]
		if scale := a[0][0]*a[0][0] + a[1][1]*a[1][1] + a[2][2]*a[2][2]; !(off > 1e-32*scale) {
			break
		}
		for p := range 2 {
			for q := p + 1; q < 3; q++ {
				if a[p][q] == 0 {
					continue
				}
				theta := (a[q][q] - a[p][p]) / (2 * a[p][q])
				t := math.Copysign(1, theta) / (math.Abs(theta) + math.Sqrt(theta*theta+1))
				c := 1 / math.Sqrt(t*t+1)
				sn := t * c
				for k := range 3 {
					a[k][p], a[k][q] = c*a[k][p]-sn*a[k][q], sn*a[k][p]+c*a[k][q]
				}
				for k := range 3 {
					a[p][k], a[q][k] = c*a[p][k]-sn*a[q][k], sn*a[p][k]+c*a[q][k]
				}
				for k := range 3 {
					v[k][p], v[k][q] = c*v[k][p]-sn*v[k][q], sn*v[k][p]+c*v[k][q]
				}
			}
		}
	}
	for i := range 3 {
		values[i] = a[i][i]
		axes[i] = space.Vec{v[0][i], v[1][i], v[2][i]}
	}
	for i := range 2 {
		for j := i + 1; j < 3; j++ {
			if values[j] > values[i] {
				values[i], values[j] = values[j], values[i]
				axes[i], axes[j] = axes[j], axes[i]
			}
		}
	}
	return axes, values
}
