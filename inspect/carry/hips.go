package carry

import "math"

// How the hips give way to the feet.
const (
	dropOver = 0.2  // seconds, to either side, over which the hips come down and rise again
	mostDrop = 0.15 // of the leg
)

// drops is how far the hips come down at each frame so that both legs reach where they
// are to stand, and do not fold beyond what they fold in the source: the least that
// does, its largest over the neighbourhood, evened out. Below zero the hips rise. Where
// one leg asks for the one and the other for the other, reaching goes first.
func (r *Result) drops() []float64 {
	n := len(r.times)
	down, rise := make([]float64, n), make([]float64, n)
	up := r.plan.dstUp
	for _, l := range r.feet {
		for f := range n {
			d := l.c[f].Add(l.e[f]).Sub(l.a[f])
			if d.Sub(l.c[f].Sub(l.a[f])).Len() < 1e-9*r.plan.height.dst {
				continue // the foot is where the turns put it
			}
			high, side := -d.Dot(up), flat(d, up).Len()
			least, reach := l.limb[f].near, l.limb[f].far
			most := mostDrop * (l.b[f].Sub(l.a[f]).Len() + l.c[f].Sub(l.b[f]).Len())
			if d.Len() > reach && side < reach {
				down[f] = max(down[f], min(high-math.Sqrt(reach*reach-side*side), most))
			}
			if l.state[f] != inAir && d.Len() < least {
				rise[f] = max(rise[f], min(math.Sqrt(least*least-side*side)-high, most))
			}
		}
	}
	for f := range rise {
		if down[f] > 0 {
			rise[f] = 0
		}
	}
	down, rise = hill(r.times, down, dropOver), hill(r.times, rise, dropOver)
	for f := range down {
		if down[f] -= rise[f]; math.Abs(down[f]) < 1e-9*r.plan.height.dst {
			down[f] = 0
		}
	}
	return down
}

// hill is the largest of a list over so many seconds to either side, evened out over
// the same, so that it is nowhere below the list.
func hill(times []float32, list []float64, over float64) []float64 {
	n := len(list)
	most, out := make([]float64, n), make([]float64, n)
	var queue []int // of falling values
	next := 0
	for f := range most {
		for next < n && float64(times[next]) <= float64(times[f])+over {
			for len(queue) > 0 && list[queue[len(queue)-1]] <= list[next] {
				queue = queue[:len(queue)-1]
			}
			queue = append(queue, next)
			next++
		}
		for float64(times[queue[0]]) < float64(times[f])-over {
			queue = queue[1:]
		}
		most[f] = list[queue[0]]
	}
	lo, hi, sum := 0, 0, 0.0
	for f := range out {
		for hi < n && float64(times[hi]) <= float64(times[f])+over {
			sum += most[hi]
			hi++
		}
		for float64(times[lo]) < float64(times[f])-over {
			sum -= most[lo]
			lo++
		}
		out[f] = max(0, sum/float64(hi-lo))
	}
	return out
}
