package carry

import (
	"math"
	"slices"

	"rigloupe/inspect/space"
)

// How a pinned foot comes and goes.
const (
	letGo      = 0.3   // seconds in which a foot leaves its pin at the ends of a clip
	mostDrift  = 0.1   // of the size that a pin may lie off: 17 cm of a grown person, half a foot's length and more (common practice, no source)
	mostSettle = 0.1   // of the height: what is farther off its level does not stand (set by captures: up to 6 %)
	tellSettle = 0.005 // of the height: 9 mm of 1.75 m; from there on it is told that all was set up or down (common practice, no source)
	oneBuilt   = 1e-3  // of the height: bones that differ by less are as long as each other
)

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
			a := p.srcAt(p.drive[i].pair.Source).Sub(p.srcAt(p.drive[above].pair.Source)).Len() * p.k
			b := p.dstAt(p.drive[i].node).Sub(p.dstAt(p.drive[above].node)).Len()
			if math.Abs(a-b) > oneBuilt*p.height.dst {
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
		var off []float64
		for f := range l.c {
			if l.state[f] != inAir {
				off = append(off, l.touch(f, p.dstUp))
			}
		}
		if m := space.Percentile(off, 50); !math.IsNaN(m) {
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
	if math.Abs(by) > tellSettle*p.height.dst {
		r.remark("standing feet were off their level at rest; everything was set %s for it", raised(by))
	}
	up := p.dstUp.Mul(by)
	k.shift(func(int) vec { return up })
	for _, l := range r.feet {
		l.shift(func(int) vec { return up })
	}
}

// level is the height of ankle or toes while they stand: that of the rest pose, whose
// soles are on the floor; in a capture, where that hangs at the origin, what the clip
// does most.
func (l *foot) level(p *plan, i int, at []vec, on pivot) float64 {
	rest := p.dstAt(p.drive[i].node).Dot(p.dstUp)
	if p.m.T.Rig.File.Kind != "bvh" {
		return rest
	}
	var h []float64
	for f := range at {
		if l.state[f] == on {
			h = append(h, at[f].Dot(p.dstUp)-l.higher(f))
		}
	}
	if m := space.Percentile(h, 50); !math.IsNaN(m) {
		return m
	}
	return rest
}

// stretch is one stand: moments from … to−1.
type stretch struct{ from, to int }

func (l *foot) stands() (out []stretch) {
	for f := 0; f < len(l.state); f++ {
		if l.state[f] == inAir {
			continue
		}
		s := stretch{f, f}
		for s.to < len(l.state) && l.state[s.to] != inAir {
			s.to++
		}
		out = append(out, s)
		f = s.to
	}
	return out
}

// pins works out how far the ankle is moved at every frame: on a stand so that what
// it stands on keeps still, between stands evenly from one to the next.
func (l *foot) pins(r *Result, p *plan) {
	n := len(r.times)
	l.e, l.holds = make([]vec, n), make([]float64, n)
	up := p.dstUp
	for _, s := range l.stands() {
		for f := s.from; f < s.to; f++ {
			l.holds[f] = 1
		}
		l.pin(r.times, s.from, s.to, up, mostDrift*p.size.dst)
	}
	l.reconcile(r.times, p)
	// Between stands.
	last := -1
	for f := 0; f <= n; f++ {
		if f < n && l.state[f] == inAir {
			continue
		}
		for g := last + 1; g < f; g++ {
			t := float64(r.times[g])
			near := math.Inf(1) // seconds to a stand
			if last >= 0 {
				near = t - float64(r.times[last])
			}
			if f < n {
				near = min(near, float64(r.times[f])-t)
			}
			switch {
			case last >= 0 && f < n:
				x := smooth((t - float64(r.times[last])) / (float64(r.times[f]) - float64(r.times[last])))
				l.e[g] = l.e[last].Mul(1 - x).Add(l.e[f].Mul(x))
			case last >= 0:
				l.e[g] = l.e[last].Mul(1 - smooth(near/letGo))
			case f < n:
				l.e[g] = l.e[f].Mul(1 - smooth(near/letGo))
			}
			l.holds[g] = 1 - smooth(near/letGo)
			// Beside where it stands in the source, held here or not, the foot comes and goes
			// over the ground as the source's does, or a longer foot would sweep it.
			low, high := l.touch(g, up), l.e[g].Dot(up)
			beside, over := 1-smooth(l.down[g]/letGo), 1-smooth((l.down[g]-letGo)/letGo)
			if by := l.lifts[g] * max(beside*(low+l.clear[g]-high), over*(low-high)); by > 0 {
				l.e[g] = l.e[g].Add(up.Mul(by))
			}
		}
		last = f
	}
	l.even(r.times, up)
}

// sinceDown answers for every moment how many seconds it is off the nearest at which the
// foot stands in the source.
func (l *foot) sinceDown(times []float32) []float64 {
	out := make([]float64, len(times))
	last := math.Inf(-1)
	for f, t := range times {
		if l.state[f] != inAir {
			last = float64(t)
		}
		out[f] = float64(t) - last
	}
	last = math.Inf(1)
	for f, t := range slices.Backward(times) {
		if l.state[f] != inAir {
			last = float64(t)
		}
		out[f] = min(out[f], last-float64(t))
	}
	return out
}

// evenOver is the time, to either side, over which a foot's height is evened out: where
// it comes down, and where a capture shakes, a knee near straight would pop for a few
// millimetres.
const evenOver = 0.04

// even evens out how much higher the foot is set, twice.
func (l *foot) even(times []float32, up vec) {
	n := len(l.e)
	high := make([]float64, n)
	for range 2 {
		for f := range high {
			high[f] = l.e[f].Dot(up)
		}
		lo, hi, sum := 0, 0, 0.0
		for f := range high {
			t := float64(times[f])
			for hi < n && float64(times[hi]) <= t+evenOver {
				sum += high[hi]
				hi++
			}
			for float64(times[lo]) < t-evenOver {
				sum -= high[lo]
				lo++
			}
			l.e[f] = flat(l.e[f], up).Add(up.Mul(sum / float64(hi-lo)))
		}
	}
}

// How pins of one foot give way to each other.
const (
	haste  = 0.25 // seconds: a way between two pins weighs as much as one that lies off for so long
	closed = 0.01 // of the height: a foot that ends so near to where it began goes round
	passes = 200
)

// reconcile shifts whole stands level, so that pins lie near where the turns put the
// foot (weighted by how long) and ways between neighbours are short (by the time there
// is for them): least squares, solved by Gauss and Seidel's rounds.
func (l *foot) reconcile(times []float32, p *plan) {
	list := l.stands()
	if len(list) == 0 {
		return
	}
	last := len(times) - 1
	long := func(s stretch) float64 {
		return max(float64(times[s.to-1])-float64(times[s.from]), 1.0/30)
	}
	// Ways between the end of one stand and the beginning of the next.
	type link struct {
		a, b   int
		weight float64
		apart  vec
	}
	var links []link
	join := func(a, b int, seconds float64) {
		d := flat(l.e[list[b].from].Sub(l.e[list[a].to-1]), p.dstUp)
		links = append(links, link{a, b, haste * haste / max(seconds, 1.0/30), d})
	}
	for i := 1; i < len(list); i++ {
		join(i-1, i, float64(times[list[i].from])-float64(times[list[i-1].to-1]))
	}
	if end := len(list) - 1; list[0].from == 0 && list[end].to == last+1 && end > 0 && l.c[last].Sub(l.c[0]).Len() < closed*p.height.dst {
		join(end, 0, 1e-3*haste)
	}
	of := make([][]link, len(list)) // a stand's own, three at most
	for _, k := range links {
		of[k.a], of[k.b] = append(of[k.a], k), append(of[k.b], k)
	}
	off := make([]vec, len(list))
	for range passes {
		for i := range list {
			sum, weight := vec{}, long(list[i])
			for _, k := range of[i] {
				switch i {
				case k.a:
					sum, weight = sum.Add(off[k.b].Add(k.apart).Mul(k.weight)), weight+k.weight
				case k.b:
					sum, weight = sum.Add(off[k.a].Sub(k.apart).Mul(k.weight)), weight+k.weight
				}
			}
			off[i] = sum.Mul(1 / weight)
		}
	}
	for i, s := range list {
		for f := s.from; f < s.to; f++ {
			l.e[f] = l.e[f].Add(off[i])
		}
	}
}

// pin pins one stand, frames from … to−1: the foot rolls from ankle to toes and
// back, and each of them stays where it came down. The whole is set so that it is
// nowhere far from where the turns put it; where it still is, the foot may slide in
// the longest roll on the toes.
func (l *foot) pin(times []float32, from, to int, up vec, most float64) {
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
			pin = flat(at(f-1, on), up).Add(l.e[f-1])
		}
		flatly := pin.Sub(flat(at(f, on), up))
		if l.glides {
			flatly = vec{}
		}
		l.e[f] = flatly
		mean = mean.Add(flatly)
	}
	mean = mean.Mul(1 / float64(to-from))
	far := 0.0
	for f := from; f < to; f++ {
		l.e[f] = l.e[f].Sub(mean)
		far = max(far, flat(l.e[f], up).Len())
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
				l.goneFor += step(times, f)
			}
			l.pin(times, from, a, up, most)
			l.pin(times, b, to, up, most)
			return
		}
	}
	// The lower of ankle and toes comes to its level on the floor, so that a heel may
	// rise; without toes the ankle keeps its own ups and downs over it.
	least := math.Inf(-1)
	if l.toes < 0 {
		var off []float64
		for f := from; f < to; f++ {
			off = append(off, l.touch(f, up))
		}
		least = space.Percentile(off, 50)
	}
	for f := from; f < to; f++ {
		l.e[f] = flat(l.e[f], up).Add(up.Mul(max(least, l.touch(f, up))))
	}
}

