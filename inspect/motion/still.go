package motion

import (
	"slices"
	"strings"

	"rigloupe/inspect/rig"
)

// State of a joint in one clip.
type State uint8

const (
	NeverKeyed  State = iota // no channel names it
	KeyedAtRest              // its channels say the rest pose all along
	Held                     // its channels hold another pose: that one is meant
	Moves
)

// Reason is why a joint stays still.
type Reason uint8

const (
	NoChannel Reason = iota
	Constant         // its channels never change
	Outside          // what should move it moves a node outside every skin
	Twin             // the channels are on another node of the same name
)

// Chain is a run of joints that stays at rest in some clips though what it hangs on
// moves.
type Chain struct {
	Joints []rig.Node `json:"joints"`
	Body   bool       `json:"body"`    // it has a role, or is part of a hand
	Clips  []rig.Clip `json:"clips"`   // it is still here while the parent moves
	Of     int        `json:"of"`      // clips in which the parent moves
	Reason Reason     `json:"reason"`  // in the first of Clips
	Other  rig.Node   `json:"instead"` // the node that has the channels instead, None
	Sprung bool       `json:"springs"` // the file leaves all of them to springs, which a player simulates
}

// tally counts over the clips in which the joint above moves.
type tally struct {
	of    int // such clips
	rests int // of them, those that leave the joint at rest
	stays int // of them, those that do not move it
}

// readStates tells for every node its state in one clip, and whether it or a node
// above it moves.
func (f *figure) readStates(keys []keyed, states []State, carried []bool) {
	clear(states)
	for i := range keys {
		k := &keys[i]
		if k.path == rig.Weights {
			continue
		}
		s := KeyedAtRest
		switch {
		case k.moves:
			s = Moves
		case !k.atRest:
			s = Held
		}
		states[k.node] = max(states[k.node], s)
	}
	for _, n := range f.r.Order {
		p := f.r.Nodes[n].Parent
		carried[n] = states[n] == Moves || p >= 0 && carried[p]
	}
}

// stay is the state of a joint together with nodes between it and the joint above,
// which may do what the joint does not.
func (f *figure) stay(n rig.Node, states []State) State {
	s := states[n]
	for p := f.r.Nodes[n].Parent; p >= 0 && p != f.above[n]; p = f.r.Nodes[p].Parent {
		if states[p] >= Held {
			s = max(s, states[p])
		}
	}
	return s
}

// addStill counts the joints of one clip and notes its chains.
func (m *meter) addStill(clip *Clip) {
	for i, run := range m.figure.chains {
		whole := true
		from := 0
		for k := 0; k <= len(run); k++ {
			rests := false
			if k < len(run) {
				n := run[k]
				if a := m.above[n]; a >= 0 && m.carried[a] {
					t, s := &m.tallies[n], m.stay(n, m.states)
					t.of++
					rests = s < Held
					if rests {
						t.rests++
					}
					if s != Moves {
						t.stays++
					}
				}
				whole = whole && rests
			}
			if !rests {
				if k-from >= 2 {
					clip.StillChains = append(clip.StillChains, run[from:k])
				}
				from = k + 1
			}
		}
		if whole {
			m.still[i] = append(m.still[i], clip.Clip)
		}
	}
}

