// Package found carries an examination over to the figure: the fields that lenses
// show and the pointers at places. It stands apart from scene so that the
// stage, which draws what the examiner sends it, holds no examination.
package found

import (
	"math"

	"rigloupe/inspect"
	"rigloupe/inspect/binding"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/surface"
	"rigloupe/viewer/scene"
)

// Fields takes out of an examination what the lenses and the probe show. What a
// station that did not run would have given stays nil.
func Fields(r *inspect.Result) *scene.Fields {
	f := scene.RoleFields(r.Exam.Rig, r.Exam.Roles())
	if b := r.Exam.BodyBox(); r.Exam.Height() > 0 && !math.IsInf(r.Exam.Height(), 0) {
		f.Stands = [2]float64{b.Min[1], b.Max[1]}
	}
	for i := range r.Stations {
		switch facts := r.Stations[i].Facts.(type) {
		case *surface.Facts:
			f.SurfaceMismatch = facts.Mismatch
			f.MirrorSurface, f.MirrorPartner = partners(r.Exam)
		case *binding.Facts:
			f.WeightMismatch = facts.WeightMismatch
		}
	}
	return f
}

// partners answers, for every surface and vertex, the vertex on the other side and
// its surface.
func partners(e *exam.Exam) (surfaces, vertices [][]int32) {
	m := e.Mirror()
	if m == nil || m.Doubt() != "" {
		return nil, nil // a partner over a plane that means nothing would be a false one
	}
	surfaces, vertices = make([][]int32, len(m.Point)), make([][]int32, len(m.Point))
	for s, points := range m.Point {
		surfaces[s], vertices[s] = make([]int32, len(points)), make([]int32, len(points))
		for v, p := range points {
			surfaces[s][v], vertices[s][v] = -1, -1
			if p < 0 || m.Partner[p] < 0 {
				continue
			}
			q := m.Partner[p]
			surfaces[s][v], vertices[s][v] = m.Surface[q], int32(m.Vertex[q])
		}
	}
	return surfaces, vertices
}
