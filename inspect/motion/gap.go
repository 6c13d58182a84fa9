package motion

import (
	"math"
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Limits of a range without keys: so much longer than the usual step, in a channel that
// is keyed evenly, where the curve that the keys on both sides ask for leaves the
// straight way by more than it may. A joint that comes nowhere meanwhile holds a pose, of
// which a clip that was thinned out keeps two keys: of 187 ranges in four figures that were
// thinned 185 are held, within a thousandth of the bow, and two were there before. Held
// ones count where two joints miss the same time, no other step of theirs differs and
// their speed breaks off at an edge as nowhere beside it: what was cut out began where it
// ended (common practice, no source).
const (
	gapSteps   = 5.0   // times the median step
	gapEven    = 0.8   // of the steps lie within a tenth of the median
	gapKeys    = 8     // keys that a channel has: of fewer no step is usual
	gapDegrees = 1.0   // that a joint turns over the range; gapShift where it moves
	gapShift   = 0.003 // × height
	gapBaked   = 0.3   // of these suffices in a clip whose other channels miss no key
	bakedShare = 0.8   // of the channels that move miss none
	bakedLeast = 4     // of them
	gapHeld    = 0.01  // of the bow: a joint that comes no farther holds a pose
	gapJolt    = 2.0   // times the largest change of speed in the steps beside it
	gapBeside  = 3     // steps beside a range that are looked at
)

// hole is a range without a key in one channel.
type hole struct {
	node          rig.Node
	at, end, step float64 // seconds: first and last moment of it, the channel's usual step
	held          bool    // the joint comes nowhere meanwhile
}

// isBaked tells a clip keyed frame by frame: nearly all channels that move have a key in
// every step.
func isBaked(c *rig.ClipData, keys []keyed) bool {
	moving, whole := 0, 0
	for i := range keys {
		ch := &c.Channels[keys[i].channel]
		n := len(ch.Times)
		if !keys[i].moves || n < gapKeys {
			continue
		}
		moving++
		longest := float32(0)
		for k := 1; k < n; k++ {
			longest = max(longest, ch.Times[k]-ch.Times[k-1])
		}
		if mean := (ch.Times[n-1] - ch.Times[0]) / float32(n-1); longest <= 1.5*mean {
			whole++
		}
	}
	return whole >= bakedLeast && float64(whole) >= bakedShare*float64(moving)
}

// missing adds the ranges without a key in a channel that is keyed evenly.
func (f *figure) missing(holes []hole, k *keyed, s *series, baked bool) []hole {
	n := len(s.c.Times)
	if n < gapKeys {
		return holes
	}
	longest := 0.0
	for i := 1; i < n; i++ {
		longest = max(longest, s.time(i)-s.time(i-1))
	}
	// The mean is no less than four fifths of the median's share: most channels end here.
	if mean := (s.time(n-1) - s.time(0)) / float64(n-1); !(longest > 2*mean) {
		return holes
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
		return holes
	}
	uneven := slices.ContainsFunc(steps, func(d float64) bool { return d < gapSteps*usual && math.Abs(d-usual) > 0.1*usual })
	limit := gapDegrees
	if s.scale > 0 {
		limit = gapShift * f.height
	}
	if baked {
		limit *= gapBaked
	}
	for i, d := range steps {
		if d < gapSteps*usual {
			continue
		}
		bow := s.bow(i, usual)
		if bow < limit {
			continue
		}
		held := s.place(i+1).Len() < gapHeld*bow
		// Before its first movement and after its last a joint holds, however it stops.
		if held && (i == 0 || i+2 == n || uneven || s.jolt(i, usual) < gapJolt) {
			continue
		}
		holes = append(holes, hole{k.node, s.time(i), s.time(i + 1), usual, held})
	}
	return holes
}

// takeHoles notes the longest range and the joints that have one.
func (c *Clip) takeHoles(holes []hole) {
	for _, h := range holes {
		if h.held && !slices.ContainsFunc(holes, func(o hole) bool {
			return o.node != h.node && math.Abs(o.at-h.at) <= h.step/2 && math.Abs(o.end-h.end) <= h.step/2
		}) {
			continue
		}
		c.GapNodes = append(c.GapNodes, h.node)
		if d := h.end - h.at; d > c.Gap+1e-6 {
			c.Gap, c.GapAt, c.GapStep = finite(d), h.at, h.step
		}
	}
	slices.SortFunc(c.GapNodes, func(a, b rig.Node) int { return int(a - b) })
	c.GapNodes = slices.Compact(c.GapNodes)
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

// jolt is by how many times the change of speed at an edge of the range between keys i and
// i+1 exceeds the largest from step to step just outside: about 1 where a smooth movement
// comes to rest. The larger of the two edges; 0 where nothing beside them moves.
func (s *series) jolt(i int, usual float64) (most float64) {
	s.set(i)
	gap := s.place(i + 1).Mul(1 / (s.time(i+1) - s.time(i)))
	for _, edge := range [2]struct{ at, way int }{{i, -1}, {i + 1, 1}} {
		last, jump, change := gap, 0.0, 0.0
		for k := range gapBeside + 1 {
			a, b := edge.at+k*edge.way, edge.at+(k+1)*edge.way
			if b < 0 || b >= len(s.c.Times) || math.Abs(s.time(b)-s.time(a)) > 2*usual {
				break
			}
			v := s.place(b).Sub(s.place(a)).Mul(1 / (s.time(b) - s.time(a)))
			if d := v.Sub(last).Len(); k == 0 {
				jump = d
			} else {
				change = max(change, d)
			}
			last = v
		}
		if jump > 0 && change > 0 {
			most = max(most, jump/change)
		}
	}
	return finite(most)
}
