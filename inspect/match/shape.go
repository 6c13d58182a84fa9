package match

import (
	"math"
	"slices"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// shapeConfidence is how sure a role found by shape alone is (common practice, no
// source).
const shapeConfidence = 0.55

// Shares by which a body is found (common practice, no source).
const (
	steepLeg     = 0.5  // of a leg's length it comes down
	mirrorSlack  = 0.05 // of the size: how far partners may stand from each other's images
	besideMiddle = 0.01 // of the size: nearer joints stand in the middle, or in their parent's place
	steepFoot    = 0.7  // of the way from shin to a foot that hangs elsewhere goes down
	footReach    = 2.5  // shins: no farther below hangs a foot
)

// byShape finds the body where names and the plain fork of a tree do not tell it:
// pairs of limbs that mirror each other, legs lowest, arms the longest of the rest,
// a trunk between and a head above. Joints that stand in their parent's place, that
// nothing hangs on, and feet that hang elsewhere than on the legs are allowed for.
func (s *Skeleton) byShape() {
	for _, lateral := range [2]int{0, 2} {
		b := &body{s: s, lateral: lateral}
		if b.find() {
			return
		}
	}
}

// body is one attempt.
type body struct {
	s       *Skeleton
	lateral int // axis that the mirror plane stands across
	mid     float64
	up      []int // the joint above that stands elsewhere
	partner []int
	limbs   []limb
}

// limb is the left or right one of a pair: chain from the trunk outwards, each joint
// with its partner.
type limb struct {
	chain []int
	root  int     // the middle joint it hangs on
	arc   float64 // length of the chain
	low   float64 // lowest height of it
}

func (b *body) at(i int) space.Vec { return b.s.At(b.s.Joints[i]) }

func (b *body) find() bool {
	s := b.s
	b.pairUp()
	b.gather()
	legs, arms := -1, -1
	for k := range b.limbs {
		l := &b.limbs[k]
		if len(l.chain) >= 2 && (legs < 0 || l.low < b.limbs[legs].low) {
			legs = k
		}
	}
	for k := range b.limbs {
		l := &b.limbs[k]
		if k == legs || len(l.chain) < 3 {
			continue
		}
		if arms < 0 || l.arc > b.limbs[arms].arc {
			arms = k
		}
	}
	if legs < 0 || arms < 0 {
		return false
	}
	leg, arm := b.limbs[legs], b.limbs[arms]
	if down := b.at(leg.chain[len(leg.chain)-1]).Sub(b.at(leg.chain[0])); down[1] > -steepLeg*down.Len() {
		return false
	}
	hips := leg.root
	for hips >= 0 && !s.above(hips, arm.chain[0]) {
		hips = s.Parent[hips]
	}
	chest := arm.root
	if hips < 0 || chest == hips || !s.above(hips, chest) || b.at(chest)[1] <= b.at(leg.chain[0])[1] {
		return false
	}
	s.set("hips", hips, anatomy.Centre)
	b.legs(leg)
	b.arms(arm)
	b.head(chest)
	for i := range s.f { // sides of the rest by place
		if s.f[i].role == "" && b.partner[i] >= 0 {
			s.f[i].side = b.side(i)
		}
	}
	s.trunkRoles(hips, chest)
	return true
}

// side is left where the axis points to the left of a figure that faces +Z, or for
// one that faces along x, towards −z.
func (b *body) side(i int) anatomy.Side {
	x := b.at(i)[b.lateral] - b.mid
	if b.lateral == 2 {
		x = -x
	}
	if b.facesBack() {
		x = -x
	}
	if x > 0 {
		return anatomy.Left
	}
	return anatomy.Right
}

// facesBack tells by the toes, where a leg has them.
func (b *body) facesBack() bool {
	for _, l := range b.limbs {
		if n := len(l.chain); n >= 4 && l.low < b.at(l.root)[1] {
			d := b.at(l.chain[n-1]).Sub(b.at(l.chain[n-2]))
			ahead := d[2]
			if b.lateral == 2 {
				ahead = d[0]
			}
			if math.Abs(ahead) > 0.5*d.Len() && d.Len() > 1e-6*b.s.Size {
				return ahead < 0
			}
		}
	}
	return false
}

// pairUp finds the partner of every joint over the mid plane: hung alike and within
// a twentieth of the size of the mirror image.
func (b *body) pairUp() {
	s := b.s
	b.partner = make([]int, len(s.Joints))
	xs := make([]float64, 0, len(s.Joints))
	for i := range s.Joints {
		b.partner[i] = -1
		xs = append(xs, b.at(i)[b.lateral])
	}
	if len(xs) == 0 {
		return
	}
	b.mid = (slices.Min(xs) + slices.Max(xs)) / 2
	if m := space.Ranked(xs, len(xs)/2); math.Abs(m-b.mid) < mirrorSlack*s.Size {
		b.mid = m // the middle joints, where they agree with the ends
	}
	depth := make([]int, len(s.Joints))
	b.up = make([]int, len(s.Joints))
	for i, p := range s.Parent {
		// A joint in its parent's place adds nothing to the shape.
		for p >= 0 && s.Parent[p] >= 0 && b.at(p).Sub(b.at(s.Parent[p])).Len() < samePlace*s.Size {
			p = s.Parent[p]
		}
		if b.up[i] = p; p >= 0 {
			depth[i] = depth[p] + 1
		}
	}
	for i := range s.Joints {
		p := b.at(i)
		x := p[b.lateral] - b.mid
		if x < besideMiddle*s.Size || b.partner[i] >= 0 {
			continue
		}
		image := p
		image[b.lateral] = b.mid - x
		best, least := -1, mirrorSlack*s.Size
		for j := range s.Joints {
			if j == i || b.partner[j] >= 0 || depth[j] != depth[i] || len(s.kids[j]) != len(s.kids[i]) {
				continue
			}
			up, over := b.up[i], b.up[j]
			if up != over && (up < 0 || over < 0 || b.partner[up] != over) {
				continue
			}
			if d := b.at(j).Sub(image).Len(); d < least {
				best, least = j, d
			}
		}
		if best >= 0 {
			b.partner[i], b.partner[best] = best, i
		}
	}
}

// gather lists the pairs of limbs by their positive one.
func (b *body) gather() {
	s := b.s
	for i := range s.Joints {
		p := b.up[i]
		if b.partner[i] < 0 || p < 0 || b.partner[p] >= 0 || s.f[i].idle {
			continue
		}
		l := limb{root: p, low: b.at(i)[1]}
		for k := i; k >= 0; k = b.outwards(k) {
			if n := len(l.chain); n > 0 {
				l.arc += b.at(k).Sub(b.at(l.chain[n-1])).Len()
			}
			l.chain = append(l.chain, k)
			l.low = min(l.low, b.at(k)[1])
		}
		if end := b.at(l.chain[len(l.chain)-1])[b.lateral] - b.mid; end > 0 {
			b.limbs = append(b.limbs, l)
		}
	}
}

// outwards is the child with the longest way below, ends and idle ones left out.
func (b *body) outwards(i int) int {
	best, most := -1, -1.0
	for _, k := range b.s.kids[i] {
		if b.s.f[k].idle {
			continue
		}
		if far := b.way(k) + b.at(k).Sub(b.at(i)).Len(); far > most+1e-9*b.s.Size {
			best, most = k, far
		}
	}
	return best
}

// way is the longest way below a joint.
func (b *body) way(i int) float64 {
	most := 0.0
	for k := b.outwards(i); k >= 0; k = b.outwards(k) {
		most += b.at(k).Sub(b.at(b.s.Parent[k])).Len()
	}
	return most
}

func (b *body) both(bone string, i int) {
	for _, j := range [2]int{i, b.partner[i]} {
		if j >= 0 {
			side := b.side(j)
			b.s.set(side.String()+bone, j, side)
		}
	}
}

// legs names a leg from its first joint that stands off the hips; a foot that hangs
// elsewhere is looked for below its end.
func (b *body) legs(l limb) {
	chain := l.chain
	for len(chain) > 2 && b.at(chain[0]).Sub(b.at(l.root)).Len() < besideMiddle*b.s.Size {
		chain = chain[1:]
	}
	for k, bone := range []string{"UpperLeg", "LowerLeg", "Foot", "Toes"} {
		if k < len(chain) {
			b.both(bone, chain[k])
		}
	}
	if len(chain) > 2 {
		return
	}
	end := b.at(chain[len(chain)-1])
	long := b.at(chain[1]).Sub(b.at(chain[0])).Len()
	best, least := -1, footReach*long
	for _, o := range b.limbs {
		p := b.at(o.chain[0])
		d := p.Sub(end)
		if o.chain[0] == l.chain[0] || p[1] >= end[1] || d[1] > -steepFoot*d.Len() {
			continue
		}
		if d.Len() < least {
			best, least = o.chain[0], d.Len()
		}
	}
	if best >= 0 {
		b.both("Foot", best)
	}
}

// armShare is how far the shoulder joint stands from the middle, of the reach from
// the middle to the fingertip: .129 of .569 heights (Drillis and Contini 1966), a
// little more on rigs, whose hands end early.
const armShare = 0.24

// arms names an arm. Where the shoulder joint is, is told by the way from it to the
// tip, which no pose changes.
func (b *body) arms(l limb) {
	best, least := 0, math.Inf(1)
	rest := l.arc
	for k := 0; k+2 < len(l.chain); k++ {
		if k > 0 {
			rest -= b.at(l.chain[k]).Sub(b.at(l.chain[k-1])).Len()
		}
		x := math.Abs(b.at(l.chain[k])[b.lateral] - b.mid)
		if d := math.Abs(x/max(x+rest, 1e-12) - armShare); d < least {
			best, least = k, d
		}
	}
	if best > 0 {
		b.both("Shoulder", l.chain[best-1])
	} else if j := b.partner[l.chain[0]]; b.s.Parent[l.chain[0]] != l.root && b.s.Parent[j] != l.root {
		// Collar bones that begin in the trunk's own joint.
		b.s.set(b.side(l.chain[0]).String()+"Shoulder", b.s.Parent[l.chain[0]], b.side(l.chain[0]))
		b.s.set(b.side(j).String()+"Shoulder", b.s.Parent[j], b.side(j))
	}
	b.both("UpperArm", l.chain[best])
	b.both("LowerArm", l.chain[best+1])
	b.both("Hand", b.palm(l.chain[best+2]))
}

// palm answers, of a hand joint and what stands beside it in the same place, the one
// whose way on leads nearest to the middle of them all.
func (b *body) palm(hand int) int {
	s := b.s
	var like []int
	var sum space.Vec
	tip := func(i int) space.Vec {
		if k := b.outwards(i); k >= 0 {
			return b.at(k)
		}
		return b.at(i)
	}
	for _, k := range s.kids[s.Parent[hand]] {
		if !s.f[k].idle && b.partner[k] >= 0 && b.at(k).Sub(b.at(hand)).Len() < samePlace*s.Size {
			like = append(like, k)
			sum = sum.Add(tip(k))
		}
	}
	best, least := hand, math.Inf(1)
	for _, k := range like {
		if d := tip(k).Sub(sum.Mul(1 / float64(len(like)))).Len(); len(like) > 2 && d < least {
			best, least = k, d
		}
	}
	return best
}

// head follows the middle joints above the chest to the highest.
func (b *body) head(chest int) {
	s := b.s
	best, high := []int(nil), b.at(chest)[1]
	for k := range s.Joints {
		if b.up[k] != chest || s.f[k].idle || b.partner[k] >= 0 || b.outwards(k) >= 0 && b.at(k).Sub(b.at(chest)).Len() < samePlace*s.Size {
			continue
		}
		chain := []int{k}
		if p := s.Parent[k]; p != chest {
			chain = []int{p, k}
		}
		for n := b.outwards(k); n >= 0 && b.partner[n] < 0; n = b.outwards(n) {
			chain = append(chain, n)
		}
		if top := b.at(chain[len(chain)-1])[1]; top > high {
			best, high = chain, top
		}
	}
	switch n := len(best); {
	case n == 1:
		s.set("head", best[0], anatomy.Centre)
	case n > 1:
		s.set("neck", best[0], anatomy.Centre)
		s.set("head", best[n-1], anatomy.Centre)
	}
}

// set gives a role found by shape.
func (s *Skeleton) set(role string, i int, side anatomy.Side) {
	if _, taken := s.bone[role]; taken || s.f[i].role != "" {
		return
	}
	s.bone[role] = s.Joints[i]
	f := &s.f[i]
	f.role, f.sure, f.side, f.byShape = role, shapeConfidence, side, true
}

// trunkRoles names one, two or three joints of the trunk.
func (s *Skeleton) trunkRoles(hips, chest int) {
	var chain []int
	for i := chest; i >= 0 && i != hips; i = s.Parent[i] {
		chain = append([]int{i}, chain...)
	}
	if len(chain) > 3 {
		return
	}
	for k, i := range chain {
		s.set([]string{"spine", "chest", "upperChest"}[k], i, anatomy.Centre)
	}
}

// Bone answers the node of a role, None: found by anatomy, else by shape.
func (s *Skeleton) Bone(role string) rig.Node {
	if n, ok := s.bone[role]; ok {
		return n
	}
	return rig.None
}
