package part

import (
	"math"

	"rigloupe/inspect/space"
)

// Laid takes places of one figure to another: p ↦ Factor·Turn·p + Shift.
type Laid struct {
	Turn   space.Quat // unit
	Factor float64    // > 0
	Shift  space.Vec  // metres
}

// Point carries a place, Way a direction without the factor.
func (l *Laid) Point(p space.Vec) space.Vec {
	return l.Turn.Rotate(p).Mul(l.Factor).Add(l.Shift)
}
func (l *Laid) Way(d space.Vec) space.Vec { return l.Turn.Rotate(d) }

// leastSpread of points off one line, of their reach along it: under it nothing tells how
// they are turned about that line.
const leastSpread = 0.01

// Lay answers the turn, factor and shift with the least Σ weight·|Laid(from) − to|²
// (absolute orientation by quaternions: Horn 1987, §4; the factor that of Umeyama 1991).
// false where the points do not say how the figure is turned: fewer than three, or all
// about one line.
func Lay(from, to []space.Vec, weight []float64) (l Laid, ok bool) {
	var whole float64
	var a, b space.Vec // middles
	for i, w := range weight {
		whole += w
		a, b = a.Add(from[i].Mul(w)), b.Add(to[i].Mul(w))
	}
	if !(whole > 0) {
		return l, false
	}
	a, b = a.Mul(1/whole), b.Mul(1/whole)
	var s, spread, other [3][3]float64
	size := 0.0
	for i, w := range weight {
		x, y := from[i].Sub(a), to[i].Sub(b)
		size += w * x.Dot(x)
		for r := range 3 {
			for c := range 3 {
				s[r][c] += w * x[r] * y[c]
				spread[r][c] += w * x[r] * x[c]
				other[r][c] += w * y[r] * y[c]
			}
		}
	}
	if !flat(&spread) || !flat(&other) {
		return l, false
	}
	n := [4][4]float64{
		{s[0][0] + s[1][1] + s[2][2], s[1][2] - s[2][1], s[2][0] - s[0][2], s[0][1] - s[1][0]},
		{0, s[0][0] - s[1][1] - s[2][2], s[0][1] + s[1][0], s[2][0] + s[0][2]},
		{0, 0, s[1][1] - s[0][0] - s[2][2], s[1][2] + s[2][1]},
		{0, 0, 0, s[2][2] - s[0][0] - s[1][1]},
	}
	for r := range 4 {
		for c := range r {
			n[r][c] = n[c][r]
		}
	}
	q := greatest(n)
	turn, ok := space.UnitQuat(space.Quat{W: q[0], V: space.Vec{q[1], q[2], q[3]}})
	if !ok {
		return l, false
	}
	l.Turn = turn
	for i, w := range weight {
		l.Factor += w * to[i].Sub(b).Dot(turn.Rotate(from[i].Sub(a))) / size
	}
	if !(l.Factor > 0) || math.IsInf(l.Factor, 0) {
		return l, false
	}
	l.Shift = b.Sub(turn.Rotate(a).Mul(l.Factor))
	return l, true
}

// flat tells that points of a scatter matrix span a plane at least: the sum of its
// principal minors of two is λ₁λ₂ + λ₁λ₃ + λ₂λ₃, and 0 on a line.
func flat(m *[3][3]float64) bool {
	trace := m[0][0] + m[1][1] + m[2][2]
	minors := m[0][0]*m[1][1] - m[0][1]*m[1][0] + m[0][0]*m[2][2] - m[0][2]*m[2][0] + m[1][1]*m[2][2] - m[1][2]*m[2][1]
	return minors > leastSpread*leastSpread*trace*trace
}

// greatest is the eigenvector of the greatest eigenvalue of a symmetric matrix (Jacobi's
// turns; Golub, Van Loan, Matrix Computations, §8.5).
func greatest(m [4][4]float64) (v [4]float64) {
	var e [4][4]float64
	for i := range 4 {
		e[i][i] = 1
	}
	for range 32 {
		off := 0.0
		for p := range 4 {
			for q := p + 1; q < 4; q++ {
				off += m[p][q] * m[p][q]
				if m[p][q] == 0 {
					continue
				}
				theta := (m[q][q] - m[p][p]) / (2 * m[p][q])
				t := math.Copysign(1, theta) / (math.Abs(theta) + math.Hypot(theta, 1))
				c := 1 / math.Hypot(t, 1)
				s := t * c
				for k := range 4 {
					m[k][p], m[k][q] = c*m[k][p]-s*m[k][q], s*m[k][p]+c*m[k][q]
				}
				for k := range 4 {
					m[p][k], m[q][k] = c*m[p][k]-s*m[q][k], s*m[p][k]+c*m[q][k]
					e[k][p], e[k][q] = c*e[k][p]-s*e[k][q], s*e[k][p]+c*e[k][q]
				}
			}
		}
		if off == 0 {
			break
		}
	}
	best := 0
	for i := range 4 {
		if m[i][i] > m[best][best] {
			best = i
		}
	}
	for k := range 4 {
		v[k] = e[k][best]
	}
	return v
}
