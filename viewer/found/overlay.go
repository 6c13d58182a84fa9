package found

import (
	"math"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/inspect/surface"
	"rigloupe/viewer/marks"
	"rigloupe/viewer/scene"
)

// mostInk is the most places that are inked over the figure: more would be a blot,
// and lists are worst first.
const mostInk = 3000

// Overlay makes what a finding inks over the figure; number counts from 1 as in
// the document. nil: it has no place to ink.
func Overlay(r *inspect.Result, number int) *scene.Overlay {
	all := r.Findings()
	if number < 1 || number > len(all) {
		return nil
	}
	f := &all[number-1]
	o := &scene.Overlay{Number: number, Grade: uint8(f.Grade)}
	room := mostInk
	for i := range f.Where.Spots {
		s := &f.Where.Spots[i]
		edges := s.Edges
		if len(edges) == 0 {
			edges = inkEdges(r, f.ID, s.Surface)
		}
		for _, path := range chains(edges, room) {
			l := scene.Line{}
			closed := len(path) > 3 && path[0] == path[len(path)-1]
			if closed {
				path = path[:len(path)-1]
			}
			l.Closed = closed
			for _, v := range path {
				l.Path = append(l.Path, scene.OnMesh(s.Surface, v))
			}
			room -= len(path)
			o.Lines = append(o.Lines, l)
		}
		if len(edges) > 0 && f.ID != "surface/near-coincident" {
			continue // the lines show the vertices; pairs are too near each other for that
		}
		spots := scene.Spots{Mark: markOf(f.ID)}
		anchor := scene.OnMesh
		if f.ID == "surface/unused-vertices" {
			anchor = undrawn(r)
		}
		vertices := s.Vertices
		if f.ID == "surface/inside-out" || f.ID == "surface/shells" {
			vertices = sown(r, s.Surface, vertices)
		}
		for _, v := range vertices {
			if room <= 0 {
				break
			}
			room--
			spots.Place = append(spots.Place, anchor(s.Surface, v))
		}
		if len(spots.Place) > 0 {
			o.Spots = append(o.Spots, spots)
		}
	}
	if f.ID == "skeleton/off-centre" {
		for _, n := range f.Where.Joints {
			if room <= 0 {
				break
			}
			room -= inkSection(r, o, n)
		}
	} else if len(f.Where.Spots) == 0 {
		joints := scene.Spots{Mark: marks.Circle}
		for _, n := range f.Where.Joints {
			if len(joints.Place) < 200 {
				joints.Place = append(joints.Place, scene.OnNode(n))
			}
		}
		if len(joints.Place) > 0 {
			o.Spots = append(o.Spots, joints)
		}
	}
	inkHelp(r, o, f)
	if f.ID == "surface/lopsided" {
		o.Lines = append(o.Lines, planeFrame(r)...)
	}
	if len(o.Lines) == 0 && len(o.Spots) == 0 {
		return nil
	}
	return o
}

// sown takes of whole shells a few vertices evenly spread, the first of each shell in
// every cell of a grid, one ninth of the surface's longest side: all of them would hide
// the shell they mark. Every shell keeps one.
func sown(r *inspect.Result, s int, vertices []rig.Vertex) (out []rig.Vertex) {
	b := inspect.FactsOf[surface.Facts](r)
	if b == nil || s >= len(b.Sheets) {
		return vertices
	}
	shell, at := b.Sheets[s].Shell, r.Exam.RestPositions(s)
	box := geom.EmptyBox()
	for _, v := range vertices {
		box.Add(space.At(at, int(v)))
	}
	side := box.Size()
	cell := max(side[0], side[1], side[2]) / 9
	if !(cell > 0) || math.IsInf(cell, 0) {
		return vertices
	}
	type place struct {
		shell int32
		at    [3]int32
	}
	taken := map[place]bool{}
	for _, v := range vertices {
		p := place{shell: int32(shell[v])}
		for k := range p.at {
			p.at[k] = int32((float64(at[3*int(v)+k]) - box.Min[k]) / cell)
		}
		if !taken[p] {
			taken[p] = true
			out = append(out, v)
		}
	}
	return out
}

