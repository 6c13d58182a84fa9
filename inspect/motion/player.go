package motion

import (
	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
)

// player stands a rig in the poses of one clip, quickly: what never changes in the
// clip is set once. The poses are those of deform.Pose.Sample.
type player struct {
	r            *rig.Rig
	trs          []rig.TRS
	local, world []rig.Affine
	clip         *rig.ClipData
	moving       []int      // channels that change
	nodes        []rig.Node // that these move
	follow       []rig.Node // nodes whose matrix changes, parents first
	is           []uint8    // by node, scratch
}

func newPlayer(r *rig.Rig) *player {
	n := len(r.Nodes)
	return &player{r: r, trs: make([]rig.TRS, n), local: make([]rig.Affine, n), world: make([]rig.Affine, n), is: make([]uint8, n)}
}

const (
	isKeyed = 1 << iota
	isMoving
	isCarried
)

// start takes up a clip at its first key.
func (p *player) start(c *rig.ClipData, keys []keyed) {
	p.clip, p.moving, p.nodes, p.follow = c, p.moving[:0], p.nodes[:0], p.follow[:0]
	clear(p.is)
	for i := range p.r.Nodes {
		p.trs[i], p.local[i] = p.r.Nodes[i].TRS, p.r.Nodes[i].Matrix
	}
	for i := range keys {
		k := &keys[i]
		if k.path == rig.Weights {
			continue
		}
		p.is[k.node] |= isKeyed
		if k.differ {
			p.moving = append(p.moving, k.channel)
			if p.is[k.node]&isMoving == 0 {
				p.is[k.node] |= isMoving
				p.nodes = append(p.nodes, k.node)
			}
		}
		p.set(&c.Channels[k.channel], c.Start)
	}
	for n := range p.r.Nodes {
		if p.is[n]&isKeyed != 0 {
			p.local[n] = p.trs[n].Affine()
		}
	}
	p.r.World(p.local, p.world)
	for _, n := range p.r.Order {
		up := p.r.Nodes[n].Parent
		if p.is[n]&isMoving != 0 || up >= 0 && p.is[up]&isCarried != 0 {
			p.is[n] |= isCarried
			p.follow = append(p.follow, n)
		}
	}
}

func (p *player) set(c *rig.Channel, seconds float64) {
	var v [4]float64
	if !deform.Value(c, seconds, &v) {
		return
	}
	switch t := &p.trs[c.Node]; c.Path {
	case rig.Translation:
		t.T = [3]float64(v[:3])
	case rig.Scale:
		t.S = [3]float64(v[:3])
	case rig.Rotation:
		t.R = v
	}
}

// at goes to a moment of the clip.
func (p *player) at(seconds float64) {
	for _, i := range p.moving {
		p.set(&p.clip.Channels[i], seconds)
	}
	for _, n := range p.nodes {
		p.local[n] = p.trs[n].Affine()
	}
	for _, n := range p.follow {
		if up := p.r.Nodes[n].Parent; up >= 0 {
			p.world[n] = p.world[up].Mul(&p.local[n])
		} else {
			p.world[n] = p.local[n]
		}
	}
}

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
