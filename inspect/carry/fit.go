package carry

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
)

// fewPairs is the share of its joints that has to be matched in one of two skeletons,
// or the two have too little in common (common practice, no source).
const fewPairs = 1.0 / 3

// fit answers the part of a match that is sure, with what it leaves out in words; or
// why nothing can be carried by it, and what to set by hand. What a person has set by
// hand stands: only what was found is doubted.
func fit(m *match.Match) (*match.Match, []string, error) {
	s, t := m.S.Rig.File.Name, m.T.Rig.File.Name
	byHand := 0
	for _, p := range m.Pairs {
		if p.Pinned {
			byHand++
		}
	}
	if 2*byHand >= len(m.Pairs) {
		return m, nil, nil
	}
	hips := m.T.Bone("hips")
	if own := m.S.Bone("hips"); hips >= 0 && own >= 0 {
		if _, ok := m.Of(hips); !ok && !m.Apart(hips) {
			return nil, nil, fmt.Errorf("the hips of %q (%s) have no partner in %q: without them nothing tells where the body goes; set by hand what moves them, %s perhaps, or set them to have no pair", t, called(m.T, hips), s, called(m.S, own))
		}
	}
	if why := otherKind(m.S, m.T); why != "" {
		return nil, nil, errors.New(why)
	}
	if of, in := matched(m, m.T, false), matched(m, m.S, true); of.share() < fewPairs && in.share() < fewPairs {
		return nil, nil, fmt.Errorf("%q and %q have too little in common: %d of %d joints of the one move %d of %d joints of the other; set more pairs by hand, from %s on", s, t, in.paired, in.all, of.paired, of.all, wanted(m))
	}
	if why := noPart(m); why != "" {
		return nil, nil, errors.New(why)
	}
	var out []rig.Node
	var said []string
	for _, limb := range limbs {
		root := m.T.Bone(limb[0])
		if root < 0 {
			continue
		}
		if _, ok := m.Of(root); ok {
			continue
		}
		var below []rig.Node
		for _, role := range limb[1:] {
			if n := m.T.Bone(role); n >= 0 && m.T.Above(root, n) {
				if p, ok := m.Of(n); ok && !p.Pinned {
					below = append(below, n)
				}
			}
		}
		if len(below) == 0 {
			continue
		}
		for _, p := range m.Pairs { // fingers and what else hangs there
			if !p.Pinned && m.T.Above(below[0], p.Target) && !slices.Contains(below, p.Target) {
				below = append(below, p.Target)
			}
		}
		out = append(out, below...)
		said = append(said, fmt.Sprintf("the %s (%s) has no partner: what hangs on it stays as it is; set its partner by hand to move the limb", anatomy.RoleWords(limb[0]), called(m.T, root)))
	}
	if len(out) > 0 {
		m = m.Without("the limb that it belongs to has no partner above it", out...)
	}
	return m, said, nil
}

// sureKind is the certainty from which a kind alone is enough to refuse: below it a kind
// is told by shape alone, and what has too few pairs is refused all the same (anatomy
// gives .6 to a kind by shape alone, .8 and more to the others).
const sureKind = 0.75

// otherKind says why no limb of one figure moves like a limb of the other, "" where the
// two are of one kind, or nothing tells the kind of one.
func otherKind(s, t *match.Skeleton) string {
	a, b := s.Roles.Kind, t.Roles.Kind
	beast := func(k *match.Skeleton) bool { return k.Roles.Kind.IsBeast() && k.Roles.Certainty >= sureKind }
	if a == b || a == anatomy.NoKind || b == anatomy.NoKind || !beast(s) && !beast(t) {
		return ""
	}
	return fmt.Sprintf("%q is %s and %q is %s: no limb of the one moves like a limb of the other; set the pairs by hand, or take a clip of the same kind of figure",
		s.Rig.File.Name, a.Words(), t.Rig.File.Name, b.Words())
}

// noPart says why a figure and a thing of no kind have nothing to carry: no joint beyond the
// hips is known to be the same part of a body in both, so that names and places alone have
// paired them (a leg with a wheel). "" where one is.
func noPart(m *match.Match) string {
	a, b := m.S.Roles.Kind, m.T.Roles.Kind
	if (a == anatomy.NoKind) == (b == anatomy.NoKind) {
		return ""
	}
	for _, p := range m.Pairs {
		if role := m.T.Role(p.Target); p.Pinned || role != "" && role != "hips" && m.S.Role(p.Source) != "" {
			return ""
		}
	}
	return fmt.Sprintf("%q is %s and %q is %s: of no joint is it known that it is the same part of a body in both; set the pairs by hand",
		m.S.Rig.File.Name, kindWords(a), m.T.Rig.File.Name, kindWords(b))
}

func kindWords(k anatomy.Kind) string {
	if k == anatomy.NoKind {
		return "of no kind that is known"
	}
	return k.Words()
}

// limbs, from where they leave the trunk.
var limbs = [][]string{
	{"leftUpperLeg", "leftLowerLeg", "leftFoot", "leftToes"}, {"rightUpperLeg", "rightLowerLeg", "rightFoot", "rightToes"},
	{"leftUpperArm", "leftLowerArm", "leftHand"}, {"rightUpperArm", "rightLowerArm", "rightHand"},
}

// count is how many joints there are and how many have a partner.
type count struct{ paired, all int }

func (c count) share() float64 {
	if c.all == 0 {
		return 0
	}
	return float64(c.paired) / float64(c.all)
}

// matched counts the joints of a skeleton that hold something.
func matched(m *match.Match, k *match.Skeleton, source bool) (c count) {
	for _, n := range k.Joints {
		if holds, helper := k.Holds(n); !holds || helper {
			continue
		}
		c.all++
		_, ok := m.Of(n)
		if source {
			_, ok = m.From(n)
		}
		if ok {
			c.paired++
		}
	}
	return c
}

// wanted names the first joints of the target that have no partner.
func wanted(m *match.Match) string {
	var names []string
	for _, l := range m.Target {
		if holds, helper := m.T.Holds(l.Node); holds && !helper && len(names) < 3 {
			names = append(names, called(m.T, l.Node))
		}
	}
	if len(names) == 0 {
		return "the top"
	}
	return strings.Join(names, ", ")
}

func called(s *match.Skeleton, n rig.Node) string {
	if name := s.Name(n); name != "" {
		return fmt.Sprintf("%q", name)
	}
	return fmt.Sprintf("node %d", n)
}
