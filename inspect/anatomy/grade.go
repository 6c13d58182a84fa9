package anatomy

import (
	"fmt"
	"slices"
	"strings"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// meant is the word a role's joint bears.
func meant(role string) word {
	bare := strings.TrimPrefix(strings.TrimPrefix(role, "left"), "right")
	switch bare {
	case "hips":
		return hipsWord
	case "spine", "chest", "upperChest":
		return trunkWord
	case "neck":
		return neckWord
	case "head":
		return headWord
	case "jaw":
		return jawWord
	case "Eye":
		return eyeWord
	}
	for _, l := range slices.Concat(legLinks, armLinks) {
		if l.bone == bare {
			return l.word
		}
	}
	for i, d := range fingers {
		if strings.HasPrefix(bare, d) {
			return digitWords[i]
		}
	}
	return nothing
}

// grade weighs each role by what speaks for it and says so.
func (f *finder) grade() {
	f.lateralOfRoles()
	for _, role := range allRoles() {
		n := f.node(role)
		if n < 0 || f.out.Of[n].Confidence == Declared {
			continue
		}
		named, hangs, stands := f.word[n] == meant(role), f.hangs(role, n), f.stands(role, n)
		p := &f.out.Of[n]
		var why []string
		if named {
			why = append(why, fmt.Sprintf("the name says %q", f.read[n].said))
		} else {
			why = append(why, "the name does not say")
		}
		if hangs {
			if up := f.roleAbove(n); up != "" {
				why = append(why, "hangs on "+up)
			} else {
				why = append(why, "carries legs and trunk")
			}
		} else {
			why = append(why, "hangs elsewhere than a body's does")
		}
		if stands {
			why = append(why, "stands in its place")
		}
		p.Evidence = strings.Join(why, "; ")
		switch {
		case named && hangs && stands:
			p.Confidence = AllThree
		case named && hangs:
			p.Confidence = TwoOfThree
		case hangs && stands:
			p.Confidence = Unnamed
		case named && f.read[n].unknown == 0:
			p.Confidence = NameAlone
		default:
			p.Confidence = NameLoosely
		}
	}
	f.sides()
}

// sides fills in the side of every candidate, and why it has no role.
func (f *finder) sides() {
	for n := range f.out.Of {
		p := &f.out.Of[n]
		p.Named = f.read[n].side
		p.Helper = f.word[n] == helperWord || f.word[n] == endWord
		switch {
		case p.Role != "":
			if p.Side = f.side[n]; p.Side == NoSide || p.Side == Centre {
				p.Side = sideOf(p.Role)
			}
		case f.cand[n]:
			p.Side = f.side[n]
			if p.Evidence == "" {
				p.Evidence = f.whyNone(rig.Node(n))
			}
		}
	}
}

func (f *finder) whyNone(n rig.Node) string {
	r := &f.read[n]
	switch f.word[n] {
	case helperWord:
		return fmt.Sprintf("a helper: the name says %q", r.said)
	case endWord:
		return fmt.Sprintf("an end: the name says %q", r.said)
	case beastWord:
		return fmt.Sprintf("no part of the human plan: the name says %q", r.said)
	case rootWord:
		return fmt.Sprintf("stands for the whole: the name says %q", r.said)
	case nothing:
		return ""
	case thumbWord, indexWord, middleWord, ringWord, littleWord:
		if r.phase == 0 {
			return fmt.Sprintf("lies in the palm, where no role has its place: the name says %q", r.said)
		}
	}
	return fmt.Sprintf("the name says %q, but that place is taken or it hangs elsewhere", r.said)
}

// roleAbove is the role of the nearest joint above n that has one.
func (f *finder) roleAbove(n rig.Node) string {
	p := f.above(n, func(p rig.Node) bool { return f.out.Of[p].Role != "" })
	if p < 0 {
		return ""
	}
	return f.out.Of[p].Role
}

// hangs tells whether a joint hangs where its role must: its nearest ancestor with
// a role is one that may stand above it; hips carry both legs and the spine.
func (f *finder) hangs(role string, n rig.Node) bool {
	if role == "hips" {
		if f.out.NotBiped {
			return true // the legs were told by it
		}
		l, r := f.node("leftUpperLeg"), f.node("rightUpperLeg")
		up := f.upper()
		return l >= 0 && r >= 0 && up >= 0 && f.under(l, n) && f.under(r, n) && f.under(up, n)
	}
	above := f.roleAbove(n)
	for _, want := range parentsOf(role) {
		if above == want {
			return true
		}
		if f.has(want) {
			return false // it should hang on this one and does not
		}
	}
	// A rig of a hand, a head or a trunk alone begins somewhere.
	return above == "" && len(parentsOf(role)) > 0 && !f.has("hips") && f.carries(n)
}

// carries tells that some other role hangs below n.
func (f *finder) carries(n rig.Node) bool {
	for _, m := range f.out.Bone {
		if f.under(m, n) {
			return true
		}
	}
	return false
}

// stands tells whether a joint stands where its role must: sided ones on their
// side, centre ones near the mid plane, legs below the hips and the trunk above.
func (f *finder) stands(role string, n rig.Node) bool {
	if f.lateral.Len() == 0 {
		return false
	}
	across := f.acrossOf(n)
	switch sideOf(role) {
	case Left:
		if across <= 0 {
			return false
		}
	case Right:
		if across >= 0 {
			return false
		}
	default:
		if across > 0.06*f.extent || across < -0.06*f.extent {
			return false
		}
	}
	u, hips := f.out.up(), f.node("hips")
	if hips < 0 || u.Len() == 0 || n == hips {
		return true
	}
	high := f.pos[n].Sub(f.pos[hips]).Dot(u)
	switch meant(role) {
	case thighWord:
		return high < 0.1*f.extent
	case shankWord, footWord, toesWord:
		return high < 0
	case trunkWord, neckWord, headWord, jawWord, eyeWord:
		return high > 0
	}
	return true
}

// lateralOfRoles reads the direction to the left off the pairs of roles, when the
// names gave none.
func (f *finder) lateralOfRoles() {
	if f.lateral.Len() > 0 {
		return
	}
	var sum, mid [3]float64
	pairs := 0.0
	for _, role := range allRoles() {
		l, r := f.node(role), f.node(mirrored(role))
		if sideOf(role) != Left || l < 0 || r < 0 {
			continue
		}
		for c := range sum {
			sum[c] += f.pos[l][c] - f.pos[r][c]
			mid[c] += f.pos[l][c] + f.pos[r][c]
		}
		pairs++
	}
	if pairs == 0 {
		return
	}
	if v := space.Direction(sum); v.Len() > 0 {
		f.lateral = v
		for c := range mid {
			f.centre[c] = mid[c] / 2 / pairs
		}
	}
}
