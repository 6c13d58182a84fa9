package exam

import (
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

// FromSurface is what the body's surface alone tells, worked out on first use; nil:
// there is no surface, or no mirror plane to tell its sides by. Do not write to it.
func (e *Exam) FromSurface() *anatomy.Shape {
	if e.fromSurface == nil && !e.noShape {
		m, watch := e.Mirror(), e.Watch()
		if m.Doubt() != "" {
			e.noShape = watch.Err() == nil
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
		shape := anatomy.FromSurface(points, triangles, geom.Plane{Normal: m.Normal, Offset: m.Offset}, watch)
		if watch.Err() != nil {
			return nil
		}
		e.fromSurface = shape
	}
	return e.fromSurface
}
