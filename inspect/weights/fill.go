package weights

import (
	"cmp"
	"container/heap"
	"math"
	"slices"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Web is the welded surface: places, joined where a triangle has an edge.
type Web struct {
	start  []uint32
	to     []uint32
	length []float64
	points []float32 // 3·places
}

// NewWeb joins places by triangles that name them; points are 3·places.
func NewWeb(points []float32, triangles []uint32, watch *geom.Watch) *Web {
	n := len(points) / 3
	e := geom.FindEdges(triangles, n, watch)
	w := &Web{start: make([]uint32, n+1), to: make([]uint32, 2*e.N()), length: make([]float64, 2*e.N()), points: points}
	for i := range e.N() {
		w.start[e.Ends[2*i]+1]++
		w.start[e.Ends[2*i+1]+1]++
	}
	for i := range n {
		w.start[i+1] += w.start[i]
	}
	at := slices.Clone(w.start)
	for i := range e.N() {
		a, b := e.Ends[2*i], e.Ends[2*i+1]
		d := space.At(points, int(a)).Sub(space.At(points, int(b))).Len()
		w.to[at[a]], w.length[at[a]] = b, d
		at[a]++
		w.to[at[b]], w.length[at[b]] = a, d
		at[b]++
	}
	return w
}

// Beside lists the places that a place shares an edge with.
func (w *Web) Beside(place uint32) []uint32 { return w.to[w.start[place]:w.start[place+1]] }

// Nearest answers for each place of a patch the nearest place that is a source, along the
// edges; where none can be reached, straight through space; −1 where there is no source.
// The patch itself holds no source. The work is n·log n of the patch and what lies around.
func (w *Web) Nearest(patch []uint32, source func(place uint32) bool) []int32 {
	in := map[uint32]int32{}
	for i, p := range patch {
		in[p] = int32(i)
	}
	out := make([]int32, len(patch))
	far := make([]float64, len(patch))
	for i := range out {
		out[i], far[i] = -1, math.Inf(1)
	}
	// From the rim inwards: a source beside the patch is at the length of the edge.
	var q queue
	for i, p := range patch {
		for k := w.start[p]; k < w.start[p+1]; k++ {
			if _, inside := in[w.to[k]]; !inside && source(w.to[k]) && w.length[k] < far[i] {
				far[i], out[i] = w.length[k], int32(w.to[k])
			}
		}
		if out[i] >= 0 {
			q = append(q, item{far[i], int32(i)})
		}
	}
	heap.Init(&q)
	for len(q) > 0 {
		x := heap.Pop(&q).(item)
		if x.far > far[x.at] {
			continue
		}
		p := patch[x.at]
		for k := w.start[p]; k < w.start[p+1]; k++ {
			i, inside := in[w.to[k]]
			if d := x.far + w.length[k]; inside && d < far[i] {
				far[i], out[i] = d, out[x.at]
				heap.Push(&q, item{d, i})
			}
		}
	}
	if !slices.Contains(out, -1) {
		return out
	}
	var places []uint32
	var points []float32
	for p := range len(w.points) / 3 {
		if _, inside := in[uint32(p)]; !inside && source(uint32(p)) {
			places = append(places, uint32(p))
			points = append(points, w.points[3*p:3*p+3]...)
		}
	}
	if len(places) == 0 {
		return out
	}
	tree := geom.NewTree(points)
	for i, p := range patch {
		if out[i] < 0 {
			if id, d := tree.Nearest(w.points[3*p], w.points[3*p+1], w.points[3*p+2], math.MaxFloat32); d < math.MaxFloat32 {
				out[i] = int32(places[id])
			}
		}
	}
	return out
}

// Soften takes rows of the places of a patch nearer to those around them: each round every
// one becomes the mean of itself and the mean of its neighbours, inside the patch and out;
// rows outside do not change. row answers the whole row of any place.
func (w *Web) Soften(patch []uint32, rows [][]Hold, row func(place uint32) []Hold, rounds int) {
	in := map[uint32]int{}
	for i, p := range patch {
		in[p] = i
	}
	for range rounds {
		next := make([][]Hold, len(rows))
		for i, p := range patch {
			var mean []Hold
			n := float64(w.start[p+1] - w.start[p])
			for k := w.start[p]; k < w.start[p+1]; k++ {
				from := []Hold(nil)
				if j, inside := in[w.to[k]]; inside {
					from = rows[j]
				} else {
					from = row(w.to[k])
				}
				for _, h := range from {
					mean = Add(mean, h.Joint, h.Weight/(2*n))
				}
			}
			for _, h := range rows[i] {
				mean = Add(mean, h.Joint, h.Weight/2)
			}
			// Equal sums in any order: joints by number, then by strength.
			slices.SortFunc(mean, func(a, b Hold) int { return cmp.Compare(a.Joint, b.Joint) })
			Sort(mean)
			Whole(mean)
			next[i] = mean
		}
		copy(rows, next)
	}
}

type item struct {
	far float64
	at  int32
}

type queue []item

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	return q[i].far < q[j].far || q[i].far == q[j].far && q[i].at < q[j].at
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(item)) }
func (q *queue) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}
