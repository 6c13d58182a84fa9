package scene

import (
	"strconv"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// Reads answers in words what the shown lens says of one vertex, in the pose of the last
// picture: what its colour stands for, for those who do not tell it from another, and where
// twelve inks stand for more than twelve things. "" where the lens says nothing of it.
func (s *Scene) Reads(st *State, surface int, v rig.Vertex) string {
	p, ok := s.Probe(surface, v)
	if !ok {
		return ""
	}
	switch st.Lens {
	case Influence:
		if st.Joint < 0 || int(st.Joint) >= len(s.rig.Nodes) {
			return ""
		}
		w := float32(0)
		for _, h := range p.Influences {
			if h.Node == st.Joint {
				w += h.Weight
			}
		}
		return weight(w) + " of " + s.nodeName(st.Joint)
	case Dominant:
		if len(p.Influences) == 0 {
			return "bound to nothing"
		}
		return s.nodeName(p.Influences[0].Node) + ", " + weight(p.Influences[0].Weight)
	case Count:
		return say.Count(len(p.Influences), "joint holds it", "joints hold it")
	case MirrorSurface:
		if p.Distance != p.Distance {
			return "no partner"
		}
		return say.Quantity(float64(p.Distance), say.Metre) + " off its partner"
	case MirrorWeights:
		if p.Mismatch != p.Mismatch {
			return "none to compare with"
		}
		return weight(p.Mismatch) + " apart"
	case Stretch, TurnedOver:
		return s.strainReads(st, surface, v)
	case Measured:
		return s.measured.reads(s.rig, surface, v)
	}
	return ""
}

// weight writes a weight as the captions of lenses do.
func weight(w float32) string { return strconv.FormatFloat(float64(w), 'f', 2, 32) }

// strainReads is Reads for the lenses of the pose; what the coarse figure leaves out has no
// words while it moves.
func (s *Scene) strainReads(st *State, surface int, v rig.Vertex) string {
	f := s.now
	i := f.vertex(surface, v)
	if !s.drawn || i < 0 || f.values.lens != st.Lens {
		return ""
	}
	g := f.strains(s.views[0].state.Method)
	if st.Lens == TurnedOver {
		for t, w := range f.prepared.Tri {
			if int(w) == i && g.flags[t/3] != 0 {
				return "turned over"
			}
		}
		return "not turned over"
	}
	if k := g.stretch[i]; k == k {
		return "× " + factor(float64(k))
	}
	return "no area at rest"
}

// reads answers what a field says of a vertex, in the words of its legend.
func (f *Field) reads(r *rig.Rig, surface int, v rig.Vertex) string {
	if f == nil {
		return ""
	}
	if f.Triangles != nil {
		if surface >= len(f.Triangles) || len(f.Names) == 0 {
			return ""
		}
		for t, w := range r.Meshes[r.Surfaces[surface].Mesh].Triangles {
			if rig.Vertex(w) == v && t/3 < len(f.Triangles[surface]) {
				if flag := int(f.Triangles[surface][t/3]); flag > 0 && flag <= len(f.Names) {
					return f.Names[flag-1]
				}
			}
		}
		return "not " + f.Names[0]
	}
	x, ok := at(f.Values, surface, v)
	switch {
	case !ok || x != x:
		return "no value"
	case f.Kind == ByCategory || f.Kind == BySteps:
		if n := int(x); n >= 0 && n < len(f.Names) {
			return f.Names[n]
		}
		return "number " + say.Whole(int(x)+1)
	case f.Unit == "m":
		return say.Quantity(float64(x), say.Metre)
	case f.Unit == "°":
		return say.Quantity(float64(x), say.Degree)
	case f.Unit == "×":
		return "× " + factor(float64(x))
	}
	return say.Plain(float64(x))
}