// touch is how far a foot must be raised, as the turns put it, for ankle and toes to
// be on the floor and neither below.
func (l *foot) touch(f int, up vec) float64 {
	by := l.underA[f] - l.c[f].Dot(up)
	if l.toes >= 0 {
		by = max(by, l.underT[f]-l.t[f].Dot(up))
	}
	return l.floor + l.higher(f) + by
}

// smooth goes from 0 to 1 and is level at both ends.
func smooth(x float64) float64 {
	x = clamp(x, 0, 1)
	return x * x * (3 - 2*x)
}

// bend writes thigh, shin and foot anew.
func (l *foot) bend(k *keys, p *plan) {
	shin, ankle := &p.drive[l.shin], &p.drive[l.ankle]
	k.last[l.thigh], k.last[l.shin], k.last[l.ankle] = still, still, still
	if l.curled {
		k.last[l.toes] = still
	}
	for f := range l.a {
		first, second := l.first[f], l.second[f]
		upA := k.parentWorld(l.thigh, f)
		nA, nB := first.Mul(l.wA[f]), second.Mul(l.wB[f])
		k.turnTo(f, l.thigh, unit(upA.Back().Mul(nA)))
		k.turnTo(f, l.shin, unit(nA.Mul(shin.rel).Back().Mul(nB)))
		knee := l.a[f].Add(first.Rotate(l.b[f].Sub(l.a[f])))
		end := knee.Add(second.Rotate(l.c[f].Sub(l.b[f])))
		if ankle.from == l.shin {
			k.turnTo(f, l.ankle, unit(nB.Mul(ankle.rel).Back().Mul(l.wC[f])))
		} else if k.trans[l.ankle] != nil { // hangs elsewhere: its place is a channel
			o := k.trans[l.ankle][3*f : 3*f+3]
			was := xyz(float64(o[0]), float64(o[1]), float64(o[2]))
			k.put(f, l.ankle, was.Add(l.back(k, p, f, end.Sub(l.c[f]))))
		}
		if l.t != nil {
			l.t[f] = l.t[f].Add(end.Sub(l.c[f]))
			if l.curled {
				k.turnTo(f, l.toes, unit(l.wC[f].Mul(p.drive[l.toes].rel).Back().Mul(l.wT[f])))
			}
		}
		l.b[f], l.c[f], l.wA[f], l.wB[f] = knee, end, nA, nB
	}
}

// back takes a way in the world to the axes of the parent of a foot that hangs
// elsewhere.
func (l *foot) back(k *keys, p *plan, f int, way vec) vec {
	return k.parentWorld(l.ankle, f).Back().Rotate(way).Over(p.drive[l.ankle].scale)
}
