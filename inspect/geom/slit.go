package geom

import (
	"math"
	"slices"
)

// Cut cloth: a slit parts what hangs together, and a way along the surface goes round it. What lies across one is near all
// the same. A round opening (a neck, a hem) is no slit: there half the circumference is π/2 of the width, and nothing
// leads across.
const (
	// slitRatio is from how many times its width on the way along the rim between two places is that of a slit: between
	// that of a circle, 1.57, and of a rectangle thrice as long as wide, which is 4 in its middle.
	slitRatio = 2
	// SlitWidth is how wide one may be, as a part of the figure's diagonal: 12 cm of a person with arms spread (common
	// practice, no source; looked at on fronts and belts that are open by up to 8 cm).
	SlitWidth = 0.05
	// slitCrowd is how many places of one rim are looked at from each of its places: rims stay linear.
	slitCrowd = 2000
)

// Slits pairs each place of a closed rim with the nearest one across, where the opening is narrow there and at most width
// metres wide. at answers where a place is, metres. The answer is by place, either way, each list in no order that means
// anything but the same each time; nil: there is none.
func Slits(loops []Loop, at func(place uint32) [3]float64, width float64) map[uint32][]uint32 {
	var across map[uint32][]uint32
	pair := func(p, q uint32) {
		if across == nil {
			across = map[uint32][]uint32{}
		}
		if !slices.Contains(across[p], q) {
			across[p] = append(across[p], q)
		}
	}
	for _, l := range loops {
		if !l.Closed || len(l.Places) < 4 {
			continue
		}
		n := len(l.Places)
		along := make([]float64, n+1) // from the first place
		points := make([]float32, 0, 3*n)
		for i, p := range l.Places {
			x := at(p)
			along[i+1] = along[i] + apart(x, at(l.Places[(i+1)%n]))
			points = append(points, float32(x[0]), float32(x[1]), float32(x[2]))
		}
		tree, whole := NewTree(points), along[n]
		for i, p := range l.Places {
			nearest, best, looked := -1, math.Inf(1), 0
			x := at(p)
			tree.Within(points[3*i], points[3*i+1], points[3*i+2], float32(width*width), func(id uint32) bool {
				looked++
				d, s := apart(x, at(l.Places[id])), math.Abs(along[id]-along[i])
				s = min(s, whole-s)
				if int(id) != i && s >= slitRatio*d && (d < best || d == best && int(id) < nearest) {
					nearest, best = int(id), d
				}
				return looked < slitCrowd
			})
			if nearest >= 0 {
				pair(p, l.Places[nearest])
				pair(l.Places[nearest], p)
			}
		}
	}
	return across
}

func apart(a, b [3]float64) float64 {
	x, y, z := a[0]-b[0], a[1]-b[1], a[2]-b[2]
	return math.Sqrt(x*x + y*y + z*z)
}
