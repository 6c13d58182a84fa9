package exam

import (
	"slices"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// Weld groups the vertices of a mesh by exact stored position. Do not write to it.
func (e *Exam) Weld(m rig.Mesh) *geom.Welded {
	if e.welds == nil {
		e.welds = make([]*geom.Welded, len(e.Rig.Meshes))
	}
	if e.welds[m] == nil {
		watch := e.Watch()
		w := geom.Weld(e.Rig.Meshes[m].Positions, watch)
		if watch.Err() != nil {
			return &w
		}
		e.welds[m] = &w
	}
	return e.welds[m]
}

// Used tells for every vertex of a mesh whether a triangle uses it. Primitives
// that share their array of positions, in this mesh or another, use it together.
// Do not write to it.
func (e *Exam) Used(m rig.Mesh) []bool {
	if e.used == nil {
		e.used = usedVertices(e.Rig)
	}
	return e.used[m]
}

func usedVertices(r *rig.Rig) [][]bool {
	used := make([][]bool, len(r.Meshes))
	sharers := map[int]int{} // array → primitives
	for i := range r.Meshes {
		m := &r.Meshes[i]
		used[i] = make([]bool, m.Vertices())
		for _, v := range m.Triangles {
			used[i][v] = true
		}
		for p := range m.Primitives {
			sharers[m.Primitives[p].Array]++
		}
	}
	together := map[int][]bool{}
	for pass := range 2 {
		for i := range r.Meshes {
			for _, p := range r.Meshes[i].Primitives {
				if p.Array < 0 || sharers[p.Array] < 2 || p.First+p.Count > len(used[i]) {
					continue
				}
				own, all := used[i][p.First:p.First+p.Count], together[p.Array]
				if all == nil {
					all = make([]bool, p.Count)
					together[p.Array] = all
				}
				for v := range min(len(own), len(all)) {
					if pass == 0 {
						all[v] = all[v] || own[v]
					} else {
						own[v] = all[v]
					}
				}
			}
		}
	}
	return used
}

// Mirror is the mirror plane of some surfaces at rest taken together, and who stands
// opposite whom. Points are the welded vertices that a triangle uses, surface by
// surface.
type Mirror struct {
	geom.Mirror
	Surface []int32      // point → place in Rig.Surfaces
	Vertex  []rig.Vertex // point → its first vertex in the surface's mesh
	Point   [][]int32    // surface → vertex → point; −1: no triangle uses it; nil: not among these surfaces
	Places  []float32    // 3·points, metres, world, rest pose, weights made whole (WholePositions)
	Figure  bool         // the rig is a human-like figure: it should have a mirror plane
	Hand    bool         // it is a hand alone, which has none
	sides   string       // why it need not have two sides alike, "" where it should
	packed  []string     // extensions that are not honoured
}

// Mirror is that of the body, found on first use: a sword has no say in where the
// middle lies, nor in whether the sides are alike. Do not write to it.
func (e *Exam) Mirror() *Mirror { return e.mirrorOf(&e.mirror, e.Body()) }

// WholeMirror is that of all shown surfaces, gear and body; the same as Mirror where
// there is no gear. Do not write to it.
func (e *Exam) WholeMirror() *Mirror {
	if len(e.Body()) == len(e.Shown()) {
		return e.Mirror()
	}
	return e.mirrorOf(&e.wholeMirror, e.Shown())
}

func (e *Exam) mirrorOf(kept **Mirror, surfaces []int) *Mirror {
	if *kept == nil {
		watch := e.Watch()
		m := e.findMirror(watch, surfaces)
		if watch.Err() != nil {
			return m
		}
		*kept = m
	}
	return *kept
}

func (e *Exam) findMirror(watch *geom.Watch, surfaces []int) *Mirror {
	m := &Mirror{Point: make([][]int32, len(e.Rig.Surfaces)), Figure: e.Roles().IsFigure(), Hand: e.Roles().Kind == anatomy.HandAlone, packed: e.Rig.File.NotHonored}
	// Room for all at once: lists of millions that grow bit by bit take longer than
	// filling them.
	places, corners := 0, 0
	for _, s := range surfaces {
		places += e.Weld(e.Rig.Surfaces[s].Mesh).Groups()
		corners += len(e.Rig.Meshes[e.Rig.Surfaces[s].Mesh].Triangles)
	}
	m.Surface, m.Vertex, m.Places = make([]int32, 0, places), make([]rig.Vertex, 0, places), make([]float32, 0, 3*places)
	triangles := make([]uint32, 0, corners)
	for _, s := range surfaces {
		mesh := e.Rig.Surfaces[s].Mesh
		weld, used, rest := e.Weld(mesh), e.Used(mesh), e.WholePositions(s)
		ofGroup := make([]int32, weld.Groups()) // point+1, 0: none yet
		point := make([]int32, len(weld.Of))
		for v, g := range weld.Of {
			point[v] = -1
			if !used[v] {
				continue
			}
			if ofGroup[g] == 0 {
				m.Surface = append(m.Surface, int32(s))
				m.Vertex = append(m.Vertex, rig.Vertex(v))
				m.Places = append(m.Places, rest[3*v:3*v+3]...)
				ofGroup[g] = int32(len(m.Vertex))
			}
		}
		for v, g := range weld.Of {
			point[v] = ofGroup[g] - 1
		}
		for _, v := range e.Rig.Meshes[mesh].Triangles {
			triangles = append(triangles, uint32(point[v]))
		}
		m.Point[s] = point
		watch.Spend(20 * len(point))
	}
	box := geom.EmptyBox()
	for _, s := range surfaces {
		box = box.Union(e.ShapeBox(s))
	}
	m.Mirror = geom.FindMirror(geom.Shape{Points: m.Places, Triangles: triangles, Pairs: e.partnerPlaces(), Diagonal: box.Diagonal(), Watch: watch})
	m.sides = e.sidesUnasked(m, watch)
	return m
}

// What must be so for the sides of a thing to be held against each other though nothing
// says that it has two: this share of its points finds the shape at its mirror image,
// and no more of its vertices lack a partner than one part that is off has. A hand has
// 85 % and 25 %, a foot 94 and 30, a snake that winds on level ground, whose back is
// like its belly, 100 and 61 (measured; common practice, no source).
const (
	nearlyAlike = 0.95
	mostAlone   = 0.1
)

// surelyAlike is the first of these for what the surface alone tells to be a person or an
// animal: one who holds something, or stands with one arm down, has less.
const surelyAlike = 0.9

// sidesUnasked says why the sides of a shape need not be alike, "" where they should:
// where its joints tell what it is or stand in pairs, where it is nearly alike, or where the surface alone
// tells a figure with two sides.
func (e *Exam) sidesUnasked(m *Mirror, watch *geom.Watch) string {
	if m.PlaneDoubt() != "" || m.Figure || e.Roles().Kind != anatomy.NoKind || len(e.partnerPlaces()) > 0 {
		return ""
	}
	if f := e.standsAlone(); f != nil && len(f.Vertices) > 0 && slices.ContainsFunc(f.Vertices, func(v []rig.Vertex) bool { return v != nil }) {
		return "a figure stands there beside other things in one surface: part them, and its sides are looked at"
	}
	if m.Alike >= nearlyAlike && m.UnmatchedShare <= mostAlone {
		return ""
	}
	if m.Alike >= surelyAlike {
		if shape := e.shapeBy(m, watch); shape != nil && shape.Kind != anatomy.NoKind {
			return ""
		}
	}
	return "nothing says that it has two sides alike: over the best plane " + say.Sure(m.UnmatchedShare) + " of its vertices have no partner"
}

// partnerPlaces are the rest places of joints and their partners, each pair once.
func (e *Exam) partnerPlaces() (pairs [][2]space.Vec) {
	world := e.RestWorld()
	for n, p := range e.Roles().Of {
		if p.Partner > rig.Node(n) && e.Roles().Of[p.Partner].Partner == rig.Node(n) {
			pairs = append(pairs, [2]space.Vec{world[n].Origin(), world[p.Partner].Origin()})
		}
	}
	return pairs
}

// leastAlike is the share of the points that must find the shape at their mirror
// image, within 2 % of the diagonal, for the plane to mean anything: a figure with
// sword and shield has it, a hand or a lamp post beside a house has not (measured
// on sound and lopsided figures; common practice, no source).
const leastAlike = 0.75

// Doubt says why nothing can be said of two sides, or "" when there is no doubt: the
// plane means nothing, or the shape is of no kind that has two and is not nearly alike
// on both. A figure must have a plane: half a body is lopsided, however little of it
// meets its image.
func (m *Mirror) Doubt() string {
	if why := m.PlaneDoubt(); why != "" {
		return why
	}
	return m.sides
}

// PlaneDoubt is the doubt about the plane alone.
func (m *Mirror) PlaneDoubt() string {
	switch {
	case len(m.Vertex) == 0:
		return Lacks("triangles", m.packed)
	case m.Hand:
		return "a hand alone has no two sides"
	case !m.Found:
		return "no mirror plane was found"
	case m.Alike < leastAlike && !m.Figure:
		return "no mirror plane was found: over the best one only " + say.Sure(m.Alike) + " of the shape meets its own image"
	}
	return ""
}
