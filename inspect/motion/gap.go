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
// thinned 185 are held, within a thousandth of the bow, and two were there before; where
// keys were cut out of real clips the joint comes by .26 of the bow or more (common
// practice, no source).
const (
	gapSteps   = 5.0
	gapEven    = 0.8 // of the steps lie within a tenth of the median
	gapKeys    = 8
	gapDegrees = 1.0
	gapShift   = 0.003 // × height
	gapBaked   = 0.3   // of these suffices in a clip whose other channels miss no key
	bakedShare = 0.8   // of the channels that move miss none
	bakedLeast = 4     // of them
	gapHeld    = 0.01  // of the bow: a joint that comes no farther holds a pose
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
		if bow := s.bow(i, usual); bow >= limit {
			holes = append(holes, hole{k.node, s.time(i), s.time(i + 1), usual, s.place(i+1).Len() < gapHeld*bow})
		}
	}
	return holes
}

// takeHoles notes the longest range and the joints that have one. A joint that comes
// nowhere counts where another misses its keys from the same moment to the same: what was
// cut out of a whole clip can lie about the moment in which a joint turns round.
func (c *Clip) takeHoles(holes []hole) {
	for _, h := range holes {
		if h.held && !slices.ContainsFunc(holes, func(o hole) bool {
			return !o.held && math.Abs(o.at-h.at) <= h.step && math.Abs(o.end-h.end) <= h.step
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
