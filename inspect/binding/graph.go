package binding

import (
	"math"
	"slices"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// graph is the welded surface: places, joined where a triangle has an edge, each
// neighbour once.
type graph struct {
	start  []uint32
	to     []uint32
	length []float32 // metres, world, rest
	shell  []uint32  // place → its shell, the lowest place in it
	used   []bool    // a triangle uses the place

	open   geom.Edges        // those of one triangle alone; only Ends and Count
	across map[uint32][]step // places across a slit and how far they are, once looked for
	looked bool
}

// buildGraph joins the places of one surface; rest positions are 3·V.
func buildGraph(e *exam.Exam, surface int, rest []float32) *graph {
	mesh := e.Rig.Surfaces[surface].Mesh
	m, weld := &e.Rig.Meshes[mesh], e.Weld(mesh)
	n := weld.Groups()
	g := &graph{start: make([]uint32, n+1), used: make([]bool, n)}
	shells := geom.NewUnion(n)
	fill := make([]uint32, n)
	for t := 0; t+2 < len(m.Triangles); t += 3 {
		a, b, c := weld.Of[m.Triangles[t]], weld.Of[m.Triangles[t+1]], weld.Of[m.Triangles[t+2]]
		fill[a] += 2
		fill[b] += 2
		fill[c] += 2
		g.used[a], g.used[b], g.used[c] = true, true, true
		shells.Join(a, b)
		shells.Join(b, c)
	}
	at := uint32(0)
	for i, count := range fill {
		fill[i] = at
		at += count
	}
	all := make([]uint32, at)
	ends := slices.Clone(fill)
	for t := 0; t+2 < len(m.Triangles); t += 3 {
		for k := range 3 {
			a, b := weld.Of[m.Triangles[t+k]], weld.Of[m.Triangles[t+(k+1)%3]]
			all[ends[a]], all[ends[b]] = b, a
			ends[a]++
			ends[b]++
		}
	}
	g.to = all[:0]
	for i := range n {
		list := all[fill[i]:ends[i]]
		slices.Sort(list)
		g.start[i] = uint32(len(g.to))
		for k, b := range list {
			if b == uint32(i) || k > 0 && list[k-1] == b {
				continue
			}
			g.to = append(g.to, b)
			if uint32(i) < b && (k+1 == len(list) || list[k+1] != b) { // listed once a triangle
				g.open.Ends, g.open.Count = append(g.open.Ends, uint32(i), b), append(g.open.Count, 1)
			}
		}
	}
	g.start[n] = uint32(len(g.to))
	g.length = make([]float32, len(g.to))
	for i := range n {
		p := rest[3*weld.First[i] : 3*weld.First[i]+3]
		for k := g.start[i]; k < g.start[i+1]; k++ {
			q := rest[3*weld.First[g.to[k]] : 3*weld.First[g.to[k]]+3]
			x, y, z := p[0]-q[0], p[1]-q[1], p[2]-q[2]
			g.length[k] = float32(math.Sqrt(float64(x*x + y*y + z*z)))
		}
	}
	g.shell = shells.Flatten()
	return g
}

// slits looks for what lies across a slit; rest positions are those of buildGraph.
func (g *graph) slits(e *exam.Exam, surface int, rest []float32) {
	if g.looked {
		return
	}
	weld := e.Weld(e.Rig.Surfaces[surface].Mesh)
	at := func(p uint32) space.Vec { return space.At(rest, weld.First[p]) }
	g.looked, g.across = true, map[uint32][]step{}
	for p, list := range geom.Slits(geom.BoundaryLoops(&g.open), func(p uint32) [3]float64 { return at(p) }, geom.SlitWidth*e.Diagonal()) {
		for _, q := range list {
			g.across[p] = append(g.across[p], step{float32(at(q).Sub(at(p)).Len()), q})
		}
	}
}

// walk measures distances along the edges of the surface, and straight across its slits, from some places (Dijkstra
// 1959): the shortest way over edges, at most a few percent longer than the way
// across the triangles on an even mesh. It keeps its memory from walk to walk.
type walk struct {
	far   []float32
	touch []uint32
	heap  []step
	watch *geom.Watch
}

type step struct {
	far   float32
	place uint32
}

// from goes on until every target has been reached, or budget places have been
// left. It answers how many places it has left. far holds the distances after it,
// +Inf where it never came.
func (w *walk) from(g *graph, sources, targets []uint32, isTarget []bool, budget int) int {
	if len(w.far) < len(g.used) {
		w.far = make([]float32, len(g.used))
		for i := range w.far {
			w.far[i] = float32(math.Inf(1))
		}
		w.touch = w.touch[:0]
	}
	for _, i := range w.touch {
		w.far[i] = float32(math.Inf(1))
	}
	w.touch, w.heap = w.touch[:0], w.heap[:0]
	for _, s := range sources {
		w.put(s, 0)
	}
	for _, t := range targets {
		isTarget[t] = true
	}
	left, wanted := 0, len(targets)
	for len(w.heap) > 0 && wanted > 0 && left < budget {
		s := w.take()
		if s.far > w.far[s.place] {
			continue
		}
		left++
		if left&1023 == 0 && !w.watch.Spend(20*1024) {
			break
		}
		if isTarget[s.place] {
			isTarget[s.place] = false
			wanted--
		}
		for k := g.start[s.place]; k < g.start[s.place+1]; k++ {
			w.put(g.to[k], s.far+g.length[k])
		}
		for _, a := range g.across[s.place] {
			w.put(a.place, s.far+a.far)
		}
	}
	for _, t := range targets {
		isTarget[t] = false
	}
	return left
}

func (w *walk) put(place uint32, far float32) {
	if !(far < w.far[place]) {
		return
	}
	if math.IsInf(float64(w.far[place]), 1) {
		w.touch = append(w.touch, place)
	}
	w.far[place] = far
	w.heap = append(w.heap, step{far, place})
	for i := len(w.heap) - 1; i > 0; {
		up := (i - 1) / 2
		if w.heap[up].far <= w.heap[i].far {
			break
		}
		w.heap[up], w.heap[i] = w.heap[i], w.heap[up]
		i = up
	}
}

func (w *walk) take() step {
	top, n := w.heap[0], len(w.heap)-1
	w.heap[0] = w.heap[n]
	w.heap = w.heap[:n]
	for i := 0; ; {
		c := 2*i + 1
		if c >= n {
			break
		}
		if c+1 < n && w.heap[c+1].far < w.heap[c].far {
			c++
		}
		if w.heap[i].far <= w.heap[c].far {
			break
		}
		w.heap[i], w.heap[c] = w.heap[c], w.heap[i]
		i = c
	}
	return top
}