// undrawn makes anchors for vertices that no triangle uses: they are not drawn, so the
// joint that holds them most carries the mark.
func undrawn(r *inspect.Result) func(int, rig.Vertex) scene.Anchor {
	return func(s int, v rig.Vertex) scene.Anchor {
		sf := &r.Exam.Rig.Surfaces[s]
		m := &r.Exam.Rig.Meshes[sf.Mesh]
		p := r.Exam.RestPositions(s)
		at := space.At(p, int(v))
		n := sf.Node
		if sf.Skin >= 0 {
			joints := r.Exam.Rig.Skins[sf.Skin].Joints
			most := float32(0)
			for k := int(v) * m.K; k < (int(v)+1)*m.K; k++ {
				if w := m.Weights[k]; w > most && int(m.Joints[k]) < len(joints) {
					most, n = w, joints[m.Joints[k]]
				}
			}
		}
		if back, ok := r.Exam.RestWorld()[n].Inverse(); ok {
			return scene.BesideNode(n, back.Point(at))
		}
		return scene.InWorld(at)
	}
}

// markOf is how the vertices of a finding are marked: hollow where they lack
// something.
func markOf(id string) marks.Spot {
	switch id {
	case "surface/lopsided", "binding/unbound":
		return marks.Hollow
	}
	return marks.Dot
}

// chains joins edges end to end into runs, so that a loop is one line. An edge
// that meets more than one other ends a run. At most room edges are taken.
func chains(edges [][2]rig.Vertex, room int) (paths [][]rig.Vertex) {
	if len(edges) > room {
		edges = edges[:max(0, room)]
	}
	at := map[rig.Vertex][]int{}
	for i, e := range edges {
		at[e[0]] = append(at[e[0]], i)
		at[e[1]] = append(at[e[1]], i)
	}
	used := make([]bool, len(edges))
	walk := func(from rig.Vertex, i int) {
		path := []rig.Vertex{from}
		for {
			used[i] = true
			e := edges[i]
			if from == e[0] {
				from = e[1]
			} else {
				from = e[0]
			}
			path = append(path, from)
			next := -1
			if len(at[from]) == 2 {
				for _, k := range at[from] {
					if !used[k] {
						next = k
					}
				}
			}
			if next < 0 {
				break
			}
			i = next
		}
		paths = append(paths, path)
	}
	for pass := range 2 { // first from ends and forks, then round what is left
		for i, e := range edges {
			if used[i] {
				continue
			}
			switch {
			case len(at[e[0]]) != 2:
				walk(e[0], i)
			case len(at[e[1]]) != 2:
				walk(e[1], i)
			case pass == 1:
				walk(e[0], i)
			}
		}
	}
	return paths
}

// planeFrame is the mirror plane as a thin frame around the figure, with its foot
// on the middle line.
func planeFrame(r *inspect.Result) []scene.Line {
	m := r.Exam.Mirror()
	if m == nil || !m.Found {
		return nil
	}
	n := m.Normal
	box := r.Exam.Box()
	// Two directions in the plane: the one nearest upright, and across it.
	up := space.Vec{0, 1, 0}
	if math.Abs(n[1]) > .9 {
		up = space.Vec{0, 0, 1}
	}
	up, ok := space.Unit(space.Level(up, n))
	if !ok || box.IsEmpty() {
		return nil
	}
	across := up.Cross(n)
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for i := range 8 {
		c := box.Min
		for k := range 3 {
			if i>>k&1 == 1 {
				c[k] = box.Max[k]
			}
		}
		u := [2]float64{c.Dot(up), c.Dot(across)}
		for k := range 2 {
			lo[k], hi[k] = min(lo[k], u[k]), max(hi[k], u[k])
		}
	}
	air := .05 * r.Exam.Diagonal()
	at := func(u, v float64) scene.Anchor {
		return scene.InWorld(n.Mul(m.Offset).Add(up.Mul(u)).Add(across.Mul(v)))
	}
	return []scene.Line{{Closed: true, Frame: true, Path: []scene.Anchor{
		at(lo[0], lo[1]-air), at(lo[0], hi[1]+air), at(hi[0]+air, hi[1]+air), at(hi[0]+air, lo[1]-air),
	}}}
}

