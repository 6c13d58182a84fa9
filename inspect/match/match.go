// Package match tells which joint of one skeleton moves which joint of another:
// from roles, names, what hangs on what, where it stands and how far it reaches, as
// one best assignment that crosses neither sides nor generations. What a person has
// pinned stands, and the rest is solved around it.
package match

import (
	"fmt"
	"slices"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/rig"
)

// Pair says that a source joint moves a target joint.
type Pair struct {
	Source, Target rig.Node
	Beside         rig.Node // second source joint of a chain of another length; None
	Share          float64  // of Beside in the turn, 0…1
	Role           string   // VRM bone name of the target joint, "": none
	Confidence     float64  // 0…1; 1: pinned
	Evidence       string   // in words
	Pinned         bool
}

// Left is a joint that has no pair, and why.
type Left struct {
	Node rig.Node
	Why  string
}

// Pin is a person's word: this source joint moves that target joint. None on one
// side: the other joint is to stay without a pair. One source joint may be pinned to
// several target joints.
type Pin struct {
	Source, Target rig.Node
	Beside         rig.Node // second source joint; of no account where Share is 0
	Share          float64  // of Beside in the turn, 0…1
}

// Match is the whole table.
type Match struct {
	S, T           *Skeleton
	Pairs          []Pair // in the order of the target's joints, parents first
	Source, Target []Left
	Mirrored       bool     // a left hand moves a right one, or the other way round
	Remarks        []string // what a person should know before trusting it

	bySource, byTarget map[rig.Node]int
	apart              []Pin // pinned to nothing
}

// turnedGain is how many times better a mirrored table must be where nothing tells sides.
const turnedGain = 1.05

// better tells that a mirrored table is so much better than a plain one that it is taken.
func better(mirrored, plain float64) bool { return mirrored > turnedGain*plain }

// mostJoints of one skeleton that are compared with all of the other.
const mostJoints = 900

// Find matches the joints of two rigs.
func Find(source, target *rig.Rig, pins ...Pin) *Match {
	return Between(NewSkeleton(source), NewSkeleton(target), pins...)
}

// Between matches two skeletons that are read already.
func Between(s, t *Skeleton, pins ...Pin) *Match {
	m := &Match{S: s, T: t}
	for _, k := range []*Skeleton{s, t} {
		if len(k.Joints) > mostJoints {
			m.remark("%q has %d joints; the first %d, parents first, were looked at", k.Rig.File.Name, len(k.Joints), mostJoints)
			k.cut(mostJoints)
		}
		if len(k.Joints) == 0 {
			m.remark("%q has no joint: no skin, and no clip that moves a node", k.Rig.File.Name)
		}
	}
	pins = m.sound(pins)
	for _, p := range pins {
		if p.Source < 0 || p.Target < 0 {
			m.apart = append(m.apart, p)
		}
	}
	var of []int
	var gain []float64
	switch oneSided(s, t) {
	case 1:
		m.Mirrored = true
		fallthrough
	case 0:
		of, gain = m.solve(pins, m.Mirrored)
	default: // nothing tells sides: the better of both ways
		plain, g := m.solve(pins, false)
		turned, h := m.solve(pins, true)
		of, gain = plain, g
		if better(total(h, len(t.Joints), turned), total(g, len(t.Joints), plain)) {
			of, gain, m.Mirrored = turned, h, true
		}
	}
	m.pairs(of, gain, pins)
	m.spread(pins)
	m.follow(pins)
	m.finish()
	return m
}

func (m *Match) remark(what string, args ...any) {
	m.Remarks = append(m.Remarks, fmt.Sprintf(what, args...))
}

// cut keeps the first joints.
func (s *Skeleton) cut(n int) {
	for _, node := range s.Joints[n:] {
		s.place[node] = -1
	}
	s.Joints, s.Parent, s.f, s.kids = s.Joints[:n], s.Parent[:n], s.f[:n], s.kids[:n]
	keep := func(list []int) []int { return slices.DeleteFunc(list, func(i int) bool { return i >= n }) }
	for i := range s.kids {
		s.kids[i] = keep(s.kids[i])
	}
	s.trunk, s.neck = keep(s.trunk), keep(s.neck)
}

// oneSided tells 1 when one skeleton has joints of one side alone by name and the
// other those of the other side, 0 when both know both sides or the same, −1 when
// names tell nothing on one of them and neither is a figure.
func oneSided(s, t *Skeleton) int {
	sides := func(k *Skeleton) (left, right int) {
		for _, n := range k.Joints {
			switch p := &k.Roles.Of[n]; {
			case p.Role != "" && p.Side == anatomy.Left, p.Named == anatomy.Left:
				left++
			case p.Role != "" && p.Side == anatomy.Right, p.Named == anatomy.Right:
				right++
			}
		}
		return left, right
	}
	sl, sr := sides(s)
	tl, tr := sides(t)
	switch {
	case sl > 0 && sr == 0 && tl == 0 && tr > 0, sl == 0 && sr > 0 && tl > 0 && tr == 0:
		return 1
	case s.Bone("hips") >= 0 || t.Bone("hips") >= 0, sl+sr > 0 && tl+tr > 0:
		return 0
	}
	return -1
}

