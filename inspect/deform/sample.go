package deform

import (
	"sort"

	"rigloupe/inspect/rig"
)

// Sample sets the pose to a moment of a clip: the rest pose with what the clip's
// channels say laid over it. Interpolation follows glTF 2.0, Appendix C: outside
// its keys a channel holds its end values, at a key it has the stored value, and
// rotations are made unit afterwards. A channel that cannot be sampled (no keys,
// values missing) leaves its property at rest.
func (p *Pose) Sample(c rig.Clip, seconds float64) {
	p.restLocal()
	if c >= 0 && int(c) < len(p.Rig.Clips) {
		channels := p.Rig.Clips[c].Channels
		for i := range channels {
			p.channel(&channels[i], seconds)
		}
	}
	for _, n := range p.list {
		p.Local[n] = p.trs[n].Affine()
		p.touched[n] = false
	}
	p.list = p.list[:0]
	p.Update()
}

func (p *Pose) channel(c *rig.Channel, seconds float64) {
	n := c.Node
	if n < 0 || int(n) >= len(p.Local) {
		return
	}
	if c.Path == rig.Weights {
		if w := p.morph[n]; w != nil && weights(c, seconds, w) {
			p.Morph[n] = w
		}
		return
	}
	var v [4]float64
	if !Value(c, seconds, &v) {
		return
	}
	if !p.touched[n] {
		p.touched[n] = true
		p.list = append(p.list, n)
		p.trs[n] = p.Rig.Nodes[n].TRS
	}
	switch t := &p.trs[n]; c.Path {
	case rig.Translation:
		t.T = [3]float64(v[:3])
	case rig.Scale:
		t.S = [3]float64(v[:3])
	case rig.Rotation:
		t.R = v
	}
}

// Value samples one channel of translation, scale (three numbers) or rotation
// (a unit quaternion). It answers false when the channel holds nothing usable.
func Value(c *rig.Channel, seconds float64, v *[4]float64) bool {
	w := 3
	if c.Path == rig.Rotation {
		w = 4
	}
	if c.Width != w || c.Path == rig.Weights {
		return false
	}
	at, ok := find(c, seconds)
	if !ok {
		return false
	}
	if c.Path != rig.Rotation {
		for i := range w {
			v[i] = at.number(c, i)
		}
		return true
	}
	if at.between && c.Interpolation == rig.Linear {
		a, okA := Unit(at.quaternion(c, at.key))
		b, okB := Unit(at.quaternion(c, at.key+1))
		if !okA || !okB {
			return false
		}
		*v = Slerp(a, b, at.t)
	} else {
		for i := range w {
			v[i] = at.number(c, i)
		}
	}
	*v, ok = Unit(*v)
	return ok
}

// weights samples a channel of morph weights into out.
func weights(c *rig.Channel, seconds float64, out []float32) bool {
	if c.Width != len(out) {
		return false
	}
	at, ok := find(c, seconds)
	if !ok {
		return false
	}
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

// find looks for the keys around a moment. Times go up in a sound file; where they
// do not, the answer is some key, never a place outside the list.
func find(c *rig.Channel, seconds float64) (m moment, ok bool) {
	n := len(c.Times)
	per := c.Width
	if c.Interpolation == rig.Cubic {
		per *= 3
	}
	if n == 0 || per <= 0 || len(c.Values) < n*per {
		return m, false
	}
	// The first key later than the moment; the one before it is ours.
	next := sort.Search(n, func(i int) bool { return float64(c.Times[i]) > seconds })
	if next == 0 {
		return m, true
	}
	m.key = next - 1
	if next == n {
		return m, true
	}
	from, to := float64(c.Times[m.key]), float64(c.Times[next])
	m.td = to - from
	if c.Interpolation == rig.Step || seconds == from || !(m.td > 0) {
		return m, true
	}
	m.between = true
	m.t = (seconds - from) / m.td
	return m, true
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

func (m *moment) quaternion(c *rig.Channel, key int) (q [4]float64) {
	for i := range q {
		q[i] = float64(c.Values[key*4+i])
	}
	return q
}
