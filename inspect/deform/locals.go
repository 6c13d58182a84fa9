package deform

import "rigloupe/inspect/rig"

// Locals stands single nodes of a rig in the moments of one clip: what is asked costs the
// nodes asked about, where a Player's moment costs all that move. Its matrices are those of
// a Player, bit by bit.
type Locals struct {
	Rig    *rig.Rig
	Worked int // matrices worked out since Start

	tracks []Track
	first  []int32 // by node: 1 + its first track; 0: none
	next   []int32 // by track: 1 + the next of the same node
	last   []int32 // by node, while tracks are taken up
	nodes  []rig.Node
}

// NewLocals takes up no clip yet: every node is at rest.
func NewLocals(r *rig.Rig) *Locals {
	return &Locals{Rig: r, first: make([]int32, len(r.Nodes)), last: make([]int32, len(r.Nodes))}
}

// Start takes up a clip.
func (l *Locals) Start(c *rig.ClipData) {
	for _, n := range l.nodes {
		l.first[n], l.last[n] = 0, 0
	}
	l.tracks, l.next, l.nodes, l.Worked = l.tracks[:0], l.next[:0], l.nodes[:0], 0
	for i := range c.Channels {
		n := c.Channels[i].Node
		if n < 0 || int(n) >= len(l.first) {
			continue
		}
		t, ok := NewTrack(&c.Channels[i])
		if !ok {
			continue
		}
		l.tracks, l.next = append(l.tracks, t), append(l.next, 0)
		k := int32(len(l.tracks))
		if l.first[n] == 0 {
			l.first[n] = k
			l.nodes = append(l.nodes, n)
		} else {
			l.next[l.last[n]-1] = k
		}
		l.last[n] = k
	}
}

// At is the matrix of a node in its parent at a moment.
func (l *Locals) At(n rig.Node, seconds float64) rig.Affine {
	l.Worked++
	node := &l.Rig.Nodes[n]
	k := l.first[n]
	if k == 0 {
		return node.Matrix
	}
	trs := node.TRS
	for ; k > 0; k = l.next[k-1] {
		l.tracks[k-1].set(seconds, &trs, &node.TRS)
	}
	return trs.Affine()
}

// Below is a node's matrix in a node above it at a moment, looking at no more than so many
// nodes: where that many do not reach, in the node they end below. rig.None: in the world.
func (l *Locals) Below(top, n rig.Node, most int, seconds float64) rig.Affine {
	var way [64]rig.Node
	path := way[:0]
	for ; n >= 0 && n != top && len(path) < most; n = l.Rig.Nodes[n].Parent {
		path = append(path, n)
	}
	if len(path) == 0 {
		return rig.Identity
	}
	m := l.At(path[len(path)-1], seconds)
	for i := len(path) - 2; i >= 0; i-- {
		at := l.At(path[i], seconds)
		m = m.Mul(&at)
	}
	return m
}