// sound drops pins that name no joint or contradict each other; the later stands.
func (m *Match) sound(pins []Pin) (out []Pin) {
	led, away, moved := map[rig.Node]bool{}, map[rig.Node]bool{}, map[rig.Node]bool{}
	for _, p := range slices.Backward(pins) {
		s, t := m.S.joint(p.Source), m.T.joint(p.Target)
		switch {
		case p.Source >= 0 && s < 0 || p.Target >= 0 && t < 0 || p.Source < 0 && p.Target < 0:
			m.remark("a pair set by hand names a joint that is not there (source node %d, target node %d); it was left out", p.Source, p.Target)
			continue
		case t >= 0 && moved[p.Target]:
			m.remark("target joint %s is set by hand twice; the later pair stands", m.T.called(p.Target))
			continue
		case s >= 0 && (away[p.Source] || p.Target < 0 && led[p.Source]):
			m.remark("source joint %s is set by hand both to a joint and to none; the later stands", m.S.called(p.Source))
			continue
		case s >= 0 && t >= 0 && oneForBoth(m.S, m.T, s, t):
			m.remark("%s belongs to one side and %s carries both: a limb cannot move what carries the other; that pair was left out", m.S.called(p.Source), m.T.called(p.Target))
			continue
		}
		if p.Share > 0 && (m.S.joint(p.Beside) < 0 || p.Share > 1 || s < 0 || t < 0) {
			p.Share = 0
		}
		if s >= 0 {
			led[p.Source], away[p.Source] = p.Target >= 0, p.Target < 0
		}
		moved[p.Target] = t >= 0
		out = append(out, p)
	}
	slices.Reverse(out)
	return out
}

// called is a joint's name in quotes, or its node where it has none.
func (s *Skeleton) called(n rig.Node) string {
	if name := s.Name(n); name != "" {
		return fmt.Sprintf("%q", name)
	}
	return fmt.Sprintf("node %d", n)
}

// joint is the place of a node among the joints, −1.
func (s *Skeleton) joint(n rig.Node) int {
	if n < 0 || int(n) >= len(s.place) {
		return -1
	}
	return s.place[n]
}

// pinned outweighs everything else together.
const pinned = 1e6

// solve is one assignment: for every source joint a target joint, −1.
func (m *Match) solve(pins []Pin, mirrored bool) (of []int, gain []float64) {
	s, t := m.S, m.T
	rows, cols := len(s.Joints), len(t.Joints)
	gain = scores(s, t, mirrored)
	if rows == 0 || cols == 0 {
		return make([]int, 0), gain
	}
	fixed := make([]bool, rows)
	for _, p := range pins {
		i, j := s.joint(p.Source), t.joint(p.Target)
		if i >= 0 {
			for k := range cols {
				gain[i*cols+k] = 0
			}
			fixed[i] = true
		}
		if j >= 0 {
			for k := range rows {
				gain[k*cols+j] = 0
			}
		}
	}
	given := make([]bool, rows)
	for _, p := range pins {
		// Of several targets of one source the first is assigned, the others are laid
		// beside it afterwards.
		if i, j := s.joint(p.Source), t.joint(p.Target); i >= 0 && j >= 0 && !given[i] {
			gain[i*cols+j] = pinned
			given[i] = true
		}
	}
	if !s.known() || !t.known() {
	} else if len(s.trunk) != len(t.trunk) { // chains of other lengths are shared out afterwards
		m.bar(gain, s.trunk, t.trunk, fixed)
	} else {
		m.chain(gain, s.trunk, t.trunk, fixed)
	}
	if len(s.neck) != len(t.neck) && len(s.neck) > 0 && len(t.neck) > 0 {
		m.bar(gain, s.neck, t.neck, fixed)
	}
	of = consistent(gain, rows, cols, func(of []int) []int {
		for i := range of {
			if of[i] < 0 {
				continue
			}
			for k := i + 1; k < rows; k++ {
				if of[k] < 0 || !(s.above(i, k) && t.above(of[k], of[i]) || s.above(k, i) && t.above(of[i], of[k])) {
					continue
				}
				var give []int
				for _, r := range [2]int{i, k} {
					if !fixed[r] {
						give = append(give, r)
					}
				}
				if len(give) > 0 {
					return give
				}
			}
		}
		return nil
	})
	return of, gain
}

