package mend

import (
	"bytes"
	"fmt"
	"hash/maphash"
	"slices"
	"strings"

	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
)

// array is one attribute of the vertices that some primitives share.
type array struct {
	accessor original.Accessor
	raw      []byte
	element  int
}

// vertexSet is the primitives of a mesh that name the same accessors: one list of
// vertices, read several times.
type vertexSet struct {
	primitives []int
	names      []string // of the members, "/attributes/POSITION"
	arrays     []array
}

// compact drops triangles without area, stores equal vertices once and leaves out those
// that nothing uses any more. Attributes that something else reads, and primitives with
// extensions that may count vertices, keep their vertices. from lists by primitive the
// vertices of the mesh that are left, as they were numbered.
func (x *welding) compact(mesh int) (from [][]int32, err error) {
	m := &x.w.Rig.Meshes[mesh]
	sets := x.vertexSets(mesh)
	from = make([][]int32, len(m.Primitives))
	for p, d := range m.Primitives {
		for v := range d.Count {
			from[p] = append(from[p], int32(d.First+v))
		}
	}
	var edits []original.Edit
	for i := range sets {
		s := &sets[i]
		keep, to := x.kept(mesh, s)
		more, err := x.triangles(mesh, s, to)
		if err != nil {
			return nil, err
		}
		edits = append(edits, more...)
		if keep == nil {
			continue
		}
		for k := range s.arrays {
			a := &s.arrays[k]
			out := make([]byte, 0, len(keep)*a.element)
			for _, v := range keep {
				out = append(out, a.raw[int(v)*a.element:(int(v)+1)*a.element]...)
			}
			array := original.Array{Type: a.accessor.Type, Component: a.accessor.Component, Normalized: a.accessor.Normalized, Count: len(keep), Data: out}
			for _, u := range x.w.Doc.Uses(original.Accessors, a.accessor.Index) {
				edits = append(edits, original.Edit{Use: u, Array: array})
			}
		}
		for _, p := range s.primitives {
			from[p] = from[p][:0]
			for _, v := range keep {
				from[p] = append(from[p], int32(m.Primitives[p].First)+v)
			}
		}
	}
	return from, x.w.Doc.RewriteAll(edits)
}

func primitiveAt(mesh, p int) string { return fmt.Sprintf("/meshes/%d/primitives/%d", mesh, p) }

// vertexSets groups the primitives of triangles by the accessors they name.
func (x *welding) vertexSets(mesh int) (sets []vertexSet) {
	doc := x.w.Doc
	by := map[string]int{}
	for p, d := range x.w.Rig.Meshes[mesh].Primitives {
		if d.TriCount == 0 {
			continue
		}
		o := doc.Root.Resolve(primitiveAt(mesh, p))
		var names []string
		for _, k := range o.Get("attributes").Keys() {
			names = append(names, "/attributes/"+k)
		}
		for t := range o.Get("targets").Len() {
			for _, k := range o.Get("targets").At(t).Keys() {
				names = append(names, fmt.Sprintf("/targets/%d/%s", t, k))
			}
		}
		key := ""
		for _, n := range names {
			if u := doc.UseAt(primitiveAt(mesh, p) + n); u != nil {
				key += fmt.Sprintf("%s=%d ", n, u.Index)
			}
		}
		i, known := by[key]
		if !known {
			i = len(sets)
			by[key] = i
			sets = append(sets, vertexSet{names: names})
		}
		sets[i].primitives = append(sets[i].primitives, p)
	}
	for i := range sets {
		sets[i].arrays = x.arrays(mesh, &sets[i])
	}
	return sets
}

// arrays reads the attributes of a set; nil where its vertices must stay as they are.
func (x *welding) arrays(mesh int, s *vertexSet) (out []array) {
	doc := x.w.Doc
	own := map[string]bool{}
	for _, p := range s.primitives {
		for _, n := range s.names {
			own[primitiveAt(mesh, p)+n] = true
		}
		o := doc.Root.Resolve(primitiveAt(mesh, p))
		for _, e := range append(o.Get("extensions").Keys(), doc.Object(original.Meshes, mesh).Get("extensions").Keys()...) {
			if e != "KHR_materials_variants" {
				x.w.Leave("The mesh %q carries %s, which may count vertices: none is taken out.", x.w.Rig.Meshes[mesh].Name, e)
				return nil
			}
		}
	}
	count := x.w.Rig.Meshes[mesh].Primitives[s.primitives[0]].Count
	for _, n := range s.names {
		u := doc.UseAt(primitiveAt(mesh, s.primitives[0]) + n)
		if u == nil {
			return nil
		}
		for _, other := range doc.Uses(original.Accessors, u.Index) {
			if !own[other.Pointer] {
				return nil // something else reads these vertices: a lone wire, another mesh
			}
		}
		if slices.ContainsFunc(out, func(a array) bool { return a.accessor.Index == u.Index }) {
			continue
		}
		a, err := doc.Accessor(u.Index)
		if err != nil || a.Count != count {
			return nil
		}
		raw, element, err := a.Raw()
		if err != nil {
			return nil
		}
		out = append(out, array{a, raw, element})
	}
	return out
}

