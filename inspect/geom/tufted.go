package geom

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/space"
)

// Laplacian of a surface of any kind, also with open and branching edges, slivers and
// triangles wound either way: the tufted cover of its triangles, each with a front and a
// back, glued about every edge to the side it faces, so that each edge of the cover has two
// sides (Sharp, Crane 2020); its edges are flipped, by lengths alone, until they are
// Delaunay, so that no weight is negative and the maximum principle holds (Bobenko,
// Springborn 2007). The surface itself does not change.
type Laplacian struct {
	Ends   []uint32  // 2·E places; a pair may stand more than once
	Weight []float64 // E: half the cotangents of the two angles opposite, ≥ 0
	Area   []float64 // one a place: a third of its triangles, m²
	Flips  int
}

// flipsPerEdge bounds the work; a surface takes about one a hundred edges, soup some.
const flipsPerEdge = 200

// NewLaplacian takes places (3·V) and triangles (3·T) of them. Triangles with two equal
// corners or one that is not finite count nothing; those without area are held apart by a
// hundred-thousandth of the mean edge.
func NewLaplacian(points []float32, triangles []uint32, edges *Edges, watch *Watch) *Laplacian {
	c := newCover(points, triangles, edges, watch)
	l := &Laplacian{Area: make([]float64, len(points)/3)}
	if watch.Err() != nil {
		return l
	}
	l.Flips = c.delaunay(watch)
	for h, g := range c.twin {
		if g < 0 {
			continue
		}
		if int(g) > h {
			if w := (c.cotangent(int32(h)) + c.cotangent(g)) / 4; w > 0 {
				l.Ends, l.Weight = append(l.Ends, c.origin[h], c.origin[g]), append(l.Weight, w)
			}
		}
		// A face gives a third of itself to each corner, and the cover is there twice.
		l.Area[c.origin[h]] += c.area(int32(h)) / 6
	}
	return l
}

// cover is a surface by half-edges. Those that belong to no triangle have the twin −1.
type cover struct {
	twin, next []int32
	origin     []uint32
	length     []float64
}

func newCover(points []float32, triangles []uint32, edges *Edges, watch *Watch) *cover {
	count := len(triangles) / 3
	c := &cover{twin: make([]int32, 6*count), next: make([]int32, 6*count), origin: make([]uint32, 6*count), length: make([]float64, 6*count)}
	good := func(t int) bool {
		if edges.Of[3*t] == NoEdge {
			return false
		}
		for _, v := range triangles[3*t : 3*t+3] {
			if !space.Finite(space.At(points, v)) {
				return false
			}
		}
		return true
	}
	// Half-edges of triangle t: 6t+k runs from corner k to corner k+1 in front, 6t+5−k the
	// other way on the back.
	start := make([]uint32, edges.N()+1)
	sum, n := 0.0, 0
	for t := range count {
		if t%Stride == 0 && !watch.Spend(12*Stride) {
			return c
		}
		ok := good(t)
		for k := range 3 {
			h, b := 6*t+k, 6*t+5-k
			c.twin[h], c.twin[b] = -1, -1
			if !ok {
				continue
			}
			v, w := triangles[3*t+k], triangles[3*t+(k+1)%3]
			c.next[h], c.next[b] = int32(6*t+(k+1)%3), int32(6*t+5-(k+2)%3)
			c.origin[h], c.origin[b] = v, w
			d := space.At(points, w).Sub(space.At(points, v)).Len()
			c.length[h], c.length[b] = d, d
			sum, n = sum+d, n+1
			start[edges.Of[3*t+k]+1]++
		}
	}
	for i := range edges.N() {
		start[i+1] += start[i]
	}
	list := make([]int32, n)
	at := slices.Clone(start[:edges.N()])
	for t := range count {
		for k := range 3 {
			if h := 6*t + k; c.next[h] != 0 || c.next[6*t+5-k] != 0 {
				e := edges.Of[3*t+k]
				list[at[e]] = int32(h)
				at[e]++
			}
		}
	}
	for e := range edges.N() {
		c.glue(points, list[start[e]:start[e+1]], edges.Ends[2*e], edges.Ends[2*e+1])
	}
	if n > 0 {
		c.apart(1e-5 * sum / float64(n))
	}
	return c
}

