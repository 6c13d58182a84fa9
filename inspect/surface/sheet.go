package surface

import (
	"math"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// sheetMesh is what all surfaces of one mesh share: nothing of it depends on where
// the mesh stands.
type sheetMesh struct {
	data      *rig.MeshData
	first     []uint32 // group → its first vertex
	of        []uint32 // vertex → group
	used      []bool   // by vertex
	inUse     []bool   // by group
	triangles []uint32 // 3·T, groups
	edges     *geom.Edges
	loops     []geom.Loop
	doubled   []rig.Vertex
	normals   normalFacts
}

func newSheetMesh(e *exam.Exam, mesh rig.Mesh) *sheetMesh {
	data, weld := &e.Rig.Meshes[mesh], e.Weld(mesh)
	m := &sheetMesh{data: data, first: weld.First, of: weld.Of, used: e.Used(mesh)}
	watch := e.Watch()
	watch.Spend(20 * len(m.of)) // what follows is done in one go, twice
	m.inUse = make([]bool, len(m.first))
	for v, g := range m.of {
		if m.used[v] {
			m.inUse[g] = true
		}
	}
	m.triangles = make([]uint32, len(data.Triangles))
	for i, v := range data.Triangles {
		m.triangles[i] = m.of[v]
	}
	watch.Spend(20 * len(m.of))
	m.edges = geom.FindEdges(m.triangles, len(m.first), watch)
	m.loops = geom.BoundaryLoops(m.edges)
	m.doubled = findDoubled(m, watch)
	m.normals = lookAtNormals(m, watch)
	return m
}

// release drops what only measuring needs: a hundred bytes a vertex.
func (m *sheetMesh) release() { m.triangles, m.edges, m.loops, m.inUse = nil, nil, nil, nil }

// sheet is one surface at work.
type sheet struct {
	*sheetMesh
	surface int
	size    float64   // metres: what tolerances here are shares of
	points  []float32 // 3·groups, world, of the first vertex, weights made whole; NaN where no triangle uses the place
	rest    []float32 // 3·groups, the same with weights as stored, which areas, volumes and the weld curve are of; nil: as points
	turn    float64   // sign of the determinant of the node
	shells  *geom.Shells
	watch   *geom.Watch

	sum   []float64 // room for the middles of places that become one; see cost
	count []int32
}

func newSheet(e *exam.Exam, surface int, m *sheetMesh) *sheet {
	s := &sheet{sheetMesh: m, surface: surface, size: e.SizeOf(surface), points: make([]float32, 3*len(m.first)), turn: 1, watch: e.Watch()}
	rest, whole, nan := e.RestPositions(surface), e.WholePositions(surface), float32(math.NaN())
	if len(rest) > 0 && &rest[0] != &whole[0] {
		s.rest = make([]float32, 3*len(m.first))
	}
	for g, v := range m.first {
		if m.inUse[g] {
			copy(s.points[3*g:3*g+3], whole[3*v:3*v+3])
		} else {
			s.points[3*g], s.points[3*g+1], s.points[3*g+2] = nan, nan, nan
		}
		if s.rest != nil && m.inUse[g] {
			copy(s.rest[3*g:3*g+3], rest[3*v:3*v+3])
		} else if s.rest != nil {
			s.rest[3*g], s.rest[3*g+1], s.rest[3*g+2] = nan, nan, nan
		}
	}
	if e.RestWorld()[e.Rig.Surfaces[surface].Node].Det() < 0 {
		s.turn = -1
	}
	return s
}

// shape fills in what edges, shells and triangles tell.
func (s *sheet) shape(f *Facts) {
	t, out := &f.Surfaces[s.surface].Topology, &f.Sheets[s.surface]
	s.shells = geom.FindShells(s.points, s.triangles, s.edges, s.watch)
	t.Edges, t.Loops, t.ShellsN = s.edges.N(), len(s.loops), len(s.shells.List)
	for i, n := range s.edges.Count {
		switch {
		case n == 1:
			t.Boundary++
		case n > 2:
			t.Branching++
			out.Branching = append(out.Branching, s.edge(i))
		case s.edges.Mixed[i]:
			t.Mixed++
			out.Mixed = append(out.Mixed, s.edge(i))
		}
	}
	places, faces := 0, 0
	stored := s.shells
	if s.rest != nil {
		stored = geom.FindShells(s.rest, s.triangles, s.edges, s.watch)
		if len(stored.List) < len(s.shells.List) { // ended
			return
		}
	}
	for i := range s.shells.List {
		x := &s.shells.List[i]
		places, faces = places+x.Places, faces+x.Triangles
		t.Area += stored.List[i].Area
	}
	t.Euler = places - s.edges.N() + faces
	if t.Boundary == 0 && t.Branching == 0 && t.Mixed == 0 && faces > 0 {
		sum := 0.0
		for i := range s.shells.List {
			sum += stored.List[i].Volume
		}
		t.Volume = &sum
	}
	for i := range len(s.triangles) / 3 {
		if i%geom.Stride == 0 && !s.watch.Spend(15*geom.Stride) {
			return
		}
		s.judgeTriangle(uint32(i), t, out)
	}
	for i := range s.loops {
		out.Loops = append(out.Loops, s.loop(&s.loops[i]))
		t.Longest = max(t.Longest, out.Loops[i].Length)
	}
	t.Doubled, out.Doubled = len(s.doubled), s.doubled
	s.watch.Spend(20 * len(s.of)) // what follows is done in one go
	n := &s.normals
	t.NoNormal, t.OffUnit, t.Opposed, t.WithNormal = n.missing, len(n.offUnit), len(n.opposed), n.triangles
	out.OffUnit, out.Opposed = n.offUnit, n.opposed
	s.wind(out)
	base := int32(len(f.Pieces))
	out.Shell = make([]int32, len(s.of))
	group := make([]int32, len(s.first))
	for i := range group {
		group[i] = -1
	}
	for i, shell := range s.shells.Of {
		if shell >= 0 {
			for _, g := range s.triangles[3*i : 3*i+3] {
				group[g] = base + shell
			}
		}
	}
	for v, g := range s.of {
		out.Shell[v] = -1
		if s.used[v] {
			out.Shell[v] = group[g]
		}
	}
	for i := range s.shells.List {
		f.Pieces = append(f.Pieces, s.piece(i))
	}
}

// edge is edge i between first vertices.
func (s *sheet) edge(i int) [2]rig.Vertex {
	return [2]rig.Vertex{rig.Vertex(s.first[s.edges.Ends[2*i]]), rig.Vertex(s.first[s.edges.Ends[2*i+1]])}
}

// judgeTriangle counts triangles without area and slivers.
func (s *sheet) judgeTriangle(i uint32, t *Topology, out *Sheet) {
	a, b, c := s.at(s.triangles[3*i]), s.at(s.triangles[3*i+1]), s.at(s.triangles[3*i+2])
	if s.shells.Of[i] < 0 {
		t.ZeroArea++
		out.Thin = append(out.Thin, i)
		return
	}
	switch slim := space.Slimness(a, b, c); {
	case slim == 0:
		t.ZeroArea++
		out.Thin = append(out.Thin, i)
	case slim < space.Needle:
		t.Slivers++
		out.Slivers = append(out.Slivers, i)
	}
}

func (s *sheet) loop(l *geom.Loop) Loop {
	out := Loop{Closed: l.Closed, Vertices: make([]rig.Vertex, len(l.Places))}
	places := make([]float32, 0, 3*len(l.Places))
	for i, g := range l.Places {
		out.Vertices[i] = rig.Vertex(s.first[g])
		places = append(places, s.points[3*g:3*g+3]...)
		if i > 0 {
			out.Length += s.at(l.Places[i-1]).Sub(s.at(g)).Len()
		}
	}
	if n := len(l.Places); l.Closed && n > 1 {
		out.Length += s.at(l.Places[n-1]).Sub(s.at(l.Places[0])).Len()
	}
	out.Centre, out.Radius, _ = geom.Ball(places)
	return out
}

// wind marks the triangles that run against most of their shell: each shell is
// walked from triangle to neighbour, and the side with less area is the turned one.
func (s *sheet) wind(out *Sheet) {
	out.Winding = make([]uint8, len(s.triangles)/3)
	if len(out.Mixed) == 0 {
		return
	}
	side := make([]int8, len(out.Winding))
	var stack, members []uint32
	for start := range side {
		if side[start] != 0 || s.shells.Of[start] < 0 || s.shells.List[s.shells.Of[start]].Mixed == 0 {
			continue
		}
		side[start] = 1
		stack, members = append(stack[:0], uint32(start)), members[:0]
		area := [2]float64{}
		for len(stack) > 0 {
			i := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			members = append(members, i)
			n := s.at(s.triangles[3*i+1]).Sub(s.at(s.triangles[3*i])).Cross(s.at(s.triangles[3*i+2]).Sub(s.at(s.triangles[3*i])))
			area[(1-side[i])/2] += math.Sqrt(n.Dot(n))
			for _, e := range s.edges.Of[3*i : 3*i+3] {
				if s.edges.Count[e] != 2 {
					continue
				}
				j := s.edges.Tri[2*e] ^ s.edges.Tri[2*e+1] ^ i
				if side[j] != 0 {
					continue
				}
				side[j] = side[i]
				if s.edges.Mixed[e] {
					side[j] = -side[i]
				}
				stack = append(stack, j)
			}
		}
		less := int8(-1)
		if area[0] < area[1] {
			less = 1
		}
		for _, i := range members {
			if side[i] == less {
				out.Winding[i] = Turned
			}
		}
	}
}

func (s *sheet) at(group uint32) space.Vec { return space.At(s.points, group) }
