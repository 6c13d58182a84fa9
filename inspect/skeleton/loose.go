package skeleton

import (
	"context"
	"fmt"
	"math"
	"slices"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/rig"
)

// Loose is a chain that does not hang where it should.
type Loose struct {
	Root     rig.Node `json:"root"`       // its topmost joint
	Joints   int      `json:"joints"`     // with all below it
	HangOn   rig.Node `json:"hang_on"`    // the joint to hang it on; −1: none is there
	Distance *float64 `json:"distance_m"` // from Root to the bone of HangOn
	Why      string   `json:"why"`        // why that one
	OwnKeys  bool     `json:"own_keys"`   // a clip moves Root itself
	Role     bool     `json:"role"`       // it hangs in the skeleton, but not where its role does
	Carried  bool     `json:"carried"`    // some surface follows it
}

// mostHung chains look for the nearest bone; each looks at every joint.
const mostHung = 1000

// measureLoose finds the joints that the figure's root does not carry, and those
// that hang elsewhere than their role must.
func (f *Facts) measureLoose(context.Context) error {
	f.Loose = []Loose{}
	if len(f.Joints) == 0 {
		return nil
	}
	top := f.rootOf()
	count, carries := make(map[rig.Node]int, len(f.Roots)), make(map[rig.Node]bool, len(f.Roots))
	for i := range f.Joints {
		t := top[f.Joints[i].Node]
		count[t]++
		if f.matters(f.Joints[i].Node) {
			carries[t] = true
		}
	}
	main := f.mainRoot(top, count)
	keyed := f.keyed()
	for _, r := range f.Roots {
		if r == main || !carries[r] {
			continue
		}
		l := Loose{Root: r, Joints: count[r], OwnKeys: keyed[r], Carried: true}
		f.hang(&l, func(n rig.Node) bool { return top[n] != r })
		f.Loose = append(f.Loose, l)
	}
	f.looseRoles(top, main, keyed)
	return nil
}

// rootOf answers for every joint the topmost joint above it, itself at a root.
func (f *Facts) rootOf() map[rig.Node]rig.Node {
	top := make(map[rig.Node]rig.Node, len(f.Joints))
	for i := range f.Joints {
		n := f.Joints[i].Node
		if _, ok := top[n]; ok {
			continue
		}
		t := n
		path := []rig.Node{n}
		for p := f.jointParent(n); p >= 0; p = f.jointParent(p) {
			if known, ok := top[p]; ok {
				t = known
				break
			}
			t = p
			path = append(path, p)
		}
		for _, x := range path {
			top[x] = t
		}
	}
	return top
}

// mainRoot is the root of the figure: the one above the hips; without hips the one
// with most joints; among equals the one that has the role nearest to the trunk, then
// the one that carries most.
func (f *Facts) mainRoot(top map[rig.Node]rig.Node, count map[rig.Node]int) rig.Node {
	if h := f.roles.Node("hips"); f.at(h) != nil {
		return top[h]
	}
	rank := map[rig.Node]int{}
	for i, role := range anatomy.AllRoles() {
		if n := f.roles.Node(role); f.at(n) != nil {
			if _, ok := rank[top[n]]; !ok {
				rank[top[n]] = i + 1
			}
		}
	}
	// Of a hand alone the wrist is the root, though thumb and fingers stand first.
	for _, role := range []string{"rightHand", "leftHand"} {
		if n := f.roles.Node(role); f.at(n) != nil && f.jointParent(n) < 0 {
			rank[n] = -1
		}
	}
	best := f.Roots[0]
	for _, r := range f.Roots[1:] {
		a, b := rank[r], rank[best]
		if a == 0 {
			a = math.MaxInt
		}
		if b == 0 {
			b = math.MaxInt
		}
		switch {
		case count[r] != count[best]:
			if count[r] > count[best] {
				best = r
			}
		case a != b:
			if a < b {
				best = r
			}
		case f.at(r).Influence > f.at(best).Influence:
			best = r
		}
	}
	return best
}

