package match

import (
	"fmt"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// How sure a pair is that no role tells (common practice, no source).
const (
	barePass    = 0.3  // that only just came about
	perGain     = 0.12 // more for each point of the score
	mostByPlace = 0.75 // short of what a role tells, TwoOfThree
	contested   = 0.6  // of it is left where another came as near; half as near takes nothing
	leastSure   = 0.1  // it came about all the same
	nameAdds    = 0.05 // the same name, with a role or without
	mostSure    = 0.99 // short of a person's word
)

// evidence says in words why a pair came about, and how sure it is.
func (m *Match) evidence(i, j int, gain, second float64) (confidence float64, text string) {
	a, b := &m.S.f[i], &m.T.f[j]
	role := a.role
	if m.Mirrored {
		role = anatomy.Mirrored(role)
	}
	var why []string
	switch {
	case role != "" && role == b.role:
		text := "both are the " + anatomy.RoleWords(b.role)
		if a.byShape || b.byShape {
			text += ", told by shape"
		}
		why = append(why, text)
		confidence = min(a.sure, b.sure)
	case gain > 0:
		// Between a bare pass and a plain case; less when another came near.
		confidence = min(mostByPlace, barePass+perGain*gain)
		if second > 0 {
			confidence *= contested + (1-contested)*min(1, (gain-second)/max(gain, 1e-9)+0.5)
		}
		confidence = max(leastSure, confidence)
	}
	if x, y := m.S.Name(m.S.Joints[i]), m.T.Name(m.T.Joints[j]); x != "" && x == y {
		why = append(why, "the same name")
		confidence = min(mostSure, confidence+nameAdds)
	} else if names(m.S, m.T, i, j) > 0.5*likeName {
		why = append(why, "like names")
	}
	if p, q := m.S.Parent[i], m.T.Parent[j]; p >= 0 && q >= 0 {
		if x := m.T.f[q].role; x != "" && (x == m.S.f[p].role || m.Mirrored && x == anatomy.Mirrored(m.S.f[p].role)) {
			why = append(why, "both hang on the "+anatomy.RoleWords(x))
		}
	}
	likeness := alike(m.S, m.T, i, j, m.Mirrored)
	why = append(why, "place and reach are alike to "+say.Sure(likeness))
	return confidence, strings.Join(why, "; ")
}

// why says for one joint of k why it has no pair in the other skeleton.
func (m *Match) why(k, other *Skeleton, i int, source bool) string {
	f := &k.f[i]
	who := "target"
	if !source {
		who = "source"
	}
	role := f.role
	if m.Mirrored {
		role = anatomy.Mirrored(role)
	}
	for _, p := range m.apart {
		if n := k.Joints[i]; source && p.Source == n || !source && p.Target == n {
			return "set by hand: no pair"
		}
	}
	switch {
	case role != "" && other.Bone(role) < 0:
		return fmt.Sprintf("the %s, which the %s does not have", anatomy.RoleWords(f.role), who)
	case role != "":
		return fmt.Sprintf("the %s; the %s's joint of that part went to another, or is set by hand to have none", anatomy.RoleWords(f.role), who)
	case f.into == (space.Vec{}) && k.Parent[i] >= 0 && len(k.kids[i]) > 0:
		return fmt.Sprintf("stands in the place of %s and passes its turn on; the %s has no such joint", k.called(k.Joints[k.Parent[i]]), who)
	case f.helper && len(k.kids[i]) == 0:
		return "an end or a helper by its name"
	case f.helper:
		return "a helper by its name"
	case f.idle:
		return "nothing hangs on it: no surface, no key"
	case k.Parent[i] < 0 || !anyAbove(k, i, func(p int) bool { return k.f[p].role != "" }):
		return "stands above the body and only carries it"
	}
	up := i
	for up >= 0 && k.f[up].role == "" {
		up = k.Parent[up]
	}
	return fmt.Sprintf("hangs on the %s; nothing on the %s's looks like it", anatomy.RoleWords(k.f[up].role), who)
}

func anyAbove(k *Skeleton, i int, ok func(int) bool) bool {
	for p := k.Parent[i]; p >= 0; p = k.Parent[p] {
		if ok(p) {
			return true
		}
	}
	return false
}