// Places parts a finding into the places a person looks at one after another: what
// lies within a thirtieth of the figure's height is one place. Order is that of
// the finding's own lists, worst first; of one that stands in several places, row by row.
func Places(r *inspect.Result, f *check.Finding) []scene.Place {
	if len(f.Rows) == 0 {
		return placesAt(r, f.ID, &f.Where)
	}
	var out []scene.Place
	for i := range f.Rows {
		for _, p := range placesAt(r, f.ID, &f.Rows[i].Where) {
			if len(out) == mostPlaces {
				return out
			}
			p.Row = i
			out = append(out, p)
		}
	}
	return out
}

// mostPlaces is how many places of one finding a person can walk through.
const mostPlaces = 200

func placesAt(r *inspect.Result, id string, where *check.Where) []scene.Place {
	const most = mostPlaces
	var out []scene.Place
	reach := r.Exam.Height() / 30
	if !(reach > 0) {
		reach = r.Exam.Diagonal() / 30
	}
	for i := range where.Spots {
		s := &where.Spots[i]
		at := r.Exam.RestPositions(s.Surface)
		for _, group := range patches(at, s.Vertices, reach) {
			if len(out) < most {
				v := 3 * group[0]
				out = append(out, scene.Place{Surface: s.Surface, Vertices: group, Node: rig.None, Point: space.Vec{float64(at[v]), float64(at[v+1]), float64(at[v+2])}})
			}
		}
	}
	if len(out) == 0 {
		for _, n := range where.Joints {
			if len(out) < most {
				place := scene.Place{Surface: -1, Node: n}
				if cut := sectionAt(r, n); cut != nil && id == "skeleton/off-centre" {
					place.Extent = 2 * (cut.Radius + cut.Away)
				}
				out = append(out, place)
			}
		}
	}
	if p := where.Point; len(out) == 0 && p != nil {
		out = append(out, scene.Place{Surface: -1, Node: rig.None, Point: *p, Extent: 2 * where.Extent})
	}
	return out
}

// patches groups vertices whose cells of a grid touch; linear in the vertices.
func patches(at []float32, vertices []rig.Vertex, reach float64) (groups [][]rig.Vertex) {
	type cell [3]int32
	first := map[cell]uint32{} // cell → its place in union
	union := geom.NewUnion(len(vertices))
	of := make([]int32, len(vertices)) // place in union
	for i, v := range vertices {
		of[i] = -1
		var c cell
		ok := 3*int(v)+2 < len(at)
		for k := 0; ok && k < 3; k++ {
			x := math.Floor(float64(at[3*int(v)+k]) / reach)
			ok = math.Abs(x) < 1e9 // no number: no place
			if ok {
				c[k] = int32(x)
			}
		}
		if !ok {
			continue
		}
		j, known := first[c]
		if !known {
			j = uint32(len(first))
			first[c] = j
			for n := range 27 {
				d := cell{c[0] + int32(n%3) - 1, c[1] + int32(n/3%3) - 1, c[2] + int32(n/9) - 1}
				if o, there := first[d]; there {
					union.Join(o, j)
				}
			}
		}
		of[i] = int32(j)
	}
	place := map[uint32]int{}
	for i, v := range vertices {
		if of[i] < 0 {
			continue
		}
		k := union.Find(uint32(of[i]))
		g, known := place[k]
		if !known {
			g = len(groups)
			place[k], groups = g, append(groups, nil)
		}
		groups[g] = append(groups[g], v)
	}
	return groups
}
