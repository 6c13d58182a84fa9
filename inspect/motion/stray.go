package motion

import (
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// What tells a key that strays from one that a fast limb needs: it lies off the curve
// through the two keys on either side by far more than its neighbours lie off theirs, by
// more than that curve goes in a step, and in the world the joint goes out and comes
// back. Of single keys turned by 30 to 50° in 76 clips of a real figure 98 of 100 are
// found so, and none in the clips as they are (common practice, no source).
const (
	strayTimes   = 2.5
	pairTimes    = 4.0 // two in a row: a blow comes back as fast
	strayWorld   = 0.5 // of it is left in the world, out and back: joints above do not take it up
	straySteps   = 1.0
	strayRun     = 2    // keys in a row that may stray together
	straySeconds = 0.14 // from the key before to the key after: longer is a movement
	strayNear    = 3    // keys looked at on either side
	strayLeast   = 8.0  // degrees: less is not looked at
	strayShift   = 0.01 // × height: the same of translations
)

// Limits of a range without keys: so much longer than the usual step, in a channel that
// is keyed evenly, where the curve that the keys on both sides ask for leaves the
// straight way by more than it may (common practice, no source).
const (
	gapSteps   = 5.0
	gapEven    = 0.8 // of the steps lie within a tenth of the median
	gapKeys    = 8
	gapDegrees = 1.0
	gapShift   = 0.003 // × height
)

// series is one channel as places in three numbers: rotation vectors in degrees from a
// key nearby, or metres.
type series struct {
	c     *rig.Channel
	scale float64    // metres to a unit; 0: rotations
	from  space.Vec  // origin
	back  space.Quat // the turn back to it
}

// set takes a key as origin.
func (s *series) set(k int) {
	if s.scale > 0 {
		s.from = vectorOf(s.c, k)
		return
	}
	q, _ := space.UnitQuat(rotationOf(s.c, k))
	s.back = q.Conjugate()
}

func (s *series) time(k int) float64 { return float64(s.c.Times[k]) }

// place is where key k is, from the origin.
func (s *series) place(k int) space.Vec {
	if s.scale > 0 {
		return vectorOf(s.c, k).Sub(s.from).Mul(s.scale)
	}
	q, _ := space.UnitQuat(rotationOf(s.c, k))
	return space.Log(s.back.Mul(q)).Mul(180 / math.Pi)
}

// expected is where key k would be on the curve through two keys before it and two
// after (one where there is no more), those of the run first…last left out (Lagrange's
// interpolation).
func (s *series) expected(k, first, last int) (p space.Vec, ok bool) {
	var near [4]int
	n := 0
	for a := k - 1; a >= 0 && n < 2; a-- {
		if a < first || a > last {
			near[n] = a
			n++
		}
	}
	before := n
	for a := k + 1; a < len(s.c.Times) && n < before+2; a++ {
		if a < first || a > last {
			near[n] = a
			n++
		}
	}
	if before == 0 || n == before {
		return p, false
	}
	for i := range n {
		l := 1.0
		for j := range n {
			if j != i {
				l *= (s.time(k) - s.time(near[j])) / (s.time(near[i]) - s.time(near[j]))
			}
		}
		p = p.Add(s.place(near[i]).Mul(l))
	}
	return p, true
}

// off is how far key k lies from there.
func (s *series) off(k, first, last int) float64 {
	p, ok := s.expected(k, first, last)
	if !ok {
		return 0
	}
	return finite(p.Sub(s.place(k)).Len())
}

// strays measures a run of keys: how far the least of them lies off the curve of the
// keys around it; 0 when that curve is no smoother without them.
func (s *series) strays(first, last int) float64 {
	n := len(s.c.Times)
	s.set(first - 1)
	least, step := math.Inf(1), 0.0
	before := s.place(first - 1)
	for k := first; k <= last; k++ {
		p, ok := s.expected(k, first, last)
		if !ok {
			return 0
		}
		least = min(least, p.Sub(s.place(k)).Len())
		step = max(step, before.Sub(p).Len())
		before = p
	}
	step = max(step, before.Sub(s.place(last+1)).Len())
	if !(least >= straySteps*step) {
		return 0
	}
	around := 0.0
	for k := max(1, first-strayNear); k <= min(n-2, last+strayNear); k++ {
		if k < first || k > last {
			around = max(around, s.off(k, first, last))
		}
	}
	// What is added lets a joint at rest be disturbed by rounding.
	small, times := strayLeast/8, strayTimes
	if last > first {
		times = pairTimes
	}
	if s.scale > 0 {
		small = 0
	}
	if !(least >= times*(around+small)) {
		return 0
	}
	return finite(least)
}

// inWorld tells that the node goes out and comes back in the world too. Where the joints above
// it turn against it, as in a hand that is led on a smooth path by a two-bone reach,
// nothing twitches.
func (s *series) inWorld(p *deform.Player, first, last int, off float64) bool {
	n := s.c.Node
	stand := func(k int) (at space.Vec, turn space.Quat) {
		p.At(s.time(k))
		return p.World[n].Origin(), space.FromXYZW(p.World[n].Decompose().R)
	}
	far := func(at, to space.Vec, turn, other space.Quat) float64 {
		if s.scale > 0 {
			return at.Sub(to).Len()
		}
		return mgl64.RadToDeg(space.Apart(turn, other))
	}
	a, before := stand(first - 1)
	b, after := stand(last + 1)
	for k := first; k <= last; k++ {
		at, turn := stand(k)
		if !(min(far(at, a, turn, before), far(at, b, turn, after)) >= strayWorld*off) {
			return false
		}
	}
	return true
}

// readStray looks in every channel that moves for keys that stray and for ranges
// without keys.
func (f *figure) readStray(clip *Clip, c *rig.ClipData, keys []keyed, p *deform.Player) {
	clip.StrayOff.Node, clip.StrayWay.Node = rig.None, rig.None
	for i := range keys {
		k := &keys[i]
		ch := &c.Channels[k.channel]
		if !k.moves || ch.Interpolation != rig.Linear || !f.carries[k.node] && len(f.r.Surfaces) > 0 {
			continue
		}
		s := series{c: ch}
		least := strayLeast
		if k.path == rig.Translation {
			if s.scale = f.scale[k.node]; !(s.scale > 0) || !(f.height > 0) {
				continue
			}
			least = strayShift * f.height
		} else if k.path != rig.Rotation {
			continue
		}
		f.strayKeys(clip, k, &s, least, p)
		f.missing(clip, k, &s)
	}
	slices.SortFunc(clip.GapNodes, func(a, b rig.Node) int { return int(a - b) })
	clip.GapNodes = slices.Compact(clip.GapNodes)
}

func (f *figure) strayKeys(clip *Clip, k *keyed, s *series, least float64, player *deform.Player) {
	n := len(s.c.Times)
	if k.reach < least {
		return
	}
	for i := 1; i < n-1; i++ {
		s.set(i - 1)
		p := s.place(i)
		// Off the curve by more than it goes in a step: no less than a third of it out.
		if out := p.Dot(p); !(out >= least*least/9) {
			continue
		}
		for last := i; last < i+strayRun && last < n-1; last++ {
			if s.time(last+1)-s.time(i-1) > straySeconds {
				break
			}
			d := s.strays(i, last)
			if !(d >= least) || !s.inWorld(player, i, last, d) {
				continue
			}
			clip.Stray += last - i + 1
			if s.scale > 0 {
				clip.StrayWay.take(d, k.node, s.time(i))
			} else {
				clip.StrayOff.take(d, k.node, s.time(i))
			}
			i = last + 1
			break
		}
	}
}

// missing looks for ranges without a key in a channel that is keyed evenly.
func (f *figure) missing(clip *Clip, k *keyed, s *series) {
	n := len(s.c.Times)
	if n < gapKeys {
		return
	}
	longest := 0.0
	for i := 1; i < n; i++ {
		longest = max(longest, s.time(i)-s.time(i-1))
	}
	// The mean is no less than four fifths of the median's share: most channels end here.
	if mean := (s.time(n-1) - s.time(0)) / float64(n-1); !(longest > 2*mean) {
		return
	}
	steps := make([]float64, n-1)
	for i := range steps {
		steps[i] = s.time(i+1) - s.time(i)
	}
	usual, even := space.Ranked(slices.Clone(steps), len(steps)/2), 0
	for _, d := range steps {
		if math.Abs(d-usual) <= 0.1*usual {
			even++
		}
	}
	if !(usual >= cut) || float64(even) < gapEven*float64(len(steps)) {
		return
	}
	limit := gapDegrees
	if s.scale > 0 {
		limit = gapShift * f.height
	}
	for i, d := range steps {
		if d < gapSteps*usual || s.bow(i, usual) < limit {
			continue
		}
		clip.GapNodes = append(clip.GapNodes, k.node)
		if d > clip.Gap+1e-6 {
			clip.Gap, clip.GapAt, clip.GapStep = finite(d), s.time(i), usual
		}
	}
}

// bow is how far the curve between keys i and i+1, with the speeds that the keys on
// either side have (Hermite's cubic), leaves the straight way.
func (s *series) bow(i int, usual float64) (most float64) {
	s.set(i)
	h := s.time(i+1) - s.time(i)
	end := s.place(i + 1)
	var in, out space.Vec // way that the speed at either end makes in h
	if i > 0 && s.time(i)-s.time(i-1) <= 2*usual {
		in = s.place(i - 1).Mul(-h / (s.time(i) - s.time(i-1)))
	}
	if i+2 < len(s.c.Times) && s.time(i+2)-s.time(i+1) <= 2*usual {
		out = s.place(i + 2).Sub(end).Mul(h / (s.time(i+2) - s.time(i+1)))
	}
	for _, t := range []float64{0.25, 0.5, 0.75} {
		most = max(most, in.Mul(t*t*t-2*t*t+t).Add(out.Mul(t*t*t-t*t)).Add(end.Mul(3*t*t-2*t*t*t-t)).Len())
	}
	return finite(most)
}