// kept answers the vertices of a set that stay, and for every vertex its new place; nil
// where all stay.
func (x *welding) kept(mesh int, s *vertexSet) (keep, to []int32) {
	if s.arrays == nil {
		return nil, nil
	}
	m := &x.w.Rig.Meshes[mesh]
	count := m.Primitives[s.primitives[0]].Count
	const before, now = 1, 2 // bits: a triangle named it, and one still does
	use := make([]uint8, count)
	each := func(list []uint32, f func(v uint32, dropped bool)) {
		for _, p := range s.primitives {
			d := &m.Primitives[p]
			for t := d.FirstTri; t < d.FirstTri+d.TriCount; t++ {
				for _, v := range list[3*t : 3*t+3] {
					f(v-uint32(d.First), x.drop[mesh][t])
				}
			}
		}
	}
	each(m.Triangles, func(v uint32, _ bool) { use[v] |= before })
	same := make([]int32, count) // the first equal vertex
	for v := range same {
		same[v] = int32(v)
	}
	switch of := x.of[rig.Mesh(mesh)]; {
	case of != nil: // these alone may be copies
		first := m.Primitives[s.primitives[0]].First
		asked := slices.Clone(use)
		for v := range asked {
			if !of[first+v] {
				asked[v] = 0
			}
		}
		x.equal(s, asked, same)
	case x.w.Values.Is("copies"):
		x.equal(s, use, same)
	}
	each(x.list(mesh), func(v uint32, dropped bool) {
		if !dropped {
			use[same[v]] |= now
		}
	})
	to = make([]int32, count)
	for v := range count {
		switch {
		case use[v]&now != 0, use[v] == 0 && !x.w.Values.Is("unused"):
			to[v] = int32(len(keep))
			keep = append(keep, int32(v))
		case use[v] == 0:
			x.unused++
		case same[v] != int32(v):
			x.merged++
		}
	}
	if len(keep) == count || len(keep) == 0 {
		return nil, nil
	}
	for v := range to {
		to[v] = to[same[v]]
	}
	return keep, to
}

// equal finds for every vertex in use the first one of the same bytes in every attribute.
func (x *welding) equal(s *vertexSet, use []uint8, same []int32) {
	seed := maphash.MakeSeed()
	size := 16
	for size < 2*len(use) {
		size *= 2
	}
	table := make([]int32, size) // vertex + 1
	row := func(v int) (h uint64) {
		for k := range s.arrays {
			a := &s.arrays[k]
			h = h*0x9e3779b97f4a7c15 + maphash.Bytes(seed, a.raw[v*a.element:(v+1)*a.element])
		}
		return h
	}
	alike := func(v, w int) bool {
		for k := range s.arrays {
			a := &s.arrays[k]
			if !bytes.Equal(a.raw[v*a.element:(v+1)*a.element], a.raw[w*a.element:(w+1)*a.element]) {
				return false
			}
		}
		return true
	}
	for v := range use {
		if use[v] == 0 {
			continue
		}
		slot := row(v) & uint64(size-1)
		for table[slot] != 0 && !alike(int(table[slot]-1), v) {
			slot = (slot + 1) & uint64(size-1)
		}
		if table[slot] == 0 {
			table[slot] = int32(v) + 1
		} else {
			same[v] = table[slot] - 1
		}
	}
}

// list is the triangles of a mesh as they are to be.
func (x *welding) list(mesh int) []uint32 {
	if list := x.corners[rig.Mesh(mesh)]; list != nil {
		return list
	}
	return x.w.Rig.Meshes[mesh].Triangles
}

// triangles writes those of the primitives of a set that changed.
func (x *welding) triangles(mesh int, s *vertexSet, to []int32) (edits []original.Edit, err error) {
	m, corners := &x.w.Rig.Meshes[mesh], x.list(mesh)
	doc := x.w.Doc
	for _, p := range s.primitives {
		d := &m.Primitives[p]
		list := make([]uint32, 0, 3*d.TriCount)
		for t := d.FirstTri; t < d.FirstTri+d.TriCount; t++ {
			if x.drop[mesh][t] {
				continue
			}
			for _, v := range corners[3*t : 3*t+3] {
				i := int32(v) - int32(d.First)
				if to != nil {
					i = to[i]
				}
				list = append(list, uint32(i))
			}
		}
		if to == nil && len(list) == 3*d.TriCount {
			continue
		}
		at := primitiveAt(mesh, p)
		if mode := doc.Root.Resolve(at).Get("mode"); mode != nil && mode.Int() != 4 {
			doc.Root.Resolve(at).Set("mode", original.Whole(4))
		}
		if u := doc.UseAt(at + "/indices"); u != nil {
			a, err := doc.Accessor(u.Index)
			if err != nil {
				return nil, x.w.Refuse("The triangles of mesh %d cannot be written: %v.", mesh, err)
			}
			edits = append(edits, original.Edit{Use: u, Array: original.Uints32("SCALAR", a.Component, list)})
			continue
		}
		kind := original.Ushort
		if slices.Max(list) >= 65535 {
			kind = original.Uint
		}
		i, err := doc.NewAccessor(original.Uints32("SCALAR", kind, list), false, false)
		if err != nil {
			return nil, x.w.Refuse("%s.", strings.TrimSuffix(err.Error(), "."))
		}
		doc.Root.Resolve(at).Set("indices", original.Whole(i))
		doc.Refresh(original.Meshes, mesh)
	}
	return edits, nil
}
