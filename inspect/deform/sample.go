package deform

import "rigloupe/inspect/rig"

// Sample sets the pose to a moment of a clip: the rest pose with what the clip's
// channels say laid over it (Track). A channel that cannot be read leaves its property
// at rest. Any order of moments will do; rising ones cost less.
func (p *Pose) Sample(c rig.Clip, seconds float64) {
	p.restLocal()
	if c >= 0 && int(c) < len(p.Rig.Clips) {
		channels := p.Rig.Clips[c].Channels
		for len(p.last) < len(channels) {
			p.last = append(p.last, 0)
		}
		for i := range channels {
			p.channel(&channels[i], seconds, &p.last[i])
		}
	}
	for _, n := range p.list {
		p.Local[n] = p.trs[n].Affine()
		p.touched[n] = false
	}
	p.list = p.list[:0]
	p.Update()
}

func (p *Pose) channel(c *rig.Channel, seconds float64, last *int) {
	n := c.Node
	if n < 0 || int(n) >= len(p.Local) {
		return
	}
	if c.Path == rig.Weights {
		if w := p.morph[n]; w != nil && weights(c, seconds, last, w) {
			p.Morph[n] = w
		}
		return
	}
	t, ok := NewTrack(c)
	if !ok {
		return
	}
	rest := &p.Rig.Nodes[n].TRS
	if !p.touched[n] {
		p.touched[n] = true
		p.list = append(p.list, n)
		p.trs[n] = *rest
	}
	t.last = *last
	t.set(seconds, &p.trs[n], rest)
	*last = t.last
}
