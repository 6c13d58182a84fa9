package motion

import (
	"slices"

	"rigloupe/inspect/rig"
)

// seamKeys are looked at on either side of where a loop begins again.
const seamKeys = 4

// strayEnd looks at the first and the last key of a rotation channel in a clip that reads
// as a loop: each with the keys before the end and after the beginning around it. One that
// lies off that curve while the other lies on it strays; where both do, it is how the
// movement is. A clip that is played once may begin and end as it will.
func strayEnd(clip *Clip, k *keyed, c *rig.Channel) {
	n := len(c.Times)
	const reach = 1.0 / 8 // s: a channel that begins late or ends early is no loop of its own
	if n < 2*seamKeys+2 || float64(c.Times[0])-clip.Start > reach || clip.Seconds-float64(c.Times[n-1]) > reach {
		return
	}
	at := func(i int) []float32 { return c.Values[c.Width*i : c.Width*(i+1)] }
	last := c.Times[n-1]
	var times [2 * seamKeys]float32
	var values []float32
	for i := 1; i <= seamKeys; i++ { // n−5 … n−2, before the beginning
		times[i-1] = c.Times[n-2-seamKeys+i] - last
		values = append(values, at(n-2-seamKeys+i)...)
	}
	ring := rig.Channel{Node: c.Node, Path: c.Path, Width: c.Width, Interpolation: c.Interpolation, Times: append(times[:seamKeys:seamKeys], 0)}
	ring.Values = append(values, at(0)...)
	for i := 1; i <= seamKeys; i++ {
		ring.Times, ring.Values = append(ring.Times, c.Times[i]-c.Times[0]), append(ring.Values, at(i)...)
	}
	off := func(end int) float64 {
		r := ring
		r.Values = slices.Clone(ring.Values)
		copy(r.Values[c.Width*seamKeys:], at(end))
		s := series{c: &r}
		if s.time(seamKeys+1)-s.time(seamKeys-1) > straySeconds {
			return 0
		}
		return s.strays(seamKeys, seamKeys, 0, func(float64) bool { return false })
	}
	first, end := off(0), off(n-1)
	switch {
	case first >= strayLeast && first > 2*end:
		clip.Stray++
		clip.StrayOff.take(first, k.node, float64(c.Times[0]))
	case end >= strayLeast && end > 2*first:
		clip.Stray++
		clip.StrayOff.take(end, k.node, float64(last))
	}
}
