package motion

import (
	"math"
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// A clip that was thinned out lost the keys that lie on the straight way between others. A
// joint that goes out in one frame and comes back in three then has one key where there were
// three, and looks as if that one strayed: so the robot's shoulder, which leaps by 3 % of the
// height in one frame of its punch and comes back in two. What seems to stray is therefore
// looked at once more with a key in every frame beside it, as before.
const (
	frameRank = 0.1 // of the steps of all channels are no longer than a frame: few are shorter by rounding
	frameMore = 1.5 // frames: a longer step lost keys
	frameNear = 6   // keys on either side that are looked at: strayNear, two more for their curves, one to spare
)

// frame is the step at which the clip was keyed, seconds; 0 where none is longer.
func frame(c *rig.ClipData, keys []keyed) float64 {
	var steps []float64
	for i := range keys {
		t := c.Channels[keys[i].channel].Times
		for k := 1; keys[i].moves && k < len(t); k++ {
			if d := float64(t[k]) - float64(t[k-1]); d >= cut {
				steps = append(steps, d)
			}
		}
	}
	if len(steps) == 0 {
		return 0
	}
	return space.Ranked(steps, int(frameRank*float64(len(steps))))
}

// framed is the channel around keys first to last with a key in every frame, on the straight
// way between those that are there, and where the run is in it: from the key first to the
// key last.
func (s *series) framed(first, last int, frame float64) (dense series, from, to int) {
	a, b := max(0, first-frameNear), min(len(s.c.Times)-1, last+frameNear)
	ch := rig.Channel{Node: s.c.Node, Path: s.c.Path, Width: s.c.Width}
	for k := a; k <= b; k++ {
		if k == first {
			from = len(ch.Times)
		}
		if k == last {
			to = len(ch.Times)
		}
		ch.Times = append(ch.Times, s.c.Times[k])
		ch.Values = append(ch.Values, s.c.Values[s.c.Width*k:s.c.Width*(k+1)]...)
		if k == b {
			break
		}
		step := s.time(k+1) - s.time(k)
		if step <= frameMore*frame {
			continue
		}
		n := int(math.Round(step / frame))
		// Far from the run only the frames next to a key count.
		for i := 1; i < n; i++ {
			if i > frameNear && i < n-frameNear {
				continue
			}
			share := float64(i) / float64(n)
			ch.Times = append(ch.Times, float32(s.time(k)+share*step))
			ch.Values = append(ch.Values, s.between(k, share)...)
		}
	}
	return series{c: &ch, scale: s.scale}, from, to
}

// between is the value a share of the way from key k to the next (glTF 2.0, Appendix C:
// linear, spherical linear for rotations).
func (s *series) between(k int, share float64) []float32 {
	if s.scale > 0 {
		p := vectorOf(s.c, k).Mul(1 - share).Add(vectorOf(s.c, k+1).Mul(share))
		return []float32{float32(p[0]), float32(p[1]), float32(p[2])}
	}
	q := space.Slerp(rotationOf(s.c, k), rotationOf(s.c, k+1), share)
	return []float32{float32(q.V[0]), float32(q.V[1]), float32(q.V[2]), float32(q.W)}
}

// straysFramed tells whether the run still strays, by so much at least, with a key in every
// frame beside it.
func (f *figure) straysFramed(c *rig.ClipData, keys []keyed, s *series, first, last int, least float64, alone func(float64) bool) bool {
	step := frame(c, keys)
	near := s.c.Times[max(0, first-1):min(len(s.c.Times), last+2)]
	if !(step > 0) || !slices.ContainsFunc(near[1:], func(t float32) bool {
		i, _ := slices.BinarySearch(near, t)
		return float64(t)-float64(near[i-1]) > frameMore*step
	}) {
		return true // nothing was taken away next to it
	}
	dense, from, to := s.framed(first, last, step)
	return from < 1 || to > len(dense.c.Times)-2 || dense.strays(from, to, least, alone) >= least
}
