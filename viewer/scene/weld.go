package scene

import (
	"math"
	"slices"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
	"rigloupe/viewer/raster"
)

// Creases: an edge is sharp where the file's own normals part and the faces turn
// by more than creaseSplit, or where they turn by more than creaseAny
// (found by eye on low-poly figures).
const (
	creaseSplit = 26 * math.Pi / 180
	creaseAny   = 62 * math.Pi / 180
)

// welder joins one part by place, finds its edges and creases, splits vertices
// along creases only (so the normals of a texture seam agree) and appends the
// result to a Prepared. Its slices are reused from part to part.
type welder struct {
	out   *Prepared
	place []float32 // 3 a drawn vertex: world at rest
	weld  []uint32  // per drawn vertex: its place's group, over all parts
	welds int

	torn []int32 // edges (places in out.Edge) with one triangle, for joinBorders
}

// rawPart is one surface at rest, in the vertices of its mesh.
type rawPart struct {
	surface  int
	key      []float32 // 3·V: what vertices are welded by
	pos      []float32 // 3·V: world, at rest
	normal   []float32 // 3·V or nil: the file's own
	basis    []float32 // 9·V: columns of the rest matrix that carries mesh space to the world
	tri      []uint32
	material []uint16 // per triangle
}

// faces are the triangles of a part that are drawn: T of them, those with three
// places.
type faces struct {
	raw  []uint32  // 3·T: corners in the mesh, wound so that the front is the outside
	w    []uint32  // 3·T: their groups
	from []uint32  // T: triangle of the mesh
	n    []float32 // 3·T: unit
}

func (f *faces) count() int { return len(f.from) }

// add welds one part. A million vertices come this way, so what is large is
// dropped as soon as it has done its work.
func (wd *welder) add(part uint16, r *rawPart, step func() error) error {
	group, first := groups(r.key, r.pos)
	if err := step(); err != nil {
		return err
	}
	f := r.faces(group)
	if err := step(); err != nil {
		return err
	}
	out := wd.out
	base, tbase, ebase := uint32(len(out.Source)), uint32(len(out.Tri)/3), len(out.Edge)
	corner, shared, open := wd.edges(r, f, len(first))
	f.w = nil
	if err := step(); err != nil {
		return err
	}
	normal := f.normals(r.pos, corner, shared)
	f.n = nil
	if err := step(); err != nil {
		return err
	}

	// Drawn vertices: one a pair of mesh vertex and corner group, in the order of
	// mesh vertices. Chains hold the few groups that one mesh vertex is split into.
	head := make([]int32, len(group))
	for i := range head {
		head[i] = -1
	}
	type split struct {
		group uint32
		next  int32
		id    uint32
	}
	splits := make([]split, 0, len(group))
	for i, v := range f.raw {
		g := corner[i]
		k := head[v]
		for k >= 0 && splits[k].group != g {
			k = splits[k].next
		}
		if k < 0 {
			splits = append(splits, split{group: g, next: head[v]})
			head[v] = int32(len(splits) - 1)
		}
	}
	for v := range head {
		for k := head[v]; k >= 0; k = splits[k].next {
			splits[k].id = uint32(len(out.Source))
			n := space.Direction32(space.At32(normal, splits[k].group))
			out.Source = append(out.Source, uint32(v))
			out.Normal = append(out.Normal, n[0], n[1], n[2])
			wd.place = append(wd.place, r.pos[3*v], r.pos[3*v+1], r.pos[3*v+2])
			wd.weld = append(wd.weld, uint32(wd.welds)+group[v])
		}
	}
	wd.welds += len(first)
	out.First = append(out.First, base)

	for i, v := range f.raw {
		k := head[v]
		for splits[k].group != corner[i] {
			k = splits[k].next
		}
		out.Tri = append(out.Tri, splits[k].id)
	}
	for i, from := range f.from {
		out.TriSource = append(out.TriSource, from)
		out.Part = append(out.Part, part)
		out.Material = append(out.Material, r.material[from])
		out.Open = append(out.Open, open[i])
	}
	// Edges have named corners of this part so far.
	for e := range out.Edge[ebase:] {
		x := &out.Edge[ebase+e]
		x.A, x.B = out.Tri[3*tbase+x.A], out.Tri[3*tbase+x.B]
		x.T0, x.T1 = x.T0+tbase, x.T1+tbase
	}
	return step()
}

