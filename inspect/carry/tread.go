package carry

import (
	"math"
	"slices"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// What a foot treads with.
const (
	mostCurl = 50 * math.Pi / 180 // toes bend up no farther (hallux extension of adults, active: about 50°; common practice, no source)
	curlOver = 0.1                // seconds, to either side, over which toes bend up and down again
)

// The lowest point of a foot is looked for upright and at each of these tilts, degrees,
// in so many ways round: with steps of 20° a point that is left out lies lower by less
// than 1 − cos 10°, 1.5 %, of the foot's length.
var leanings = []float64{20, 40, 60, 80}

const waysRound = 16 // 22.5° apart: between two of them a point lies lower by less than 1 − cos 11.25°, 1.9 %, of how far it is off the axis

// sole are the points of a surface, in the axes of the joint that they hang on, that
// come down first however the joint is tilted.
type sole []vec

// under is how far the lowest point lies under the joint, whose world rotation is w.
func (s sole) under(w quat, up vec) float64 {
	down := w.Back().Rotate(up)
	low := math.Inf(-1)
	for _, q := range s {
		low = max(low, -q.Dot(down))
	}
	return low
}

// soleOf finds the sole of a joint among points at rest, in the world.
func (p *plan) soleOf(joint rig.Node, points []vec) (out sole) {
	if len(points) == 0 {
		return nil
	}
	at, back := p.dstAt(joint), p.dstRest[joint].Back()
	ahead := space.Plain(p.m.T.Forward)
	across := p.dstUp.Cross(ahead)
	looks := []vec{p.dstUp.Mul(-1)}
	for _, lean := range leanings {
		c, s := math.Cos(lean*math.Pi/180), math.Sin(lean*math.Pi/180)
		for k := range waysRound {
			a := 2 * math.Pi * float64(k) / waysRound
			looks = append(looks, p.dstUp.Mul(-c).Add(ahead.Mul(s*math.Cos(a))).Add(across.Mul(s*math.Sin(a))))
		}
	}
	for _, d := range looks {
		best := points[0]
		for _, q := range points[1:] {
			if q.Dot(d) > best.Dot(d) {
				best = q
			}
		}
		if q := back.Rotate(best.Sub(at)); !slices.Contains(out, q) {
			out = append(out, q)
		}
	}
	return out
}

// tread finds what the feet of the target stand on: the soles of the surface that
// hangs on foot and toes, and the floor that they are on at rest. A joint alone, without
// a surface, is as far over the floor as at rest; in a capture, which hangs at its
// origin at rest, as it is over its floor most of the time that it stands.
func (r *Result) tread() {
	p := r.plan
	t := p.m.T.Rig
	owner := make([]int, len(t.Nodes)) // 1 + 2·foot, and one more for its toes; 0: neither
	for _, n := range t.Order {
		if up := t.Nodes[n].Parent; up >= 0 {
			owner[n] = owner[up]
		}
		for i, l := range r.feet {
			switch {
			case n == p.drive[l.ankle].node:
				owner[n] = 1 + 2*i
			case l.toes >= 0 && n == p.drive[l.toes].node:
				owner[n] = 2 + 2*i
			}
		}
	}
	points := make([][]vec, 1+2*len(r.feet))
	for i := range t.Surfaces {
		s := &t.Surfaces[i]
		m := &t.Meshes[s.Mesh]
		skinned := s.Skin >= 0 && m.K > 0
		if !skinned && owner[s.Node] == 0 {
			continue
		}
		pos := deform.RestSurface(t, i)
		for v := range m.Vertices() {
			n := s.Node
			if skinned {
				joints := t.Skins[s.Skin].Joints
				k := m.Strongest(v, len(joints))
				if k < 0 {
					continue
				}
				n = joints[k]
			}
			if o := owner[n]; o > 0 {
				points[o] = append(points[o], xyz(float64(pos[3*v]), float64(pos[3*v+1]), float64(pos[3*v+2])))
			}
		}
	}
	r.floor = math.Inf(1)
	for _, list := range points {
		for _, q := range list {
			r.floor = min(r.floor, q.Dot(p.dstUp))
		}
	}
	if math.IsInf(r.floor, 0) {
		r.floor = 0
	}
	for i, l := range r.feet {
		l.floor = r.floor
		l.soleA, l.soleT = p.soleOf(p.drive[l.ankle].node, points[1+2*i]), nil
		if l.toes >= 0 {
			l.soleT = p.soleOf(p.drive[l.toes].node, points[2+2*i])
		}
		l.tips = l.lay(p, r.times)
		l.low(p)
	}
}

// low works out how far foot and toes reach under their joints, moment by moment. Toes
// count as they lie at rest, till they are bent (curl).
func (l *foot) low(p *plan) {
	n := len(l.c)
	l.underA, l.underT = make([]float64, n), nil
	level := l.level(p, l.ankle, l.c, onAnkle) - l.floor
	for f := range n {
		l.underA[f] = level
		if l.soleA != nil {
			l.underA[f] = l.underAt(f, l.soleA, l.wC[f], p.dstUp)
		}
	}
	l.ground[onAnkle] = level + l.floor
	if l.toes < 0 {
		return
	}
	l.underT = make([]float64, n)
	level = l.level(p, l.toes, l.t, onToes) - l.floor
	l.ground[onToes] = level + l.floor
	for f := range n {
		l.underT[f] = level
	}
}

// curl bends the toes up where they would go through the floor, as far as they go and as
// their own speed in the source allows; what is left, the foot is raised for.
func (l *foot) curl(k *keys, p *plan, times []float32) {
	if l.soleT == nil {
		return
	}
	up, n := p.dstUp, len(l.t)
	rest := p.dstRest[p.drive[l.toes].node].Back()
	tip := vec{}
	for _, q := range l.soleT {
		if q.Len() > tip.Len() {
			tip = q
		}
	}
	axis, ok := tip.Cross(rest.Rotate(up)).Unit() // a positive turn lifts the tip
	if !ok {
		return
	}
	need := make([]float64, n)
	for f := range need {
		high := l.t[f].Dot(up) + l.e[f].Dot(up) - l.floor - l.higher(f)
		up := up // of the ground there
		if l.tips != nil {
			high, up = high*l.tips[f].Dot(up), l.tips[f]
		}
		hinge, down := l.wT[f].Rotate(axis), l.wT[f].Back().Rotate(up)
		for _, q := range l.soleT {
			if q.Dot(down) >= -high {
				continue
			}
			// (R(θ) v)·up = A + B cos θ + C sin θ, as in fold.
			v := l.wT[f].Rotate(q)
			a := v.Dot(hinge) * hinge.Dot(up)
			b, c := v.Dot(up)-a, up.Dot(hinge.Cross(v))
			if size := math.Hypot(b, c); size > 0 {
				turn := math.Atan2(c, b) - math.Acos(clamp((-high-a)/size, -1, 1))
				need[f] = max(need[f], min(turn, mostCurl))
			}
		}
	}
	if slices.Max(need) == 0 {
		for f := range n {
			l.underT[f] = l.underAt(f, l.soleT, l.wT[f], up)
		}
		return
	}
	need = hill(times, need, curlOver)
	share := l.curlShare(times, need, axis)
	for f := range n {
		l.wT[f] = l.wT[f].Mul(space.TurnAbout(axis, share*need[f]))
		l.underT[f] = l.underAt(f, l.soleT, l.wT[f], up)
	}
	l.curled = share > 0
}

// curlShare is how much of a bend the toes can do without turning faster than
// `faster` times their fastest in the source.
func (l *foot) curlShare(times []float32, need []float64, axis vec) float64 {
	speeds := func(share float64) (out []float64) {
		last := quat{}
		for f := range need {
			now := l.wC[f].Back().Mul(l.wT[f]).Mul(space.TurnAbout(axis, share*need[f]))
			if f > 0 {
				if dt := step(times, f-1); dt >= 1e-3 {
					out = append(out, last.Back().Mul(now).Angle()*180/math.Pi/dt)
				}
			}
			last = now
		}
		return out
	}
	own := speeds(0)
	if len(own) == 0 {
		return 0
	}
	most := faster * fastestOf(slices.Clone(own))
	fits := func(share float64) bool {
		for i, v := range speeds(share) {
			if v > most && own[i] <= most {
				return false
			}
		}
		return true
	}
	if fits(1) {
		return 1
	}
	lo, hi := 0.0, 1.0
	for range 6 {
		if mid := (lo + hi) / 2; fits(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}
