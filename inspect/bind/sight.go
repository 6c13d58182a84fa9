package bind

import (
	"rigloupe/inspect/space"
)

// near is one bone as a place sees it.
type near struct {
	bone     int32
	distance float64
}

// tries is how many of the nearest bones a place looks for.
const tries = 12

// farther than so many times the nearest bone, one that is seen means nothing.
const farther = 2.0

// near fills list with the bones that may hold a place.
func (f *Figure) near(p space.Vec, may []bool, list []near) []near {
	list = list[:0]
	for i := range f.Bones {
		if b := &f.Bones[i]; may == nil || may[b.Joint] {
			list = append(list, near{int32(i), b.Distance(p)})
		}
	}
	return list
}

// firstSeen answers the place in a list of the nearest bone that a place sees; −1: none of
// the nearest tries, and then which shell stands before the nearest.
func (f *Figure) firstSeen(place uint32, at space.Vec, list []near) (i int, by int32) {
	by = -1
	last, lastBone, first := -1.0, int32(-1), 0.0
	for try := range min(tries, len(list)) {
		best := -1
		for k, n := range list {
			later := n.distance > last || n.distance == last && n.bone > lastBone
			if later && (best < 0 || n.distance < list[best].distance) {
				best = k
			}
		}
		if best < 0 {
			break
		}
		last, lastBone = list[best].distance, list[best].bone
		if try == 0 {
			first = last
		} else if last > farther*max(first, leastFar*f.size) {
			break
		}
		before := f.before(place, at, f.Bones[lastBone].Nearest(at))
		if before < 0 {
			return best, -1
		}
		if try == 0 {
			by = before
		}
	}
	return -1, by
}

// ownShare of the way to a bone is the place itself.
const ownShare = 1e-3

// before answers the shell of a triangle that stands between a place and a point, −1 none.
func (f *Figure) before(place uint32, at, to space.Vec) (shell int32) {
	shell = -1
	f.surface.Pass(at, to, func(t int, share float64) bool {
		c := f.Triangles[3*t : 3*t+3]
		if share < ownShare || c[0] == place || c[1] == place || c[2] == place {
			return true
		}
		shell = f.Of[c[0]]
		return false
	})
	return shell
}