// keyed tells which nodes a clip moves or turns.
func (f *Facts) keyed() []bool {
	out := make([]bool, len(f.e.Rig.Nodes))
	for c := range f.e.Rig.Clips {
		for i := range f.e.Rig.Clips[c].Channels {
			if ch := &f.e.Rig.Clips[c].Channels[i]; ch.Node >= 0 && ch.Path != rig.Weights {
				out[ch.Node] = true
			}
		}
	}
	return out
}

// hang finds the joint to hang a chain on, among those that may: by its role when the
// rig has the joint its role hangs on; as its partner hangs; else the one whose bone
// is nearest.
func (f *Facts) hang(l *Loose, may func(rig.Node) bool) {
	l.HangOn = rig.None
	root := f.at(l.Root)
	if root.Role != nil {
		if up := f.roles.ParentRole(*root.Role); up != "" {
			if n := f.roles.Node(up); f.at(n) != nil && n != l.Root && !f.isBelow(n, l.Root) {
				l.HangOn = n
				l.Distance = f.toBone(root, f.at(n))
				l.Why = fmt.Sprintf("its role is %s, which hangs on %s", *root.Role, up)
				return
			}
		}
	}
	if p := f.roles.Of[l.Root].Partner; f.at(p) != nil {
		up := f.jointParent(p)
		if f.at(up) != nil && f.roles.Of[up].Partner >= 0 {
			up = f.roles.Of[up].Partner
		}
		if f.at(up) != nil && up != l.Root && !f.isBelow(up, l.Root) {
			l.HangOn, l.Distance = up, f.toBone(root, f.at(up))
			l.Why = fmt.Sprintf("its partner %s hangs there, on its own side", f.name(p))
			return
		}
	}
	if len(f.Loose) > mostHung {
		l.Why = "there are too many to compare"
		return
	}
	best, score := rig.Node(rig.None), math.Inf(1)
	for i := range f.Joints {
		j := &f.Joints[i]
		if !may(j.Node) || !f.matters(j.Node) || j.Node == l.Root {
			continue
		}
		if d := f.toBone(root, j); d != nil && *d < score {
			best, score = j.Node, *d
		}
	}
	if best < 0 {
		l.Why = "no other joint is there"
		return
	}
	l.HangOn, l.Distance = best, &score
	l.Why = "its bone is the nearest"
	if s := f.roles.Of[best].Side; s == f.roles.Of[l.Root].Side && (s == anatomy.Left || s == anatomy.Right) {
		l.Why += ", on the same side"
	}
}

// toBone is how far a joint stands from the bone of another, nil when it cannot be
// told.
func (f *Facts) toBone(j, of *Joint) *float64 {
	if of == nil || !j.hasRealSpot || !of.hasRealSpot {
		return nil
	}
	end := of.Position
	if t := f.at(of.Towards); t != nil && t.hasRealSpot {
		end = t.Position
	}
	return number(segmentDistance(j.Position, of.Position, end))
}

// looseRoles lists joints of a body that hang in the skeleton, but under a joint that
// is no part of the limb or trunk their role hangs on: feet on the root, say.
func (f *Facts) looseRoles(top map[rig.Node]rig.Node, main rig.Node, keyed []bool) {
	if !f.Figure {
		return
	}
	for _, role := range anatomy.AllRoles() {
		n := f.roles.Node(role)
		up := f.roles.Node(f.roles.ParentRole(role))
		if f.at(n) == nil || f.at(up) == nil || top[n] != main || top[up] != main || f.isBelow(n, up) || f.isBelow(up, n) {
			continue
		}
		if f.jointParent(n) < 0 || slices.ContainsFunc(anatomy.ParentsOf(role), func(p string) bool {
			return f.at(f.roles.Node(p)) != nil && f.isBelow(n, f.roles.Node(p))
		}) {
			continue // fingers may hang on a part of the palm that hangs on the forearm
		}
		l := Loose{Root: n, Joints: 1, OwnKeys: keyed[n], Role: true, Carried: f.at(n).Influence > 0}
		for i := range f.Joints {
			if f.isBelow(f.Joints[i].Node, n) {
				l.Joints++
			}
		}
		f.hang(&l, func(rig.Node) bool { return true })
		f.Loose = append(f.Loose, l)
	}
}
