package carry

import (
	"math"

	"rigloupe/inspect/space"
)

// Chain brings the end of a chain of bones to a target, its root kept: points are
// moved in place and bones keep their lengths. It answers how far the end is from the
// target. A straight chain with the target on its line does not bend. Source:
// Aristidou and Lasenby 2011, forward and backward reaching.
func Chain(points []space.Vec, target space.Vec, within float64, most int) (left float64) {
	n := len(points) - 1
	if n < 1 {
		return math.Inf(1)
	}
	p := make([]vec, n+1)
	long := make([]float64, n)
	sum := 0.0
	for i := range p {
		p[i] = vecOf(points[i])
		if i > 0 {
			long[i-1] = p[i].sub(p[i-1]).len()
			sum += long[i-1]
		}
	}
	root, t := p[0], vecOf(target)
	step := func(from, to vec, d float64) vec { // from, moved along the line to `to`, d long
		v, ok := to.sub(from).unit()
		if !ok {
			return from
		}
		return from.add(v.mul(d))
	}
	if t.sub(root).len() > sum {
		for i := range n {
			p[i+1] = step(p[i], t, long[i])
		}
	} else {
		for range most {
			if p[n].sub(t).len() < within {
				break
			}
			p[n] = t
			for i := n - 1; i >= 0; i-- {
				p[i] = step(p[i+1], p[i], long[i])
			}
			p[0] = root
			for i := range n {
				p[i+1] = step(p[i], p[i+1], long[i])
			}
		}
	}
	for i := range p {
		points[i] = p[i].array()
	}
	return p[n].sub(t).len()
}
