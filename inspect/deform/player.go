package deform

import "rigloupe/inspect/rig"

// Player stands a rig in the moments of one clip, quickly: what never changes in the
// clip is set once. Its poses are those of Pose.Sample, without morph weights.
type Player struct {
	Rig   *rig.Rig
	World []rig.Affine // by node, at the moment at hand; kept for the wanted ones and what stands above

	wanted []rig.Node // parents first
	trs    []rig.TRS
	local  []rig.Affine
	tracks []Track    // of what changes
	nodes  []rig.Node // that these move
	follow []rig.Node // nodes whose matrix changes, parents first
	is     []uint8    // by node
}

const (
	isWanted = 1 << iota
	isKeyed
	isMoving
	isCarried
)

// NewPlayer plays for the wanted nodes; nil: for all.
func NewPlayer(r *rig.Rig, wanted []rig.Node) *Player {
	n := len(r.Nodes)
	p := &Player{Rig: r, World: make([]rig.Affine, n), trs: make([]rig.TRS, n), local: make([]rig.Affine, n), is: make([]uint8, n)}
	for _, w := range wanted {
		for ; w >= 0 && p.is[w] == 0; w = r.Nodes[w].Parent {
			p.is[w] = isWanted
		}
	}
	for _, w := range r.Order {
		if wanted == nil || p.is[w] != 0 {
			p.is[w] = isWanted
			p.wanted = append(p.wanted, w)
		}
	}
	return p
}

// Start takes up a clip and stands at its first moment. It answers the times of the
// channel with most keys, of those it plays.
func (p *Player) Start(c *rig.ClipData) (times []float32) {
	p.tracks, p.nodes, p.follow = p.tracks[:0], p.nodes[:0], p.follow[:0]
	for _, n := range p.wanted {
		p.is[n] = isWanted
		p.trs[n], p.local[n] = p.Rig.Nodes[n].TRS, p.Rig.Nodes[n].Matrix
	}
	for i := range c.Channels {
		ch := &c.Channels[i]
		if ch.Node < 0 || int(ch.Node) >= len(p.is) || p.is[ch.Node] == 0 {
			continue
		}
		t, ok := NewTrack(ch)
		if !ok {
			continue
		}
		if len(ch.Times) > len(times) {
			times = ch.Times
		}
		is := &p.is[ch.Node]
		*is |= isKeyed
		if !Still(ch) {
			p.tracks = append(p.tracks, t)
			if *is&isMoving == 0 {
				*is |= isMoving
				p.nodes = append(p.nodes, ch.Node)
			}
		}
		t.set(c.Start, &p.trs[ch.Node], &p.Rig.Nodes[ch.Node].TRS)
	}
	for _, n := range p.wanted {
		if p.is[n]&isKeyed != 0 {
			p.local[n] = p.trs[n].Affine()
		}
		up := p.Rig.Nodes[n].Parent
		if p.is[n]&isMoving != 0 || up >= 0 && p.is[up]&isCarried != 0 {
			p.is[n] |= isCarried
			p.follow = append(p.follow, n)
		}
	}
	p.stand(p.wanted)
	return times
}

// Moves tells that something changes in the clip.
func (p *Player) Moves() bool { return len(p.tracks) > 0 }

// At goes to a moment of the clip.
func (p *Player) At(seconds float64) {
	for i := range p.tracks {
		t := &p.tracks[i]
		t.set(seconds, &p.trs[t.c.Node], &p.Rig.Nodes[t.c.Node].TRS)
	}
	for _, n := range p.nodes {
		p.local[n] = p.trs[n].Affine()
	}
	p.stand(p.follow)
}

func (p *Player) stand(list []rig.Node) {
	for _, n := range list {
		if up := p.Rig.Nodes[n].Parent; up >= 0 {
			p.World[n].SetMul(&p.World[up], &p.local[n])
		} else {
			p.World[n] = p.local[n]
		}
	}
}
