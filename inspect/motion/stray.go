package motion

import (
	"math"
	"slices"

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
	strayTimes   = 2.5  // what its neighbours lie off
	pairTimes    = 3.7  // two in a row: a blow comes back as fast
	loneTimes    = 1.8  // one key, or two that stray alike, while no other joint leaves its curve
	lonePair     = 0.35 // of it the two may differ by
	loneOthers   = 0.48 // of it others may be off their curves by (set by: at 0.4 two plants more of two keys are missed in 718, at 0.6 the knight's blows are told)
	strayWorld   = 0.5  // of it is left in the world, out and back: joints above do not take it up
	straySteps   = 1.0  // what the curve goes in a step
	strayRun     = 2    // keys in a row that may stray together
	straySeconds = 0.14 // from the key before to the key after: longer is a movement
	strayNear    = 3    // keys looked at on either side
	strayLeast   = 8.0  // degrees: less is not looked at
	strayShift   = 0.01 // × height: the same of translations
	strayAbove   = 64   // joints above that may take it up are looked at
	strayAlone   = 500  // channels looked through, × those of the clip, for one that strays alone
)

// series is one channel as places in three numbers: rotation vectors in degrees from a
// key nearby, or metres.
type series struct {
	c     *rig.Channel
	scale float64    // metres to a unit; 0: rotations
	from  space.Vec  // origin
	back  space.Quat // the turn back to it

	unit   []space.Quat // by key, where they are known
	origin int
	known  [8]known // of the last rotations asked for, by the lowest bits of the key
}

// known is where a key is from an origin; of: that and one, so that none is nought.
type known struct {
	key, of int
	at      space.Vec
}

// set takes a key as origin.
func (s *series) set(k int) {
	if s.scale > 0 {
		s.from = vectorOf(s.c, k)
		return
	}
	s.origin, s.back = k, s.turn(k).Conjugate()
}

// turn is key k of a rotation, made one of length 1.
func (s *series) turn(k int) space.Quat {
	if k < len(s.unit) {
		return s.unit[k]
	}
	q, _ := space.UnitQuat(rotationOf(s.c, k))
	return q
}

// units works out the turns of all keys once; into is room for them.
func (s *series) units(into []space.Quat) []space.Quat {
	s.unit, into = nil, into[:0]
	for k := range s.c.Times {
		into = append(into, s.turn(k))
	}
	s.unit = into
	return into
}

func (s *series) time(k int) float64 { return float64(s.c.Times[k]) }

// place is where key k is, from the origin.
func (s *series) place(k int) space.Vec {
	if s.scale > 0 {
		return vectorOf(s.c, k).Sub(s.from).Mul(s.scale)
	}
	m := &s.known[k&(len(s.known)-1)] // a run and its neighbours are asked for several times over
	if m.key != k || m.of != s.origin+1 {
		q := s.turn(k)
		*m = known{k, s.origin + 1, degreesOf(product(&s.back, &q))}
	}
	return m.at
}

// product is a·b as mgl64 works it out, to the last bit, and degreesOf space.Log of it in
// degrees: as plain numbers, since this is the inner loop and arrays are kept in memory.
func product(a, b *space.Quat) (x, y, z, w float64) {
	ax, ay, az, aw := a.V[0], a.V[1], a.V[2], a.W
	bx, by, bz, bw := b.V[0], b.V[1], b.V[2], b.W
	return ay*bz - az*by + bx*aw + ax*bw, az*bx - ax*bz + by*aw + ay*bw, ax*by - ay*bx + bz*aw + az*bw, aw*bw - (ax*bx + ay*by + az*bz)
}

