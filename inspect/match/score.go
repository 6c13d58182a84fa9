package match

import (
	"math"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/space"
)

// What speaks for a pair and against it. The sum decides; a pair below zero does not
// come about. Common practice, no source: set so that a role outweighs a name, a
// name a place, and sides are never crossed.
const (
	sameRole    = 6.0  // times the lesser confidence
	otherRole   = -8.0 // both have roles, and other ones
	oneRole     = -1.2 // one has a role of the body, the other none
	sameName    = 2.0
	likeName    = 1.5    // times the share of common words
	crossedSide = -100.0 // left and right: never
	sideless    = -1.5   // one has a side, the other none
	helperAlone = -2.5   // a helper and a joint of the body
	idleAlone   = -4.0   // one holds nothing, the other does
	bothIdle    = -1.5   // nothing would move
	helpers     = -1.0   // two helpers or ends of other names
	otherAnchor = -3.0   // they hang on different parts of the body
	noLength    = -0.8   // one stands in its parent's place, the other off it; neither has a role
	likeness    = 3.2    // times likeness of place and shape, 0…1
	family      = 1.6    // times likeness of what they hang on and what hangs on them
	bar         = 2.2    // what place and family must reach together
)

// What makes two joints alike: shares of the whole, 1 together (set so that figures of
// other proportions, legs half as long, keep their pairs and a hand's fingers theirs).
const (
	byPlace    = 0.45
	byArc      = 0.15
	byReach    = 0.2
	byInto     = 0.1
	byAlong    = 0.1
	wide       = 0.15 // of the figure: how far apart two places, ways or reaches still resemble
	strange    = 0.3  // farther apart counts what hangs on another part of the body
	oneMissing = 0.3  // likeness of a direction with none
)

// How likeness spreads along the trees.
const (
	ownShare   = 0.5 // of it stays a pair's own, a quarter comes from above and from below
	kinRounds  = 3   // as far as likeness goes: great-grandparents
	skipped    = 0.9 // what passing over a joint leaves
	lonelyRoot = 0.4 // one hangs on something, the other on nothing
	mostKids   = 16  // more are not compared
	manyKids   = 0.5 // what they count instead
)

// scores answers the gain of every pair, row by row: source joints by target joints.
// With mirrored the source counts as its own mirror image: left for right, −x for x.
func scores(s, t *Skeleton, mirrored bool) []float64 {
	rows, cols := len(s.Joints), len(t.Joints)
	shape := make([]float64, rows*cols)
	for i := range rows {
		for j := range cols {
			shape[i*cols+j] = alike(s, t, i, j, mirrored)
		}
	}
	kin := families(s, t, shape)
	byRole := s.known() && t.known()
	out := make([]float64, rows*cols)
	for i := range rows {
		a := &s.f[i]
		role, side := a.role, a.side
		if mirrored {
			role, side = anatomy.Mirrored(role), side.Other()
		}
		for j := range cols {
			b := &t.f[j]
			k := i*cols + j
			g := likeness*shape[k] + family*kin[k] - bar
			switch {
			case role != "" && role == b.role:
				g += sameRole * min(a.sure, b.sure)
			case role != "" && b.role != "":
				g += otherRole * min(a.sure, b.sure)
			case !byRole: // of a few joints nothing is told by what they are not
			case role != "" || b.role != "":
				g += oneRole
				if !sameAnchor(s, t, i, j, mirrored) {
					g += otherAnchor // a thumb is no link of a chain on the shoulder
				}
			case sameAnchor(s, t, i, j, mirrored):
			default:
				g += otherAnchor
			}
			switch {
			case oneForBoth(s, t, i, j) || oneForBoth(t, s, j, i):
				g += crossedSide // a limb does not move what carries the other side too
			case side == b.side || byRole && role != "" && role == b.role:
			case side == anatomy.Centre || b.side == anatomy.Centre:
				g += sideless
			default:
				g += crossedSide
			}
			switch {
			case a.helper != b.helper:
				g += helperAlone
			case a.helper && s.Name(s.Joints[i]) != t.Name(t.Joints[j]):
				g += helpers
			}
			switch {
			case a.idle != b.idle:
				g += idleAlone
			case a.idle:
				g += bothIdle
			}
			if role == "" && b.role == "" && s.Parent[i] >= 0 && t.Parent[j] >= 0 && (a.into == space.Vec{}) != (b.into == space.Vec{}) {
				g += noLength
			}
			g += names(s, t, i, j)
			out[k] = g
		}
	}
	return out
}

// oneForBoth tells that joint i of a stands on one side and joint j of b carries both.
func oneForBoth(a, b *Skeleton, i, j int) bool {
	return a.f[i].side != anatomy.Centre && b.f[j].both && !a.f[i].both
}

