package carry

import "math"

// How a pinned foot comes and goes.
const (
	letGo      = 0.3    // seconds in which a foot leaves its pin at the ends of a clip
	dropOver   = 0.2    // seconds over which the hips come down and rise again
	mostDrop   = 0.15   // of the leg
	stretch    = 0.9999 // of the leg's length that a pinned foot may use
	mostDrift  = 0.05   // of the height that a pin may lie off
	mostSettle = 0.1    // of the height
)

// keep pins feet that stand, lowers the hips where a pinned foot is out of reach, and
// bends hip and knee so that the ankle comes to its place.
func (r *Result) keep(k *keys) {
	p := r.plan
	if len(r.feet) > 0 && p.oneBuild() {
		r.remark("the legs of the two are of one build: the feet stand and slide as the source's do, and none was pinned")
		for _, l := range r.feet {
			l.e = make([]vec, len(r.times))
		}
		return
	}
	r.settle(k)
	for _, l := range r.feet {
		l.pins(r, p)
	}
	drop := r.drops()
	for f := range drop {
		r.drop = max(r.drop, drop[f])
	}
	if r.drop > 0 {
		way := func(f int) vec { return p.dstUp.mul(-drop[f]) }
		k.shift(way)
		for _, l := range r.feet {
			l.shift(way)
			for f := range l.e {
				l.e[f] = l.e[f].sub(way(f)) // the place on the floor stays
			}
		}
	}
	ahead := fromMgl(p.m.T.Forward)
	for _, l := range r.feet {
		l.bend(k, p, ahead)
	}
}

// oneBuild tells that the legs of the two skeletons are as long as each other by the
// scale of ways, bone by bone: then feet stand where the source's do.
func (p *plan) oneBuild() bool {
	legs := 0
	for _, side := range [2]string{"left", "right"} {
		above := p.driveOf("hips")
		for _, bone := range [4]string{"UpperLeg", "LowerLeg", "Foot", "Toes"} {
			i := p.driveOf(side + bone)
			if i < 0 || above < 0 {
				break
			}
			a := p.srcAt(p.drive[i].pair.Source).sub(p.srcAt(p.drive[above].pair.Source)).len() * p.k
			b := p.dstAt(p.drive[i].node).sub(p.dstAt(p.drive[above].node)).len()
			if math.Abs(a-b) > 1e-3*p.height.dst {
				return false
			}
			above, legs = i, legs+1
		}
	}
	return legs >= 6
}

// settle sets the whole as much higher or lower as standing feet are off the level
// of their rest pose in the middle: less is left for hips and knees to do.
func (r *Result) settle(k *keys) {
	p := r.plan
	sum, n := 0.0, 0
	for _, l := range r.feet {
		levels := l.levels(p)
		var off []float64
		for f := range l.c {
			if l.state[f] != inAir {
				off = append(off, l.touch(f, p.dstUp, levels))
			}
		}
		if m := percentile(off, 0.5); !math.IsNaN(m) {
			sum, n = sum+m, n+1
		}
	}
	if n == 0 {
		return
	}
	by := sum / float64(n)
	if math.Abs(by) < 1e-6*p.height.dst || math.Abs(by) > mostSettle*p.height.dst {
		return
	}
	if math.Abs(by) > 0.005*p.height.dst {
		r.remark("standing feet were off their level at rest; everything was set %s for it", raised(by))
	}
	up := p.dstUp.mul(by)
	k.shift(func(int) vec { return up })
	for _, l := range r.feet {
		l.shift(func(int) vec { return up })
	}
}

// levels are the heights of ankle and toes while they stand.
func (l *foot) levels(p *plan) (out [3]float64) {
	out[onAnkle] = l.level(p, l.ankle, l.c, onAnkle)
	if l.toes >= 0 {
		out[onToes] = l.level(p, l.toes, l.t, onToes)
	}
	return out
}

// level is the height of ankle or toes while they stand: that of the rest pose, whose
// soles are on the floor; in a capture, where that hangs at the origin, what the clip
// does most.
func (l *foot) level(p *plan, i int, at []vec, on pivot) float64 {
	rest := p.dstAt(p.drive[i].node).dot(p.dstUp)
	if p.m.T.Rig.File.Kind != "bvh" {
		return rest
	}
	var h []float64
	for f := range at {
		if l.state[f] == on {
			h = append(h, at[f].dot(p.dstUp))
		}
	}
	if m := percentile(h, 0.5); !math.IsNaN(m) {
		return m
	}
	return rest
}

