package scene

import (
	"math"

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

	torn []int32 // edges (places in out.Edge*) with one triangle, for joinBorders
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

// face is a triangle that is drawn: corners in the mesh and their groups.
type face struct {
	raw, w [3]uint32
	from   uint32 // triangle of the mesh
	n      [3]float32
}

// add welds one part.
func (wd *welder) add(part uint16, r *rawPart) {
	group, first := groups(r.key, r.pos)
	faces := r.faces(group, first)
	halves := sortHalves(faces, len(first))

	corner := newSets(3 * len(faces)) // corners that share one normal
	shell := newSets(len(faces))      // faces that share an edge
	type link struct {
		h0, h1 half
		two    bool
		crease float32
	}
	links := make([]link, 0, len(halves)*5/9)
	var tornFaces []uint32
	for i := 0; i < len(halves); {
		j := i + 1
		for j < len(halves) && halves[j].lo == halves[i].lo && halves[j].hi == halves[i].hi {
			j++
		}
		if j-i != 2 { // a border, or more than two faces: no two of them belong together
			for k := i; k < j; k++ {
				tornFaces = append(tornFaces, halves[k].face)
				links = append(links, link{h0: halves[k]})
			}
			i = j
			continue
		}
		l := link{h0: halves[i], h1: halves[i+1], two: true}
		i = j
		shell.join(l.h0.face, l.h1.face)
		f0, f1 := &faces[l.h0.face], &faces[l.h1.face]
		turn := dot(f0.n, f1.n)
		if l.crease = r.crease(f0, f1, turn); l.crease == 0 {
			for c0 := range 3 {
				for c1 := range 3 {
					if f0.w[c0] == f1.w[c1] {
						corner.join(l.h0.face*3+uint32(c0), l.h1.face*3+uint32(c1))
					}
				}
			}
		}
		links = append(links, l)
	}
	open := make([]bool, len(faces))
	for _, f := range tornFaces {
		open[shell.root(f)] = true
	}

	// Normals per corner group, weighted by angle.
	normal := make([]float32, 9*len(faces))
	for i := range faces {
		f := &faces[i]
		a := [3][3]float32{vec(r.pos, f.raw[0]), vec(r.pos, f.raw[1]), vec(r.pos, f.raw[2])}
		for c := range 3 {
			u, v := unit(sub(a[(c+1)%3], a[c])), unit(sub(a[(c+2)%3], a[c]))
			angle := float32(math.Acos(float64(min(1, max(-1, dot(u, v))))))
			g := corner.root(uint32(3*i + c))
			normal[3*g] += f.n[0] * angle
			normal[3*g+1] += f.n[1] * angle
			normal[3*g+2] += f.n[2] * angle
		}
	}

	// Drawn vertices: one a pair of mesh vertex and corner group, in the order of
	// mesh vertices. Chains hold the few groups that one mesh vertex is split into.
	out := wd.out
	base := uint32(len(out.Source))
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
	for i := range faces {
		for c := range 3 {
			v, g := faces[i].raw[c], corner.root(uint32(3*i+c))
			k := head[v]
			for k >= 0 && splits[k].group != g {
				k = splits[k].next
			}
			if k < 0 {
				splits = append(splits, split{group: g, next: head[v]})
				head[v] = int32(len(splits) - 1)
			}
		}
	}
	for v := range head {
		for k := head[v]; k >= 0; k = splits[k].next {
			splits[k].id = uint32(len(out.Source))
			n := unit([3]float32{normal[3*splits[k].group], normal[3*splits[k].group+1], normal[3*splits[k].group+2]})
			out.Source = append(out.Source, uint32(v))
			out.Normal = append(out.Normal, n[0], n[1], n[2])
			wd.place = append(wd.place, r.pos[3*v], r.pos[3*v+1], r.pos[3*v+2])
			wd.weld = append(wd.weld, uint32(wd.welds)+group[v])
		}
	}
	wd.welds += len(first)
	out.First = append(out.First, base)

	tbase := uint32(len(out.Tri) / 3)
	for i := range faces {
		f := &faces[i]
		for c := range 3 {
			g := corner.root(uint32(3*i + c))
			k := head[f.raw[c]]
			for splits[k].group != g {
				k = splits[k].next
			}
			out.Tri = append(out.Tri, splits[k].id)
		}
		out.TriSource = append(out.TriSource, f.from)
		out.Part = append(out.Part, part)
		out.Material = append(out.Material, r.material[f.from])
		out.Open = append(out.Open, open[shell.root(uint32(i))])
	}
	for _, l := range links {
		t0 := tbase + l.h0.face
		a, b := out.Tri[3*t0+uint32(l.h0.corner)], out.Tri[3*t0+uint32((l.h0.corner+1)%3)]
		t1, kind, sharp := t0, raster.Border, uint8(0)
		if l.two {
			t1, kind = tbase+l.h1.face, raster.Smooth
			if l.crease > 0 {
				kind, sharp = raster.Crease, uint8(l.crease*255)
			}
		} else {
			wd.torn = append(wd.torn, int32(len(out.EdgeKind)))
		}
		out.EdgeEnds = append(out.EdgeEnds, a, b, t0, t1)
		out.EdgeKind = append(out.EdgeKind, uint8(kind))
		out.EdgeSharp = append(out.EdgeSharp, sharp)
	}
}

// crease answers how sharp the edge between two faces is, 0: smooth … 1.
func (r *rawPart) crease(f0, f1 *face, turn float32) float32 {
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
		for c0 := range 3 {
			for c1 := range 3 {
				if f0.w[c0] == f1.w[c1] && dot(vec(r.normal, f0.raw[c0]), vec(r.normal, f1.raw[c1])) < .94 {
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
func (r *rawPart) faces(group, first []uint32) []face {
	out := make([]face, 0, len(r.tri)/3)
	n := uint32(len(group))
	for t := 0; t+2 < len(r.tri); t += 3 {
		v := [3]uint32{r.tri[t], r.tri[t+1], r.tri[t+2]}
		if v[0] >= n || v[1] >= n || v[2] >= n {
			continue
		}
		if r.mirrored(v[0]) {
			v[1], v[2] = v[2], v[1]
		}
		f := face{raw: v, w: [3]uint32{group[v[0]], group[v[1]], group[v[2]]}, from: uint32(t / 3)}
		if f.w[0] == f.w[1] || f.w[1] == f.w[2] || f.w[2] == f.w[0] {
			continue
		}
		a, b, c := vec(r.pos, v[0]), vec(r.pos, v[1]), vec(r.pos, v[2])
		if !finite(a) || !finite(b) || !finite(c) {
			continue
		}
		f.n = unit(cross(sub(b, a), sub(c, a)))
		out = append(out, f)
	}
	return out
}

func (r *rawPart) mirrored(v uint32) bool {
	b := r.basis[9*v : 9*v+9]
	x, y, z := [3]float32{b[0], b[1], b[2]}, [3]float32{b[3], b[4], b[5]}, [3]float32{b[6], b[7], b[8]}
	return dot(cross(x, y), z) < 0
}

// groups welds vertices whose keys (3·V) fall into the same cell of a grid of
// 1/50,000 of the part's size: exact copies always, exporters' last-digit
// differences nearly always. Vertices that are not finite stay alone.
func groups(key, pos []float32) (group, first []uint32) {
	n := len(key) / 3
	group = make([]uint32, n)
	lo := [3]float32{math.MaxFloat32, math.MaxFloat32, math.MaxFloat32}
	hi := [3]float32{-math.MaxFloat32, -math.MaxFloat32, -math.MaxFloat32}
	for v := range uint32(n) {
		if p := vec(key, v); finite(p) {
			for k := range 3 {
				lo[k], hi[k] = min(lo[k], p[k]), max(hi[k], p[k])
			}
		}
	}
	cell := length(sub(hi, lo))*2e-5 + 1e-30
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
		p := vec(key, v)
		if !finite(p) || !finite(vec(pos, v)) {
			group[v] = uint32(len(first))
			first = append(first, v)
			keys = append(keys, math.MaxUint64)
			continue
		}
		q := mul(sub(p, lo), inv)
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

// half is one side of an edge: lo < hi are groups, the edge starts at corner.
type half struct {
	lo, hi, face uint32
	corner       uint8
}

// sortHalves lists the half edges by lo, hi and face: counted by lo, then each
// short run sorted by insertion, so the cost is linear.
func sortHalves(faces []face, groups int) []half {
	start := make([]uint32, groups+1)
	for i := range faces {
		w := &faces[i].w
		for c := range 3 {
			start[min(w[c], w[(c+1)%3])+1]++
		}
	}
	for i := range groups {
		start[i+1] += start[i]
	}
	out := make([]half, 3*len(faces))
	fill := make([]uint32, groups)
	for i := range faces {
		w := &faces[i].w
		for c := range 3 {
			a, b := w[c], w[(c+1)%3]
			h := half{min(a, b), max(a, b), uint32(i), uint8(c)}
			from := start[h.lo]
			k := from + fill[h.lo]
			for ; k > from && out[k-1].hi > h.hi; k-- {
				out[k] = out[k-1]
			}
			out[k] = h
			fill[h.lo]++
		}
	}
	return out
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
	drop := make([]bool, len(out.EdgeKind))
	joined := false
	for _, e := range wd.torn {
		a, b, t := out.EdgeEnds[4*e], out.EdgeEnds[4*e+1], out.EdgeEnds[4*e+2]
		k := ends{min(group[a], group[b]), max(group[a], group[b])}
		o, ok := seen[k]
		if !ok {
			seen[k] = e
			continue
		}
		u := out.EdgeEnds[4*o+2]
		// A third border on the same place, or one of the same part: leave all.
		if o < 0 || out.EdgeKind[o] != uint8(raster.Border) || out.Part[t] == out.Part[u] {
			continue
		}
		turn := dot(wd.faceNormal(t), wd.faceNormal(u))
		out.EdgeEnds[4*o+3] = t
		out.EdgeKind[o] = uint8(raster.Smooth)
		if angle := float32(math.Acos(float64(min(1, max(-1, turn))))); angle > creaseAny {
			out.EdgeKind[o] = uint8(raster.Crease)
			out.EdgeSharp[o] = uint8(255 * min(1, (angle-creaseSplit*.5)/(50*math.Pi/180)))
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
		copy(out.EdgeEnds[4*at:4*at+4], out.EdgeEnds[4*e:4*e+4])
		out.EdgeKind[at], out.EdgeSharp[at] = out.EdgeKind[e], out.EdgeSharp[e]
		at++
	}
	out.EdgeEnds, out.EdgeKind, out.EdgeSharp = out.EdgeEnds[:4*at], out.EdgeKind[:at], out.EdgeSharp[:at]
}

func (wd *welder) faceNormal(t uint32) [3]float32 {
	v := wd.out.Tri[3*t : 3*t+3]
	a := vec(wd.place, v[0])
	return unit(cross(sub(vec(wd.place, v[1]), a), sub(vec(wd.place, v[2]), a)))
}

// sets is union-find with path halving.
type sets []uint32

func newSets(n int) sets {
	s := make(sets, n)
	for i := range s {
		s[i] = uint32(i)
	}
	return s
}

func (s sets) root(i uint32) uint32 {
	for s[i] != i {
		s[i] = s[s[i]]
		i = s[i]
	}
	return i
}

func (s sets) join(a, b uint32) { s[s.root(a)] = s.root(b) }
