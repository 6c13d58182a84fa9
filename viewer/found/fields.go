// Package found carries an examination over to the figure: the fields that lenses
// show and the pointers at places. It stands apart from scene so that the
// stage, which draws what the examiner sends it, holds no examination.
package found

import (
	"math"

	"rigloupe/inspect"
	"rigloupe/inspect/binding"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
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
	if of := inspect.FactsOf[surface.Facts](r); of != nil {
		f.SurfaceMismatch = of.Mismatch
		f.MirrorSurface, f.MirrorPartner = partners(r.Exam)
	}
	if of := inspect.FactsOf[binding.Facts](r); of != nil {
		f.WeightMismatch = of.WeightMismatch
	}
	figures, facts := r.OfFigures("surface")
	if figures != nil { // each has a middle of its own
		f.SurfaceMismatch, f.MirrorSurface, f.MirrorPartner = nil, nil, nil
	}
	for i := range figures {
		if own, ok := facts[i].(*surface.Facts); ok && figures[i].Joints != nil {
			spread(r.Exam.Rig, &figures[i], own.Mismatch, &f.SurfaceMismatch)
			surfaces, vertices := partners(figures[i].Exam)
			inFile(&figures[i], surfaces, vertices)
			spread(r.Exam.Rig, &figures[i], surfaces, &f.MirrorSurface)
			spread(r.Exam.Rig, &figures[i], vertices, &f.MirrorPartner)
		}
	}
	if figures, facts = r.OfFigures("binding"); figures != nil {
		f.WeightMismatch = nil
	}
	for i := range figures {
		if own, ok := facts[i].(*binding.Facts); ok && figures[i].Joints != nil {
			spread(r.Exam.Rig, &figures[i], own.WeightMismatch, &f.WeightMismatch)
		}
	}
	return f
}

// none is what a vertex has that no figure says anything of.
func none[T float32 | int32]() T {
	if v, ok := any(float32(math.NaN())).(T); ok {
		return v
	}
	var zero T
	return zero - 1
}

// spread copies a figure's values, by its own surfaces and vertices, to those of the file.
func spread[T float32 | int32](r *rig.Rig, of *exam.Figure, own [][]T, all *[][]T) {
	if own == nil {
		return
	}
	if *all == nil {
		*all = make([][]T, len(r.Surfaces))
	}
	for i, s := range of.Surfaces {
		if i >= len(own) || own[i] == nil {
			continue
		}
		to := &(*all)[s]
		if *to == nil {
			*to = make([]T, r.Meshes[r.Surfaces[s].Mesh].Vertices())
			for v := range *to {
				(*to)[v] = none[T]()
			}
		}
		if keep := of.Vertices[i]; keep == nil {
			copy(*to, own[i])
		} else {
			for k, v := range keep {
				(*to)[v] = own[i][k]
			}
		}
	}
}

// inFile gives partners of a figure the file's own numbers.
func inFile(of *exam.Figure, surfaces, vertices [][]int32) {
	for i := range surfaces {
		for v, s := range surfaces[i] {
			if s < 0 {
				continue
			}
			if keep := of.Vertices[s]; keep != nil {
				vertices[i][v] = int32(keep[vertices[i][v]])
			}
			surfaces[i][v] = int32(of.Surfaces[s])
		}
	}
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
