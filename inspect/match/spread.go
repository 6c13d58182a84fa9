package match

import (
	"fmt"
	"math"
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// spread shares the turn of trunk and neck out by the way along them, where the two
// chains differ in length: each target joint takes the turn that the source has at
// the middle of the bone that the joint begins. The last of the trunk takes that of
// the source's last, since these two carry arms and head.
func (m *Match) spread(pins []Pin) {
	s, t := m.S, m.T
	if len(s.trunk) != len(t.trunk) {
		m.share(trunkChain, s.trunk, t.trunk, s.Bone("hips"), pins)
	}
	if len(s.neck) != len(t.neck) {
		from := rig.Node(rig.None)
		if len(s.trunk) > 0 {
			from = s.Joints[s.trunk[len(s.trunk)-1]]
		}
		m.share("neck", s.neck, t.neck, from, pins)
	}
}

// sharedSure is how sure a joint is whose turn is shared out (common practice, no source).
const sharedSure = 0.85

// trunkChain is what the trunk is called.
const trunkChain = "trunk"

// share hands out one chain. before is the source joint below its first.
func (m *Match) share(what string, a, b []int, before rig.Node, pins []Pin) {
	if len(a) == 0 || len(b) == 0 {
		return
	}
	taken, free := m.spokenFor(pins)
	at, length := m.S.stations(a)
	base := math.Inf(-1)
	if before >= 0 && length > 0 {
		base = min(0, -0.5*m.S.At(m.S.Joints[a[0]]).Sub(m.S.At(before)).Len()/length)
	}
	at = append([]float64{base}, at...) // station 0 is the joint before
	to, _ := m.T.stations(b)
	held := m.heldStations(a, b, before)
	nodes := []rig.Node{before}
	for _, i := range a {
		nodes = append(nodes, m.S.Joints[i])
	}
	for k, j := range b {
		node := m.T.Joints[j]
		if taken[node] {
			continue
		}
		u := to[k]
		last := what == trunkChain && k == len(b)-1
		if last {
			u = at[len(at)-1]
		}
		for l, h := range held {
			if h >= 0 && l < k {
				u = max(u, at[h])
			} else if h >= 0 && l > k {
				u = min(u, at[h])
			}
		}
		p := between(u, at, nodes, free)
		if p.Source < 0 {
			continue
		}
		p.Target, p.Role, p.Confidence = node, m.T.f[j].role, sharedSure
		if last && p.Source == m.S.Joints[a[len(a)-1]] {
			p.Evidence = fmt.Sprintf("%s of %d joints against %d: the last of each carries arms and head", what, len(a), len(b))
		} else {
			p.Evidence = fmt.Sprintf("%s of %d joints against %d: shared out by the way along it; its middle lies %s up", what, len(a), len(b), say.Sure(u))
		}
		m.Pairs = append(m.Pairs, p)
	}
}

// spokenFor tells of target joints that have a pair or are to stay without one, and of
// source joints that are to move nothing.
func (m *Match) spokenFor(pins []Pin) (taken, free map[rig.Node]bool) {
	taken, free = map[rig.Node]bool{}, map[rig.Node]bool{}
	for _, p := range m.Pairs {
		taken[p.Target] = true
	}
	for _, p := range pins {
		if p.Source < 0 {
			taken[p.Target] = true
		}
		if p.Target < 0 {
			free[p.Source] = true
		}
	}
	return taken, free
}

// heldStations tells for every joint of the target chain b the station of its source in a,
// counted from the joint before (0), where it has one already, else −1. What is pinned parts
// the chain: no joint takes its turn from beyond the partner of a pinned one.
func (m *Match) heldStations(a, b []int, before rig.Node) []int {
	held := make([]int, len(b))
	for k, j := range b {
		held[k] = -1
		for _, p := range m.Pairs {
			if p.Target == m.T.Joints[j] {
				held[k] = 1 + slices.Index(a, m.S.joint(p.Source))
				if held[k] == 0 && p.Source != before {
					held[k] = -1
				}
			}
		}
	}
	return held
}

// between answers the two sources that u lies between, and the share of the farther one.
// at are stations in rising order, nodes the joints there; the first may be None, at −∞.
// What is free moves nothing: Source is None where no other is left.
func between(u float64, at []float64, nodes []rig.Node, free map[rig.Node]bool) Pair {
	i := 0
	for i+1 < len(at) && at[i+1] <= u {
		i++
	}
	p := Pair{Source: nodes[i], Beside: rig.None}
	if i+1 < len(at) && at[i+1] > at[i] && !math.IsInf(at[i], -1) {
		if x := (u - at[i]) / (at[i+1] - at[i]); x > 1e-9 {
			p.Beside, p.Share = nodes[i+1], x
		}
	}
	if i == 0 && math.IsInf(at[0], -1) {
		p.Source = nodes[1]
	}
	if p.Source < 0 || free[p.Source] {
		p.Source, p.Beside, p.Share = p.Beside, rig.None, 0
	}
	if p.Beside >= 0 && free[p.Beside] {
		p.Beside, p.Share = rig.None, 0
	}
	if p.Source < 0 {
		return p
	}
	if p.Share > 0.5 { // the nearer one leads
		p.Source, p.Beside, p.Share = p.Beside, p.Source, 1-p.Share
	}
	if p.Share < 1e-9 {
		p.Beside, p.Share = rig.None, 0
	}
	return p
}

// stations are the middles of a chain's bones, as shares of the way from its first
// joint to where it ends, which is length long. A chain without any extent is cut
// evenly and has length 0.
func (s *Skeleton) stations(chain []int) (at []float64, length float64) {
	pts := make([]space.Vec, 0, len(chain)+1)
	for _, i := range chain {
		pts = append(pts, s.At(s.Joints[i]))
	}
	end := pts[len(pts)-1]
	if n := s.onward(chain[len(chain)-1]); n >= 0 {
		end = s.At(s.Joints[n])
	}
	pts = append(pts, end)
	for k := 1; k < len(pts); k++ {
		length += pts[k].Sub(pts[k-1]).Len()
	}
	if !(length > 1e-9*s.Size) {
		for k := range chain {
			at = append(at, (float64(k)+0.5)/float64(len(chain)))
		}
		return at, 0
	}
	way := 0.0
	for k := range chain {
		step := pts[k+1].Sub(pts[k]).Len()
		at = append(at, (way+step/2)/length)
		way += step
	}
	return at, length
}

// onward is the joint that a chain leads on to: neck or head.
func (s *Skeleton) onward(last int) int {
	for _, role := range []string{"neck", "head"} {
		if n := s.Bone(role); n >= 0 {
			if i := s.place[n]; i >= 0 && s.above(last, i) {
				return i
			}
		}
	}
	return -1
}

// Trunk answers the joints of the trunk from above the hips to where the arms part,
// and where each stands at rest, with one point more: where the last one leads. nil
// when the skeleton has none.
func (s *Skeleton) Trunk() (nodes []rig.Node, points []space.Vec) {
	if len(s.trunk) == 0 {
		return nil, nil
	}
	for _, i := range s.trunk {
		nodes = append(nodes, s.Joints[i])
		points = append(points, s.At(s.Joints[i]))
	}
	end := points[len(points)-1]
	if n := s.onward(s.trunk[len(s.trunk)-1]); n >= 0 {
		end = s.At(s.Joints[n])
	}
	return nodes, append(points, end)
}

// Holds tells whether something hangs on a joint: skinned surface, a mesh or, in a
// rig without any skin, keys. Helper tells that its name says it stands beside the
// body.
func (s *Skeleton) Holds(n rig.Node) (holds, helper bool) {
	i := s.joint(n)
	return i >= 0 && !s.f[i].idle, i >= 0 && s.f[i].helper
}

// Role is the VRM bone name of a joint, "" for none.
func (s *Skeleton) Role(n rig.Node) string {
	if i := s.joint(n); i >= 0 {
		return s.f[i].role
	}
	return ""
}

// Above tells that a node stands above another.
func (s *Skeleton) Above(a, b rig.Node) bool {
	return a != b && s.enter[b] >= s.enter[a] && s.enter[b] < s.leave[a]
}
