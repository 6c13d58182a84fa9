package anatomy

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// link is one joint of a limb: its word and its bone.
type link struct {
	word word
	bone string
}

var (
	legLinks = []link{{thighWord, "UpperLeg"}, {shankWord, "LowerLeg"}, {footWord, "Foot"}, {toesWord, "Toes"}}
	armLinks = []link{{girdleWord, "Shoulder"}, {upperArmWord, "UpperArm"}, {forearmWord, "LowerArm"}, {handWord, "Hand"}}
)

// limbs hands the roles of arms and legs out, from the trunk outwards.
func (f *finder) limbs() {
	for _, s := range []Side{Left, Right} {
		for _, chain := range [][]link{legLinks, armLinks} {
			last := rig.Node(rig.None)
			for _, l := range chain {
				role := sided(s, l.bone)
				if !f.has(role) {
					f.set(role, f.pick(l.word, s, last), NameAlone, "")
				}
				if n := f.node(role); n >= 0 {
					last = n
				}
			}
		}
	}
}

// pick is the best joint of a word and side: below the limb's last joint rather
// than elsewhere, with fewer unread words, and nearest to the trunk. Where several
// stand side by side (palms), the one in the middle of them.
func (f *finder) pick(w word, s Side, last rig.Node) rig.Node {
	best, score := rig.Node(rig.None), math.Inf(1)
	for _, n := range f.order {
		if f.word[n] != w || f.side[n] != s || f.out.Of[n].Role != "" {
			continue
		}
		x := float64(f.depth[n]) + 100*float64(f.read[n].unknown)
		if last >= 0 && !f.under(n, last) {
			x += 10000
		}
		if f.placed[n] {
			x += 1000
		}
		if x < score {
			best, score = n, x
		}
	}
	if best >= 0 && w == handWord {
		best = f.middleOf(best)
	}
	return best
}

// middleOf answers, of n and its siblings with the same word and side, the one
// nearest to their common middle.
func (f *finder) middleOf(n rig.Node) rig.Node {
	var like []rig.Node
	var sum [3]float64
	for _, m := range f.order {
		if f.word[m] == f.word[n] && f.side[m] == f.side[n] && f.r.Nodes[m].Parent == f.r.Nodes[n].Parent {
			like = append(like, m)
			for c := range sum {
				sum[c] += f.pos[m][c]
			}
		}
	}
	if len(like) < 3 {
		return n
	}
	best, score := n, math.Inf(1)
	for _, m := range like {
		d := 0.0
		for c := range sum {
			d += math.Abs(f.pos[m][c] - sum[c]/float64(len(like)))
		}
		if d < score {
			best, score = m, d
		}
	}
	return best
}

// fourLegs takes the limbs' roles back when the figure stands on all of them: the
// trunk lies across the legs instead of along them and the hands reach as far down
// as the feet. Both tests hold in any turn of the whole.
func (f *finder) fourLegs() {
	hips, top := f.node("hips"), f.node("neck")
	if top < 0 {
		top = f.node("head")
	}
	hand, foot, thigh := f.node("leftHand"), f.node("leftFoot"), f.node("leftUpperLeg")
	if foot < 0 {
		foot = f.deepest(thigh)
	}
	if hand < 0 {
		hand = f.deepest(f.node("leftUpperArm"))
	}
	if hips < 0 || top < 0 || hand < 0 || foot < 0 || thigh < 0 || foot == thigh {
		return
	}
	leg := f.pos[foot].Sub(f.pos[thigh])
	trunk := f.pos[top].Sub(f.pos[hips])
	if leg.Len() == 0 || trunk.Len() == 0 {
		return
	}
	if !onAllFours(leg, trunk, f.pos[hand].Sub(f.pos[thigh])) {
		return
	}
	f.out.NotBiped = true
	for _, role := range []string{"leftHand", "rightHand", "leftFoot", "rightFoot"} {
		if n := f.node(role); n >= 0 {
			f.out.FourFeet = append(f.out.FourFeet, n)
		}
	}
	for _, s := range []Side{Left, Right} {
		for _, l := range append(append([]link(nil), legLinks...), armLinks...) {
			if n := f.node(sided(s, l.bone)); n >= 0 && f.out.Of[n].Confidence < Declared {
				f.clear(sided(s, l.bone))
				f.out.Of[n].Evidence = "stands on four legs: no role of a biped"
			}
		}
	}
}

// deepest follows the longest chain below n.
func (f *finder) deepest(n rig.Node) rig.Node {
	best := n
	for _, m := range f.order {
		if n >= 0 && f.under(m, n) && f.word[m] != helperWord && f.word[m] != beastWord && f.depth[m] > f.depth[best] {
			best = m
		}
	}
	return best
}

// onAllFours tells by the ways from thigh to foot, from hips to neck and from thigh to hand that
// the trunk lies across the legs, by less than 130° from their way down (180° in a standing person),
// and the hands reach at least three quarters as far down as the feet (common practice, no source).
func onAllFours(leg, trunk, hand space.Vec) bool {
	down := leg.Normalize()
	return down.Dot(trunk.Normalize()) >= math.Cos(130*math.Pi/180) && hand.Dot(down) >= 0.75*leg.Len()
}
