package motion

import "rigloupe/inspect/rig"

// frames are the moments a clip is looked at: the keys of its longest channel that
// moves, with the clip's ends; thinned evenly to at most limit.
func frames(c *rig.ClipData, keys []keyed, limit int) (times []float64) {
	best := -1
	for i := range keys {
		if keys[i].differ && (best < 0 || keys[i].keys > keys[best].keys) {
			best = i
		}
	}
	if best < 0 || !(c.Seconds > c.Start) {
		return []float64{c.Start}
	}
	list := c.Channels[keys[best].channel].Times
	times = append(times, c.Start)
	for _, t := range list {
		if s := float64(t); s > times[len(times)-1]+1e-6 && s < c.Seconds-1e-6 {
			times = append(times, s)
		}
	}
	// Between a few keys of long reach much can happen.
	if n := 1 + len(times); n < 9 {
		times = times[:0]
		for i := range 9 {
			times = append(times, c.Start+(c.Seconds-c.Start)*float64(i)/9)
		}
	}
	times = append(times, c.Seconds)
	if len(times) > limit {
		thin := make([]float64, limit)
		for i := range thin {
			thin[i] = times[i*(len(times)-1)/(limit-1)]
		}
		times = thin
	}
	return times
}
