package geom

import (
	"math"

	"rigloupe/inspect/space"
)

// Solid is a shape on a grid of cubes: those that a triangle passes through and those
// that are closed in. Distances through it go from part to part where parts touch,
// whatever the triangles share.
type Solid struct {
	N      [3]int
	Cell   float64   // metres
	Origin space.Vec // of cube 0's corner
	In     []bool    // x fastest, then y, then z
}

// solidMarks bounds the points that are laid on triangles, half a second of work. A closed
// surface of a million small triangles takes 3 million, and each large one that crosses
// the whole grid up to 30,000: thousands of those fill it from end to end and are no shape.
const solidMarks = 40_000_000

// NewSolid puts triangles (3·T) of points (3·V) on a grid whose longest side has so
// many cubes. nil: no finite extent, or triangles that cross everything (solidMarks).
func NewSolid(points []float32, triangles []uint32, cubes int, watch *Watch) *Solid {
	s := newShell(points, triangles, cubes, watch)
	if s != nil {
		s.fill()
	}
	return s
}

// newShell sets the cubes that a triangle passes through alone.
func newShell(points []float32, triangles []uint32, cubes int, watch *Watch) *Solid {
	box := EmptyBox()
	for _, v := range triangles {
		if p := space.At(points, v); space.Finite(p) {
			box.Add(p)
		}
	}
	size := box.Size()
	long := max(size[0], size[1], size[2])
	if box.IsEmpty() || !(long > 0) || math.IsInf(long, 0) || cubes < 1 {
		return nil
	}
	s := &Solid{Cell: long / float64(cubes)}
	for c := range 3 {
		s.N[c] = int(size[c]/s.Cell) + 4 // an empty cube all round, for the flood
		s.Origin[c] = box.Min[c] - 1.5*s.Cell
	}
	s.In = make([]bool, s.N[0]*s.N[1]*s.N[2])
	marks, told := 0, 0
	for t := 0; t+2 < len(triangles); t += 3 {
		a, b, c := space.At(points, triangles[t]), space.At(points, triangles[t+1]), space.At(points, triangles[t+2])
		n := s.steps(a, b, c)
		marks += (n + 1) * (n + 2) / 2
		if marks > solidMarks {
			return nil
		}
		if marks-told > Stride { // one large triangle is as much work as thousands of small ones
			if !watch.Spend(7 * (marks - told)) {
				return nil
			}
			told = marks
		}
		s.mark(a, b, c, n)
	}
	return s
}

// steps is into how many parts the sides of a triangle are cut, so that points on it lie
// no farther apart than half a cube; −1: it has no finite size.
func (s *Solid) steps(a, b, c space.Vec) int {
	long := max(b.Sub(a).Len(), c.Sub(a).Len(), c.Sub(b).Len())
	if n := long / (s.Cell / 2); n < 4096 {
		return int(n) + 1
	}
	return -1
}

// mark sets the cubes of a triangle by points on it, its sides cut into n parts.
func (s *Solid) mark(a, b, c space.Vec, n int) {
	u, v := b.Sub(a), c.Sub(a)
	for i := range n + 1 {
		for j := range n + 1 - i {
			x, y := float64(i)/float64(n), float64(j)/float64(n)
			if k := s.Index(space.Vec{a[0] + x*u[0] + y*v[0], a[1] + x*u[1] + y*v[1], a[2] + x*u[2] + y*v[2]}); k >= 0 {
				s.In[k] = true
			}
		}
	}
}

// fill sets the cubes that cannot be reached from outside.
func (s *Solid) fill() {
	out := make([]bool, len(s.In))
	stack := []int32{0}
	out[0] = true
	step := [3]int{1, s.N[0], s.N[0] * s.N[1]}
	for len(stack) > 0 {
		k := int(stack[len(stack)-1])
		stack = stack[:len(stack)-1]
		at := [3]int{k % s.N[0], k / s.N[0] % s.N[1], k / (s.N[0] * s.N[1])}
		for c := range 3 {
			for _, d := range [2]int{-1, 1} {
				if x := at[c] + d; x < 0 || x >= s.N[c] {
					continue
				}
				if n := k + d*step[c]; !out[n] && !s.In[n] {
					out[n] = true
					stack = append(stack, int32(n))
				}
			}
		}
	}
	for k := range s.In {
		s.In[k] = !out[k]
	}
}

