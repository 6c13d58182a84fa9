package skeleton

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Loose is a chain that does not hang where it should.
type Loose struct {
	Root     rig.Node `json:"root"`       // its topmost joint
	Joints   int      `json:"joints"`     // with all below it
	HangOn   rig.Node `json:"hang_on"`    // the joint to hang it on; −1: none is there
	Distance *float64 `json:"distance_m"` // from Root to the bone of HangOn
	Why      string   `json:"why"`        // why that one
	OwnKeys  bool     `json:"own_keys"`   // every clip places Root by keys of its own
	Role     bool     `json:"role"`       // it hangs in the skeleton, but not where its role does, or where its surface goes on
	Across   bool     `json:"across"`     // it hangs on another limb, or the other side's
	Carried  bool     `json:"carried"`    // some surface follows it
	HangsOn  rig.Node `json:"hangs_on"`   // the joint it hangs on now; −1: none
	Copy     int      `json:"copied"`     // so many of its joints stand where joints of the main skeleton do, where these are nearly all; else 0
}

// mostBetween joints are tried between two others; a body with hands has some hundred.
const mostBetween = 5000

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
	f.measureBetween()
	for _, r := range f.Roots {
		if r == main || !carries[r] {
			continue
		}
		l := Loose{Root: r, Joints: count[r], OwnKeys: keyed[r], Carried: true, HangsOn: rig.None}
		if l.Copy = f.copied(r, main, top); l.Copy > 0 {
			l.HangOn, l.Why = rig.None, "it is the skeleton once more"
		} else {
			f.hang(&l, func(n rig.Node) bool { return top[n] != r })
		}
		f.Loose = append(f.Loose, l)
	}
	f.looseRoles(top, main, keyed)
	f.looseByContact(keyed)
	f.Loose = slices.DeleteFunc(f.Loose, f.followsLoose(f.Loose))
	return nil
}

// A skeleton of at least so many joints is a copy of the main one where this share of them
// stand where joints of that do, to a share of the diagonal (common practice, no source).
const (
	leastCopied = 6
	copiedShare = 0.8
	copiedNear  = 1e-3
)

// copied counts the joints below a root that stand where the main skeleton's do; 0 where it is
// no copy.
func (f *Facts) copied(r, main rig.Node, top map[rig.Node]rig.Node) (n int) {
	var places []float32
	var own []space.Vec
	for i := range f.Joints {
		j := &f.Joints[i]
		if !j.Placed {
			continue
		}
		at := space.Vec(j.Position)
		switch top[j.Node] {
		case main:
			places = append(places, float32(at[0]), float32(at[1]), float32(at[2]))
		case r:
			own = append(own, at)
		}
	}
	if len(own) < leastCopied || len(places) == 0 {
		return 0
	}
	tree := geom.NewTree(places)
	limit := copiedNear * f.Diagonal
	for _, at := range own {
		if _, d := tree.Nearest(float32(at[0]), float32(at[1]), float32(at[2]), float32(limit*limit)); d < float32(limit*limit) {
			n++
		}
	}
	if float64(n) < copiedShare*float64(len(own)) {
		return 0
	}
	return n
}