// findStill sums up over all clips: runs that always rest, whole runs without a part
// in the body that rest in some clips, and joints that nothing ever moves.
func (m *meter) findStill(f *Facts) {
	inChain, sprung := make([]bool, len(m.r.Nodes)), m.r.Sprung()
	for i, run := range m.figure.chains {
		rests := func(k int) bool {
			t := &m.tallies[run[k]]
			return t.of > 0 && t.rests == t.of
		}
		for from := 0; from < len(run); {
			if !rests(from) {
				from++
				continue
			}
			to := from
			for to < len(run) && rests(to) {
				to++
			}
			c := Chain{Joints: run[from:to], Body: m.body(run[from:to]), Of: m.tallies[run[from]].of}
			if to-from >= 2 && (!c.Body || c.Of >= 2) {
				c.Clips = m.clipsWith(run[from])
				f.Chains = append(f.Chains, c)
				for _, n := range c.Joints {
					inChain[n] = true
				}
			}
			from = to
		}
		c := Chain{Joints: run, Body: m.body(run), Clips: m.still[i], Of: m.tallies[run[0]].of}
		if len(run) >= 2 && !c.Body && len(c.Clips) > 0 && len(c.Clips) < c.Of {
			f.Chains = append(f.Chains, c)
		}
	}
	for _, n := range m.joints {
		if t := &m.tallies[n]; t.of > 0 && t.stays == t.of && !inChain[n] && !sprung[n] {
			f.Stiff = append(f.Stiff, n)
			f.StiffClips = max(f.StiffClips, t.of)
			if t.rests < t.of {
				f.StiffHeld++
			}
		}
	}
	for i := range f.Chains {
		c := &f.Chains[i]
		m.readClip(c.Clips[0])
		c.Reason, c.Other = m.reason(c.Joints, m.states)
		c.Sprung = !slices.ContainsFunc(c.Joints, func(n rig.Node) bool { return !sprung[n] })
	}
}

func (f *figure) body(chain []rig.Node) bool {
	return slices.ContainsFunc(chain, f.isBody)
}

// clipsWith lists the clips in which the joint above moves.
func (m *meter) clipsWith(n rig.Node) (out []rig.Clip) {
	for i := range m.r.Clips {
		if m.moves[i][m.above[n]] && !m.isPart[i] {
			out = append(out, rig.Clip(i))
		}
	}
	return out
}

// readClip reads the keys of a clip and what they say of every node.
func (m *meter) readClip(id rig.Clip) {
	c := &m.r.Clips[id]
	m.keys = m.keys[:0]
	for i := range c.Channels {
		if usable(m.r, &c.Channels[i]) {
			m.keys = append(m.keys, m.readKeys(i, &c.Channels[i]))
		}
	}
	m.readStates(m.keys, m.states, m.carried)
}

// fold is a name as another program may have written it.
func fold(name string) string {
	if i := strings.LastIndexAny(name, ":|"); i >= 0 {
		name = name[i+1:]
	}
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9', r > 127:
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		}
		return -1
	}, name)
}

// reason looks for moving channels that should have been the chain's: on a node of
// the same name, or on one outside every skin that stands where the joint stands or
// bears its name with an addition.
func (f *figure) reason(chain []rig.Node, states []State) (Reason, rig.Node) {
	world := f.e.RestWorld()
	keyed := false
	other := rig.Node(rig.None)
	for _, n := range chain {
		keyed = keyed || states[n] != NeverKeyed
		name := fold(f.r.Nodes[n].Name)
		for m := range f.r.Nodes {
			if states[m] != Moves || rig.Node(m) == n || f.isAbove(rig.Node(m), n) {
				continue
			}
			its := fold(f.r.Nodes[m].Name)
			if name != "" && its == name {
				return Twin, rig.Node(m)
			}
			if f.isJoint[m] || other >= 0 {
				continue
			}
			near := world[m].Origin().Sub(world[n].Origin()).Len() <= 1e-3*f.diagonal
			if near || len(name) >= 3 && strings.Contains(its, name) {
				other = rig.Node(m)
			}
		}
	}
	switch {
	case other >= 0:
		return Outside, other
	case keyed:
		return Constant, rig.None
	}
	return NoChannel, rig.None
}

func (f *figure) isAbove(a, n rig.Node) bool {
	for p := f.r.Nodes[n].Parent; p >= 0; p = f.r.Nodes[p].Parent {
		if p == a {
			return true
		}
	}
	return false
}

// run names a chain: its first and last joint.
func (o *Of) run(chain []rig.Node) string {
	if len(chain) == 1 {
		return o.name(chain[0])
	}
	return o.name(chain[0]) + " to " + o.name(chain[len(chain)-1])
}

// sameClips tells that two chains are still in the same clips.
func sameClips(a, b *Chain) bool { return slices.Equal(a.Clips, b.Clips) }
