package exam

import (
	"math"
	"slices"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/geom"
)

// sumSlack is how far a sum of weights may be off 1 and be taken as it is: at ten
// metres from the world's origin that moves a vertex by 0.1 mm.
const sumSlack = 1e-5

// WholePositions answers the shape of a surface at rest (3·V, world, metres) without
// the faults of its weights: those are made whole, and a vertex that nothing binds
// goes where the nearest bound one goes. What is said of the mesh itself is measured
// here: as stored, vertices without weight lie in one heap at the world's origin, and
// short sums draw one side in. Where no weight is at fault it is RestPositions itself.
// Do not write to it.
func (e *Exam) WholePositions(surface int) []float32 {
	if e.wholePositions == nil {
		e.wholePositions = make([][]float32, len(e.Rig.Surfaces))
	}
	if e.wholePositions[surface] == nil {
		e.wholePositions[surface] = e.madeWhole(surface)
	}
	return e.wholePositions[surface]
}

func (e *Exam) madeWhole(surface int) []float32 {
	s := e.Rig.Surfaces[surface]
	m := &e.Rig.Meshes[s.Mesh]
	if s.Skin < 0 || int(s.Skin) >= len(e.Rig.Skins) || m.K == 0 {
		return e.RestPositions(surface)
	}
	joints := len(e.Rig.Skins[s.Skin].Joints)
	var weights []float32
	var index []uint16
	var heap []int // vertices that nothing binds
	var bound []float32
	sets := m.SetsOf()
	for v := range m.Vertices() {
		if sets[v] == 0 {
			continue
		}
		row, sum, odd := m.Weights[m.K*v:m.K*v+m.K], 0.0, false
		for k, w := range row {
			if int(m.Joints[m.K*v+k]) < joints && w > 0 && !math.IsInf(float64(w), 0) {
				sum += float64(w)
			} else if w != 0 {
				odd = true
			}
		}
		if !odd && math.Abs(sum-1) <= sumSlack {
			continue
		}
		if weights == nil {
			weights, index = slices.Clone(m.Weights), slices.Clone(m.Joints)
		}
		if sum == 0 || math.IsInf(sum, 0) {
			heap = append(heap, v)
			continue
		}
		for k, w := range row {
			x := float32(0)
			if int(index[m.K*v+k]) < joints && w > 0 {
				x = float32(float64(w) / sum)
			}
			weights[m.K*v+k] = x
		}
	}
	if weights == nil {
		return e.RestPositions(surface)
	}
	if heap != nil {
		lost := make([]bool, m.Vertices())
		for _, v := range heap {
			lost[v] = true
		}
		bound = slices.Clone(m.Positions)
		for v := range lost {
			if lost[v] || sets[v] == 0 {
				bound[3*v] = float32(math.NaN())
			}
		}
		tree := geom.NewTree(bound)
		for _, v := range heap {
			n, _ := tree.Nearest(m.Positions[3*v], m.Positions[3*v+1], m.Positions[3*v+2], float32(math.Inf(1)))
			to := weights[m.K*v : m.K*v+m.K]
			clear(to)
			if n >= 0 {
				copy(to, weights[m.K*int(n):m.K*int(n)+m.K])
				copy(index[m.K*v:m.K*v+m.K], index[m.K*int(n):m.K*int(n)+m.K])
			} else if joints > 0 { // nothing is bound: all goes one way
				to[0], index[m.K*v] = 1, 0
			}
		}
	}
	r := *e.Rig
	r.Meshes = slices.Clone(r.Meshes)
	r.Meshes[s.Mesh].Weights, r.Meshes[s.Mesh].Joints = weights, index
	out := make([]float32, len(m.Positions))
	deform.NewDeformer(&r, surface).Apply(e.RestPose(), deform.Linear, out, nil, nil, nil)
	saturate(out)
	return out
}

// ShapeBox is the box of WholePositions, world, metres.
func (e *Exam) ShapeBox(surface int) geom.Box {
	whole, rest := e.WholePositions(surface), e.RestPositions(surface)
	if len(whole) == 0 || &whole[0] == &rest[0] {
		return e.SurfaceBox(surface)
	}
	if e.shapeBoxes == nil {
		e.shapeBoxes = make([]*geom.Box, len(e.Rig.Surfaces))
	}
	if e.shapeBoxes[surface] == nil {
		b := e.drawnBox(surface, whole)
		e.shapeBoxes[surface] = &b
	}
	return *e.shapeBoxes[surface]
}

// Size is the diagonal of all that is shown, metres: Diagonal, but where faults of
// weights blow that up or shrink it by more than a tenth; then that of the shapes.
func (e *Exam) Size() float64 {
	b := geom.EmptyBox()
	for _, s := range e.Shown() {
		b = b.Union(e.ShapeBox(s))
	}
	stored, shape := e.Diagonal(), b.Diagonal()
	if math.Abs(stored-shape) <= 0.1*shape {
		return stored
	}
	return shape
}

// SizeOf is what tolerances of one surface are shares of, metres: Size. Where the surface
// alone tells a figure among other things, the figure has its own and each thing its own:
// that a hand lies on a stage of a hundred metres makes no two of its vertices one.
func (e *Exam) SizeOf(surface int) float64 {
	f := e.standsAlone()
	if f == nil || len(e.Gear()) == 0 {
		return e.Size()
	}
	if !e.IsBody(surface) {
		return e.ShapeBox(surface).Diagonal()
	}
	return e.BodyBox().Diagonal()
}