func degreesOf(x, y, z, w float64) space.Vec {
	if w < 0 {
		x, y, z, w = -x, -y, -z, -w
	}
	k := 2.0
	if s := math.Sqrt(x*x + y*y + z*z); s > 1e-12 {
		k = 2 * math.Atan2(s, w) / s
	}
	const degrees = 180 / math.Pi
	return space.Vec{x * k * degrees, y * k * degrees, z * k * degrees}
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
	var at [4]space.Vec
	for i := range n {
		at[i] = s.place(near[i])
	}
	return s.through(near[:n], at[:n], k), true
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
//
// A blow moves more than one joint: where the others stay on their curves (alone), less
// tells a stray key. What lies off by less than floor is answered with 0 as well.
func (s *series) strays(first, last int, floor float64, alone func(least float64) bool) float64 {
	n := len(s.c.Times)
	s.set(first - 1)
	least, step := math.Inf(1), 0.0
	before := s.place(first - 1)
	alike := true
	var off space.Vec
	for k := first; k <= last; k++ {
		p, ok := s.expected(k, first, last)
		if !ok {
			return 0
		}
		d := s.place(k).Sub(p)
		alike = alike && (k == first || d.Sub(off).Len() <= lonePair*d.Len())
		off = d
		if least = min(least, d.Len()); least < floor {
			return 0
		}
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
	if !(least >= times*(around+small)) && !(alike && least >= loneTimes*(around+small) && alone(least)) {
		return 0
	}
	return finite(least)
}

// inWorld tells that the node leaves its curve in the world too: where the joints above take
// it up, as when a two-bone reach straightens an elbow, the hand goes on smoothly. It must
// be away from where it was before and after, or, while no other joint leaves its curve,
// from the way between them: a body that turns fast is somewhere else after.
//
// What stands more than strayAbove nodes above carries the whole and takes nothing up.
func (s *series) inWorld(l *deform.Locals, first, last int, off float64, alone func() bool) bool {
	var around []int // as expected takes them
	for k := max(0, first-2); k < first; k++ {
		around = append(around, k)
	}
	for k := last + 1; k <= min(last+2, len(s.c.Times)-1); k++ {
		around = append(around, k)
	}
	var from space.Vec
	var back space.Quat
	stand := func(k int) rig.Affine { return l.Below(rig.None, s.c.Node, strayAbove, s.time(k)) }
	place := func(k int) space.Vec {
		m := stand(k)
		if s.scale > 0 {
			return m.Origin().Sub(from)
		}
		return space.Log(back.Mul(space.FromXYZW(m.Decompose().R))).Mul(180 / math.Pi)
	}
	before := stand(first - 1)
	from, back = before.Origin(), space.FromXYZW(before.Decompose().R).Conjugate()
	near := make([]space.Vec, len(around))
	for i, k := range around {
		near[i] = place(k)
	}
	out, offWay := true, true
	last2 := slices.Index(around, last+1)
	for k := first; k <= last; k++ {
		at := place(k)
		out = out && min(at.Len(), at.Sub(near[last2]).Len()) >= strayWorld*off
		offWay = offWay && at.Sub(s.through(around, near, k)).Len() >= strayWorld*off
	}
	return out || offWay && alone()
}

// through is where key k would be on the curve through others (Lagrange's interpolation).
func (s *series) through(keys []int, at []space.Vec, k int) (p space.Vec) {
	for i := range keys {
		l := 1.0
		for j := range keys {
			if j != i {
				l *= (s.time(k) - s.time(keys[j])) / (s.time(keys[i]) - s.time(keys[j]))
			}
		}
		p = p.Add(at[i].Mul(l))
	}
	return p
}

// readStray looks in every channel that moves for keys that stray and for ranges
// without keys.
func (f *figure) readStray(clip *Clip, c *rig.ClipData, keys []keyed) {
	f.asked = 0
	clip.StrayOff.Node, clip.StrayWay.Node = rig.None, rig.None
	baked := isBaked(c, keys)
	var holes []hole
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
		f.strayKeys(clip, c, keys, k, &s, least)
		if clip.Loop && s.scale == 0 {
			strayEnd(clip, k, ch)
		}
		holes = f.missing(holes, k, &s, baked)
	}
	clip.takeHoles(holes)
}

// othersKeep tells that no other joint leaves its curve by so many degrees meanwhile. In a
// clip that turns one node alone, as the pieces of a split one do, no other can tell. Where
// thousands of keys have been asked about, none of them strays alone.
func (f *figure) othersKeep(c *rig.ClipData, keys []keyed, but *keyed, from, to, degrees float64) bool {
	others := false
	for i := range keys {
		if f.asked++; f.asked > strayAlone*len(keys) {
			return false
		}
		k := &keys[i]
		ch := &c.Channels[k.channel]
		others = others || k.node != but.node && k.path == rig.Rotation
		if k.node == but.node || !k.moves || k.path != rig.Rotation || ch.Interpolation != rig.Linear || k.reach < degrees {
			continue
		}
		s := series{c: ch}
		first, _ := slices.BinarySearch(ch.Times, float32(from-1e-4))
		last := first
		for last+1 < len(ch.Times) && s.time(last+1) <= to+1e-4 {
			last++
		}
		if first < 1 || last > len(ch.Times)-2 || s.time(last) > to+1e-4 {
			continue
		}
		for n := first; n <= last; n++ {
			if s.set(first - 1); s.off(n, first, last) > degrees {
				return false
			}
		}
	}
	return others
}

func (f *figure) strayKeys(clip *Clip, c *rig.ClipData, keys []keyed, k *keyed, s *series, least float64) {
	n := len(s.c.Times)
	if k.reach < least {
		return
	}
	if s.scale == 0 {
		f.turns = s.units(f.turns)
	}
	// Off the curve by more than it goes in a step: no less than a third of it out. Most
	// keys are nearer, and the product of two rotations, the cosine of half the angle between
	// them, tells so without one.
	near := math.Cos(least/3/2*math.Pi/180) + 1e-9
	for i := 1; i < n-1; i++ {
		if s.scale == 0 && math.Abs(s.unit[i-1].Dot(s.unit[i])) > near {
			continue
		}
		s.set(i - 1)
		p := s.place(i)
		if out := p.Dot(p); !(out >= least*least/9) {
			continue
		}
		for last := i; last < i+strayRun && last < n-1; last++ {
			if s.time(last+1)-s.time(i-1) > straySeconds {
				break
			}
			alone := func(d float64) bool { return f.othersKeep(c, keys, k, s.time(i), s.time(last), loneOthers*d) }
			d := s.strays(i, last, least, alone)
			if !(d >= least) || !s.inWorld(f.locals, i, last, d, func() bool { return alone(d) }) || !f.straysFramed(c, keys, s, i, last, least, alone) {
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
