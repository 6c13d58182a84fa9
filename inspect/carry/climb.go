package carry

import (
	"math"

	"rigloupe/inspect/gait"
	"rigloupe/inspect/space"
)

// A clip that goes up or down a stair or a slope (gait.Legs) is carried onto one in the
// ratio of the legs, which begins on the target's floor.

// mostTip of the ground, degrees: what a foot lies on is no steeper (common practice, no source).
const mostTip = 35

// climbs takes over what the feet of the source stand on: how much higher that is than
// where the clip begins, in the target's size.
func (r *Result) climbs(gaits []gait.Foot) {
	begins := math.Inf(1)
	for i := range gaits {
		if g := &gaits[i]; g.Lift != nil {
			begins = min(begins, g.Ground[0]+g.Lift[0])
		}
	}
	for i, l := range r.feet {
		g := &gaits[i]
		if g.Lift == nil {
			continue
		}
		l.climb = make([]float64, len(g.Lift))
		for f := range l.climb {
			l.climb[f] = r.plan.k * (g.Ground[0] + g.Lift[f] - begins)
		}
	}
}

// higher is how much higher than the floor the ground under a foot is.
func (l *foot) higher(f int) float64 {
	if l.climb == nil {
		return 0
	}
	return l.climb[f]
}

// ledBy is the same in the source.
func (l *foot) ledBy(p *plan, f int) float64 {
	if l.climb == nil {
		return 0
	}
	return l.climb[f] / p.k
}

// higher is how much higher the ground is under the lower of the feet; 0 without any.
func (r *Result) higher(f int) float64 {
	low := math.Inf(1)
	for _, l := range r.feet {
		low = min(low, l.higher(f))
	}
	if math.IsInf(low, 0) {
		return 0
	}
	return low
}

// read measures how a foot of the target stands on the ground that it climbs.
func (l *foot) read(times []float64, points [][]space.Vec, up space.Vec, height float64) (gait.Foot, bool) {
	if l.climb == nil {
		return gait.Read(times, points, up, height)
	}
	return gait.ReadOver(times, points, up, height, l.climb)
}

// lay finds how the ground lies under a foot that climbs, a moment each: as the foot does
// while it stands on its ankle, in the mean of each stand, and evenly from one to the
// next. nil: level.
func (l *foot) lay(p *plan, times []float32) (normal []vec) {
	if l.climb == nil {
		return nil
	}
	rest := p.dstRest[p.drive[l.ankle].node].Back()
	normal = make([]vec, len(times))
	last := -1
	for _, s := range l.stands() {
		var sum vec
		for f := s.from; f < s.to; f++ {
			if l.state[f] == onAnkle {
				sum = sum.Add(l.wC[f].Mul(rest).Rotate(p.dstUp))
			}
		}
		n, ok := sum.Unit()
		if !ok || n.Dot(p.dstUp) < math.Cos(mostTip*math.Pi/180) {
			n = p.dstUp
		}
		for f := last + 1; f < s.from; f++ {
			normal[f] = n
			if last >= 0 {
				x := smooth((float64(times[f]) - float64(times[last])) / (float64(times[s.from]) - float64(times[last])))
				normal[f], _ = normal[last].Mul(1 - x).Add(n.Mul(x)).Unit()
			}
		}
		for f := s.from; f < s.to; f++ {
			normal[f] = n
		}
		last = s.to - 1
	}
	for f := last + 1; f < len(normal); f++ {
		normal[f] = p.dstUp
		if last >= 0 {
			normal[f] = normal[last]
		}
	}
	return normal
}

// underAt is how far a sole reaches under its joint down to the ground, which may tip: so
// high over the ground right under it the joint must be.
func (l *foot) underAt(f int, s sole, w quat, up vec) float64 {
	if l.tips == nil {
		return s.under(w, up)
	}
	return s.under(w, l.tips[f]) / l.tips[f].Dot(up)
}
