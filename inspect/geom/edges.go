package geom

import (
	"cmp"
	"slices"
)

// Edges are the edges of a triangle mesh whose corners are welded places. Triangles
// with two equal corners have none.
type Edges struct {
	Ends  []uint32 // 2·E: the smaller place first, in rising order
	Count []uint32 // triangles at each edge
	Mixed []bool   // exactly two triangles, and both run the same way along it
	Of    []uint32 // 3·T: the edge from corner k to corner k+1 of each triangle; NoEdge
	Tri   []uint32 // 2·E: the first two triangles at each edge; the first twice where it has one
}

// NoEdge stands in Edges.Of for triangles that have none.
const NoEdge = ^uint32(0)

// N counts the edges.
func (e *Edges) N() int { return len(e.Count) }

// Open tells that one triangle alone has the edge.
func (e *Edges) Open(i int) bool { return e.Count[i] == 1 }

// FindEdges takes triangles (3·T) of places below n. It sorts by one end with a
// count, by the other within the few that share it: linear on meshes, n·log n when
// all triangles meet in one place.
func FindEdges(triangles []uint32, n int, watch *Watch) *Edges {
	count := len(triangles) / 3
	e := &Edges{Of: make([]uint32, 3*count)}
	start := make([]uint32, n+1)
	each := func(visit func(half, lo, hi uint32)) {
		for t := range count {
			if t%Stride == 0 && !watch.Spend(4*Stride) {
				return
			}
			c := [4]uint32{triangles[3*t], triangles[3*t+1], triangles[3*t+2], triangles[3*t]}
			if c[0] == c[1] || c[1] == c[2] || c[2] == c[0] {
				continue
			}
			for k := range 3 {
				visit(uint32(3*t+k), min(c[k], c[k+1]), max(c[k], c[k+1]))
			}
		}
	}
	for i := range e.Of {
		e.Of[i] = NoEdge
	}
	halves := 0
	each(func(_, lo, _ uint32) {
		start[lo+1]++
		halves++
	})
	for i := range n {
		start[i+1] += start[i]
	}
	// One word a half-edge: the far end above, its place in the list below, so that
	// sorting words sorts by end and then by triangle.
	list := make([]uint64, halves)
	fill := slices.Clone(start[:n])
	each(func(half, lo, hi uint32) {
		list[fill[lo]] = uint64(hi)<<32 | uint64(half)
		fill[lo]++
	})
	e.Ends, e.Tri = make([]uint32, 0, halves+halves/16), make([]uint32, 0, halves+halves/16)
	e.Count, e.Mixed = make([]uint32, 0, halves/2+halves/32), make([]bool, 0, halves/2+halves/32)
	for lo := range uint32(n) {
		if lo%Stride == 0 && !watch.Spend(16*Stride) {
			break
		}
		part := list[start[lo]:start[lo+1]]
		if len(part) > 24 {
			slices.SortFunc(part, func(a, b uint64) int { return cmp.Compare(a, b) })
		} else {
			for i := 1; i < len(part); i++ {
				x, j := part[i], i
				for ; j > 0 && part[j-1] > x; j-- {
					part[j] = part[j-1]
				}
				part[j] = x
			}
		}
		for i := 0; i < len(part); {
			hi := uint32(part[i] >> 32)
			j, forward := i, 0
			for ; j < len(part) && uint32(part[j]>>32) == hi; j++ {
				half := uint32(part[j])
				e.Of[half] = uint32(len(e.Count))
				if triangles[half] == lo {
					forward++
				}
			}
			e.Ends = append(e.Ends, lo, hi)
			e.Count = append(e.Count, uint32(j-i))
			e.Tri = append(e.Tri, uint32(part[i])/3, uint32(part[min(i+1, j-1)])/3)
			e.Mixed = append(e.Mixed, j-i == 2 && forward != 1)
			i = j
		}
	}
	if watch.Err() != nil {
		*e = Edges{Of: e.Of}
		for i := range e.Of {
			e.Of[i] = NoEdge
		}
	}
	return e
}
