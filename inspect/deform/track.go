package deform

import (
	"sort"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Track reads one channel of translation, rotation or scale at any moment. It keeps the
// place of the last key it found: moments that rise cost no search. Interpolation
// follows glTF 2.0, Appendix C: outside its keys a channel holds its end values, at a
// key it has the stored value, and rotations are made unit afterwards.
type Track struct {
	c    *rig.Channel
	last int // key of the moment before

	arc   space.Arc // from the key below to the next
	below int       // 1 + that key; 0: none yet
	whole bool      // both keys have a direction
}

// NewTrack answers false for a channel that cannot be read: no keys, values missing, a
// width that is not its path's, or morph weights.
func NewTrack(c *rig.Channel) (t Track, ok bool) {
	w := 3
	if c.Path == rig.Rotation {
		w = 4
	}
	return Track{c: c}, c.Path != rig.Weights && c.Width == w && whole(c)
}

// whole tells that there is a value for each key.
func whole(c *rig.Channel) bool {
	per := c.Width
	if c.Interpolation == rig.Cubic {
		per *= 3
	}
	return len(c.Times) > 0 && per > 0 && len(c.Values) >= len(c.Times)*per
}

// Vector is the translation or scale at a moment, in the node's own units.
func (t *Track) Vector(seconds float64) (v space.Vec) {
	m := find(t.c, seconds, &t.last)
	for i := range v {
		v[i] = m.number(t.c, i)
	}
	return v
}

// Rotation is the turn at a moment, unit; false where a key has no direction.
func (t *Track) Rotation(seconds float64) (q space.Quat, ok bool) {
	turn, ok := t.Turn(seconds)
	return turn.Quat(), ok
}

// Turn is Rotation in plain numbers.
func (t *Track) Turn(seconds float64) (q space.Turn, ok bool) {
	c := t.c
	m := find(c, seconds, &t.last)
	switch {
	case c.Interpolation == rig.Cubic:
		return space.Turn{X: m.number(c, 0), Y: m.number(c, 1), Z: m.number(c, 2), W: m.number(c, 3)}.Unit()
	case !m.between:
		return turnKey(c, m.key).Unit()
	}
	if t.below != m.key+1 {
		a, okA := turnKey(c, m.key).Unit()
		b, okB := turnKey(c, m.key+1).Unit()
		t.arc, t.below, t.whole = space.NewArc(a, b), m.key+1, okA && okB
	}
	if !t.whole {
		return q, false
	}
	return t.arc.At(m.t).Unit()
}

// Value reads a channel once: three numbers, or a unit rotation x y z w. It answers
// false, and leaves v, where there is no value.
func Value(c *rig.Channel, seconds float64, v *[4]float64) bool {
	t, ok := NewTrack(c)
	if !ok {
		return false
	}
	if c.Path != rig.Rotation {
		at := t.Vector(seconds)
		v[0], v[1], v[2] = at[0], at[1], at[2]
		return true
	}
	q, ok := t.Rotation(seconds)
	if ok {
		*v = space.XYZW(q)
	}
	return ok
}

// set writes the value at a moment into the local transform of the channel's node; what
// has no value there stays at rest.
func (t *Track) set(seconds float64, out, rest *rig.TRS) {
	switch t.c.Path {
	case rig.Translation:
		out.T = t.Vector(seconds)
	case rig.Scale:
		out.S = t.Vector(seconds)
	case rig.Rotation:
		if q, ok := t.Rotation(seconds); ok {
			out.R = space.XYZW(q)
		} else {
			out.R = rest.R
		}
	}
}

// Still tells that a channel has one value at all moments.
func Still(c *rig.Channel) bool {
	if c.Interpolation == rig.Cubic || c.Width <= 0 {
		return false
	}
	for i := c.Width; i < len(c.Values); i++ {
		if c.Values[i] != c.Values[i-c.Width] {
			return false
		}
	}
	return true
}

// weights samples a channel of morph weights into out.
func weights(c *rig.Channel, seconds float64, last *int, out []float32) bool {
	if c.Width != len(out) || !whole(c) {
		return false
	}
	at := find(c, seconds, last)
	for i := range out {
		out[i] = float32(at.number(c, i))
	}
	return true
}

// moment is a place among the keys of a channel.
type moment struct {
	key     int
	between bool    // between key and key+1; else exactly at key
	t, td   float64 // 0…1 of the way, and the seconds between the two keys
}

// find looks for the keys around a moment in a whole channel, first from the key last
// found on. Times go up in a sound file; where they do not, the answer is some key,
// never a place outside the list.
func find(c *rig.Channel, seconds float64, last *int) (m moment) {
	n := len(c.Times)
	// The first key later than the moment; the one before it is ours.
	next := *last + 1
	if *last < 0 || *last >= n || !(float64(c.Times[*last]) <= seconds) {
		next = 0
	}
	switch {
	case next < n && float64(c.Times[next]) <= seconds && (next+1 == n || float64(c.Times[next+1]) > seconds):
		next++
	case next < n && float64(c.Times[next]) <= seconds:
		next = sort.Search(n, func(i int) bool { return float64(c.Times[i]) > seconds })
	}
	if next == 0 {
		return m
	}
	m.key, *last = next-1, next-1
	if next == n {
		return m
	}
	from, to := float64(c.Times[m.key]), float64(c.Times[next])
	m.td = to - from
	if c.Interpolation == rig.Step || seconds == from || !(m.td > 0) {
		return m
	}
	m.between = true
	m.t = (seconds - from) / m.td
	return m
}

// number samples the i-th number of a key by itself.
func (m *moment) number(c *rig.Channel, i int) float64 {
	if c.Interpolation != rig.Cubic {
		a := float64(c.Values[m.key*c.Width+i])
		if !m.between {
			return a
		}
		return (1-m.t)*a + m.t*float64(c.Values[(m.key+1)*c.Width+i])
	}
	// Per key: in-tangent, value, out-tangent.
	k := 3 * m.key * c.Width
	value := float64(c.Values[k+c.Width+i])
	if !m.between {
		return value
	}
	out := float64(c.Values[k+2*c.Width+i])
	in := float64(c.Values[k+3*c.Width+i])
	next := float64(c.Values[k+4*c.Width+i])
	t := m.t
	t2, t3 := t*t, t*t*t
	return (2*t3-3*t2+1)*value + m.td*(t3-2*t2+t)*out + (-2*t3+3*t2)*next + m.td*(t3-t2)*in
}

// turnKey is a rotation key as it is stored.
func turnKey(c *rig.Channel, key int) space.Turn {
	v := c.Values[4*key : 4*key+4]
	return space.Turn{X: float64(v[0]), Y: float64(v[1]), Z: float64(v[2]), W: float64(v[3])}
}
