package lamplighter

import (
	"math"
	"slices"

	"rigloupe/inspect/rig"
)

func wholenessFaults() []Fault {
	return []Fault{
		{ID: "surface/near-coincident", Name: "a corner of the left cuff split by 6 µm", Grade: "flaw",
			Also: []string{"surface/boundary-edges", "surface/ready-to-bind"}, Plant: SplitCorner(6e-6)},
		{ID: "surface/near-coincident", Name: "cut along the joints and shaken by 0.1 mm", Grade: "flaw",
			Also: []string{"surface/boundary-edges", "surface/shells", "surface/ready-to-bind"}, Plant: Shake(1e-4)},
		{ID: "surface/doubled-vertices", Name: "a vertex of the left cuff stored twice", Grade: "note", Plant: StoreTwice},
		{ID: "surface/slivers", Name: "a triangle without area on the left cuff", Grade: "flaw",
			Also: []string{"surface/ready-to-bind"}, Plant: Flatten},
		{ID: "surface/boundary-edges", Name: "a triangle of the coat missing", Grade: "note", Plant: Pierce},
		{ID: "surface/branching-edges", Name: "a fin on the left cuff", Grade: "flaw",
			Also: []string{"surface/boundary-edges", "surface/ready-to-bind", "surface/bad-normals"}, Plant: Fin},
		{ID: "surface/mixed-winding", Name: "a triangle of the coat turned over", Grade: "flaw",
			Also: []string{"surface/bad-normals", "surface/ready-to-bind"}, Plant: TurnOver},
		{ID: "surface/inside-out", Name: "the whole figure inside out", Grade: "flaw",
			Also: []string{"surface/bad-normals", "surface/ready-to-bind"}, Plant: InsideOut},
		{ID: "surface/shells", Name: "a crumb before the chest", Grade: "note", Plant: Crumb},
		{ID: "surface/unused-vertices", Name: "a loose vertex in the chest", Grade: "note", Plant: Loose},
		{ID: "surface/bad-normals", Name: "a normal of the left cuff twice as long", Grade: "note", Plant: LongNormal},
		{ID: "surface/ready-to-bind", Name: "the whole figure inside out, to be bound anew", Grade: "note",
			Also: []string{"surface/bad-normals", "surface/inside-out"}, Plant: InsideOut},
	}
}

// again stores a vertex of mesh 0 once more, at the end.
func again(r *rig.Rig, v rig.Vertex) rig.Vertex {
	m := &r.Meshes[0]
	n := rig.Vertex(m.Vertices())
	row := func(list *[]float32, width int) {
		if *list != nil {
			*list = append(*list, slices.Clone((*list)[width*int(v):width*int(v+1)])...)
		}
	}
	row(&m.Positions, 3)
	row(&m.Normals, 3)
	row(&m.UV, 2)
	row(&m.Weights, m.K)
	m.Joints = append(m.Joints, slices.Clone(m.Joints[m.K*int(v):m.K*int(v+1)])...)
	for i := range m.Targets {
		row(&m.Targets[i].Positions, 3)
		row(&m.Targets[i].Normals, 3)
	}
	p := &m.Primitives[len(m.Primitives)-1]
	p.Count++
	if p.WeightSums != nil {
		p.WeightSums = append(p.WeightSums, p.WeightSums[int(v)-p.First])
	}
	return n
}

// addTriangle adds one at the end.
func addTriangle(m *rig.MeshData, a, b, c rig.Vertex) {
	m.Triangles = append(m.Triangles, uint32(a), uint32(b), uint32(c))
	m.Primitives[len(m.Primitives)-1].TriCount++
}

// cuffCorner is a vertex of the left cuff and a triangle that has it, by its first corner
// in Triangles.
func cuffCorner(r *rig.Rig) (v rig.Vertex, t int) {
	w := r.RestWorld()[handL].Origin()
	return withTriangle(r, w[0]-0.02, w[1]+0.07, 0)
}

// coatCorner is the same on the front of the coat, left of the middle.
func coatCorner(r *rig.Rig) (v rig.Vertex, t int) { return withTriangle(r, 0.06, 1.1, 0.2) }

func withTriangle(r *rig.Rig, x, y, z float64) (v rig.Vertex, t int) {
	v = nearest(r, x, y, z, 1)[0]
	return v, slices.Index(r.Meshes[0].Triangles, uint32(v)) / 3 * 3
}

func corners(m *rig.MeshData, t int) []rig.Vertex {
	out := []rig.Vertex{rig.Vertex(m.Triangles[t]), rig.Vertex(m.Triangles[t+1]), rig.Vertex(m.Triangles[t+2])}
	slices.Sort(out)
	return out
}

func planted(p Planted, measure string, size float64) Planted {
	p.Measure, p.Size = measure, size
	return p
}

