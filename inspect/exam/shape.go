package exam

import (
	"slices"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/geom"
)

// Bound tells that joints move the body: some vertex of a surface of it has weight on
// a joint.
func (e *Exam) Bound() bool {
	for _, i := range e.Body() {
		s := e.Rig.Surfaces[i]
		if s.Skin < 0 {
			continue
		}
		for _, w := range e.Rig.Meshes[s.Mesh].Weights {
			if w > 0 {
				return true
			}
		}
	}
	return false
}

// OnParts tells that the body, or some of it, is of stiff parts that clips move. The wheels of
// a cart that somebody stands beside are not.
func (e *Exam) OnParts() bool {
	is := e.Rig.OfParts()
	return is != nil && slices.ContainsFunc(e.Body(), func(s int) bool {
		n := e.StiffOn(s)
		return n >= 0 && is[n]
	})
}

// TwoSided tells that the body is known to be a figure with two sides, by its joints or
// by its surface.
func (e *Exam) TwoSided() bool {
	if r := e.Roles(); r.IsFigure() || r.Kind != anatomy.NoKind {
		return r.Kind != anatomy.HandAlone
	}
	shape := e.FromSurface()
	return shape != nil && shape.Kind != anatomy.NoKind
}

// FromSurface is what the body's surface alone tells, worked out on first use; nil:
// there is no surface, or no mirror plane to tell its sides by. Do not write to it.
func (e *Exam) FromSurface() *anatomy.Shape {
	if e.fromSurface == nil && !e.noShape {
		m, watch := e.Mirror(), e.Watch()
		shape := e.shapeBy(m, watch)
		if watch.Err() != nil {
			return nil
		}
		e.fromSurface, e.noShape = shape, shape == nil
	}
	return e.fromSurface
}

// shapeBy is what the body's surface tells by a mirror plane; nil where that means nothing.
func (e *Exam) shapeBy(m *Mirror, watch *geom.Watch) *anatomy.Shape {
	if m.PlaneDoubt() != "" {
		return nil
	}
	var points []float32
	var triangles []uint32
	for _, s := range e.Body() {
		base := uint32(len(points) / 3)
		points = append(points, e.WholePositions(s)...)
		for _, v := range e.Rig.Meshes[e.Rig.Surfaces[s].Mesh].Triangles {
			triangles = append(triangles, base+v)
		}
	}
	return anatomy.FromSurface(points, triangles, geom.Plane{Normal: m.Normal, Offset: m.Offset}, watch)
}
