package exam

import (
	"math"
	"slices"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// RestWorld answers the global matrix of every node at rest. Do not write to it.
func (e *Exam) RestWorld() []rig.Affine {
	return e.RestPose().World
}

// RestPose answers the pose at rest. Do not move it.
func (e *Exam) RestPose() *deform.Pose {
	if e.restPose == nil {
		e.restPose = deform.NewPose(e.Rig)
	}
	return e.restPose
}

// RestPositions answers the vertices of a surface (3·V) in world space, metres, at
// rest: skinned ones by their joints and weights as stored, others by their node,
// morph targets at their default weights first. Do not write to it.
func (e *Exam) RestPositions(surface int) []float32 {
	if e.restPositions == nil {
		e.restPositions = make([][]float32, len(e.Rig.Surfaces))
	}
	if e.restPositions[surface] == nil {
		out := make([]float32, len(e.Rig.Meshes[e.Rig.Surfaces[surface].Mesh].Positions))
		deform.NewDeformer(e.Rig, surface).Apply(e.RestPose(), deform.Linear, out, nil, nil, nil)
		saturate(out)
		e.restPositions[surface] = out
	}
	return e.restPositions[surface]
}

// saturate holds numbers that grew beyond float32 at its largest: what a file places at the
// rim of numbers, and a weight rounds over it, has a length all the same.
func saturate(v []float32) {
	for i, x := range v {
		if x-x == 0 {
			continue
		}
		switch {
		case x > 0:
			v[i] = math.MaxFloat32
		case x < 0:
			v[i] = -math.MaxFloat32
		default: // no number: two such met
			v[i] = 0
		}
	}
}

// Roles answers which joint is what part of a body. Of several figures each joint has
// its role in its own, and the rest is that of the first.
func (e *Exam) Roles() *anatomy.Roles {
	if e.roles == nil {
		var all []*anatomy.Roles
		var joints [][]rig.Node
		for _, f := range e.Figures() {
			if f.Exam != nil {
				all, joints = append(all, f.Exam.Roles()), append(joints, f.Joints)
			}
		}
		if e.roles = anatomy.Joined(all, joints); e.roles == nil {
			e.roles = anatomy.Find(e.Rig, e.RestWorld())
			e.rolesOfCopies()
		}
	}
	return e.roles
}

// rolesOfCopies takes the roles of each skeleton by itself where several stand in one place and
// are together what none of them is: two oxen's legs make no spider.
func (e *Exam) rolesOfCopies() {
	if len(e.copies) == 0 || e.roles.Kind == e.copies[0].Exam.Roles().Kind {
		return
	}
	var all []*anatomy.Roles
	var joints [][]rig.Node
	for i := range e.copies {
		all, joints = append(all, e.copies[i].Exam.Roles()), append(joints, e.copies[i].Joints)
	}
	if r := anatomy.Joined(all, joints); r != nil {
		e.roles = r
	}
}

// IsShown tells for every node whether the default scene holds it. Do not write
// to it.
func (e *Exam) IsShown() []bool {
	if e.isShown == nil {
		e.isShown = e.Rig.IsShown()
	}
	return e.isShown
}

// Shown answers the places in Rig.Surfaces of those that the default scene shows;
// all of them when it shows none. Every measure over the whole figure takes these.
func (e *Exam) Shown() []int {
	if e.shown == nil {
		e.shown = make([]int, 0, len(e.Rig.Surfaces))
		is := e.IsShown()
		for i, s := range e.Rig.Surfaces {
			if is[s.Node] {
				e.shown = append(e.shown, i)
			}
		}
		if len(e.shown) == 0 {
			for i := range e.Rig.Surfaces {
				e.shown = append(e.shown, i)
			}
		}
	}
	return e.shown
}

// SurfaceBox is the box of one surface at rest, world, metres: of what is drawn, so
// without vertices that no triangle uses.
func (e *Exam) SurfaceBox(surface int) geom.Box {
	if e.boxes == nil {
		e.boxes = make([]*geom.Box, len(e.Rig.Surfaces))
	}
	if e.boxes[surface] == nil {
		b := e.drawnBox(surface, e.RestPositions(surface))
		e.boxes[surface] = &b
	}
	return *e.boxes[surface]
}

// drawnBox is the box of those places (3·V) of a surface that are drawn: by triangles, or
// in a primitive of points or lines; of all where none is.
func (e *Exam) drawnBox(surface int, at []float32) geom.Box {
	mesh := e.Rig.Surfaces[surface].Mesh
	m, used := &e.Rig.Meshes[mesh], e.Used(mesh)
	if !slices.Contains(used, false) || len(m.Triangles) == 0 {
		return geom.BoxOf(at)
	}
	b := geom.EmptyBox()
	for _, p := range m.Primitives {
		for v := p.First; v < p.First+p.Count; v++ {
			if !used[v] && p.TriCount > 0 {
				continue
			}
			if q := space.At(at, v); q.Dot(q)-q.Dot(q) == 0 {
				b.Add(q)
			}
		}
	}
	return b
}

// Box holds all shown surfaces at rest, as they are drawn, world, metres.
func (e *Exam) Box() geom.Box {
	if e.box == nil {
		b := geom.EmptyBox()
		for _, s := range e.Shown() {
			b = b.Union(e.SurfaceBox(s))
		}
		e.box = &b
	}
	return *e.box
}

// Diagonal of Box, metres: what tolerances are shares of. 0 when there is no vertex.
func (e *Exam) Diagonal() float64 { return e.Box().Diagonal() }
