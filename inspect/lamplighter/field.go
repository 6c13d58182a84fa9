package lamplighter

import (
	"math"

	"rigloupe/inspect/space"
)

// field is the smooth union of the solids near one place.
type field struct {
	solids []solid
	near   []uint16 // places in solids, groups in rising order
	wide   []uint16 // the same and others that matter to the weights
}

// smoothMin joins two distances over a width of k: exactly the smaller one where
// they differ by k or more, so leaving out a far solid changes no bit.
func smoothMin(a, b, k float64) float64 {
	h := k - math.Abs(a-b)
	if h <= 0 {
		return min(a, b)
	}
	return min(a, b) - h*h*(0.25/k)
}

// seam is how much deeper the coat lies along its front, where it closes.
func seam(x, y, z float64) float64 {
	if x > 0.06 || z < 0.02 || y > 1.47 {
		return 0
	}
	return 0.009 * math.Exp(-(x/0.02)*(x/0.02)) * min((z-0.02)*20, 1) * min((1.47-y)*20, 1)
}

// distance answers the union's distance at a point, x ≥ 0 half. Solids whose ball is
// too far to change anything are passed over: four of five are.
func (f *field) distance(x, y, z float64) float64 {
	const far = 1e9 // metres: beyond all solids
	all, part, g, best := far, far, groups, far
	for _, i := range f.near {
		s := &f.solids[i]
		if room := best + s.reach; room > 0 {
			room = s.size + room*(1/lean)
			dx, dy, dz := x-s.ball[0], y-s.ball[1], z-s.ball[2]
			if dx*dx+dy*dy+dz*dz > room*room {
				continue
			}
		}
		d := s.distance(x, y, z)
		best = min(best, d)
		if s.group != g {
			all = f.join(all, part, g, x, y, z)
			part, g = d, s.group
			continue
		}
		part = smoothMin(part, d, within[g])
	}
	return f.join(all, part, g, x, y, z)
}

// join adds a finished group to the union.
func (f *field) join(all, part float64, g group, x, y, z float64) float64 {
	switch {
	case g == groups:
		return all
	case g == coat:
		return part + seam(x, y, z)
	}
	return smoothMin(all, part, joined[g])
}

// parts writes the distance of every group at a point; 1e9: not near. It looks at
// the wide list.
func (f *field) parts(x, y, z float64, out *[groups]float64) {
	for g := range out {
		out[g] = 1e9
	}
	for _, i := range f.wide {
		s := &f.solids[i]
		d := s.distance(x, y, z)
		if out[s.group] < 1e9 {
			d = smoothMin(out[s.group], d, within[s.group])
		}
		out[s.group] = d
	}
	out[coat] += seam(x, y, z)
}

// gather keeps the solids that can matter to the union within radius of a point
// (near), and those that can matter to the weights too (wide). It answers the
// distance at the point, and whether the surface stays out of that ball for sure.
func (f *field) gather(all []solid, from []uint16, p space.Vec, radius float64) (d float64, clear bool) {
	f.solids, f.near, f.wide = all, f.near[:0], f.wide[:0]
	best, steepest := math.Inf(1), 0.0
	var dist [64]float64
	for n, i := range from {
		s := &all[i]
		dist[n] = s.distance(p[0], p[1], p[2])
		best = min(best, dist[n]+s.steepest*radius)
		steepest = max(steepest, s.steepest)
	}
	outside := true
	for n, i := range from {
		s := &all[i]
		low := dist[n] - s.steepest*radius
		outside = outside && low > s.reach
		if low-best <= s.reach {
			f.near = append(f.near, i)
		}
		if low-best <= max(s.reach, blend[s.group]) {
			f.wide = append(f.wide, i)
		}
	}
	d = f.distance(p[0], p[1], p[2])
	return d, outside || math.Abs(d) > steepest*radius
}