// known tells that enough roles are found to go by them.
func (s *Skeleton) known() bool { return len(s.bone) >= fewestRoles }

// fewestRoles make a body that is gone by (common practice, no source).
const fewestRoles = 4

// sameAnchor tells whether two joints hang on the same part of the body.
func sameAnchor(s, t *Skeleton, i, j int, mirrored bool) bool {
	role := func(k *Skeleton, i int) string {
		if a := k.f[i].anchor; a >= 0 {
			return k.f[a].role
		}
		return ""
	}
	x, y := role(s, i), role(t, j)
	if mirrored {
		x = anatomy.Mirrored(x)
	}
	return x == y
}

// names weighs what two joints are called.
func names(s, t *Skeleton, i, j int) float64 {
	a, b := s.Name(s.Joints[i]), t.Name(t.Joints[j])
	if a == "" || b == "" {
		return 0
	}
	if a == b {
		return sameName
	}
	x, y := s.f[i].tokens, t.f[j].tokens
	common := 0
	for w := range x {
		if y[w] {
			common++
		}
	}
	if all := len(x) + len(y) - common; all > 0 {
		return likeName * float64(common) / float64(all)
	}
	return 0
}

// alike is 0…1: how alike two joints stand and reach. Where both hang below joints
// of the same role the place counts from there, else from the middle of the figure.
func alike(s, t *Skeleton, i, j int, mirrored bool) float64 {
	a, b := &s.f[i], &t.f[j]
	flip := func(v space.Vec) space.Vec {
		if mirrored {
			v[0] = -v[0]
		}
		return v
	}
	far := flip(a.unit).Sub(b.unit).Len()
	if a.anchor >= 0 && b.anchor >= 0 {
		x, y := s.f[a.anchor].role, t.f[b.anchor].role
		if mirrored {
			x = anatomy.Mirrored(x)
		}
		if x == y {
			p := flip(a.pos.Sub(s.f[a.anchor].pos)).Mul(1 / max(s.Size, 1e-12))
			q := b.pos.Sub(t.f[b.anchor].pos).Mul(1 / max(t.Size, 1e-12))
			far = min(far, p.Sub(q).Len())
		} else if a.role == "" && b.role == "" {
			far += strange
		}
	}
	near := math.Exp(-far * far / (2 * wide * wide))
	arc := math.Exp(-sq(a.arc-b.arc) / (2 * wide * wide))
	reach := math.Exp(-sq(a.reach-b.reach) / (2 * wide * wide))
	return byPlace*near + byArc*arc + byReach*reach + byInto*aligned(flip(a.into), b.into) + byAlong*aligned(flip(a.along), b.along)
}

func sq(x float64) float64 { return x * x }

// aligned is 1 for equal directions and 0 from a right angle on; two that are both
// missing agree.
func aligned(a, b space.Vec) float64 {
	x, y := a.Len() > 0, b.Len() > 0
	if x != y {
		return oneMissing
	}
	if !x {
		return 1
	}
	return max(0, a.Dot(b))
}

// skip is what passing over a joint costs: nothing where it stands in the place of
// the one above.
func (s *Skeleton) skip(i int) float64 {
	if s.f[i].into == (space.Vec{}) {
		return 1
	}
	return skipped
}

// families lets likeness spread along the trees: a pair gains by what its parents
// and its children resemble. Parents and children may be skipped once.
func families(s, t *Skeleton, shape []float64) []float64 {
	rows, cols := len(s.Joints), len(t.Joints)
	now := append([]float64(nil), shape...)
	next := make([]float64, len(shape))
	for range kinRounds {
		for i := range rows {
			for j := range cols {
				up := 1.0
				p, q := s.Parent[i], t.Parent[j]
				switch {
				case p >= 0 && q >= 0:
					up = now[p*cols+q]
					if pp := s.Parent[p]; pp >= 0 {
						up = max(up, s.skip(p)*now[pp*cols+q])
					}
					if qq := t.Parent[q]; qq >= 0 {
						up = max(up, t.skip(q)*now[p*cols+qq])
					}
				case p >= 0 || q >= 0:
					up = lonelyRoot
				}
				down := 1.0
				a, b := s.kids[i], t.kids[j]
				if len(a) > 0 || len(b) > 0 {
					down = 0
					if len(a) > mostKids || len(b) > mostKids {
						down = manyKids
					} else {
						for _, x := range a {
							best := 0.0
							for _, y := range b {
								best = max(best, now[x*cols+y])
							}
							down += best
						}
						for _, y := range b {
							best := 0.0
							for _, x := range a {
								best = max(best, now[x*cols+y])
							}
							down += best
						}
						down /= float64(len(a) + len(b))
					}
				}
				next[i*cols+j] = ownShare*shape[i*cols+j] + (1-ownShare)/2*(up+down)
			}
		}
		now, next = next, now
	}
	return now
}
