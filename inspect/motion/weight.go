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
	turns, whole := f.unitKeys(c)
	for from := 0; from < n-1; {
		to := from + 1
		for to+1 < n && to+1-from <= longestRun && f.onTheWay(c, turns, whole, from, to+1) {
			to++
		}
		spare += to - from - 1
		from = to
	}
	return spare
}

// unitKeys are the rotation keys of a channel made ones of length 1, by key, and which of
// them can be (nil: all). The room is used again.
func (f *figure) unitKeys(c *rig.Channel) (turns []space.Quat, whole []bool) {
	if c.Path != rig.Rotation {
		return nil, nil
	}
	f.turns = f.turns[:0]
	for k := range c.Times {
		q, ok := space.UnitQuat(rotationOf(c, k))
		f.turns = append(f.turns, q)
		if !ok && whole == nil {
			whole = make([]bool, len(c.Times))
			for i := range k {
				whole[i] = true
			}
		}
		if whole != nil {
			whole[k] = ok
		}
	}
	return f.turns, whole
}

// mostBeside is how far a key may lie from where interpolation puts it: |a−b| of a small
// angle is half of it.
const mostBeside = stillDegrees * math.Pi / 180 / 2

// aside tells that u surely lies farther than that from the way between p and q, wherever
// on it: from the plane of their great circle. There is no angle in it.
func aside(p, q, u *space.Quat) bool {
	d, up, uq := p.Dot(*q), u.Dot(*p), u.Dot(*q)
	square := 1 - d*d // of the sine between p and q
	if !(square > 1e-8) {
		return false
	}
	along := uq - d*up
	return 1-up*up-along*along/square > 1.001*mostBeside*mostBeside
}

// onTheWay tells that every key between two lies where interpolation puts it. Rotation
// keys as unitKeys answers them.
func (f *figure) onTheWay(c *rig.Channel, turns []space.Quat, whole []bool, from, to int) bool {
	span := float64(c.Times[to]) - float64(c.Times[from])
	if !(span > 0) || whole != nil && !(whole[from] && whole[to]) {
		return false
	}
	// The middle key first: most runs end there.
	middle := (from + to) / 2
	if turns != nil {
		p, q := &turns[from], &turns[to]
		if aside(p, q, &turns[middle]) {
			return false
		}
		arc := space.NewArc(space.PlainTurn(*p), space.PlainTurn(*q))
		for i := from; i < to; i++ {
			k := i
			if i == from {
				k = middle
			}
			s := arc.At((float64(c.Times[k]) - float64(c.Times[from])) / span).Quat()
			if square, _ := nearer(&turns[k], &s); whole != nil && !whole[k] || square > mostBeside*mostBeside {
				return false
			}
		}
		return true
	}
	w := c.Width
	a, b := c.Values[from*w:from*w+w], c.Values[to*w:to*w+w]
	limit := stillShare * f.diagonal / f.scale[c.Node]
	if c.Path == rig.Scale {
		limit = stillScale
	}
	for i := from; i < to; i++ {
		k := i
		if i == from {
			k = middle
		}
		v := c.Values[k*w : k*w+w]
		t := (float64(c.Times[k]) - float64(c.Times[from])) / span
		for x := range w {
			if math.Abs((1-t)*float64(a[x])+t*float64(b[x])-float64(v[x])) > limit {
				return false
			}
		}
	}
	return true
}
