package anatomy

import "rigloupe/inspect/rig"

// needsSide tells the words that mean a limb.
func needsSide(w word) bool {
	switch w {
	case eyeWord, girdleWord, shoulderWord, upperArmWord, armWord, forearmWord, handWord, thighWord, legWord, shankWord, ashiWord, footWord, ballWord, toesWord:
		return true
	}
	return false
}

// resolve settles the words that have several readings by what hangs above and
// below; parents come first, so that what stands above is settled already.
func (f *finder) resolve() {
	f.sideByPlace()
	for _, n := range f.order {
		switch f.word[n] {
		case hipWord:
			f.word[n] = f.hip(n)
		case shoulderWord:
			f.word[n] = f.shoulder(n)
		case armWord:
			f.word[n] = f.arm(n)
		case legWord:
			f.word[n] = f.leg(n)
		case ashiWord:
			f.word[n] = footWord
			if w := f.wordAbove(n); w != shankWord && w != thighWord {
				f.word[n] = f.leg(n)
			}
		case ballWord:
			f.word[n] = nothing
			if f.wordAbove(n) == footWord {
				f.word[n] = toesWord
			}
		}
	}
}

// sideByPlace gives limbs that say no side the one they stand on, when a mid plane
// is known, or the sign of x when several joints share a name.
func (f *finder) sideByPlace() {
	for _, n := range f.order {
		if !needsSide(f.word[n]) || f.side[n] != NoSide || f.lateral.Len() == 0 {
			continue
		}
		if d := f.acrossOf(n); d > 0.01*f.extent {
			f.side[n], f.placed[n] = Left, true
		} else if d < -0.01*f.extent {
			f.side[n], f.placed[n] = Right, true
		}
	}
}

// below tells whether a joint of that word and n's side hangs below n.
func (f *finder) below(n rig.Node, words ...word) bool {
	for _, m := range f.order {
		if f.under(m, n) && (f.side[m] == f.side[n] || f.side[m] == NoSide || f.side[n] == NoSide) {
			for _, w := range words {
				if f.word[m] == w {
					return true
				}
			}
		}
	}
	return false
}

// wordAbove is the word of the nearest joint above that has one.
func (f *finder) wordAbove(n rig.Node) word {
	p := f.above(n, func(p rig.Node) bool {
		w := f.word[p]
		return w != nothing && w != helperWord && w != endWord && w != beastWord
	})
	if p < 0 {
		return nothing
	}
	return f.word[p]
}

// hip is the pelvis when single and the thigh when there is one on each side; a
// sided hip above a thigh is neither.
func (f *finder) hip(n rig.Node) word {
	if f.side[n] != Left && f.side[n] != Right {
		return hipsWord
	}
	if f.below(n, thighWord) {
		return helperWord
	}
	return thighWord
}

// shoulder is the girdle when an upper arm hangs below it, else the upper arm.
func (f *finder) shoulder(n rig.Node) word {
	switch {
	case f.below(n, upperArmWord):
		return girdleWord
	case f.below(n, armWord) && f.below(n, forearmWord):
		return girdleWord
	case f.below(n, armWord):
		// shoulder, arm, hand: a girdle is short against what follows it.
		arm := f.first(n, armWord)
		if next := f.firstOf(arm, armWord, handWord); next >= 0 && f.far(n, arm) > 0.5*f.far(arm, next) {
			return upperArmWord
		}
		return girdleWord
	case f.wordAbove(n) == girdleWord, f.below(n, forearmWord, handWord):
		return upperArmWord
	}
	return girdleWord
}

// first is the topmost joint of that word below n, None.
func (f *finder) first(n rig.Node, w word) rig.Node { return f.firstOf(n, w) }

func (f *finder) firstOf(n rig.Node, words ...word) rig.Node {
	for _, m := range f.order {
		if n >= 0 && f.under(m, n) {
			for _, w := range words {
				if f.word[m] == w {
					return m
				}
			}
		}
	}
	return rig.None
}

func (f *finder) arm(n rig.Node) word {
	if a := f.wordAbove(n); a == upperArmWord {
		return forearmWord
	}
	return upperArmWord
}

func (f *finder) leg(n rig.Node) word {
	if f.wordAbove(n) == thighWord {
		return shankWord
	}
	return thighWord
}
