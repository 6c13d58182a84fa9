package anatomy

import (
	"math"
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

var digitWords = [...]word{thumbWord, indexWord, middleWord, ringWord, littleWord}

// hands hands out the joints of the digits. Index, middle, ring and the rest are
// words of many meanings: they count only with a hand above or beside them.
func (f *finder) hands() {
	f.tellHand()
	for _, s := range []Side{Left, Right} {
		for d, w := range digitWords {
			var joints []rig.Node
			for _, n := range f.order {
				if f.word[n] == w && f.side[n] == s && f.out.Of[n].Role == "" && f.isDigit(n) {
					joints = append(joints, n)
				}
			}
			f.digit(s, fingers[d], joints)
		}
	}
}

func (f *finder) isDigit(n rig.Node) bool {
	if f.above(n, func(p rig.Node) bool { return f.word[p] == handWord || f.word[p] == forearmWord }) >= 0 {
		return true
	}
	for _, m := range f.order {
		if f.word[m] == handWord && f.r.Nodes[m].Parent == f.r.Nodes[n].Parent {
			return true
		}
	}
	return false
}

// digit sorts the joints of one digit from the hand outwards and names them.
func (f *finder) digit(s Side, name string, joints []rig.Node) {
	if len(joints) == 0 {
		return
	}
	slices.SortStableFunc(joints, func(a, b rig.Node) int {
		switch {
		case f.under(b, a):
			return -1
		case f.under(a, b):
			return 1
		case f.read[a].phase != f.read[b].phase && f.read[a].phase >= 0 && f.read[b].phase >= 0:
			return int(f.read[a].phase) - int(f.read[b].phase)
		}
		return f.read[a].number - f.read[b].number
	})
	bones := digitJoints(name)
	said := true
	for _, n := range joints {
		said = said && f.read[n].phase >= 0
	}
	if name == "Thumb" {
		// Three joints from the hand outwards, whatever they are called: VRM 0.x and
		// 1.0 differ in what "proximal" means here. Fewer: what the words say.
		if said && len(joints) < 3 {
			for _, n := range joints {
				f.set(sided(s, name+[...]string{"Metacarpal", "Proximal", "Proximal", "Distal"}[f.read[n].phase]), n, NameAlone, "")
			}
			return
		}
		for i, n := range joints[:min(3, len(joints))] {
			f.set(sided(s, name+bones[i]), n, NameAlone, "")
		}
		return
	}
	if said {
		for _, n := range joints {
			if p := f.read[n].phase; p >= 1 {
				f.set(sided(s, name+bones[p-1]), n, NameAlone, "")
			}
		}
		return
	}
	if len(joints) > 3 && f.hasMetacarpal(joints) {
		joints = joints[1:]
	}
	for i, n := range joints[:min(3, len(joints))] {
		f.set(sided(s, name+bones[i]), n, NameAlone, "")
	}
}

// hasMetacarpal tells whether the first of four joints lies in the palm: then it
// is nearer to the wrist than to the next one. Else the fourth is the tip.
func (f *finder) hasMetacarpal(joints []rig.Node) bool {
	if f.read[joints[0]].phase == 0 || f.read[joints[0]].number == 0 {
		return true
	}
	hand := f.above(joints[0], func(p rig.Node) bool { return f.word[p] == handWord })
	return hand >= 0 && f.far(hand, joints[0]) < f.far(joints[0], joints[1])
}

// tellHand finds the side of a hand whose names say none. The normal
// (little − wrist) × (index − wrist) leaves the palm of a left hand and the back of
// a right one (worked row of the palm normal), and fingers curl towards the palm.
func (f *finder) tellHand() {
	inherit := func(n rig.Node) Side {
		p := f.above(n, func(p rig.Node) bool { return f.side[p] == Left || f.side[p] == Right })
		if p < 0 {
			return NoSide
		}
		return f.side[p]
	}
	var loose []rig.Node
	for _, n := range f.order {
		w := f.word[n]
		if (w == handWord || w >= thumbWord && w <= littleWord || w == endWord) && f.side[n] == NoSide {
			if f.side[n] = inherit(n); f.side[n] == NoSide {
				loose = append(loose, n)
			} else {
				f.placed[n] = true
			}
		}
	}
	if len(loose) == 0 {
		return
	}
	wrist := rig.Node(rig.None)
	for _, n := range loose {
		if f.word[n] == handWord {
			if wrist >= 0 {
				return // two hands and no side: cannot be told apart by this
			}
			wrist = n
		}
	}
	if wrist < 0 {
		return
	}
	chain := func(w word) []rig.Node {
		var out []rig.Node
		for _, n := range loose {
			if f.word[n] == w && f.read[n].phase != 0 {
				out = append(out, n)
			}
		}
		slices.SortStableFunc(out, func(a, b rig.Node) int {
			return int(math.Copysign(1, f.far(wrist, a)-f.far(wrist, b)))
		})
		return out
	}
	index, little := chain(indexWord), chain(littleWord)
	if len(index) == 0 || len(little) == 0 {
		return
	}
	w := f.pos[wrist]
	normal := f.pos[little[0]].Sub(w).Cross(f.pos[index[0]].Sub(w))
	if normal.Len() == 0 {
		return
	}
	normal = normal.Normalize()
	curl := 0.0
	for _, d := range digitWords[1:] {
		if c := chain(d); len(c) >= 3 {
			a, b := space.Direction(f.pos[c[1]].Sub(f.pos[c[0]])), space.Direction(f.pos[c[2]].Sub(f.pos[c[1]]))
			curl += normal.Dot(b.Sub(a))
		}
	}
	if math.Abs(curl) < 0.02 {
		return
	}
	side := Left
	if curl < 0 {
		side = Right
	}
	for _, n := range loose {
		f.side[n], f.placed[n] = side, true
	}
	f.set(sided(side, "Hand"), wrist, NameAlone, "")
}
