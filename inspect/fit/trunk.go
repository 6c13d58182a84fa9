package fit

import (
	"math"

	"rigloupe/inspect/space"
)

// trunk is the middle of a figure: what of each level section lies across the plane. At
// the shoulders that holds the arms, which is as well: above them it is narrow.
type trunk struct {
	neck   float64 // height of the narrowest section between shoulders and head
	valley float64 // how much narrower it is than what lies on both sides: 0…1
	f      *figure
	area   []float64 // by level, of what lies across the plane
	z      []float64 // its middle, likewise
}

// findTrunk measures it above the fork; shoulder is the height of the shoulders.
func (f *figure) findTrunk(shoulder float64) (*trunk, error) {
	t := &trunk{f: f, area: make([]float64, len(f.levels)), z: make([]float64, len(f.levels))}
	for j := range f.levels {
		l := &f.levels[j]
		best := -1
		for i := range l.parts {
			p := &l.parts[i]
			if p.x0 < f.solid.Cell && p.x1 > -f.solid.Cell && (best < 0 || p.cubes > l.parts[best].cubes) {
				best = i
			}
		}
		if best >= 0 {
			t.area[j] = float64(l.parts[best].cubes) * f.solid.Cell * f.solid.Cell
			t.z[j] = l.parts[best].z
		}
	}
	return t, t.findNeck(shoulder)
}

// leastValley is how much narrower than head and shoulders a neck is, as a share: a head
// that grows out of the trunk has a dent at least. headLeast of the height stands above the
// shoulders where there is a head.
const (
	leastValley = 0.03
	headLeast   = 0.06
)

// findNeck is the deepest dent of the section above the shoulders.
func (t *trunk) findNeck(shoulder float64) error {
	from := t.f.at(shoulder - .04*t.f.height)
	top := len(t.area) - 1
	for top > from && t.area[top] == 0 {
		top--
	}
	above := make([]float64, top+2)
	for j := top; j >= from; j-- {
		above[j] = max(above[j+1], t.area[j])
	}
	best, below := -1, 0.0
	for j := from; j <= top; j++ {
		below = max(below, t.area[j])
		if j == from || t.area[j] == 0 {
			continue
		}
		if side := min(below, above[j]); side > 0 {
			if v := 1 - t.area[j]/side; v > t.valley {
				t.valley, best = v, j
			}
		}
	}
	if float64(top-from)*t.f.solid.Cell < headLeast*t.f.height {
		return &Refusal{Why: NoNeck}
	}
	if t.valley < leastValley {
		// Shoulders run into the head without a dent: the narrowest place under the
		// head's widest.
		t.valley, best = 0, from+1
		widest := best
		for j := best; j <= top; j++ {
			if t.area[j] > t.area[widest] {
				widest = j
			}
		}
		for j := best; j <= widest; j++ {
			if t.area[j] < t.area[best] {
				best = j
			}
		}
	}
	t.neck = t.f.levels[best].y
	return nil
}

// middle is where the trunk's middle runs at a height.
func (t *trunk) middle(y float64) space.Vec {
	j := t.f.at(y)
	sum, n := 0.0, 0.0
	for k := max(0, j-2); k <= min(len(t.z)-1, j+2); k++ {
		if t.area[k] > 0 {
			sum, n = sum+t.z[k], n+1
		}
	}
	if n == 0 {
		return space.Vec{0, y, 0}
	}
	return space.Vec{0, y, sum / n}
}

// top is the height of the crown: of the highest section across the plane.
func (t *trunk) top() float64 {
	for j := len(t.area) - 1; j >= 0; j-- {
		if t.area[j] > 0 {
			return t.f.levels[j].y + t.f.solid.Cell/2
		}
	}
	return math.NaN()
}