// Index is the cube that holds a point, −1 outside the grid.
func (s *Solid) Index(p space.Vec) int {
	var i [3]int
	for c := range 3 {
		x := (p[c] - s.Origin[c]) / s.Cell
		if !(x >= 0 && x < float64(s.N[c])) {
			return -1
		}
		i[c] = int(x)
	}
	return (i[2]*s.N[1]+i[1])*s.N[0] + i[0]
}

// At is the middle of a cube.
func (s *Solid) At(k int) space.Vec {
	i := [3]int{k % s.N[0], k / s.N[0] % s.N[1], k / (s.N[0] * s.N[1])}
	var p space.Vec
	for c := range 3 {
		p[c] = s.Origin[c] + (float64(i[c])+0.5)*s.Cell
	}
	return p
}

// Distances are the lengths of the shortest ways through the solid from any of the
// sources, metres, over cubes that meet in a face, an edge or a corner; +Inf where
// none leads, and outside. from names the cube before each on its way, −1 at sources.
func (s *Solid) Distances(sources []int32) (far []float32, from []int32) {
	far, from = make([]float32, len(s.In)), make([]int32, len(s.In))
	for k := range far {
		far[k], from[k] = float32(math.Inf(1)), -1
	}
	s.approach(sources, far, from)
	return far, from
}

// approach brings far and from of earlier sources up to date where the new ones are nearer.
func (s *Solid) approach(sources []int32, far []float32, from []int32) {
	// Buckets one cube wide: no step is shorter, so what is in the nearest bucket is
	// settled when its turn comes (Dial 1969).
	var near [4][]int32 // a step is at most √3 cubes
	for _, k := range sources {
		if s.In[k] && far[k] != 0 {
			far[k], from[k] = 0, -1
			near[0] = append(near[0], k)
		}
	}
	var step [27]int
	var length [27]float32
	for i := range step {
		dx, dy, dz := i%3-1, i/3%3-1, i/9-1
		step[i] = (dz*s.N[1]+dy)*s.N[0] + dx
		length[i] = float32(s.Cell * math.Sqrt(float64(dx*dx+dy*dy+dz*dz)))
	}
	bucket := func(d float32) int { return int(float64(d) / s.Cell) }
	for at, empty := 0, 0; empty < len(near); at++ {
		list := near[at%4]
		if len(list) == 0 {
			empty++
			continue
		}
		empty = 0
		for i := 0; i < len(list); i++ {
			k := list[i]
			if bucket(far[k]) != at { // a shorter way was found meanwhile, and is done
				continue
			}
			for j, by := range step {
				// The outermost cubes are empty, so no neighbour lies beyond the grid.
				n := int(k) + by
				if n < 0 || n >= len(s.In) || !s.In[n] {
					continue
				}
				if d := far[k] + length[j]; d < far[n] {
					far[n], from[n] = d, k
					b := bucket(d) % 4
					near[b] = append(near[b], int32(n))
					if b == at%4 {
						list = near[b]
					}
				}
			}
		}
		near[at%4] = list[:0]
	}
}

// Tip is an end of a shape: the farthest cube of a branch.
type Tip struct {
	Cube   int32
	Length float64 // metres, from the tip to the branch it grows out of
}

// Tips answers the ends of the part of the solid that the root is in, the longest
// branch first: the farthest cube, then the farthest from the way to it, and so on,
// while a branch is longer than least. So the ends of limbs are found, and not every
// bump of the trunk (common practice: extremal points by geodesic distance).
func (s *Solid) Tips(root int32, least float64, most int) (tips []Tip) {
	far, from := s.Distances([]int32{root})
	for len(tips) < most {
		best := int32(-1)
		for k, d := range far {
			if !math.IsInf(float64(d), 0) && (best < 0 || d > far[best]) {
				best = int32(k)
			}
		}
		if best < 0 || float64(far[best]) < least {
			break
		}
		tips = append(tips, Tip{best, float64(far[best])})
		var way []int32
		for k := best; k >= 0; k = from[k] {
			way = append(way, k)
		}
		s.approach(way, far, from)
	}
	return tips
}
