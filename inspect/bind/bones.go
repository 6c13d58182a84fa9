package bind

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Joints are the skeleton: where each stands, metres, and which is above it, −1 none.
// Parents may stand behind their children.
type Joints struct {
	At     []space.Vec
	Parent []int

	// Of a figure with two sides alike: its mirror plane, and for each joint the one on the
	// other side, itself in the middle. Both nil: there are no sides.
	Middle  *geom.Plane
	Partner []int

	// Carried tells which joint takes a joint along when it turns, −1 none; nil: Parent does. A
	// finger's joint that hangs beside the one before it goes on being the next of the finger.
	Carried []int
}

// Bone is the stretch that a joint moves: to one of its children, or, at the end of a
// chain, on towards the surface.
type Bone struct {
	Joint    int
	From, To space.Vec
	End      bool // no joint below: its length is a guess
	Mark     bool // an end that stands at the end of the surface: no bone, a mark
}

const (
	// endShare of the way to the surface is as long as a bone at a chain's end is.
	endShare = 0.8
	// markRoom is how much longer than the way to the nearest surface the longest way on
	// must be at a joint that is more than a mark.
	markRoom = 1.6
	// farReach times the length of the bone before is as far as is looked.
	farReach = 6
)

// Bones lists the bones of a skeleton, by joint. At a chain's end the bone goes where the
// surface leaves most room within 75° of the way it came; a joint alone is a point.
func (j *Joints) Bones(surface *geom.Triangles, inside func(space.Vec) float64) (out []Bone) {
	children := make([][]int, len(j.At))
	for i, p := range j.Parent {
		if p >= 0 {
			children[p] = append(children[p], i)
		}
	}
	for i, at := range j.At {
		if !space.Finite(at) {
			continue
		}
		some := false
		for _, k := range children[i] {
			if d := j.At[k].Sub(at).Len(); d > 0 && space.Finite(j.At[k]) {
				out, some = append(out, Bone{Joint: i, From: at, To: j.At[k]}), true
			}
		}
		if !some {
			out = append(out, j.end(i, surface, inside))
		}
	}
	j.even(out)
	return out
}

// alikeShare of a guessed bone's length may partners' joints be off each other's image.
const alikeShare = 0.2

// even gives partners whose joints stand opposite each other the same guess: the longer one
// and its mirror image.
func (j *Joints) even(bones []Bone) {
	if j.Middle == nil {
		return
	}
	end := make([]int, len(j.At))
	for i := range end {
		end[i] = -1
	}
	for i, b := range bones {
		if b.End {
			end[b.Joint] = i
		}
	}
	length := func(i int) float64 { return bones[i].To.Sub(bones[i].From).Len() }
	for i, k := range j.Partner {
		if k <= i || end[i] < 0 || end[k] < 0 {
			continue
		}
		a, b := end[i], end[k]
		if length(b) > length(a) {
			a, b = b, a
		}
		if j.Middle.Reflect(bones[a].From).Sub(bones[b].From).Len() > alikeShare*length(a) {
			continue
		}
		bones[b].To = bones[b].From.Add(j.Middle.Reflect(bones[a].To).Sub(j.Middle.Reflect(bones[a].From)))
		mark := bones[a].Mark && bones[b].Mark
		bones[a].Mark, bones[b].Mark = mark, mark
	}
}

// end is the bone of a joint without any below it: as far on as the inside goes, straight
// where that is at least half of the most room there is within 75°; where the inside ends
// at once (a lantern's cage below a chain), straight to the farthest surface near by.
func (j *Joints) end(i int, surface *geom.Triangles, inside func(space.Vec) float64) Bone {
	at := j.At[i]
	b := Bone{Joint: i, From: at, To: at, End: true}
	way, length := j.came(i)
	if length == 0 || surface == nil {
		return b
	}
	depth := inside(at)
	reach := farReach * length
	var to space.Vec
	best, least := 0.0, math.Inf(1)
	for k, d := range around(way) {
		free := room(surface, at, d, reach, depth)
		least = min(least, free)
		c := d.Dot(way)
		if c < .25 {
			continue
		}
		// The first is straight on, and stays unless another is twice as good.
		if score := free * math.Sqrt(c); score > best {
			best, to = score, d.Mul(free)
			if k == 0 {
				best *= 2
			}
		}
	}
	b.Mark = to.Len() < markRoom*least && to.Len() < length/2
	if to.Len() < length/2 {
		far := 0.0
		surface.Pass(at, at.Add(around(way)[0].Mul(2*length)), func(_ int, share float64) bool {
			far = max(far, share*2*length)
			return true
		})
		if far > to.Len() {
			to = way.Mul(far)
		}
	}
	b.To = at.Add(to.Mul(endShare))
	return b
}

// room is how far one can go from a point in a direction without leaving the inside, at
// most reach; depth is the winding number where one starts. 0: one starts outside.
func room(surface *geom.Triangles, at, way space.Vec, reach, depth float64) float64 {
	if math.Abs(depth) < .5 {
		return 0
	}
	var list []cut
	surface.Pass(at, at.Add(way.Mul(reach)), func(t int, share float64) bool {
		out := 1.0
		if surface.Normal(t).Dot(way) < 0 {
			out = -1
		}
		list = append(list, cut{share * reach, out})
		return true
	})
	slices.SortFunc(list, func(a, b cut) int { return cmp.Compare(a.at, b.at) })
	for _, c := range list {
		if depth -= c.out; math.Abs(depth) < .5 {
			return c.at
		}
	}
	return reach
}

// cut is where a way passes the surface, 1 outwards, −1 inwards.
type cut struct{ at, out float64 }

// around are directions all over the sphere, evenly, the given one first (spiral of
// Fibonacci; Swinbank, Purser 2006).
func around(way space.Vec) []space.Vec {
	x := space.Square(way)
	y := way.Cross(x)
	const n = 64 // 0.2 of the 4π each: some 25° apart
	// A hair off: figures have edges and corners just above their joints.
	out := []space.Vec{space.Direction(way.Add(x.Mul(3.7e-3)).Add(y.Mul(2.3e-3)))}
	for k := range n {
		z := 1 - (2*float64(k)+1)/n
		r := math.Sqrt(1 - z*z)
		s, c := math.Sincos(float64(k) * math.Pi * (3 - math.Sqrt(5)))
		out = append(out, way.Mul(z).Add(x.Mul(r*c)).Add(y.Mul(r*s)))
	}
	return out
}

// came answers the way from the nearest joint above that stands elsewhere, and how far it
// is.
func (j *Joints) came(i int) (way space.Vec, length float64) {
	for p, n := j.Parent[i], 0; p >= 0 && n < len(j.At); p, n = j.Parent[p], n+1 {
		if d := j.At[i].Sub(j.At[p]); d.Len() > 0 && !math.IsInf(d.Len(), 0) {
			return space.Direction(d), d.Len()
		}
	}
	return space.Vec{}, 0
}

// Distance is how far a point is from the bone, metres.
func (b *Bone) Distance(p space.Vec) float64 { return space.ToSegment(p, b.From, b.To) }

// Nearest is the point of the bone nearest to p.
func (b *Bone) Nearest(p space.Vec) space.Vec {
	return b.From.Add(b.To.Sub(b.From).Mul(space.Along(p, b.From, b.To)))
}
