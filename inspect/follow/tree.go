package follow

import (
	"math"

	"rigloupe/inspect/space"
)

// link is a direction that swings.
type link struct {
	u space.XYZ // unit, world: from the head of the link to its tail
	v space.XYZ // its speed, radians a second, at right angles to u
}

// tree is the links that hang on one root: rods of even weight, a metre of which weighs 1. With
// tails at x = head + Σ l·u of those above and itself (Lagrange's equations, any handbook):
//
//	Σⱼ massᵢⱼ·üⱼ = fieldᵢ − drag·Σⱼ massᵢⱼ·u̇ⱼ,   at right angles to uᵢ
//	massᵢⱼ = lᵢ·lⱼ·(weight that both carry),  armᵢ = lᵢ·(weight that i carries)
//
// So a link feels what hangs on it. Without that, each as a pendulum driven by the one above,
// ten links of a like frequency whip each other up a hundredfold.
type tree struct {
	links []int     // places in Chains.Links, parents first
	mass  []float64 // n × n, m³
	arm   []float64 // by link, m²
	stiff []float64 // by link: pull towards its drawn direction, m³/s²
	drag  float64   // 1/s
	weigh []weigh   // by link: what gravity does

	// Scratch of step: the matrix, 2n × 2n, its right side, and by link two directions at right
	// angles to it, the middle of the step, the turn to there and the speed at its beginning.
	matrix, right []float64
	base          [][2]space.XYZ
	middle        []link
	turn          []space.Turn
	was           []space.XYZ
}

// parts of a step of 1/Rate s in which a tree is worked out: the frequency of a swing is then
// off by (ω·dt)²/12, 4 in 100,000 at 10 rad/s. Long chains are worked out in whole steps,
// since the work grows with the cube of their links.
func (t *tree) parts() int {
	if len(t.links) > 32 {
		return 1
	}
	return 2
}

// newtons is how often the middle of a step is bettered.
const newtons = 2

// step lets the links swing for dt seconds in fields, by link, m³/s². The implicit midpoint
// rule, by Newton's way: no swing is damped by it, none blows up, however stiff (Hairer, Lubich,
// Wanner 2006, Geometric Numerical Integration, II.1).
func (t *tree) step(links []link, fields []space.XYZ, dt float64) {
	for a, i := range t.links {
		t.middle[a] = links[i]
		t.turn[a] = t.middle[a].wind(links[i].v.Mul(dt/2), links[i].v)
		t.was[a] = t.middle[a].v
	}
	for range newtons {
		if !t.better(fields, dt) {
			break
		}
		for a, i := range t.links {
			speed := t.turn[a].Back().Rotate(t.middle[a].v)
			t.middle[a].u = links[i].u
			t.turn[a] = t.middle[a].wind(speed.Mul(dt/2), speed)
			t.was[a] = t.turn[a].Rotate(links[i].v)
		}
	}
	for a, i := range t.links {
		m := &t.middle[a]
		if !space.Finite(m.v.Vec()) {
			links[i].v = space.XYZ{}
			continue
		}
		links[i].u = m.u
		links[i].wind(m.v.Mul(dt/2), m.v.Mul(2).Sub(t.was[a]))
	}
}

// better brings the speeds of the middle nearer to those that fit it.
func (t *tree) better(fields []space.XYZ, dt float64) bool {
	n := len(t.links)
	for a := range t.middle {
		e := space.Plain(space.Square(t.middle[a].u.Vec()))
		t.base[a] = [2]space.XYZ{e, t.middle[a].u.Cross(e)}
	}
	for a := range t.middle {
		force := fields[a]
		for b := range t.middle {
			m := t.mass[a*n+b]
			o := &t.middle[b]
			if m != 0 {
				gained := o.v.Sub(t.was[b]).Mul(2 / dt)
				force = force.Add(o.u.Mul(o.v.Dot(o.v)).Sub(o.v.Mul(t.drag)).Sub(gained).Mul(m))
			}
			for x := range 2 {
				for y := range 2 {
					t.matrix[(2*a+x)*2*n+2*b+y] = m * (1 + t.drag*dt/2) * t.base[a][x].Dot(t.base[b][y])
				}
			}
		}
		pull := fields[a].Dot(t.middle[a].u) * dt * dt / 4 // the second derivative of −field·u on the sphere
		if pull < -.2*t.mass[a*n+a] {
			pull = 0 // the matrix stays positive
		}
		for x := range 2 {
			t.matrix[(2*a+x)*2*n+2*a+x] += pull
			t.right[2*a+x] = dt / 2 * force.Dot(t.base[a][x])
		}
	}
	if !solve(t.matrix, t.right) {
		return false
	}
	for a := range t.middle {
		m := &t.middle[a]
		m.v = m.v.Add(t.base[a][0].Mul(t.right[2*a])).Add(t.base[a][1].Mul(t.right[2*a+1]))
	}
	return true
}

// solve answers a·x = b in b by Cholesky's way; a is symmetric, n × n, and lost. false: a is not
// positive, and b is lost.
func solve(a, b []float64) bool {
	n := len(b)
	for i := range n {
		row := a[i*n : i*n+n]
		for j := 0; j <= i; j++ {
			sum := row[j]
			other := a[j*n : j*n+j]
			for k, x := range other {
				sum -= row[k] * x
			}
			if i > j {
				row[j] = sum / a[j*n+j]
			} else if !(sum > 0) || math.IsInf(sum, 0) {
				return false
			} else {
				row[i] = math.Sqrt(sum)
			}
		}
		for k := range i {
			b[i] -= row[k] * b[k]
		}
		b[i] /= row[i]
	}
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			b[i] -= a[k*n+i] * b[k]
		}
		b[i] /= a[i*n+i]
	}
	return true
}

// wind moves u along a way on its sphere (radians, at right angles to u) and answers the turn;
// speed, given where the way begins, goes along.
func (l *link) wind(way, speed space.XYZ) space.Turn {
	far := way.Len()
	turn := space.Turn{W: 1}
	if far > 1e-12 {
		turn = space.TurnAbout(l.u.Cross(way).Mul(1/far), far)
	}
	if u, ok := turn.Rotate(l.u).Unit(); ok {
		l.u = u
	}
	v := turn.Rotate(speed)
	l.v = v.Sub(l.u.Mul(v.Dot(l.u)))
	return turn
}
