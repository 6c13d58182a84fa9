package exam

import (
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
)

// RestWorld answers the global matrix of every node at rest. Do not write to it.
func (e *Exam) RestWorld() []rig.Affine {
	if e.restWorld == nil {
		e.restWorld = e.Rig.RestWorld()
	}
	return e.restWorld
}

// RestPositions answers the vertices of a surface (3·V) in world space, metres, at
// rest: skinned ones by their joints and weights as stored, others by their node,
// morph targets at their default weights first. Do not write to it.
func (e *Exam) RestPositions(surface int) []float32 {
	if e.restPositions == nil {
		e.restPositions = make([][]float32, len(e.Rig.Surfaces))
	}
	if e.restPositions[surface] == nil {
		e.restPositions[surface] = restSurface(e.Rig, e.RestWorld(), surface)
	}
	return e.restPositions[surface]
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

// SurfaceBox is the box of one surface at rest, world, metres.
func (e *Exam) SurfaceBox(surface int) geom.Box {
	if e.boxes == nil {
		e.boxes = make([]*geom.Box, len(e.Rig.Surfaces))
	}
	if e.boxes[surface] == nil {
		b := geom.BoxOf(e.RestPositions(surface))
		e.boxes[surface] = &b
	}
	return *e.boxes[surface]
}

// Box holds all shown surfaces at rest, every stored vertex, world, metres.
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

// Height is the y extent of Box, metres.
func (e *Exam) Height() float64 { return e.Box().Size()[1] }

func restSurface(r *rig.Rig, world []rig.Affine, surface int) []float32 {
	s := r.Surfaces[surface]
	m := &r.Meshes[s.Mesh]
	p := m.Positions
	weights := r.Nodes[s.Node].Weights
	if weights == nil {
		weights = m.Morph
	}
	for t, w := range weights {
		if w == 0 || t >= len(m.Targets) || m.Targets[t].Positions == nil {
			continue
		}
		if &p[0] == &m.Positions[0] {
			p = append([]float32(nil), p...)
		}
		for i, d := range m.Targets[t].Positions {
			p[i] += w * d
		}
	}
	out := make([]float32, len(p))
	if s.Skin < 0 || m.K == 0 {
		a := world[s.Node].Float32()
		for v := 0; v+2 < len(p); v += 3 {
			x, y, z := p[v], p[v+1], p[v+2]
			out[v] = a[0]*x + a[1]*y + a[2]*z + a[3]
			out[v+1] = a[4]*x + a[5]*y + a[6]*z + a[7]
			out[v+2] = a[8]*x + a[9]*y + a[10]*z + a[11]
		}
		return out
	}
	skin := &r.Skins[s.Skin]
	palette := make([][12]float32, len(skin.Joints))
	for j, n := range skin.Joints {
		a := world[n].Mul(&skin.Bind[j])
		palette[j] = a.Float32()
	}
	for v := 0; v+2 < len(p); v += 3 {
		x, y, z := p[v], p[v+1], p[v+2]
		for i, end := v/3*m.K, v/3*m.K+m.K; i < end; i++ {
			w, j := m.Weights[i], int(m.Joints[i])
			if w == 0 || j >= len(palette) {
				continue
			}
			a := &palette[j]
			out[v] += w * (a[0]*x + a[1]*y + a[2]*z + a[3])
			out[v+1] += w * (a[4]*x + a[5]*y + a[6]*z + a[7])
			out[v+2] += w * (a[8]*x + a[9]*y + a[10]*z + a[11])
		}
	}
	return out
}
