package bridge

import (
	"math"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/scene"
)

// HitOf tells what lies under a pixel.
func HitOf(h scene.Hit, r *rig.Rig) Hit {
	out := Hit{
		Kind: KindName(h.Kind), Node: int(h.Node), Name: nodeName(r, h.Node), Surface: h.Surface,
		Triangle: h.Triangle, Vertex: int(h.Vertex), Number: h.Number,
	}
	if h.Surface >= 0 {
		out.Point = h.Point[:]
	}
	out.Other = rig.None
	if h.Other {
		out.Other, out.Node, out.Name = int(h.Node), int(h.Owner), h.Name
	}
	return out
}

// KindName is the word for what is chosen or lies under the pointer.
func KindName(k scene.Kind) string {
	switch k {
	case scene.OnJoint:
		return "joint"
	case scene.OnVertex:
		return "vertex"
	case scene.OnFinding:
		return "finding"
	}
	return "none"
}

// ChoiceOf makes what lies under the pointer the thing to point out.
func ChoiceOf(h scene.Hit) scene.Choice {
	if h.Other { // pointed out on this figure, and by that on the other
		if h.Owner < 0 {
			return scene.Choice{Node: rig.None, Surface: -1}
		}
		return scene.Choice{Kind: h.Kind, Node: h.Owner, Surface: -1}
	}
	return scene.Choice{Kind: h.Kind, Node: h.Node, Surface: h.Surface, Vertex: h.Vertex, Number: h.Number}
}

// ProbeOf tells what is known of a vertex.
func ProbeOf(p scene.Probe, r *rig.Rig) Probe {
	out := Probe{
		Surface: p.Surface, Vertex: int(p.Vertex), Node: int(p.Node), NodeName: nodeName(r, p.Node),
		Mesh: int(p.Mesh), Primitive: int(p.Primitive), Element: p.Element,
		Position:   wide(p.Position),
		Influences: []Hold{}, Sum: float64(p.Sum),
		Partner: int(p.Partner), PartnerSurface: p.PartnerSurface,
		Mismatch: known(p.Mismatch), Distance: known(p.Distance),
	}
	if p.IsDrawn {
		out.Posed = wide(p.Posed)
	}
	if int(p.Mesh) >= 0 && int(p.Mesh) < len(r.Meshes) {
		out.MeshName = r.Meshes[p.Mesh].Name
	}
	for _, h := range p.Influences {
		out.Influences = append(out.Influences, Hold{int(h.Node), h.Name, float64(h.Weight)})
	}
	return out
}

// SumOf tells a sum written out.
func SumOf(w *deform.Written, r *rig.Rig) Sum {
	rule := func(o deform.Other) Rule { return Rule{o.Place[:], o.Shift, o.Kept} }
	out := Sum{
		Surface: w.Surface, Vertex: int(w.Vertex), Position: w.Position[:], Morphed: w.Morphed, Terms: []Term{},
		WeightSum: w.WeightSum, Rest: w.Rest[:], Spread: w.Spread, Stored: w.Stored[:], Place: w.Place[:],
		Whole: rule(w.Whole), Strongest: rule(w.Strongest), FirstFour: rule(w.FirstFour), Dual: rule(w.Dual),
	}
	for i := range w.Terms {
		t := &w.Terms[i]
		out.Terms = append(out.Terms, Term{
			Letter: scene.Letter(i), Node: int(t.Joint), Name: nodeName(r, t.Joint), Slot: t.Slot, Weight: t.Weight,
			Matrix: t.Matrix[:], Alone: t.Alone[:], Adds: t.Adds[:], Total: t.Total[:], Stands: t.Stands[:],
		})
	}
	return out
}

func nodeName(r *rig.Rig, n rig.Node) string {
	if r == nil || n < 0 || int(n) >= len(r.Nodes) {
		return ""
	}
	return r.Nodes[n].Name
}

func wide(v [3]float32) []float64 {
	return []float64{float64(v[0]), float64(v[1]), float64(v[2])}
}

// known is nil for what has no value.
func known(v float32) *float64 {
	w := float64(v)
	if math.IsNaN(w) || math.IsInf(w, 0) {
		return nil
	}
	return &w
}

// mostPlaceVertices is how many vertices of one place are told: enough to frame it.
const mostPlaceVertices = 64

// PlaceOf tells a place of the figure.
func PlaceOf(p scene.Place) Place {
	out := Place{Vertices: []int{}, Extent: p.Extent, Row: p.Row}
	switch {
	case p.Surface >= 0 && len(p.Vertices) > 0:
		out.Surface = &p.Surface
		for _, v := range p.Vertices[:min(len(p.Vertices), mostPlaceVertices)] {
			out.Vertices = append(out.Vertices, int(v))
		}
		out.Point = p.Point[:]
	case p.Node >= 0:
		n := int(p.Node)
		out.Node = &n
	default:
		out.Point = p.Point[:]
	}
	return out
}
