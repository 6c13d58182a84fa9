package fit

import (
	"math"
	"slices"

	"rigloupe/inspect/space"
)

const (
	firstApart = 0.2   // of the height: lower than that the legs of a person are apart somewhere
	forkMost   = 0.65  // of the height: no fork is higher
	again      = 0.04  // of the height: legs that are apart for so much again above knees that touch
	behind     = 0.25  // of the height: legs of four stand so far behind each other
	behindUp   = 0.2   // of the height: so far up, most of the way, four legs are apart
	hemLeast   = 0.05  // of the height: cloth all around the legs for more than that hides the fork
	hemRise    = 0.015 // of the height: just above the fork
	hemGrows   = 2.5   // ×: thighs run into hips, legs vanish under a hem
	hemShare   = 0.5   // of the shoulders' height: a fork higher than that is one, however broad the hips
	forkLeast  = 0.25  // of the shoulders' height: no legs are shorter
	footEnds   = 1.3   // × the shin's depth: so deep is a leg where its foot is over
	ankleShare = 0.75  // of the height at which the foot is over
	ballShare  = 0.66  // of the foot's length from the heel: the toes begin
)

// legs are where the legs part and what one leg is, the mean of both sides, to the left.
type legs struct {
	fork      float64     // height
	first     int         // level where they are first apart
	path      []space.Vec // middles of the leg by level from first on, to the fork
	depth     []float64   // front to back, likewise
	heel, tip float64     // of the foot: z
	footX     float64     // middle of the foot
	over      float64     // height at which the foot is over, −1: it is no deeper than the leg
	thin      float64     // depth of the leg above its foot
	half      float64     // half the width of the thigh
	even      float64     // how alike the two sides are: 0…1
	touch     bool        // the fork is where knees or thighs touch above a gap
	hem       bool        // cloth stands all around the legs below the fork
	grows     float64     // section just above the fork ÷ those of both legs just below
}

// findLegs follows two sections upwards from the floor, one on each side of the plane, to
// where they become one.
func (f *figure) findLegs() (*legs, error) {
	low := f.at(firstApart * f.height)
	l := &legs{first: -1}
	var L, R int32
	for j := 1; j <= low && l.first < 0; j++ {
		if a, b, ok := f.pairOf(j); ok {
			l.first, L, R = j, a, b
		}
	}
	if l.first < 0 {
		return nil, &Refusal{Why: NoLegs}
	}
	if f.fourLegs() {
		return nil, &Refusal{Why: FourLegs}
	}
	type step struct{ l, r part }
	under := 0
	var steps []step
	mask := [2][]int32{f.cells(l.first, L), f.cells(l.first, R)}
	steps = append(steps, step{f.levels[l.first].parts[L-1], f.levels[l.first].parts[R-1]})
	joined, gap, end := 0, 0, f.at(forkMost*f.height)
	j := l.first + 1
	for ; j <= end; j++ {
		a, b := f.over(j, mask[0]), f.over(j, mask[1])
		if a == 0 || b == 0 {
			// A foot or a shin that is a shell of its own ends below the next.
			if gap++; float64(gap)*f.solid.Cell > airShare*f.height {
				return nil, &Refusal{Why: NoLegs} // they end in the air
			}
			continue
		}
		joined += gap
		gap = 0
		if a == b {
			joined++
			if float64(joined)*f.solid.Cell > again*f.height {
				// Apart again higher up: it was knees or hands that touched.
				up, ok := f.apartAgain(j, end, mask)
				if !ok {
					break
				}
				for ; j < up; j++ {
					steps = append(steps, steps[len(steps)-1])
				}
				joined, l.touch = 0, true
				a, b = f.over(j, mask[0]), f.over(j, mask[1])
				if a == b || a == 0 || b == 0 {
					break
				}
			} else {
				continue
			}
		}
		for ; joined > 0; joined-- { // touched for a moment
			steps = append(steps, steps[len(steps)-1])
		}
		pa, pb := f.levels[j].parts[a-1], f.levels[j].parts[b-1]
		if f.around(j, &pa, &pb) {
			under++
		}
		steps = append(steps, step{pa, pb})
		mask[0], mask[1] = f.cells(j, a), f.cells(j, b)
	}
	if j > end {
		return nil, &Refusal{Why: NoLegs} // they never meet
	}
	l.fork = f.levels[l.first+len(steps)-1].y + f.solid.Cell/2
	l.hem = float64(under)*f.solid.Cell > hemLeast*f.height
	above, below := 0, steps[len(steps)-1].l.cubes+steps[len(steps)-1].r.cubes
	if at := f.at(l.fork + hemRise*f.height); f.over(at, mask[0]) != 0 {
		above = f.levels[at].parts[f.over(at, mask[0])-1].cubes
	}
	l.grows = float64(above) / float64(below)
	odd := 0.0
	for i := range steps {
		a, b := &steps[i].l, &steps[i].r
		l.path = append(l.path, space.Vec{(a.x - b.x) / 2, f.levels[l.first+i].y, (a.z + b.z) / 2})
		l.depth = append(l.depth, (a.depth()+b.depth())/2)
		odd += math.Abs(a.x+b.x) + math.Abs(a.z-b.z)
	}
	l.even = max(0, 1-odd/float64(len(steps))/(.06*f.height))
	thighs := &steps[len(steps)-1]
	l.half = (thighs.l.width() + thighs.r.width()) / 4
	f.foot(l, L)
	return l, nil
}

// hidden tells that the fork is none of the legs: cloth stands around them, or it is too low, or low
// and the section grows at once. share is its height ÷ that of the shoulders.
func (l *legs) hidden(share float64) bool {
	return l.hem || share < forkLeast || share < hemShare && l.grows > hemGrows
}

