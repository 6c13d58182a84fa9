package carry

import "math"

// TwoBone bends a limb of two bones so that its end comes to a target: a root, b
// middle joint, c end, all in one space. The bones keep their lengths and the limb
// its own plane; where it is straight, the middle joint goes towards pole. It answers
// the rotations (space's own axes) that the first and the second bone make, and
// whether the target is within reach; else the limb points at it, stretched or folded
// as far as it goes. Law of cosines: the inner angle at the middle joint is
// acos((p²+q²−r²)/2pq), the one at the root acos((p²+r²−q²)/2pr).
func TwoBone(a, b, c, target, pole [3]float64) (first, second [4]float64, reached bool) {
	f, s, ok := twoBone(vecOf(a), vecOf(b), vecOf(c), vecOf(target), vecOf(pole))
	return [4]float64{f.x, f.y, f.z, f.w}, [4]float64{s.x, s.y, s.z, s.w}, ok
}

func twoBone(a, b, c, target, pole vec) (first, second quat, reached bool) {
	upper, lower := b.sub(a), c.sub(b)
	p, q := upper.len(), lower.len()
	way := target.sub(a)
	r := way.len()
	if p == 0 || q == 0 || !(r > 0) {
		return still, still, false
	}
	reached = r <= p+q && r >= math.Abs(p-q)
	r = clamp(r, math.Abs(p-q), p+q)
	inner, _ := insideAngles(p, q, r)
	// The axis about which the limb bends: a positive turn of the lower bone folds it.
	axis := upper.cross(lower)
	if axis.len() < 1e-6*p*q {
		axis = c.sub(a).cross(pole).mul(-1)
	}
	axis, ok := axis.unit()
	if !ok {
		return still, still, false
	}
	now := math.Atan2(upper.cross(lower).dot(axis), upper.dot(lower)) // 0: straight
	second = about(axis, (math.Pi-inner)-now)
	end := upper.add(second.turn(lower))
	first = between(end, way)
	return first, first.mul(second), reached
}

// insideAngles are the angles of the triangle with sides p, q and r: between p and q,
// and between p and r.
func insideAngles(p, q, r float64) (middle, root float64) {
	middle = math.Acos(clamp((p*p+q*q-r*r)/(2*p*q), -1, 1))
	root = math.Acos(clamp((p*p+r*r-q*q)/(2*p*r), -1, 1))
	return middle, root
}

// Chain brings the end of a chain of bones to a target, its root kept: points are
// moved in place and bones keep their lengths. It answers how far the end is from the
// target. A straight chain with the target on its line does not bend. Source:
// Aristidou and Lasenby 2011, forward and backward reaching.
func Chain(points [][3]float64, target [3]float64, within float64, most int) (left float64) {
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
