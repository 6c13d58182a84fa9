package motion

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// longestRun is how many keys a stretch may span that interpolation is tried on:
// it keeps the search linear.
const longestRun = 64

// readWeight counts what a clip could do without.
func (f *figure) readWeight(clip *Clip, c *rig.ClipData, keys []keyed) {
	for i := range keys {
		k := &keys[i]
		ch := &c.Channels[k.channel]
		key := 4 * k.width
		if ch.Interpolation == rig.Cubic {
			key *= 3
		}
		clip.Keys += k.keys
		switch {
		case !k.moves && k.atRest:
			clip.Dead++
			clip.DeadBytes += key * k.keys
		case k.path != rig.Weights && !f.carries[k.node] && len(f.r.Surfaces) > 0:
			if k.moves {
				clip.Idle++
			} else {
				clip.HeldCount++
			}
			clip.DeadBytes += key * k.keys
		case !k.moves:
			clip.HeldCount++
			clip.Spare += k.keys - 1
			clip.DeadBytes += key * (k.keys - 1)
		default:
			spare := f.spareKeys(ch)
			clip.Spare += spare
			clip.DeadBytes += key * spare
		}
	}
}

// spareKeys counts the keys of a linear channel that it gives without them: from
// each kept key on, as many as lie on the way to a later one, within the tolerances
// of stillness.
func (f *figure) spareKeys(c *rig.Channel) (spare int) {
	if c.Interpolation != rig.Linear || c.Path == rig.Weights {
		return 0
	}
	n := len(c.Times)
	for from := 0; from < n-1; {
		to := from + 1
		for to+1 < n && to+1-from <= longestRun && f.onTheWay(c, from, to+1) {
			to++
		}
		spare += to - from - 1
		from = to
	}
	return spare
}

// onTheWay tells that every key between two lies where interpolation puts it.
func (f *figure) onTheWay(c *rig.Channel, from, to int) bool {
	span := float64(c.Times[to]) - float64(c.Times[from])
	if !(span > 0) {
		return false
	}
	w := c.Width
	a, b := c.Values[from*w:from*w+w], c.Values[to*w:to*w+w]
	var p, q space.Quat
	if c.Path == rig.Rotation {
		var okA, okB bool
		p, okA = space.UnitQuat(rotationOf(c, from))
		q, okB = space.UnitQuat(rotationOf(c, to))
		if !okA || !okB {
			return false
		}
	}
	// The middle key first: most runs end there.
	middle := (from + to) / 2
	for i := from; i < to; i++ {
		k := i
		if i == from {
			k = middle
		}
		v := c.Values[k*w : k*w+w]
		t := (float64(c.Times[k]) - float64(c.Times[from])) / span
		if c.Path == rig.Rotation {
			u, ok := space.UnitQuat(rotationOf(c, k))
			s := space.Slerp(p, q, t)
			square, _ := nearer(&u, &s)
			const most = stillDegrees * math.Pi / 180 / 2 // |a−b| of a small angle is half of it
			if !ok || square > most*most {
				return false
			}
			continue
		}
		limit := stillShare * f.diagonal / f.scale[c.Node]
		if c.Path == rig.Scale {
			limit = stillScale
		}
		for x := range w {
			if math.Abs((1-t)*float64(a[x])+t*float64(b[x])-float64(v[x])) > limit {
				return false
			}
		}
	}
	return true
}
