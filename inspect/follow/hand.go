package follow

import (
	"math"
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Hand moves chains as a person says, without weight.
type Hand struct {
	Swing float64     // degrees that the end of a chain is turned to each side; its links share it
	Times float64     // swings to and fro in a clip
	Lag   float64     // seconds by which each link follows the one above
	Curl  float64     // degrees by which the end of a chain is bent all along
	Axis  space.Vec   // unit, world at rest: what they turn about
	Set   []HandPoint // degrees at moments, in their order; any: Swing and Times are left aside
}

// HandPoint is how far the end of a chain is turned at a moment of the clip.
type HandPoint struct{ Seconds, Degrees float64 }

// handHertz is how often a movement by hand is looked at before keys are thinned.
const handHertz = 120

// ByHand moves the chains through one clip. Every link turns by its share of the swing, later
// from link to link, and by its share of the curl; a loop ends as it begins. seconds of a
// point outside the clip hold the nearest one's; between them the way has no corner and goes
// no farther than they say (Fritsch & Carlson 1980).
func (c *Chains) ByHand(clip rig.Clip, loop bool, h Hand) *Motion {
	d := &c.e.Rig.Clips[clip]
	from, span := d.Start, d.Seconds-d.Start
	n := max(2, int(math.Ceil(span*handHertz))+1)
	m := &Motion{chains: c, turns: make([][]space.Turn, len(c.Links))}
	for k := range n {
		m.times = append(m.times, from+span*float64(k)/float64(n-1))
	}
	way := h.way(from, span, loop)
	world := c.e.RestWorld()
	deep, of := c.depths()
	for i := range c.Links {
		l := &c.Links[i]
		if l.Length == 0 {
			continue
		}
		node := &c.e.Rig.Nodes[l.Joint]
		rest := space.PlainTurn(space.FromXYZW(node.R))
		axis := space.Plain(space.FromXYZW(world[l.Joint].Decompose().R).Conjugate().Rotate(h.Axis))
		m.turns[i] = make([]space.Turn, n)
		for k, at := range m.times {
			late := at - h.Lag*float64(deep[i])
			angle := (way(late) + h.Curl) / float64(of[i]) * math.Pi / 180
			m.turns[i][k] = rest.Mul(space.TurnAbout(axis, angle))
			m.Widest = max(m.Widest, math.Abs(angle))
		}
	}
	return m
}

// Most is how many links with a direction the longest chain has, 1 at least.
func (c *Chains) Most() int {
	_, of := c.depths()
	return max(1, slices.Max(append(of, 1)))
}

// depths are how many links with a direction stand above each link, and how many the longest
// chain through it has.
func (c *Chains) depths() (deep, of []int) {
	deep, of = make([]int, len(c.Links)), make([]int, len(c.Links))
	for i := range c.Links {
		if up := c.Links[i].Above; up >= 0 {
			deep[i] = deep[up]
			if c.Links[up].Length > 0 {
				deep[i]++
			}
		}
	}
	for i := len(c.Links) - 1; i >= 0; i-- {
		of[i] = max(of[i], deep[i]+1)
		if up := c.Links[i].Above; up >= 0 {
			of[up] = max(of[up], of[i])
		}
	}
	return deep, of
}

// way is how far the end of a chain is turned at a moment, degrees.
func (h *Hand) way(from, span float64, loop bool) func(seconds float64) float64 {
	if len(h.Set) == 0 {
		return func(s float64) float64 { return h.Swing * math.Sin(2*math.Pi*h.Times*(s-from)/span) }
	}
	points := slices.Clone(h.Set)
	slices.SortStableFunc(points, func(a, b HandPoint) int {
		switch {
		case a.Seconds < b.Seconds:
			return -1
		case a.Seconds > b.Seconds:
			return 1
		}
		return 0
	})
	if loop { // one period before and behind
		var all []HandPoint
		for _, p := range points {
			p.Seconds = from + wrapped(p.Seconds-from, span)
			for _, k := range []float64{-1, 0, 1} {
				all = append(all, HandPoint{p.Seconds + k*span, p.Degrees})
			}
		}
		slices.SortStableFunc(all, func(a, b HandPoint) int { return int(math.Copysign(1, a.Seconds-b.Seconds)) })
		points = all
	}
	points = slices.CompactFunc(points, func(a, b HandPoint) bool { return a.Seconds == b.Seconds })
	slope := slopes(points)
	return func(s float64) float64 {
		if loop {
			s = from + wrapped(s-from, span)
		}
		k := 0
		for k < len(points) && points[k].Seconds <= s {
			k++
		}
		if k == 0 {
			return points[0].Degrees
		}
		if k == len(points) {
			return points[k-1].Degrees
		}
		a, b := points[k-1], points[k]
		step := b.Seconds - a.Seconds
		u := (s - a.Seconds) / step
		return (1+2*u)*(1-u)*(1-u)*a.Degrees + u*(1-u)*(1-u)*step*slope[k-1] + u*u*(3-2*u)*b.Degrees + u*u*(u-1)*step*slope[k]
	}
}

func wrapped(x, span float64) float64 {
	x = math.Mod(x, span)
	if x < 0 {
		x += span
	}
	return x
}

// slopes are those of the monotone way through points: none where it turns back, else the
// harmonic mean of both sides (Fritsch & Butland 1984).
func slopes(p []HandPoint) []float64 {
	out := make([]float64, len(p))
	for k := 1; k+1 < len(p); k++ {
		h0, h1 := p[k].Seconds-p[k-1].Seconds, p[k+1].Seconds-p[k].Seconds
		a, b := (p[k].Degrees-p[k-1].Degrees)/h0, (p[k+1].Degrees-p[k].Degrees)/h1
		if a*b > 0 {
			out[k] = 3 * (h0 + h1) / ((2*h1+h0)/a + (h1+2*h0)/b)
		}
	}
	return out
}
