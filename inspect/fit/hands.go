package fit

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

const (
	handGrid    = 100  // cubes along a hand: a finger is six wide
	handRound   = 1.35 // of the hand's length: so far from the wrist fingers reach
	fingerLeast = 0.12 // of the hand's length: shorter is no finger
	fingerFront = 0.25 // of the hand's length: fingers end farther from the wrist
	fingerSeen  = 0.12 // of the hand's length stands out of the palm at least
	webJump     = 1.6  // × the section of the finger: there it runs into the palm
	webLasts    = 0.04 // of the hand's length: for so long at least; a knuckle is thick for less
	palmLeast   = 2.0  // × the section of the finger: so large is a palm soon after
	slender     = 3.0  // half widths: so long is a finger, and the corner of a fist is not
	seen        = 0.76 // of a finger stands out of the palm; of a thumb more
	thumbSeen   = 0.85 // of a thumb likewise
	distalAt    = 0.24 // of a finger from its tip
	middleAt    = 0.52 // likewise: the joint in the middle
	thumbDistal = 0.42 // of a thumb from its tip
	thumbRoot   = 0.4  // from the thumb's knuckle to the wrist
)

// Fingers answers the joints of the fingers of one hand, in the order of digits: three a
// finger from the knuckle on, five fingers from the thumb to the little one; nil where not five
// tips are found. Points (3·V) and triangles (3·T) may hold the whole body; wrist and tip are where
// the hand begins and about where it ends. Lengths of phalanges: common practice, no
// source.
func Fingers(points []float32, triangles []uint32, wrist, tip space.Vec, watch *geom.Watch) (out [][3]space.Vec) {
	dir, ok := space.Unit(tip.Sub(wrist))
	long := tip.Sub(wrist).Len()
	if !ok {
		return nil
	}
	var own []uint32
	for t := 0; t+2 < len(triangles); t += 3 {
		c := space.At(points, triangles[t]).Add(space.At(points, triangles[t+1])).Add(space.At(points, triangles[t+2])).Mul(1. / 3).Sub(wrist)
		if along := c.Dot(dir); along > -.2*long && c.Len() < handRound*long {
			own = append(own, triangles[t:t+3]...)
		}
	}
	s := geom.NewInner(points, own, handGrid, watch)
	if s == nil {
		return nil
	}
	f := &figure{solid: s, height: long}
	root := f.nearest(mix(wrist, tip, .35))
	if root < 0 {
		return nil
	}
	var digits []digit
	for _, t := range s.Tips(root, fingerLeast*long, 10) {
		if at := s.At(int(t.Cube)); at.Sub(wrist).Dot(dir) < fingerFront*long {
			continue // the cut end at the wrist
		}
		if d, ok := f.digitOf(t.Cube, long); ok {
			digits = append(digits, d)
		}
	}
	if len(digits) != 5 || watch.Err() != nil {
		return nil
	}
	// The thumb leaves the palm nearest to the wrist; the others by distance from it.
	slices.SortFunc(digits, func(a, b digit) int { return cmp.Compare(a.root.Sub(wrist).Dot(dir), b.root.Sub(wrist).Dot(dir)) })
	thumb := digits[0]
	slices.SortFunc(digits[1:], func(a, b digit) int { return cmp.Compare(a.root.Sub(thumb.root).Len(), b.root.Sub(thumb.root).Len()) })
	for i, d := range digits {
		out = append(out, jointsOf(&d, wrist, i == 0))
	}
	return out
}

// jointsOf are the three joints of a digit, from the palm on.
func jointsOf(d *digit, wrist space.Vec, thumb bool) [3]space.Vec {
	if thumb {
		knuckle := d.back(thumbSeen)
		return [3]space.Vec{mix(knuckle, wrist, thumbRoot), knuckle, d.at(thumbDistal / thumbSeen)}
	}
	return [3]space.Vec{d.back(seen), d.at(middleAt / seen), d.at(distalAt / seen)}
}

// digit is one finger from its tip to where it runs into the palm.
type digit struct {
	path []space.Vec
	root space.Vec
}

// at is a place at a share of what is seen of the finger, from its tip.
func (d *digit) at(share float64) space.Vec {
	x := share * float64(len(d.path)-1)
	i := min(int(x), len(d.path)-2)
	return mix(d.path[i], d.path[i+1], x-float64(i))
}

// back is the knuckle, within the palm: the finger goes on straight there.
func (d *digit) back(seen float64) space.Vec {
	half := d.path[len(d.path)/2]
	out := d.root.Sub(half)
	whole := 0.0
	for i := 1; i < len(d.path); i++ {
		whole += d.path[i].Sub(d.path[i-1]).Len()
	}
	u, _ := space.Unit(out)
	return d.root.Add(u.Mul(whole * (1/seen - 1)))
}

// digitOf follows a finger from its tip to the palm; false: it is none.
func (f *figure) digitOf(tip int32, long float64) (digit, bool) {
	width := 1.5 * f.solid.Cell
	far, _ := f.solid.Distances([]int32{tip})
	path, area := f.bands(far, width, int(.8*long/width))
	lasts := int(webLasts*long/width) + 2
	for b := int(fingerSeen * long / width); b+3*lasts < len(area); b++ {
		own := slices.Clone(area[b*3/10 : max(b*3/10+1, b*9/10)])
		most := space.Ranked(own, len(own)/2)
		if slices.Min(area[b:b+lasts]) > webJump*most && slices.Max(area[b:b+3*lasts]) > palmLeast*most {
			slim := float64(b)*width > slender*math.Sqrt(most/math.Pi)
			return digit{path[:b+1], path[b]}, slim && b > 3
		}
	}
	return digit{}, false
}

var digitNames = []string{"Thumb", "Index", "Middle", "Ring", "Little"}

// partNames are the bones of a digit in VRM 1.0, from the palm on.
func partNames(digit int) []string {
	if digit == 0 {
		return []string{"Metacarpal", "Proximal", "Distal"}
	}
	return []string{"Proximal", "Intermediate", "Distal"}
}
