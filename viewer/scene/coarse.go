package scene

import (
	"math"
	"slices"

	"rigloupe/inspect/space"
	"rigloupe/viewer/raster"
)

// A figure of more triangles than heavy is drawn from its coarse copy while
// something moves; the copy has at most about light.
const (
	heavy = 60000
	light = 40000
)

// coarsen joins the vertices of each part that share a cell of a grid and keeps
// the triangles that still have three corners. Each cell is stood for by one of
// its own vertices, so the copy is skinned with the figure.
func (p *Prepared) coarsen(pos []float32) {
	if len(p.Tri)/3 <= heavy {
		return
	}
	// Triangles go with the square of the cells a side: two rounds come close.
	side := 160.
	for range 3 {
		p.coarsenTo(pos, int(side))
		n := float64(len(p.Coarse.Tri) / 3)
		if n > light*.7 && n <= light*1.1 || n == 0 {
			break
		}
		side *= math.Sqrt(light * .9 / n)
		if side < 8 || side > 4000 {
			break
		}
	}
	p.coarseEdges()
}

func (p *Prepared) coarsenTo(pos []float32, side int) {
	width := max(p.High[0]-p.Low[0], p.High[1]-p.Low[1], p.High[2]-p.Low[2])
	if !(width > 0) || width-width != 0 {
		return
	}
	inv := float32(float64(side) / width)
	low := space.Vec32{float32(p.Low[0]), float32(p.Low[1]), float32(p.Low[2])}
	of := make([]uint32, len(p.Source)) // vertex → cell, later the vertex that stands for it
	cells := make(map[uint64]uint32, len(of)/8)
	var sum []float32 // 3 a cell
	var count []float32
	for part := range p.Surface {
		clear(cells)
		for v := p.First[part]; v < p.end(part); v++ {
			at := space.At32(pos, v)
			q := at.Sub(low).Mul(inv)
			id := uint64(math.MaxUint64)
			if space.Finite32(q) {
				id = uint64(q[0])<<42 | uint64(q[1])<<21 | uint64(q[2])
			}
			cell, ok := cells[id]
			if !ok {
				cell = uint32(len(count))
				cells[id] = cell
				sum, count = append(sum, 0, 0, 0), append(count, 0)
			}
			of[v] = cell
			sum[3*cell], sum[3*cell+1], sum[3*cell+2] = sum[3*cell]+at[0], sum[3*cell+1]+at[1], sum[3*cell+2]+at[2]
			count[cell]++
		}
	}
	// The vertex nearest to the cell's mean stands for it: even triangles.
	stands := make([]uint32, len(count))
	nearest := make([]float32, len(count))
	for cell := range nearest {
		nearest[cell] = math.MaxFloat32
	}
	for v := range uint32(len(of)) {
		cell := of[v]
		d := space.At32(pos, v).Sub(space.At32(sum, cell).Mul(1 / count[cell]))
		if l := d.Dot(d); l < nearest[cell] {
			nearest[cell], stands[cell] = l, v
		}
	}
	for v, cell := range of {
		if of[v] = stands[cell]; nearest[cell] == math.MaxFloat32 {
			of[v] = uint32(v)
		}
	}
	c := &p.Coarse
	*c = Coarse{}
	used := make([]bool, len(of))
	// Several triangles may fall onto the same three vertices: keep one of each.
	seen := make(map[[3]uint32]bool, light)
	for t := 0; 3*t < len(p.Tri); t++ {
		i, j, k := of[p.Tri[3*t]], of[p.Tri[3*t+1]], of[p.Tri[3*t+2]]
		if i == j || j == k || k == i {
			continue
		}
		// A triangle that was turned over would show as a stray contour.
		a := space.At32(pos, i)
		face := space.At32(pos, j).Sub(a).Cross(space.At32(pos, k).Sub(a))
		normal := space.Vec32{}
		for _, v := range [3]uint32{i, j, k} {
			n := space.At32(p.Normal, v)
			normal = space.Vec32{normal[0] + n[0], normal[1] + n[1], normal[2] + n[2]}
		}
		if face.Dot(normal) <= .2*face.Len()*normal.Len() {
			continue
		}
		// Turn the least vertex to the front: the same triangle, the same key.
		key := [3]uint32{i, j, k}
		for key[0] > key[1] || key[0] > key[2] {
			key = [3]uint32{key[1], key[2], key[0]}
		}
		if seen[key] {
			continue
		}
		seen[key] = true
		used[i], used[j], used[k] = true, true, true
		c.Tri = append(c.Tri, i, j, k)
		c.TriSource = append(c.TriSource, uint32(t))
		c.Part = append(c.Part, p.Part[t])
		c.Material = append(c.Material, p.Material[t])
		c.Open = append(c.Open, p.Open[t])
	}
	for v, u := range used {
		if u {
			c.Used = append(c.Used, uint32(v))
		}
	}
}

// coarseEdges finds the contour edges of the copy: no creases, they are left out
// while moving; an edge with one face, or more than two, is a border only where
// the shell has one.
func (p *Prepared) coarseEdges() {
	c := &p.Coarse
	start, halves := sortHalves(c.Tri, len(p.Source))
	for lo := range len(p.Source) {
		row := halves[start[lo]:start[lo+1]]
		for i := 0; i < len(row); {
			j := i + 1
			for j < len(row) && row[j].hi == row[i].hi {
				j++
			}
			t0 := row[i].corner / 3
			kind, t1 := raster.Smooth, t0
			switch {
			case j-i >= 2:
				t1 = row[i+1].corner / 3
			case c.Open[t0]:
				kind = raster.Border
			}
			c.Edge = append(c.Edge, raster.Edge{A: uint32(lo), B: row[i].hi, T0: t0, T1: t1, Kind: kind})
			i = j
		}
	}
}

// compact is the coarse copy as a Prepared of its own: only its vertices are then
// skinned.
func (p *Prepared) compact() *Prepared {
	c := &p.Coarse
	place := make([]uint32, len(p.Source)) // old vertex → new
	for i, v := range c.Used {
		place[v] = uint32(i)
	}
	out := p.pick(c.Used)
	out.Tri, out.Edge = make([]uint32, len(c.Tri)), slices.Clone(c.Edge)
	for i, v := range c.Tri {
		out.Tri[i] = place[v]
	}
	for i := range out.Edge {
		e := &out.Edge[i]
		e.A, e.B = place[e.A], place[e.B]
	}
	for _, t := range c.TriSource {
		out.TriSource = append(out.TriSource, p.TriSource[t])
	}
	out.Part, out.Material, out.Open = c.Part, c.Material, c.Open
	return out
}

// pick is p with some of its vertices (rising) and no triangles. Parts stay, so
// that part numbers do.
func (p *Prepared) pick(vertices []uint32) *Prepared {
	out := &Prepared{
		Surface: p.Surface, Low: p.Low, High: p.High,
		Source: gather(p.Source, vertices, 1), Normal: gather(p.Normal, vertices, 3), Slope: gather(p.Slope, vertices, 3),
		S: gather(p.S, vertices, 1), T: gather(p.T, vertices, 1), Bias: gather(p.Bias, vertices, 1),
	}
	for part := range p.Surface {
		at, _ := slices.BinarySearch(vertices, p.First[part])
		out.First = append(out.First, uint32(at))
	}
	return out
}
