package match

import (
	"fmt"
	"math"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// samePlace is how near two joints of one parent stand, in sizes of the skeleton, to
// be one joint in several pieces (common practice, no source).
const samePlace = 0.005

// Digits (common practice, no source).
const (
	thumbOff      = 25.0    // degrees off the forearm that a thumb points at least
	thumbMore     = 15.0    // degrees more than the next digit
	besideHand    = 1.0 / 3 // of the forearm: digits that hang on it stand as near to the hand
	onePlaceSure  = 0.7     // a joint in the place of a paired one
	oneFingerSure = 0.6     // fingers that the source moves by one joint
)

// twins tells that two joints hang on one joint and stand in one place.
func (s *Skeleton) twins(a, b int) bool {
	return a != b && s.Parent[a] == s.Parent[b] && s.Parent[a] >= 0 &&
		s.At(s.Joints[a]).Sub(s.At(s.Joints[b])).Len() < samePlace*s.Size
}

// digits are the joints that begin below a hand or below one that stands in its
// place; near are those beside it, on the forearm, no farther than a third of that.
func (s *Skeleton) digits(hand int) (below, near []int) {
	up := s.Parent[hand]
	long := 0.0
	if up >= 0 {
		long = s.At(s.Joints[hand]).Sub(s.At(s.Joints[up])).Len()
	}
	for i, p := range s.Parent {
		switch {
		case p < 0 || i == hand || s.f[i].idle || s.f[i].helper:
		case p == hand || s.twins(p, hand):
			below = append(below, i)
		case p == up && !s.twins(i, hand) && s.At(s.Joints[i]).Sub(s.At(s.Joints[hand])).Len() < long*besideHand:
			near = append(near, i)
		}
	}
	return below, near
}

// tip is the farthest end below a joint.
func (s *Skeleton) tip(i int) space.Vec {
	from := s.At(s.Joints[i])
	best, far := from, 0.0
	for k := range s.Joints {
		if s.above(i, k) {
			if d := s.At(s.Joints[k]).Sub(from).Len(); d > far {
				best, far = s.At(s.Joints[k]), d
			}
		}
	}
	return best
}

// thumbs finds the thumb of a hand whose digits no name tells: the one that points
// farthest off the forearm's own direction, by 25° at least and 15° more than the
// next (common practice, no source).
func (s *Skeleton) thumbs() {
	for _, side := range [2]anatomy.Side{anatomy.Left, anatomy.Right} {
		hand := s.joint(s.Bone(side.String() + "Hand"))
		if hand < 0 || s.Parent[hand] < 0 {
			continue
		}
		told := false
		for role := range s.bone {
			for _, digit := range [5]string{"Thumb", "Index", "Middle", "Ring", "Little"} {
				told = told || strings.HasPrefix(role, side.String()+digit)
			}
		}
		if told {
			continue
		}
		arm := direction(s.At(s.Joints[hand]).Sub(s.At(s.Joints[s.Parent[hand]])), 1e-6*s.Size)
		below, near := s.digits(hand)
		best, most, second := -1, 0.0, 0.0
		for _, i := range append(below, near...) {
			d := direction(s.tip(i).Sub(s.At(s.Joints[i])), 1e-6*s.Size)
			if d == (space.Vec{}) || arm == (space.Vec{}) {
				continue
			}
			angle := math.Acos(max(-1, min(1, d.Dot(arm)))) * 180 / math.Pi
			switch {
			case angle > most:
				best, most, second = i, angle, most
			case angle > second:
				second = angle
			}
		}
		if best < 0 || len(below)+len(near) < 2 || most < thumbOff || most-second < thumbMore {
			continue
		}
		for _, bone := range [3]string{"ThumbMetacarpal", "ThumbProximal", "ThumbDistal"} {
			s.set(side.String()+bone, best, side)
			next := -1
			for _, k := range s.kids[best] {
				if !s.f[k].idle {
					next = k
				}
			}
			if next < 0 {
				break
			}
			best = next
		}
	}
}

// follow pairs target joints that have no partner of their own and still belong to
// one: what stands in the place of a paired joint (a hand in several pieces), and
// the fingers where the source's hand moves all of them by one joint.
func (m *Match) follow(pins []Pin) {
	of := map[rig.Node]Pair{}
	for _, p := range m.Pairs {
		of[p.Target] = p
	}
	free := func(j int) bool {
		if _, ok := of[m.T.Joints[j]]; ok || m.T.f[j].idle || m.T.f[j].helper {
			return false
		}
		for _, p := range pins {
			if p.Source < 0 && p.Target == m.T.Joints[j] {
				return false
			}
		}
		return true
	}
	add := func(j int, like Pair, confidence float64, why string) {
		p := Pair{Source: like.Source, Beside: like.Beside, Share: like.Share, Target: m.T.Joints[j], Role: m.T.f[j].role, Confidence: min(confidence, like.Confidence), Evidence: why}
		of[p.Target] = p
		m.Pairs = append(m.Pairs, p)
	}
	for j := range m.T.Joints {
		if !free(j) || m.T.f[j].role != "" {
			continue
		}
		for k := range m.T.Joints {
			if p, ok := of[m.T.Joints[k]]; ok && m.T.twins(j, k) {
				add(j, p, onePlaceSure, fmt.Sprintf("stands in the place of %q, which %q moves", m.T.Name(p.Target), m.S.Name(p.Source)))
				break
			}
		}
	}
	for _, side := range [2]string{"left", "right"} {
		hand := m.T.joint(m.T.Bone(side + "Hand"))
		if hand < 0 {
			continue
		}
		p, ok := of[m.T.Joints[hand]]
		if !ok {
			continue
		}
		notThumbs := func(s *Skeleton, hand int) (out []int) {
			below, _ := s.digits(hand)
			for _, i := range below {
				if !strings.Contains(s.f[i].role, "Thumb") {
					out = append(out, i)
				}
			}
			return out
		}
		one, many := notThumbs(m.S, m.S.joint(p.Source)), notThumbs(m.T, hand)
		if len(one) != 1 || len(many) < 2 {
			continue
		}
		lead, count := Pair{}, 0
		for _, j := range many {
			if q, ok := of[m.T.Joints[j]]; ok && q.Beside < 0 {
				if i := m.S.joint(q.Source); i == one[0] || m.S.above(one[0], i) {
					lead = q
					count++
				}
			}
		}
		if count != 1 {
			continue
		}
		for _, j := range many {
			if free(j) {
				add(j, lead, oneFingerSure, fmt.Sprintf("the source's hand moves all fingers by %q", m.S.Name(lead.Source)))
			}
		}
	}
}