// edges appends the edges of a part; their ends are corners (3·face + corner) until
// those have vertices. corner is the group of corners that share one normal, of
// shared in all, numbered in the order of the corners; open tells of each face that its shell has
// a border.
func (wd *welder) edges(r *rawPart, f *faces, places int) (corner []uint32, shared int, open []bool) {
	out := wd.out
	start, halves := sortHalves(f.w, places)
	joined := geom.NewUnion(len(f.raw)) // corners that share one normal
	shell := geom.NewUnion(f.count())   // faces that share an edge
	torn := make([]bool, f.count())     // by the root of the shell, in the end
	edges := len(halves) / 2            // and some more where it is open
	out.Edge = slices.Grow(out.Edge, edges)
	for lo := range places {
		row := halves[start[lo]:start[lo+1]]
		for i := 0; i < len(row); {
			j := i + 1
			for j < len(row) && row[j].hi == row[i].hi {
				j++
			}
			if j-i != 2 { // a border, or more than two faces: no two of them belong together
				for _, h := range row[i:j] {
					face, c := h.corner/3, h.corner%3
					torn[face] = true
					wd.torn = append(wd.torn, int32(len(out.Edge)))
					out.Edge = append(out.Edge, raster.Edge{A: h.corner, B: 3*face + (c+1)%3, T0: face, T1: face, Kind: raster.Border})
				}
				i = j
				continue
			}
			c0, c1 := row[i].corner, row[i+1].corner
			i = j
			f0, f1 := c0/3, c1/3
			shell.Join(f0, f1)
			kind, sharp := raster.Smooth, uint8(0)
			if crease := r.crease(f, f0, f1); crease > 0 {
				kind, sharp = raster.Crease, uint8(crease*255)
			} else {
				for k0 := range uint32(3) {
					for k1 := range uint32(3) {
						if f.w[3*f0+k0] == f.w[3*f1+k1] {
							joined.Join(3*f0+k0, 3*f1+k1)
						}
					}
				}
			}
			out.Edge = append(out.Edge, raster.Edge{A: c0, B: 3*f0 + (c0+1)%3, T0: f0, T1: f1, Kind: kind, Sharp: sharp})
		}
	}
	for i, t := range torn {
		if t {
			torn[shell.Find(uint32(i))] = true
		}
	}
	for i := range torn {
		torn[i] = torn[shell.Find(uint32(i))]
	}
	corner, shared = joined.Numbered()
	return corner, shared, torn
}

// normals of each corner group (3 a group), weighted by angle.
func (f *faces) normals(pos []float32, corner []uint32, shared int) []float32 {
	normal := make([]float32, 3*shared)
	for t := range uint32(f.count()) {
		n := space.At32(f.n, t)
		a, b, c := space.At32(pos, f.raw[3*t]), space.At32(pos, f.raw[3*t+1]), space.At32(pos, f.raw[3*t+2])
		ab, bc, ca := space.Direction32(b.Sub(a)), space.Direction32(c.Sub(b)), space.Direction32(a.Sub(c))
		for k, turn := range [3]float32{-ab.Dot(ca), -bc.Dot(ab), -ca.Dot(bc)} {
			angle := float32(math.Acos(float64(min(1, max(-1, turn)))))
			g := corner[3*t+uint32(k)]
			normal[3*g] += n[0] * angle
			normal[3*g+1] += n[1] * angle
			normal[3*g+2] += n[2] * angle
		}
	}
	return normal
}

