package motion

import (
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// early is the share of a clip that a moving channel may stop before its end.
const early = 0.1

// readTimes looks at when the keys stand.
func (f *figure) readTimes(clip *Clip, c *rig.ClipData, keys []keyed) {
	longest := -1
	span := clip.Seconds - clip.Start
	clip.EarliestAt = clip.Seconds
	for i := range keys {
		k := &keys[i]
		if longest < 0 || k.keys > keys[longest].keys {
			longest = i
		}
		times := c.Channels[k.channel].Times
		last := float64(times[len(times)-1])
		if k.moves && span > 0 && clip.Seconds-last > early*span {
			if !slices.Contains(clip.EarlyEnds, k.node) {
				clip.EarlyEnds = append(clip.EarlyEnds, k.node)
			}
			clip.EarliestAt = min(clip.EarliestAt, last)
		}
	}
	if longest < 0 || keys[longest].keys < 2 {
		return
	}
	times := c.Channels[keys[longest].channel].Times
	steps := make([]float64, len(times)-1)
	for i := range steps {
		steps[i] = float64(times[i+1]) - float64(times[i])
	}
	clip.Step = finite(space.Ranked(steps, len(steps)/2))
}
