package follow

import (
	"math"

	"rigloupe/inspect/space"
)

// StandardGravity is the standard acceleration of free fall, m/s² (CGPM 1901).
const StandardGravity = 9.80665

// Free is the sag of what has no stiffness of its own.
const Free = 90.0

// A swing counts as settled when it is down to 5 %, as is usual in the theory of control (2 % is
// the other usual one): it fades by e^(−drag·t/2), so drag·t/2 = ln 20. A critically damped one
// is there where (1 + ωt)·e^(−ωt) = 0.05.
const (
	fadedTime    = 2.995732273553991
	criticalTime = 4.743864518
)

// Dials are what a person sets.
type Dials struct {
	Sag     float64 // degrees by which the end of a chain held level points down under standard gravity; Free: it hangs like a rope
	Settle  float64 // seconds after which a swing is down to 5 %
	Gravity float64 // × standard
	AsDrawn bool    // at rest the chain hangs as it is drawn, its weight is in its shape already
}

// weigh is what gravity does to a link.
type weigh uint8

const (
	plainly   weigh = iota // it pulls down
	cancelled              // stiffness holds all of it at rest: the drawn shape bears it, and turns along with what the chain hangs on
	trimmed                // only what would turn a link at rest that hangs freely is held
)

// sagOf is how far a link points down where the end of its chain does by so many degrees: the
// slope of a beam that is held at one end and bends under its own weight, 1 − (1 − x)³ of that
// at its end (any handbook of structures).
func sagOf(end, along float64) float64 { return end * (1 - (1-along)*(1-along)*(1-along)) }

// trees gathers the links that hang on one root, with their weights and what the dials make of
// them: a link held level points down by s where stiff·sin s = arm·g·cos s.
func (c *Chains) trees(d Dials) (out []*tree) {
	of, at := make([]*tree, len(c.Links)), make([]int, len(c.Links))
	for i := range c.Links {
		if c.Links[i].Length == 0 {
			continue
		}
		if up := c.swingsOn(i); up >= 0 {
			of[i] = of[up]
		} else {
			of[i] = &tree{}
			out = append(out, of[i])
		}
		at[i] = len(of[i].links)
		of[i].links = append(of[i].links, i)
	}
	under := make([]float64, len(c.Links)) // metres of links below
	for i := len(c.Links) - 1; i >= 0; i-- {
		if up := c.swingsOn(i); up >= 0 {
			under[up] += under[i] + c.Links[i].Length
		}
	}
	for _, t := range out {
		n := len(t.links)
		t.mass, t.matrix, t.right, t.base = make([]float64, n*n), make([]float64, 4*n*n), make([]float64, 2*n), make([][2]space.XYZ, n)
		t.middle, t.turn, t.was = make([]link, n), make([]space.Turn, n), make([]space.XYZ, n)
		for a, i := range t.links {
			l := &c.Links[i]
			t.mass[a*n+a] = l.Length * l.Length * (under[i] + l.Length/3)
			for up := c.swingsOn(i); up >= 0; up = c.swingsOn(up) {
				m := l.Length * c.Links[up].Length * (under[i] + l.Length/2)
				t.mass[a*n+at[up]], t.mass[at[up]*n+a] = m, m
			}
			arm := l.Length * (under[i] + l.Length/2)
			stiff, w := 0.0, plainly
			switch {
			case d.Sag < Free:
				stiff = arm * StandardGravity / math.Tan(sagOf(d.Sag, l.Along)*math.Pi/180)
				if d.AsDrawn {
					w = cancelled
				}
			case d.AsDrawn && l.down > .5:
				w = trimmed
			}
			t.arm, t.stiff, t.weigh = append(t.arm, arm), append(t.stiff, stiff), append(t.weigh, w)
		}
		t.drag = 2 * fadedTime / d.Settle
		if w := t.slowest(c, d); w > 0 {
			t.drag = min(t.drag, 2*w)
		}
	}
	return out
}

// swingsOn is the link above one that has a direction, −1.
func (c *Chains) swingsOn(i int) int {
	up := c.Links[i].Above
	for up >= 0 && c.Links[up].Length == 0 {
		up = c.Links[up].Above
	}
	return up
}

// slowest is the lowest frequency of small swings about where the tree comes to rest, rad/s: by
// the power method on pull⁻¹·mass. 0: some link is drawn nowhere.
func (t *tree) slowest(c *Chains, d Dials) float64 {
	n := len(t.links)
	pull := make([]float64, n)
	for a, i := range t.links {
		weight, down := t.arm[a]*d.Gravity*StandardGravity, c.Links[i].down
		switch t.weigh[a] {
		case cancelled:
			pull[a] = t.stiff[a]
		case trimmed:
			pull[a] = weight * down
		default: // along the drawn direction the one, down the other: their sum
			x, y := t.stiff[a]*math.Sqrt(max(0, 1-down*down)), t.stiff[a]*down+weight
			pull[a] = math.Sqrt(x*x + y*y)
		}
		if !(pull[a] > 0) {
			return 0
		}
	}
	x, y := make([]float64, n), make([]float64, n)
	for a := range x {
		x[a] = 1
	}
	most := 0.0
	for range 100 {
		size := 0.0
		for a := range y {
			y[a] = 0
			for b := range x {
				y[a] += t.mass[a*n+b] * x[b]
			}
			y[a] /= pull[a]
			size = max(size, y[a])
		}
		for a := range x {
			x[a] = y[a] / size
		}
		most = size
	}
	return 1 / math.Sqrt(most)
}

// Settles is how long chains truly take with some dials, seconds: no longer than is set, but
// that nothing settles faster than at critical damping.
func (c *Chains) Settles(d Dials) (longest float64) {
	for _, t := range c.trees(d) {
		s := d.Settle
		if w := t.slowest(c, d); w > 0 && t.drag == 2*w {
			s = max(s, criticalTime/w)
		}
		longest = max(longest, s)
	}
	return longest
}

// field is what draws the link a of a tree, m³/s²: drawn is its direction in the clip, rest that
// at rest; own turns a direction of the rest pose along with what the chain hangs on; pace is
// by how much the head of the root gains speed, m/s².
func (t *tree) field(a int, gravity float64, drawn, rest, pace space.XYZ, own func(space.XYZ) space.XYZ) space.XYZ {
	down := space.XYZ{Y: -gravity * StandardGravity}
	g := down.Sub(pace)
	switch t.weigh[a] {
	case cancelled:
		g = g.Sub(own(down))
	case trimmed:
		g = g.Sub(own(down.Level(rest)))
	}
	return drawn.Mul(t.stiff[a]).Add(g.Mul(t.arm[a]))
}