// pins works out how far the ankle is moved at every frame: on a stand so that what
// it stands on keeps still, between stands evenly from one to the next.
func (l *foot) pins(r *Result, p *plan) {
	n := len(r.times)
	l.e = make([]vec, n)
	up := p.dstUp
	levels := l.levels(p)
	for from := 0; from < n; from++ {
		if l.state[from] == inAir {
			continue
		}
		to := from
		for to < n && l.state[to] != inAir {
			to++
		}
		l.stand(from, to, up, levels, mostDrift*p.height.dst)
		from = to
	}
	// Between stands.
	last := -1
	for f := 0; f <= n; f++ {
		if f < n && l.state[f] == inAir {
			continue
		}
		for g := last + 1; g < f; g++ {
			t := float64(r.times[g])
			switch {
			case last >= 0 && f < n:
				x := smooth((t - float64(r.times[last])) / (float64(r.times[f]) - float64(r.times[last])))
				l.e[g] = l.e[last].mul(1 - x).add(l.e[f].mul(x))
			case last >= 0:
				l.e[g] = l.e[last].mul(1 - smooth((t-float64(r.times[last]))/letGo))
			case f < n:
				l.e[g] = l.e[f].mul(1 - smooth((float64(r.times[f])-t)/letGo))
			}
			if low := l.touch(g, up, levels); l.e[g].dot(up) < low {
				l.e[g] = flat(l.e[g], up).add(up.mul(low))
			}
		}
		last = f
	}
}

// stand pins one stand, frames from … to−1: the foot rolls from ankle to toes and
// back, and each of them stays where it came down. The whole is set so that it is
// nowhere far from where the turns put it; where it still is, the foot may slide in
// the longest roll on the toes.
func (l *foot) stand(from, to int, up vec, levels [3]float64, most float64) {
	at := func(f int, on pivot) vec {
		if on == onToes {
			return l.t[f]
		}
		return l.c[f]
	}
	var pin, mean vec
	for f := from; f < to; f++ {
		on := l.state[f]
		if f == from {
			pin = flat(at(f, on), up)
		} else if l.state[f-1] != on {
			pin = flat(at(f-1, on), up).add(l.e[f-1])
		}
		flatly := pin.sub(flat(at(f, on), up))
		l.e[f] = flatly
		mean = mean.add(flatly)
	}
	mean = mean.mul(1 / float64(to-from))
	far := 0.0
	for f := from; f < to; f++ {
		l.e[f] = l.e[f].sub(mean)
		far = max(far, flat(l.e[f], up).len())
	}
	if far > most {
		a, b := -1, -1 // the longest roll between two stands on the ankle
		for f := from + 1; f < to; f++ {
			if l.state[f] != onToes || l.state[f-1] != onAnkle {
				continue
			}
			g := f
			for g < to && l.state[g] == onToes {
				g++
			}
			if g < to && g-f > b-a {
				a, b = f, g
			}
		}
		if a >= 0 {
			for f := a; f < b; f++ {
				l.state[f] = inAir
			}
			l.stand(from, a, up, levels, most)
			l.stand(b, to, up, levels, most)
			return
		}
	}
	// The lower of ankle and toes comes to its level on the floor, so that a heel may
	// rise; without toes the ankle keeps its own ups and downs over it.
	least := math.Inf(-1)
	if l.toes < 0 {
		var off []float64
		for f := from; f < to; f++ {
			off = append(off, l.touch(f, up, levels))
		}
		least = percentile(off, 0.5)
	}
	for f := from; f < to; f++ {
		l.e[f] = flat(l.e[f], up).add(up.mul(max(least, l.touch(f, up, levels))))
	}
}

// touch is how far a foot must be raised, as the turns put it, for ankle and toes to
// be on the floor and neither below.
func (l *foot) touch(f int, up vec, levels [3]float64) float64 {
	by := levels[onAnkle] - l.c[f].dot(up)
	if l.toes >= 0 {
		by = max(by, levels[onToes]-l.t[f].dot(up))
	}
	return by
}