// glue joins the sides of all triangles at one edge, round about it.
func (c *cover) glue(points []float32, at []int32, from, to uint32) {
	if len(at) > 2 {
		a := space.At(points, from)
		axis := space.Direction(space.At(points, to).Sub(a))
		x := space.Square(axis)
		y := axis.Cross(x)
		angle := map[int32]float64{}
		for _, h := range at {
			p := space.At(points, c.origin[c.next[c.next[h]]]).Sub(a)
			angle[h] = math.Atan2(p.Dot(y), p.Dot(x))
		}
		slices.SortFunc(at, func(g, h int32) int {
			return cmp.Or(cmp.Compare(angle[g], angle[h]), cmp.Compare(g, h))
		})
	}
	// The side that runs along the edge faces where the angle rises.
	sides := func(h int32) (rising, falling int32) {
		back := h/6*6 + 5 - h%6
		if c.origin[h] == from {
			return h, back
		}
		return back, h
	}
	for i, h := range at {
		rising, _ := sides(h)
		_, falling := sides(at[(i+1)%len(at)])
		c.twin[rising], c.twin[falling] = falling, rising
	}
}

// apart lengthens all edges alike until each triangle's two short ones are longer than the
// third by a whisker.
func (c *cover) apart(whisker float64) {
	more := 0.0
	for h, g := range c.twin {
		if g >= 0 {
			a, b := c.next[h], c.next[c.next[h]]
			more = max(more, whisker-(c.length[a]+c.length[b]-c.length[h]))
		}
	}
	for h := range c.length {
		c.length[h] += more
	}
}

// area is that of the face of a half-edge (Kahan's order, so that slivers keep digits).
func (c *cover) area(h int32) float64 {
	x, y, z := c.length[h], c.length[c.next[h]], c.length[c.next[c.next[h]]]
	if x < y {
		x, y = y, x
	}
	if y < z {
		y, z = z, y
	}
	if x < y {
		x, y = y, x
	}
	return math.Sqrt(max(0, (x+(y+z))*(z-(x-y))*(z+(x-y))*(x+(y-z)))) / 4
}

// cotangent of the angle opposite a half-edge in its face.
func (c *cover) cotangent(h int32) float64 {
	a, b, d := c.length[h], c.length[c.next[h]], c.length[c.next[c.next[h]]]
	area := c.area(h)
	if area == 0 {
		return 0
	}
	return (b*b + d*d - a*a) / (4 * area)
}

// delaunay flips edges whose two angles opposite are more than 180° together.
func (c *cover) delaunay(watch *Watch) (flips int) {
	waits := make([]bool, len(c.twin))
	var stack []int32
	put := func(h int32) {
		if e := min(h, c.twin[h]); !waits[e] {
			waits[e] = true
			stack = append(stack, e)
		}
	}
	for h := len(c.twin) - 1; h >= 0; h-- {
		if c.twin[h] > int32(h) {
			put(int32(h))
		}
	}
	for most := flipsPerEdge*len(stack) + 1000; len(stack) > 0 && flips < most && watch.Spend(8); {
		h := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		waits[h] = false
		g := c.twin[h]
		if c.next[h] == g || c.next[g] == h || c.cotangent(h)+c.cotangent(g) >= -1e-10 {
			continue
		}
		h1, g1 := c.next[h], c.next[g]
		h2, g2 := c.next[h1], c.next[g1]
		c.flip(h, g)
		flips++
		for _, e := range [4]int32{h1, h2, g1, g2} {
			put(e)
		}
	}
	return flips
}

// flip turns the edge i→j of the faces i j k and j i l into k–l.
func (c *cover) flip(h, g int32) {
	h1, g1 := c.next[h], c.next[g]
	h2, g2 := c.next[h1], c.next[g1]
	// Laid out flat: i in the origin, j on the axis, k above, l below.
	along := c.length[h]
	kx := (along*along + c.length[h2]*c.length[h2] - c.length[h1]*c.length[h1]) / (2 * along)
	lx := (along*along + c.length[g1]*c.length[g1] - c.length[g2]*c.length[g2]) / (2 * along)
	ky, ly := 2*c.area(h)/along, -2*c.area(g)/along
	c.origin[h], c.origin[g] = c.origin[g2], c.origin[h2]
	d := math.Hypot(kx-lx, ky-ly)
	c.length[h], c.length[g] = d, d
	// l→k, k→i, i→l and k→l, l→j, j→k.
	c.next[h], c.next[h2], c.next[g1] = h2, g1, h
	c.next[g], c.next[g2], c.next[h1] = g2, h1, g
}
