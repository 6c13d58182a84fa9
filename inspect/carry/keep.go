package carry

import (
	"math"
	"slices"

	"rigloupe/inspect/gait"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// What keeping a foot in its place may cost before it is let go.
const (
	miss      = 0.003 // of the height: 5 mm of 1.75 m, a pinned foot that comes no nearer does not stay
	faster    = 1.45  // times the joint's fastest by the turns alone
	crawl     = 10    // degrees a second, a third of a degree a frame: slower than this nothing pops (set by: 300 carried clips of the corpus lose 95 s of stands to it, 83 s at 60; at 0, 123 s, for turns of idle clips that no one sees)
	outliers  = 0.001 // of the steps, which do not tell how fast a joint goes: a capture's first frame is often another pose
	trim      = 0.025 // seconds cut off a stand beside a moment that cannot be kept
	sinkBy    = 0.5   // of its lift a foot in the air keeps where a joint would pop for it
	sinkOver  = 0.1   // seconds to either side of that
	mostTries = 40
	lookBacks = 4   // back at the result: a foot that is held otherwise stands otherwise
	longer    = 0.1 // seconds that a foot is held at either end beyond what it stands in the source
)

// keep pins feet that stand, lowers the hips where a pinned foot is out of reach, and
// bends hip and knee so that the ankle comes to its place: about the knee's own hinge,
// within the range that the source uses. A foot that cannot stay so, or only with a
// joint much faster than in the source, is let go.
func (r *Result) keep(k *keys) {
	p := r.plan
	if len(r.feet) > 0 && p.oneBuild() {
		r.remark("the legs of the two are of one build: the feet stand and slide as the source's do, and none was held")
		return
	}
	if h := p.driveOf("hips"); len(r.feet) > 0 && (h < 0 || k.trans[h] == nil) {
		r.remark("the hips do not move: no foot was kept in its place")
		return
	}
	r.tread()
	r.settle(k)
	for _, l := range r.feet {
		l.barred, l.down, l.lifts = make([]bool, len(r.times)), l.sinceDown(r.times), make([]float64, len(r.times))
		for f := range l.lifts {
			l.lifts[f] = 1
		}
		l.knee(p)
		l.look(k)
		l.pace(r.times)
		l.pins(r, p)
		l.curl(k, p, r.times)
	}
	var drop []float64
	for try, looks := 0, 0; ; try++ {
		for _, l := range r.feet {
			l.pins(r, p)
		}
		drop = r.drops()
		again := false
		for _, l := range r.feet {
			l.solve(p, drop)
			if l.release(p, r.times, try >= mostTries) {
				again = true
			}
		}
		if !again && looks < lookBacks {
			looks++
			for _, l := range r.feet {
				again = l.lookBack(p, r.times) || again
			}
		}
		if !again {
			break
		}
	}
	r.drop, r.rise = slices.Max(append(drop, 0)), -slices.Min(append(drop, 0))
	r.price(k)
	if r.drop > 0 || r.rise > 0 {
		way := func(f int) vec { return p.dstUp.Mul(-drop[f]) }
		k.shift(way)
		for _, l := range r.feet {
			l.shift(way)
		}
	}
	for _, l := range r.feet {
		l.bend(k, p)
	}
}

// solve works out what thigh and shin turn at each frame, in the world, and how far
// the ankle stays off the place where it is to be.
func (l *foot) solve(p *plan, drop []float64) {
	n := len(l.a)
	if len(l.came) != n {
		l.first, l.second, l.missed, l.came = make([]quat, n), make([]quat, n), make([]float64, n), make([]vec, n)
	}
	for f := range n {
		l.first[f], l.second[f], l.missed[f] = still, still, 0
		l.came[f] = l.c[f].Sub(p.dstUp.Mul(drop[f]))
		a := l.a[f].Sub(p.dstUp.Mul(drop[f]))
		// A foot that is free goes along with the hips.
		target := l.c[f].Add(l.e[f]).Sub(p.dstUp.Mul(drop[f] * (1 - l.holds[f])))
		upper, lower, way := l.b[f].Sub(l.a[f]), l.c[f].Sub(l.b[f]), target.Sub(a)
		if way.Sub(upper).Sub(lower).Len() < 1e-9*p.height.dst {
			continue
		}
		second := l.fold(&l.limb[f], way.Len(), way.Sub(upper).Sub(lower).Len())
		first := space.TurnBetween(upper.Add(second.Rotate(lower)), way)
		l.first[f], l.second[f] = first, first.Mul(second)
		l.came[f] = a.Add(first.Rotate(upper)).Add(l.second[f].Rotate(lower))
		l.missed[f] = l.came[f].Sub(target).Len()
	}
}

// lookBack holds the foot by what stands in the result, as Motion will measure it: by
// the point that is nearer to its own ground there, and for as long as the stand lasts
// there. It tells whether that is another way than before.
func (l *foot) lookBack(p *plan, times []float32) (again bool) {
	if l.glides {
		return false
	}
	n := len(times)
	sec, ends, toes := make([]float64, n), make([]space.Vec, n), []space.Vec(nil)
	for f := range n {
		sec[f] = float64(times[f])
		end := l.came[f]
		ends[f] = end.Vec()
		if l.t != nil {
			toes = append(toes, end.Add(l.t[f].Sub(l.c[f])).Vec())
		}
	}
	points := [][]space.Vec{ends}
	if toes != nil {
		points = append(points, toes)
	}
	g, ok := l.read(sec, points, p.dstUp.Vec(), p.size.dst)
	if !ok {
		return false
	}
	on := func(f int) pivot {
		if g.Steps[max(f-1, 0)].Point > 0 {
			return onToes
		}
		return onAnkle
	}
	for _, s := range l.stands() {
		for f := s.from; f < s.to; f++ {
			if now := on(f); now != l.state[f] {
				l.state[f], again = now, true
			}
		}
		for f := s.to; f < n && g.Steps[f-1].Stands && l.state[f] == inAir && !l.barred[f] && float64(times[f]-times[s.to-1]) <= longer; f++ {
			l.state[f], again = on(f), true
		}
		for f := s.from - 1; f >= 0 && g.Steps[f].Stands && l.state[f] == inAir && !l.barred[f] && float64(times[s.from]-times[f]) <= longer; f-- {
			l.state[f], again = on(f), true
		}
	}
	return again
}

// release lets go of stands that cannot be kept, the worst of neighbours, and of a stand
// only the moments that cannot: what is left of it may last. It tells whether there was one. all: of
// every such stand, so that an end comes.
func (l *foot) release(p *plan, times []float32, all bool) bool {
	list := l.stands()
	bad := make([]float64, len(list)) // by stand: the worst of misses and speeds, over 1
	off := make([]bool, len(times))   // moments that cannot be kept, and those beside them
	blame := func(i, f int, much float64) {
		bad[i] = max(bad[i], much)
		for k := f; k >= list[i].from && float64(times[f])-float64(times[k]) <= trim; k-- {
			off[k] = true
		}
		for k := f; k < list[i].to && float64(times[k])-float64(times[f]) <= trim; k++ {
			off[k] = true
		}
	}
	for i, s := range list {
		for f := s.from; f < s.to; f++ {
			if much := l.missed[f] / (miss * p.height.dst); much > 1 {
				blame(i, f, much)
			}
		}
	}
	at, sunk := 0, false
	lifts := slices.Clone(l.lifts)
	l.pops(times, func(f int, much float64) { // steps come in order of time
		if l.state[f] == inAir && l.e[f].Dot(p.dstUp) > -1e-6*p.height.dst && l.sink(times, f, lifts, all) {
			sunk = true
			return
		}
		if len(list) == 0 {
			return
		}
		for at+1 < len(list) && list[at+1].from <= f+1 {
			at++
		}
		i := at
		if s := list[at]; f >= s.to && at+1 < len(list) && l.e[list[at+1].from].Len() > l.e[s.to-1].Len() {
			i = at + 1 // between two stands: the one farther off
		}
		blame(i, max(list[i].from, min(f, list[i].to-1)), much)
	})
	l.lifts = lifts
	found := sunk
	for i, s := range list {
		if bad[i] <= 1 || !all && (i > 0 && bad[i-1] > bad[i] || i+1 < len(list) && bad[i+1] > bad[i]) {
			continue
		}
		found = true
		left := false
		for f := s.from; f < s.to; {
			g := f
			for g < s.to && !off[g] {
				g++
			}
			if all || g > f && float64(times[g-1])-float64(times[f]) < gait.Least {
				for k := f; k < g; k++ {
					off[k] = true
				}
			}
			left = left || !off[f]
			f = max(g, f+1)
		}
		if !left {
			l.gone = append(l.gone, (float64(times[s.from])+float64(times[s.to-1]))/2)
		}
		for f := s.from; f < s.to; f++ {
			if off[f] {
				l.state[f], l.barred[f] = inAir, true
				l.goneFor += step(times, f)
			}
		}
	}
	return found
}

// sink lifts a foot in the air less, beside a step that is too fast for it; where it is
// not lifted there at all, farther round, so that no edge is left. It tells whether any
// lift was left to take.
func (l *foot) sink(times []float32, f int, lifts []float64, all bool) (found bool) {
	over := sinkOver
	if l.lifts[f] == 0 {
		over *= 3
	}
	less := func(k int) {
		if l.lifts[k] == 0 {
			return
		}
		found = true
		if lifts[k] = l.lifts[k] * sinkBy; all || lifts[k] < 0.05 {
			lifts[k] = 0
		}
	}
	for k := f; k >= 0 && float64(times[f])-float64(times[k]) <= over; k-- {
		less(k)
	}
	for k := f + 1; k < len(times) && float64(times[k])-float64(times[f]) <= over; k++ {
		less(k)
	}
	return found
}

// step is the time from a frame to the next.
func step(times []float32, f int) float64 {
	if f+1 >= len(times) {
		return 0
	}
	return float64(times[f+1]) - float64(times[f])
}

// turns are thigh, shin and foot against what carries them at a frame: by the turns
// alone, or with what keeping the foot adds.
func (l *foot) turns(f int, kept bool) [3]quat {
	a, b := l.wA[f], l.wB[f]
	if kept {
		a, b = l.first[f].Mul(a), l.second[f].Mul(b)
	}
	return [3]quat{l.over[f].Back().Mul(a), a.Back().Mul(b), b.Back().Mul(l.wC[f])}
}

// steps hands out what thigh, shin and foot turn in every step, and its seconds; not of
// those too short to tell a speed.
func (l *foot) steps(times []float32, kept bool, each func(f int, seconds float64, by *[3]quat)) {
	if len(times) == 0 {
		return
	}
	last := l.turns(0, kept)
	for f := 0; f+1 < len(times); f++ {
		now := l.turns(f+1, kept)
		if dt := step(times, f); dt >= 1e-3 {
			by := [3]quat{last[0].Back().Mul(now[0]), last[1].Back().Mul(now[1]), last[2].Back().Mul(now[2])}
			each(f, dt, &by)
		}
		last = now
	}
}

// pace notes how fast the leg's joints turn by the turns alone.
func (l *foot) pace(times []float32) {
	l.own = make([][3]float64, len(times))
	var all [3][]float64
	l.steps(times, false, func(f int, seconds float64, by *[3]quat) {
		for c := range by {
			v := perSecond(by[c], seconds)
			l.own[f][c] = v
			all[c] = append(all[c], v)
		}
	})
	for c := range all {
		if len(all[c]) > 0 {
			l.fastest[c] = fastestOf(all[c])
		}
	}
}

// perSecond is the speed of a turn in so many seconds, degrees a second.
func perSecond(turn quat, seconds float64) float64 {
	return turn.Angle() * 180 / math.Pi / seconds
}

// fastestOf is the fastest of some steps, those aside that tell nothing. It stirs them.
func fastestOf(speeds []float64) float64 {
	return space.Ranked(speeds, int((1-outliers)*float64(len(speeds)-1)+0.5))
}

// pops hands out the steps in which keeping the foot makes a joint turn too fast, and
// how many times.
func (l *foot) pops(times []float32, each func(f int, much float64)) {
	var most [3]float64
	for c := range most {
		most[c] = max(faster*l.fastest[c], crawl)
	}
	l.steps(times, true, func(f int, seconds float64, by *[3]quat) {
		worst := 0.0
		for c, q := range by {
			if l.own[f][c] > most[c] {
				return // the source's own jump
			}
			// A turn is at most π times the length of its vector part: few need an angle.
			angle := most[c] * seconds * math.Pi / 180
			if math.Pi*math.Pi*(q.X*q.X+q.Y*q.Y+q.Z*q.Z) > 0.999*angle*angle {
				worst = max(worst, perSecond(q, seconds)/most[c])
			}
		}
		if worst > 1 {
			each(f, worst)
		}
	})
}

// Price is what keeping the feet in their places cost.
type Price struct {
	Degrees float64 `json:"degrees"` // most that a thigh or shin points elsewhere than without
	Joint   *Joint  `json:"joint"`   // null: none is turned
	Time    float64 `json:"time"`
}

func (r *Result) price(*keys) {
	t := r.plan.m.T
	for _, l := range r.feet {
		for f := range l.first {
			for i, q := range [2]quat{l.first[f], l.second[f]} {
				bone := l.b[f].Sub(l.a[f])
				n := r.plan.drive[l.thigh].node
				if i == 1 {
					bone, n = l.c[f].Sub(l.b[f]), r.plan.drive[l.shin].node
				}
				to := q.Rotate(bone)
				if d := math.Atan2(bone.Cross(to).Len(), bone.Dot(to)) * 180 / math.Pi; d > r.cost.Degrees {
					r.cost = Price{d, &Joint{n, rig.Name(t.Name(n))}, float64(r.times[f])}
				}
			}
		}
	}
}
