package mend

import (
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/part"
	"rigloupe/inspect/space"
)

const (
	wornNear  = 0.05 // heights: how far off what it lies over a garment's place may be (common practice, no source)
	wornMost  = 0.8  // of its places do (common practice, no source)
	wornLooks = 300  // places of a surface that are looked at
	wornAmong = 64   // surfaces: of more nothing is proposed
	wornBody  = 0.7  // of the figure's height has what wears it: the shoulder of a robot lies on a part like it
)

// worn tells which surfaces a figure wears or holds: gear, and what lies close over a surface
// that is the figure's whole body, outside of it. By surface.
func worn(e *exam.Exam) []bool {
	out := make([]bool, len(e.Rig.Surfaces))
	for _, i := range e.Gear() {
		out[i] = true
	}
	body := e.Body()
	if len(body) < 2 || len(body) > wornAmong {
		return out
	}
	for _, under := range body {
		at := e.RestPositions(under)
		if geom.BoxOf(at).Size()[1] < wornBody*e.BodyBox().Size()[1] {
			continue
		}
		over := part.NewOver(at, e.Rig.Meshes[e.Rig.Surfaces[under].Mesh].Triangles, nil)
		for _, i := range body {
			if i != under && !out[i] && liesOver(e.RestPositions(i), over, wornNear*e.Height()) {
				out[i] = true
			}
		}
	}
	if !hasFalse(out, body) { // each lies over another: none is the body
		for _, i := range body {
			out[i] = false
		}
	}
	return out
}

// liesOver tells that most places (3·V, world) are outside of a surface, and near it.
func liesOver(points []float32, o *part.Over, near float64) bool {
	n := len(points) / 3
	step := max(1, n/wornLooks)
	var some []float32
	for v := 0; v < n; v += step {
		if space.Finite(space.At(points, v)) {
			some = append(some, points[3*v:3*v+3]...)
		}
	}
	gap, _ := o.Fields(some)
	close := 0
	for _, g := range gap {
		if g > 0 && float64(g) <= near {
			close++
		}
	}
	return len(gap) > 0 && float64(close) >= wornMost*float64(len(gap))
}

func hasFalse(list []bool, at []int) bool {
	for _, i := range at {
		if !list[i] {
			return true
		}
	}
	return false
}