// pairOf finds the two sections of legs in one level: on each side the one nearest to the
// plane of those that are no splinters, and nothing across the plane between them.
func (f *figure) pairOf(j int) (left, right int32, ok bool) {
	l := &f.levels[j]
	most := [2]int{}
	for i := range l.parts {
		if p := &l.parts[i]; p.x > 0 {
			most[0] = max(most[0], p.cubes)
		} else {
			most[1] = max(most[1], p.cubes)
		}
	}
	if most[0] < 3 || most[1] < 3 {
		return 0, 0, false
	}
	for i := range l.parts {
		p := &l.parts[i]
		side, best := 0, &left
		if p.x <= 0 {
			side, best = 1, &right
		}
		if 3*p.cubes < most[side] {
			continue
		}
		if p.x0 < -f.solid.Cell && p.x1 > f.solid.Cell && p.width() > .06*f.height {
			return 0, 0, false
		}
		if *best == 0 || math.Abs(p.x) < math.Abs(l.parts[*best-1].x) {
			*best = int32(i + 1)
		}
	}
	if left == 0 || right == 0 {
		return 0, 0, false
	}
	a, b := &l.parts[left-1], &l.parts[right-1]
	off := math.Abs(a.x+b.x) + math.Abs(a.z-b.z)
	return left, right, off < .12*f.height && a.x < .3*f.height && a.cubes < 4*b.cubes && b.cubes < 4*a.cubes
}

// fourLegs tells that on each side two legs stand one behind the other, alike in what they
// measure, as high up as a shin.
func (f *figure) fourLegs() bool {
	levels := 0
	for j := 1; j < f.at(behindUp*f.height); j++ {
		l := &f.levels[j]
		sides := [2]bool{}
		for i := range l.parts {
			for k := range l.parts {
				a, b := &l.parts[i], &l.parts[k]
				if a.x*b.x > 0 && a.z-b.z > behind*f.height && a.x0*a.x1 > 0 && b.x0*b.x1 > 0 && a.cubes < 5*b.cubes && b.cubes < 5*a.cubes && a.cubes > 2 {
					sides[map[bool]int{true: 1}[a.x > 0]] = true
				}
			}
		}
		if sides[0] && sides[1] {
			levels++
		}
	}
	return float64(levels)*f.solid.Cell > behindUp/2*f.height
}

// around tells that something stands about both legs in a level and is neither.
func (f *figure) around(j int, a, b *part) bool {
	for i := range f.levels[j].parts {
		p := &f.levels[j].parts[i]
		if p.x0 < min(a.x0, b.x0) && p.x1 > max(a.x1, b.x1) && p.z0 < min(a.z0, b.z0) && p.z1 > max(a.z1, b.z1) {
			return true
		}
	}
	return false
}

// cells are those of one part of a level, as places in it.
func (f *figure) cells(j int, part int32) (out []int32) {
	for k, p := range f.levels[j].part {
		if p == part {
			out = append(out, int32(k))
		}
	}
	return out
}

// over is the part of a level that covers most of some places; 0: none does.
func (f *figure) over(j int, cells []int32) (best int32) {
	count := map[int32]int{}
	for _, k := range cells {
		if p := f.levels[j].part[k]; p != 0 {
			if count[p]++; count[p] > count[best] || count[p] == count[best] && p < best {
				best = p
			}
		}
	}
	return best
}

// apartAgain looks for a stretch above in which the places are under two parts.
func (f *figure) apartAgain(from, end int, mask [2][]int32) (at int, ok bool) {
	run := 0
	for j := from; j <= end; j++ {
		a, b := f.over(j, mask[0]), f.over(j, mask[1])
		if a == 0 || b == 0 {
			return 0, false
		}
		if a == b {
			run = 0
			continue
		}
		if run++; float64(run)*f.solid.Cell > again*f.height {
			return j - run + 1, true
		}
	}
	return 0, false
}

// foot measures the foot from the floor to where the leg is no deeper than farther up.
func (f *figure) foot(l *legs, left int32) {
	n := len(l.depth)
	leg := slices.Clone(l.depth[int(.4*float64(n)):max(int(.75*float64(n)), int(.4*float64(n))+1)])
	l.thin, l.over = space.Ranked(leg, len(leg)/2), -1
	top := 0
	for i := range n / 2 {
		if l.depth[i] > footEnds*l.thin {
			l.over, top = l.path[i][1]+f.solid.Cell/2, i+1
		}
	}
	l.heel, l.tip = math.Inf(1), math.Inf(-1)
	sum, count := 0.0, 0.0
	cells := f.cells(l.first, left)
	for i := range max(1, top) {
		id := f.over(l.first+i, cells)
		if id == 0 {
			break
		}
		p := &f.levels[l.first+i].parts[id-1]
		l.heel, l.tip = min(l.heel, p.z0), max(l.tip, p.z1)
		sum, count = sum+p.x, count+1
	}
	l.footX = sum / max(1, count)
	// Below the first level where they are apart soles may touch.
	for j := 1; j < l.first; j++ {
		for i := range f.levels[j].parts {
			p := &f.levels[j].parts[i]
			if p.x1 > .01*f.height {
				l.heel, l.tip = min(l.heel, p.z0), max(l.tip, p.z1)
			}
		}
	}
}

// middle is where the leg's middle runs at a height.
func (l *legs) middle(y float64) space.Vec {
	if y <= l.path[0][1] {
		return space.Vec{l.path[0][0], y, l.path[0][2]}
	}
	for i := 1; i < len(l.path); i++ {
		if a, b := l.path[i-1], l.path[i]; b[1] >= y {
			return mix(a, b, (y-a[1])/(b[1]-a[1]))
		}
	}
	end := l.path[len(l.path)-1]
	return space.Vec{end[0], y, end[2]}
}