// crease answers how sharp the edge between two faces is, 0: smooth … 1.
func (r *rawPart) crease(f *faces, f0, f1 uint32) float32 {
	turn := space.At32(f.n, f0).Dot(space.At32(f.n, f1))
	// cos 26°: nearly all edges of a dense figure end here.
	if turn > .8988 {
		return 0
	}
	angle := float32(math.Acos(float64(min(1, max(-1, turn)))))
	if angle <= creaseAny {
		if angle <= creaseSplit || r.normal == nil {
			return 0
		}
		parted := false
		for c0 := range uint32(3) {
			for c1 := range uint32(3) {
				if f.w[3*f0+c0] == f.w[3*f1+c1] && space.At32(r.normal, f.raw[3*f0+c0]).Dot(space.At32(r.normal, f.raw[3*f1+c1])) < .94 {
					parted = true
				}
			}
		}
		if !parted {
			return 0
		}
	}
	return min(1, (angle-creaseSplit*.5)/(50*math.Pi/180))
}

// faces lists the triangles that have three places, wound so that their front is
// the outside after the rest matrix (a mirroring one turns them round).
func (r *rawPart) faces(group []uint32) *faces {
	count := len(r.tri) / 3
	out := &faces{raw: make([]uint32, 0, 3*count), w: make([]uint32, 0, 3*count), from: make([]uint32, 0, count), n: make([]float32, 0, 3*count)}
	n := uint32(len(group))
	for t := 0; t+2 < len(r.tri); t += 3 {
		v := [3]uint32{r.tri[t], r.tri[t+1], r.tri[t+2]}
		if v[0] >= n || v[1] >= n || v[2] >= n {
			continue
		}
		if r.mirrored(v[0]) {
			v[1], v[2] = v[2], v[1]
		}
		w := [3]uint32{group[v[0]], group[v[1]], group[v[2]]}
		if w[0] == w[1] || w[1] == w[2] || w[2] == w[0] {
			continue
		}
		a, b, c := space.At32(r.pos, v[0]), space.At32(r.pos, v[1]), space.At32(r.pos, v[2])
		if !space.Finite32(a) || !space.Finite32(b) || !space.Finite32(c) {
			continue
		}
		normal := space.Direction32(b.Sub(a).Cross(c.Sub(a)))
		out.raw = append(out.raw, v[0], v[1], v[2])
		out.w = append(out.w, w[0], w[1], w[2])
		out.from = append(out.from, uint32(t/3))
		out.n = append(out.n, normal[0], normal[1], normal[2])
	}
	return out
}

func (r *rawPart) mirrored(v uint32) bool {
	b := r.basis[9*v : 9*v+9]
	x, y, z := space.Vec32{b[0], b[1], b[2]}, space.Vec32{b[3], b[4], b[5]}, space.Vec32{b[6], b[7], b[8]}
	return x.Cross(y).Dot(z) < 0
}

// groups welds vertices whose keys (3·V) fall into the same cell of a grid of
// 1/50,000 of the part's size: exact copies always, exporters' last-digit
// differences nearly always. Vertices that are not finite stay alone.
func groups(key, pos []float32) (group, first []uint32) {
	n := len(key) / 3
	group = make([]uint32, n)
	lo := space.Vec32{math.MaxFloat32, math.MaxFloat32, math.MaxFloat32}
	hi := space.Vec32{-math.MaxFloat32, -math.MaxFloat32, -math.MaxFloat32}
	for v := range uint32(n) {
		if p := space.At32(key, v); space.Finite32(p) {
			for k := range 3 {
				lo[k], hi[k] = min(lo[k], p[k]), max(hi[k], p[k])
			}
		}
	}
	cell := hi.Sub(lo).Len()*2e-5 + 1e-30
	if cell-cell != 0 {
		cell = math.MaxFloat32 / 1e6
	}
	inv := 1 / cell
	// Open addressing: a Go map costs three times as much at a million vertices.
	bits := uint(4)
	for 1<<bits < 2*n {
		bits++
	}
	slots := make([]uint32, 1<<bits) // 1 + group
	keys := make([]uint64, 0, n)
	for v := range uint32(n) {
		p := space.At32(key, v)
		if !space.Finite32(p) || !space.Finite32(space.At32(pos, v)) {
			group[v] = uint32(len(first))
			first = append(first, v)
			keys = append(keys, math.MaxUint64)
			continue
		}
		q := p.Sub(lo).Mul(inv)
		id := uint64(q[0]+.5)<<42 | uint64(q[1]+.5)<<21 | uint64(q[2]+.5)
		h := id * 0x9e3779b97f4a7c15 >> (64 - bits)
		for slots[h] != 0 && keys[slots[h]-1] != id {
			h = (h + 1) & (1<<bits - 1)
		}
		if slots[h] == 0 {
			first = append(first, v)
			keys = append(keys, id)
			slots[h] = uint32(len(first))
		}
		group[v] = slots[h] - 1
	}
	return group, first
}