// SplitCorner takes one triangle off its corner on the left cuff, to a vertex of its
// own so many metres higher. Size: pairs.
func SplitCorner(metres float32) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		m := &r.Meshes[0]
		v, t := cuffCorner(r)
		n := again(r, v)
		m.Positions[3*n+1] += metres
		for k := range 3 {
			if m.Triangles[t+k] == uint32(v) {
				m.Triangles[t+k] = uint32(n)
			}
		}
		rebound(m)
		return planted(at(r, []rig.Vertex{v, n}), "pairs", 1)
	}
}

// StoreTwice stores a vertex of the left cuff twice, each used by triangles of its own.
// Size: copies.
func StoreTwice(r *rig.Rig) Planted {
	p := SplitCorner(0)(r)
	return planted(at(r, p.Vertices[1:]), "copies", 1)
}

// Flatten adds a triangle that runs along an edge and back. Size: triangles.
func Flatten(r *rig.Rig) Planted {
	m := &r.Meshes[0]
	_, t := cuffCorner(r)
	a, b := rig.Vertex(m.Triangles[t]), rig.Vertex(m.Triangles[t+1])
	addTriangle(m, a, b, a)
	return planted(at(r, []rig.Vertex{min(a, b), max(a, b)}), "triangles without area", 1)
}

// Pierce takes a triangle of the coat away. Size: loops.
func Pierce(r *rig.Rig) Planted {
	m := &r.Meshes[0]
	_, t := coatCorner(r)
	p := at(r, corners(m, t))
	m.Triangles = slices.Delete(m.Triangles, t, t+3)
	m.Primitives[len(m.Primitives)-1].TriCount--
	return planted(p, "loops", 1)
}

// Fin stands a triangle on an edge of the left cuff, both ends of which keep their
// normals. Size: edges of three triangles.
func Fin(r *rig.Rig) Planted {
	m := &r.Meshes[0]
	_, t := cuffCorner(r)
	a, b := rig.Vertex(m.Triangles[t]), rig.Vertex(m.Triangles[t+1])
	n := again(r, a)
	for k := range 3 {
		m.Positions[3*int(n)+k] += 0.006 * m.Normals[3*int(n)+k]
	}
	addTriangle(m, a, b, n)
	rebound(m)
	return planted(at(r, []rig.Vertex{min(a, b), max(a, b)}), "branching edges", 1)
}

// TurnOver turns one triangle of the coat over. Size: edges that it shares with
// neighbours the wrong way.
func TurnOver(r *rig.Rig) Planted {
	m := &r.Meshes[0]
	_, t := coatCorner(r)
	m.Triangles[t], m.Triangles[t+1] = m.Triangles[t+1], m.Triangles[t]
	return planted(at(r, corners(m, t)), "edges", 3)
}

// InsideOut turns every triangle over. Size: shells.
func InsideOut(r *rig.Rig) Planted {
	m := &r.Meshes[0]
	for t := 0; t < len(m.Triangles); t += 3 {
		m.Triangles[t], m.Triangles[t+1] = m.Triangles[t+1], m.Triangles[t]
	}
	return Planted{Nodes: []rig.Node{r.Surfaces[0].Node}, Surface: rig.None, Measure: "shells", Size: 1}
}

// Crumb hangs a tetrahedron of 8 mm before the chest, bound as the chest there, its
// normals outwards, alike on both sides. Size: crumbs.
func Crumb(r *rig.Rig) Planted {
	m := &r.Meshes[0]
	from := nearest(r, 0, 1.35, 0.2, 1)[0]
	mid := [3]float32{0, m.Positions[3*from+1], m.Positions[3*from+2] + 0.03}
	var v [4]rig.Vertex
	for i, d := range [4][3]float32{{1, -1, 0}, {-1, -1, 0}, {0, 1, 1}, {0, 1, -1}} {
		v[i] = again(r, from)
		l := float32(math.Sqrt(float64(d[0]*d[0] + d[1]*d[1] + d[2]*d[2])))
		for k := range 3 {
			m.Positions[3*int(v[i])+k] = mid[k] + 0.004*d[k]
			m.Normals[3*int(v[i])+k] = d[k] / l
		}
	}
	addTriangle(m, v[0], v[2], v[1])
	addTriangle(m, v[0], v[1], v[3])
	addTriangle(m, v[0], v[3], v[2])
	addTriangle(m, v[1], v[2], v[3])
	rebound(m)
	return planted(at(r, v[:]), "crumbs", 1)
}

// Loose stores a vertex that no triangle uses, in the middle of the chest. Size: 1.
func Loose(r *rig.Rig) Planted {
	m := &r.Meshes[0]
	n := again(r, nearest(r, 0, 1.3, 0.2, 1)[0])
	m.Positions[3*n+2] -= 0.05
	rebound(m)
	return planted(at(r, []rig.Vertex{n}), "vertices", 1)
}

// LongNormal doubles the length of one normal. Size: vertices.
func LongNormal(r *rig.Rig) Planted {
	m := &r.Meshes[0]
	v, _ := cuffCorner(r)
	for k := range 3 {
		m.Normals[3*int(v)+k] *= 2
	}
	return planted(at(r, []rig.Vertex{v}), "vertices", 1)
}
