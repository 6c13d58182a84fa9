package mend

import (
	"math"
	"slices"
	"sort"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// keyed is one key of a channel: its value as it is stored, and of a cubic one the slopes on
// both sides, a second (glTF 2.0, Appendix C).
type keyed struct {
	at             float64
	value, in, out []float64
}

// keyList are the keys of a channel, in their order.
func keyList(c *rig.Channel) []keyed {
	out := make([]keyed, len(c.Times))
	per := c.Width
	if c.Interpolation == rig.Cubic {
		per *= 3
	}
	list := func(from int) []float64 {
		v := make([]float64, c.Width)
		for i := range v {
			v[i] = float64(c.Values[from+i])
		}
		return v
	}
	for k := range out {
		out[k].at = float64(c.Times[k])
		if c.Interpolation != rig.Cubic {
			out[k].value = list(k * per)
			continue
		}
		out[k].in, out[k].value, out[k].out = list(k*per), list(k*per+c.Width), list(k*per+2*c.Width)
	}
	return out
}

// withKeys is a channel with other keys. Of two in one moment, as float32, the later stands.
func withKeys(c *rig.Channel, keys []keyed) rig.Channel {
	n := *c
	n.Times, n.Values = nil, nil
	for k := range keys {
		at := float32(keys[k].at)
		if k+1 < len(keys) && float32(keys[k+1].at) <= at {
			continue
		}
		n.Times = append(n.Times, at)
		for _, list := range [][]float64{keys[k].in, keys[k].value, keys[k].out} {
			for _, x := range list {
				n.Values = append(n.Values, float32(x))
			}
		}
	}
	return n
}

// keyAt is the key that a channel would have at a moment without any change of its way: a
// piece of a straight line, of an arc and of a cubic each go on as they were.
func keyAt(c *rig.Channel, keys []keyed, at float64) keyed {
	cubic := c.Interpolation == rig.Cubic
	k := sort.Search(len(keys), func(i int) bool { return keys[i].at > at }) - 1
	held := func(k int) keyed {
		n := keyed{at: at, value: slices.Clone(keys[k].value)}
		if cubic {
			n.in, n.out = make([]float64, c.Width), make([]float64, c.Width)
		}
		return n
	}
	switch {
	case k < 0:
		return held(0)
	case keys[k].at == at:
		n := keys[k]
		n.value, n.in, n.out = slices.Clone(n.value), slices.Clone(n.in), slices.Clone(n.out)
		return n
	case k == len(keys)-1 || c.Interpolation == rig.Step:
		return held(k)
	}
	a, b := &keys[k], &keys[k+1]
	td := b.at - a.at
	u := (at - a.at) / td
	n := keyed{at: at, value: make([]float64, c.Width)}
	if c.Path == rig.Rotation && !cubic {
		q, okQ := turnIn(a.value).Unit()
		r, okR := turnIn(b.value).Unit()
		if okQ && okR {
			arc := space.NewArc(q, r)
			t := arc.At(u)
			copy(n.value, []float64{t.X, t.Y, t.Z, t.W})
			return n
		}
	}
	if !cubic {
		for i := range n.value {
			n.value[i] = (1-u)*a.value[i] + u*b.value[i]
		}
		return n
	}
	n.in = make([]float64, c.Width)
	u2, u3 := u*u, u*u*u
	for i := range n.value {
		v, o, w, e := a.value[i], td*a.out[i], b.value[i], td*b.in[i]
		n.value[i] = (2*u3-3*u2+1)*v + (u3-2*u2+u)*o + (3*u2-2*u3)*w + (u3-u2)*e
		n.in[i] = ((6*u2-6*u)*v + (3*u2-4*u+1)*o + (6*u-6*u2)*w + (3*u2-2*u)*e) / td
	}
	n.out = slices.Clone(n.in)
	return n
}

func turnIn(v []float64) space.Turn { return space.Turn{X: v[0], Y: v[1], Z: v[2], W: v[3]} }

// cut puts a key at a moment into the list where none stands; the way stays as it was.
func cut(c *rig.Channel, keys []keyed, at float64) []keyed {
	k := sort.Search(len(keys), func(i int) bool { return keys[i].at >= at })
	if k < len(keys) && keys[k].at == at {
		return keys
	}
	n := keyAt(c, keys, at)
	keys = slices.Insert(slices.Clone(keys), k, n)
	if c.Interpolation == rig.Cubic { // before the first and behind the last it was held
		if k == 0 && len(keys) > 1 {
			keys[1].in = make([]float64, c.Width)
		}
		if k == len(keys)-1 && k > 0 {
			keys[k-1].out = make([]float64, c.Width)
		}
	}
	return keys
}

// sound tells a channel that has a value for every key, in rising moments.
func sound(c *rig.Channel) bool {
	per := c.Width
	if c.Interpolation == rig.Cubic {
		per *= 3
	}
	if len(c.Times) == 0 || per <= 0 || len(c.Values) != per*len(c.Times) {
		return false
	}
	for k := 1; k < len(c.Times); k++ {
		if !(c.Times[k] > c.Times[k-1]) {
			return false
		}
	}
	return !math.IsInf(float64(c.Times[len(c.Times)-1]), 0)
}

// oneClip answers the clip that a value names; of a file with one clip it may be left out.
func (w *Work) oneClip(name string) (rig.Clip, error) {
	switch {
	case len(w.Rig.Clips) == 0:
		return rig.None, w.Refuse("The file has no clip.")
	case name == "" && len(w.Rig.Clips) == 1:
		return 0, nil
	case name == "":
		return rig.None, w.Refuse("The file has several clips: name one.")
	}
	i, err := findClip(w.Rig, name)
	if err != nil {
		return rig.None, w.Refuse("%v.", sentence(err))
	}
	return i, nil
}

// someClips answers the clips of a list; of an empty one those that are.
func (w *Work) someClips(names []string, are func(rig.Clip) bool) (out []rig.Clip, err error) {
	if len(w.Rig.Clips) == 0 {
		return nil, w.Refuse("The file has no clip.")
	}
	for _, name := range names {
		i, err := findClip(w.Rig, name)
		if err != nil {
			return nil, w.Refuse("%v.", sentence(err))
		}
		if !slices.Contains(out, i) {
			out = append(out, i)
		}
	}
	for i := range w.Rig.Clips {
		if len(names) == 0 && are(rig.Clip(i)) {
			out = append(out, rig.Clip(i))
		}
	}
	return out, nil
}

// movable refuses a clip with channels that cannot be read, or nodes that cannot be moved.
func (w *Work) movable(i rig.Clip, channels ...*rig.Channel) error {
	for _, c := range channels {
		if !sound(c) {
			return w.Refuse("In clip %s the keys of %s cannot be read in order: mend them first.", w.clipName(i), w.Exam.NodeName(c.Node))
		}
	}
	return nil
}