// half is one side of an edge: it runs between a place, which the list is sorted by,
// and a greater one, from or to corner (3·face + corner).
type half struct{ hi, corner uint32 }

// sortHalves lists the half edges of triangles (3·T, places) by their smaller place,
// then the greater, then the face: those of place p are out[start[p]:start[p+1]].
// Counted by one end, then each short run sorted by insertion, so the cost is linear.
func sortHalves(w []uint32, places int) (start []uint32, out []half) {
	start = make([]uint32, places+1)
	for t := 0; t < len(w); t += 3 {
		for c := range 3 {
			start[min(w[t+c], w[t+(c+1)%3])+1]++
		}
	}
	for i := range places {
		start[i+1] += start[i]
	}
	out = make([]half, len(w))
	fill := make([]uint32, places)
	for t := 0; t < len(w); t += 3 {
		for c := range 3 {
			a, b := w[t+c], w[t+(c+1)%3]
			lo, h := min(a, b), half{max(a, b), uint32(t + c)}
			from := start[lo]
			k := from + fill[lo]
			for ; k > from && out[k-1].hi > h.hi; k-- {
				out[k] = out[k-1]
			}
			out[k] = h
			fill[lo]++
		}
	}
	return start, out
}

// joinBorders finds borders of different parts that lie on each other, as where a
// file splits one body into parts, and makes one smooth or sharp edge of each
// such pair: a seam between parts is no end of the surface.
func (wd *welder) joinBorders() {
	out := wd.out
	if len(wd.torn) == 0 || len(out.First) < 2 {
		return
	}
	group, _ := groups(wd.place, wd.place)
	type ends struct{ lo, hi uint32 }
	seen := make(map[ends]int32, len(wd.torn))
	drop := make([]bool, len(out.Edge))
	joined := false
	for _, e := range wd.torn {
		own := &out.Edge[e]
		k := ends{min(group[own.A], group[own.B]), max(group[own.A], group[own.B])}
		o, ok := seen[k]
		if !ok {
			seen[k] = e
			continue
		}
		other := &out.Edge[o]
		// A third border on the same place, or one of the same part: leave all.
		if other.Kind != raster.Border || out.Part[own.T0] == out.Part[other.T0] {
			continue
		}
		turn := wd.faceNormal(own.T0).Dot(wd.faceNormal(other.T0))
		other.T1, other.Kind = own.T0, raster.Smooth
		if angle := float32(math.Acos(float64(min(1, max(-1, turn))))); angle > creaseAny {
			other.Kind = raster.Crease
			other.Sharp = uint8(255 * min(1, (angle-creaseSplit*.5)/(50*math.Pi/180)))
		}
		drop[e], joined = true, true
	}
	if !joined {
		return
	}
	at := 0
	for e := range drop {
		if drop[e] {
			continue
		}
		out.Edge[at] = out.Edge[e]
		at++
	}
	out.Edge = out.Edge[:at]
}

func (wd *welder) faceNormal(t uint32) space.Vec32 {
	v := wd.out.Tri[3*t : 3*t+3]
	a := space.At32(wd.place, v[0])
	return space.Direction32(space.At32(wd.place, v[1]).Sub(a).Cross(space.At32(wd.place, v[2]).Sub(a)))
}