// bar takes the joints of two chains out of the assignment.
func (m *Match) bar(gain []float64, a, b []int, fixed []bool) {
	rows, cols := len(m.S.Joints), len(m.T.Joints)
	if len(a) == 0 || len(b) == 0 {
		return
	}
	for _, i := range a {
		for j := range cols {
			if gain[i*cols+j] < pinned {
				gain[i*cols+j] = 0
			}
		}
	}
	for _, j := range b {
		for i := range rows {
			if gain[i*cols+j] < pinned {
				gain[i*cols+j] = 0
			}
		}
	}
}

// chain puts the joints of two trunks of equal length in order.
func (m *Match) chain(gain []float64, a, b []int, fixed []bool) {
	cols := len(m.T.Joints)
	for k, i := range a {
		if g := &gain[i*cols+b[k]]; !fixed[i] && *g < pinned {
			*g = max(*g, sameRole)
		}
	}
}

// pairs makes the table of an assignment.
func (m *Match) pairs(of []int, gain []float64, pins []Pin) {
	cols := len(m.T.Joints)
	for i, j := range of {
		if j < 0 {
			continue
		}
		p := Pair{Source: m.S.Joints[i], Target: m.T.Joints[j], Beside: rig.None, Role: m.T.f[j].role}
		if slices.ContainsFunc(pins, func(q Pin) bool { return q.Source == p.Source && q.Target == p.Target }) {
			continue // below
		}
		second := 0.0
		for k := range cols {
			if k != j {
				second = max(second, gain[i*cols+k])
			}
		}
		for k := range len(m.S.Joints) {
			if k != i {
				second = max(second, gain[k*cols+j])
			}
		}
		p.Confidence, p.Evidence = m.evidence(i, j, gain[i*cols+j], second)
		m.Pairs = append(m.Pairs, p)
	}
	for _, q := range pins {
		if q.Source < 0 || q.Target < 0 {
			continue
		}
		p := Pair{Source: q.Source, Target: q.Target, Beside: rig.None, Role: m.T.Role(q.Target), Confidence: 1, Evidence: "set by hand", Pinned: true}
		if q.Share > 0 {
			p.Beside, p.Share = q.Beside, q.Share
		}
		m.Pairs = append(m.Pairs, p)
	}
}

// Of answers the pair of a target node.
func (m *Match) Of(target rig.Node) (Pair, bool) {
	if i, ok := m.byTarget[target]; ok {
		return m.Pairs[i], true
	}
	return Pair{}, false
}

// Without answers the match with some target joints left without a pair, and why.
func (m *Match) Without(why string, targets ...rig.Node) *Match {
	out := *m
	out.Pairs = slices.DeleteFunc(slices.Clone(m.Pairs), func(p Pair) bool { return slices.Contains(targets, p.Target) })
	out.Source, out.Target, out.Remarks = nil, nil, nil
	out.finish()
	out.Remarks = m.Remarks
	for i := range out.Target {
		if slices.Contains(targets, out.Target[i].Node) {
			out.Target[i].Why = why
		}
	}
	return &out
}

// Apart tells that a person has set a target joint to have no pair.
func (m *Match) Apart(target rig.Node) bool {
	return slices.ContainsFunc(m.apart, func(p Pin) bool { return p.Source < 0 && p.Target == target })
}

// From answers the pair that a source node leads.
func (m *Match) From(source rig.Node) (Pair, bool) {
	if i, ok := m.bySource[source]; ok {
		return m.Pairs[i], true
	}
	return Pair{}, false
}

// finish sorts the table and lists what is left.
func (m *Match) finish() {
	slices.SortFunc(m.Pairs, func(a, b Pair) int { return m.T.place[a.Target] - m.T.place[b.Target] })
	m.bySource, m.byTarget = map[rig.Node]int{}, map[rig.Node]int{}
	for i, p := range m.Pairs {
		if _, ok := m.bySource[p.Source]; !ok {
			m.bySource[p.Source] = i
		}
		m.byTarget[p.Target] = i
	}
	for _, p := range m.Pairs {
		if p.Beside >= 0 {
			if _, ok := m.bySource[p.Beside]; !ok {
				m.bySource[p.Beside] = m.byTarget[p.Target]
			}
		}
	}
	for i, n := range m.S.Joints {
		if _, ok := m.bySource[n]; !ok {
			m.Source = append(m.Source, Left{n, m.why(m.S, m.T, i, true)})
		}
	}
	for j, n := range m.T.Joints {
		if _, ok := m.byTarget[n]; !ok {
			m.Target = append(m.Target, Left{n, m.why(m.T, m.S, j, false)})
		}
	}
	for _, k := range []*Skeleton{m.S, m.T} {
		if k.Roles.NotBiped {
			m.remark("%q is %s: no limb of it is told by a person's role; look at every pair", k.Rig.File.Name, k.Roles.Kind.Words())
		}
		if k.Turned {
			m.remark("%q: left and right by name stand on each other's side; the names were followed", k.Rig.File.Name)
		}
	}
}