// followsLoose answers which of a list stand where they should as soon as another of it is
// hung on its place: a finger below a palm that hangs on the chest.
func (f *Facts) followsLoose(list []Loose) func(Loose) bool {
	list = slices.Clone(list)
	return func(l Loose) bool {
		role := f.role(l.Root)
		if !l.Role || role == "" {
			return false
		}
		above := append([]string{f.roles.ParentRole(role)}, anatomy.ParentsOf(role)...)
		return slices.ContainsFunc(list, func(k Loose) bool {
			return k.Root != l.Root && k.HangOn >= 0 && f.isBelow(l.Root, k.Root) && slices.ContainsFunc(above, func(p string) bool {
				n := f.roles.Node(p)
				return f.at(n) != nil && (k.HangOn == n || f.isBelow(k.HangOn, n))
			})
		})
	}
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

// keyed tells which nodes every clip places by keys of translation: a turn alone does
// not carry a joint along with a limb that it does not hang on. Without clips none is.
func (f *Facts) keyed() []bool {
	out, in := make([]bool, len(f.e.Rig.Nodes)), make([]int, len(f.e.Rig.Nodes))
	for c := range f.e.Rig.Clips {
		for i := range f.e.Rig.Clips[c].Channels {
			ch := &f.e.Rig.Clips[c].Channels[i]
			if ch.Node >= 0 && ch.Path == rig.Translation && len(ch.Times) > 0 && in[ch.Node] == c {
				in[ch.Node]++
			}
		}
	}
	for n := range out {
		out[n] = in[n] > 0 && in[n] == len(f.e.Rig.Clips)
	}
	return out
}

// hang finds the joint to hang a chain on, among those that may: as its partner hangs
// when that hangs where its role does; by its role, or on a joint that stands between
// the two (a phalanx on its metacarpal, which has no role); as its partner hangs
// otherwise; else the one whose bone is nearest.
func (f *Facts) hang(l *Loose, may func(rig.Node) bool) {
	l.HangOn = rig.None
	root := f.at(l.Root)
	if root.Role != nil {
		if up := f.roles.ParentRole(*root.Role); up != "" {
			if n := f.roles.Node(up); f.at(n) != nil && n != l.Root && !f.isBelow(n, l.Root) {
				l.HangOn, l.Why = n, fmt.Sprintf("it is the %s, which hangs on the %s", words(*root.Role), words(up))
				if p := f.asPartner(l); p >= 0 && (p == n || f.isBelow(p, n)) {
					l.HangOn, l.Why = p, fmt.Sprintf("its partner %s hangs there, on its own side", f.name(f.roles.Of[l.Root].Partner))
				} else if p, ok := f.between[l.Root]; ok {
					l.HangOn, l.Why = p, fmt.Sprintf("it stands between %s and %s", f.name(n), f.name(l.Root))
				}
				l.Distance = f.toBone(root, f.at(l.HangOn))
				return
			}
		}
	}
	if up := f.asPartner(l); up >= 0 {
		l.HangOn, l.Distance = up, f.toBone(root, f.at(up))
		l.Why = fmt.Sprintf("its partner %s hangs there, on its own side", f.name(f.roles.Of[l.Root].Partner))
		return
	}
	if over, ok := f.betweens[l.Root]; ok && !f.isBelow(over[0], l.Root) {
		l.HangOn, l.Distance = over[0], f.toBone(root, f.at(over[0]))
		l.Why = fmt.Sprintf("it stands between %s and %s", f.name(over[0]), f.name(over[1]))
		return
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
		if d := f.toBone(root, j); d != nil && *d < score && !f.leadsTo(j.Node, l.Root) {
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

// asPartner is the image of the joint that the partner of a chain's root hangs on; None
// where there is none, or none that the chain may hang on.
func (f *Facts) asPartner(l *Loose) rig.Node {
	p := f.roles.Of[l.Root].Partner
	if f.at(p) == nil {
		return rig.None
	}
	up := f.jointParent(p)
	if f.at(up) != nil && f.roles.Of[up].Partner >= 0 {
		up = f.roles.Of[up].Partner
	}
	if f.at(up) == nil || up == l.Root || f.isBelow(up, l.Root) {
		return rig.None
	}
	return up
}

// looseRoles lists joints of a body that hang in the skeleton, but under a joint that
// is no part of the limb or trunk their role hangs on: feet on the root, a head on the
// hips, a forearm on the other arm.
func (f *Facts) looseRoles(top map[rig.Node]rig.Node, main rig.Node, keyed []bool) {
	if !f.Figure {
		return
	}
	for _, role := range anatomy.AllRoles() {
		n := f.roles.Node(role)
		up := f.roles.Node(f.roles.ParentRole(role))
		if f.at(n) == nil || f.at(up) == nil || top[n] != main || top[up] != main || f.isBelow(up, n) {
			continue
		}
		across := f.crosses(n)
		across = across || f.astrayLimb(n, role)
		if !across && (f.isBelow(n, up) || f.hangsWell(n, role)) || f.jointParent(n) < 0 {
			continue
		}
		l := Loose{Root: n, Joints: 1, OwnKeys: keyed[n], Role: true, Across: across, Carried: f.at(n).Influence > 0, HangsOn: f.jointParent(n)}
		for i := range f.Joints {
			if f.isBelow(f.Joints[i].Node, n) {
				l.Joints++
			}
		}
		f.hang(&l, func(rig.Node) bool { return true })
		f.Loose = append(f.Loose, l)
	}
}

// hangsWell tells that a joint hangs on another part of its own limb or trunk than the
// one its role names. Fingers may hang on a part of the palm that hangs on the forearm,
// arms and head anywhere on the trunk above the hips.
func (f *Facts) hangsWell(n rig.Node, role string) bool {
	trunk := slices.ContainsFunc(anatomy.ParentsOf(role), func(p string) bool { return p != "hips" && f.at(f.roles.Node(p)) != nil })
	return slices.ContainsFunc(anatomy.ParentsOf(role), func(p string) bool {
		return (p != "hips" || !trunk) && f.at(f.roles.Node(p)) != nil && f.isBelow(n, f.roles.Node(p))
	})
}

// astrayLimb tells that the nearest joint above with a role is of an arm, a leg or the head
// that the role's own way to the trunk does not pass: a head on a forearm, a thigh on a
// hand, an arm on the head. All hang below the trunk in the end.
func (f *Facts) astrayLimb(n rig.Node, role string) bool {
	up := f.jointParent(n)
	for left := len(f.Joints); up >= 0 && left > 0 && f.role(up) == ""; left-- {
		up = f.jointParent(up)
	}
	if up < 0 {
		return false
	}
	limb := strings.TrimPrefix(strings.TrimPrefix(f.role(up), "left"), "right")
	switch limb {
	case "UpperArm", "LowerArm", "Hand", "UpperLeg", "LowerLeg", "Foot", "head":
	default:
		return false
	}
	for way := []string{role}; len(way) > 0; way = way[1:] {
		above := anatomy.ParentsOf(way[0])
		if slices.Contains(above, f.role(up)) {
			return false
		}
		if len(above) > 0 {
			way = append(way, above[0])
		}
	}
	return true
}

// crosses tells that the nearest joint above with a side is of the other side.
func (f *Facts) crosses(n rig.Node) bool {
	own := f.roles.Of[n].Side
	if own != anatomy.Left && own != anatomy.Right {
		return false
	}
	for up, left := f.jointParent(n), len(f.Joints); up >= 0 && left > 0; up, left = f.jointParent(up), left-1 {
		if s := f.roles.Of[up].Side; s == anatomy.Left || s == anatomy.Right {
			return s != own && f.role(up) != ""
		}
		if f.role(up) != "" {
			return false
		}
	}
	return false
}