// smooth goes from 0 to 1 and is level at both ends.
func smooth(x float64) float64 {
	x = clamp(x, 0, 1)
	return x * x * (3 - 2*x)
}

// drops is how far the hips come down at each frame so that both legs reach: the
// least that does, its largest over the neighbourhood, evened out.
func (r *Result) drops() []float64 {
	n := len(r.times)
	need := make([]float64, n)
	up := r.plan.dstUp
	for _, l := range r.feet {
		for f := range need {
			p, q := l.b[f].sub(l.a[f]).len(), l.c[f].sub(l.b[f]).len()
			reach := stretch * (p + q)
			d := l.c[f].add(l.e[f]).sub(l.a[f])
			if d.len() <= reach {
				continue
			}
			down := -d.dot(up)
			side := flat(d, up).len()
			if side < reach {
				need[f] = max(need[f], min(down-math.Sqrt(reach*reach-side*side), mostDrop*(p+q)))
			}
		}
	}
	most := make([]float64, n)
	// The largest within the window to either side; a queue of falling values.
	var queue []int
	next := 0
	for f := range most {
		for next < n && float64(r.times[next]) <= float64(r.times[f])+dropOver {
			for len(queue) > 0 && need[queue[len(queue)-1]] <= need[next] {
				queue = queue[:len(queue)-1]
			}
			queue = append(queue, next)
			next++
		}
		for float64(r.times[queue[0]]) < float64(r.times[f])-dropOver {
			queue = queue[1:]
		}
		most[f] = need[queue[0]]
	}
	// The mean over the same window is nowhere below what is needed.
	out := make([]float64, n)
	lo, hi, sum := 0, 0, 0.0
	for f := range out {
		for hi < n && float64(r.times[hi]) <= float64(r.times[f])+dropOver {
			sum += most[hi]
			hi++
		}
		for float64(r.times[lo]) < float64(r.times[f])-dropOver {
			sum -= most[lo]
			lo++
		}
		out[f] = max(0, sum/float64(hi-lo))
		if out[f] < 1e-9*r.plan.height.dst {
			out[f] = 0
		}
	}
	return out
}

// bend writes thigh, shin and foot anew.
func (l *foot) bend(k *keys, p *plan, ahead vec) {
	shin, ankle := &p.drive[l.shin], &p.drive[l.ankle]
	k.last[l.thigh], k.last[l.shin], k.last[l.ankle] = still, still, still
	for f := range l.a {
		target := l.c[f].add(l.e[f])
		wA, wB := l.wA[f], l.wB[f]
		first, second := still, still
		if l.e[f].len() > 1e-9*p.height.dst {
			first, second, _ = twoBone(l.a[f], l.b[f], l.c[f], target, ahead)
		}
		upA := k.parentWorld(l.thigh, f)
		nA, nB := first.mul(wA), second.mul(wB)
		k.turnTo(f, l.thigh, upA.conj().mul(nA).unit())
		k.turnTo(f, l.shin, nA.mul(shin.rel).conj().mul(nB).unit())
		knee := l.a[f].add(first.turn(l.b[f].sub(l.a[f])))
		end := knee.add(second.turn(l.c[f].sub(l.b[f])))
		if ankle.from == l.shin {
			k.turnTo(f, l.ankle, nB.mul(ankle.rel).conj().mul(l.wC[f]).unit())
		} else if k.trans[l.ankle] != nil { // hangs elsewhere: its place is a channel
			o := k.trans[l.ankle][3*f : 3*f+3]
			was := vec{float64(o[0]), float64(o[1]), float64(o[2])}
			k.put(f, l.ankle, was.add(l.back(k, p, f, end.sub(l.c[f]))))
		}
		if l.t != nil {
			l.t[f] = l.t[f].add(end.sub(l.c[f]))
		}
		l.b[f], l.c[f], l.wA[f], l.wB[f] = knee, end, nA, nB
	}
}

// back takes a way in the world to the axes of the parent of a foot that hangs
// elsewhere.
func (l *foot) back(k *keys, p *plan, f int, way vec) vec {
	return k.parentWorld(l.ankle, f).conj().turn(way).over(p.drive[l.ankle].scale)
}
