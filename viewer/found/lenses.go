package found

import (
	"fmt"
	"math"
	"strconv"

	"rigloupe/inspect"
	"rigloupe/inspect/binding"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/viewer/marks"
	"rigloupe/viewer/scene"
)

// Params is what some lenses need to be told besides their name.
type Params struct {
	Weld  float64    // metres: a weld distance
	Joint rig.Node   // rig.None: none
	Move  scene.Move // of the bend set; of axis "": none
}

// LensInfo is one lens that an examination can show, or why it cannot.
type LensInfo struct {
	Name    string `json:"name"`
	Title   string `json:"title"`
	About   string `json:"about"`
	Station string `json:"station"` // whose measure it is: "surface"
	Ready   bool   `json:"ready"`
	Why     string `json:"why"` // not ready: why not
}

// lens is one row: what it is called and how its field is made. A field that
// cannot be made says why in words.
type lens struct {
	name, title, about, station string
	needs                       func(*inspect.Result) string // "": it can be shown
	field                       func(*inspect.Result, Params) *scene.Field
}

// table is every lens that an examination feeds, in the order of the page. A
// station's lens is one row here and the per-vertex slice in its Facts.
var table = []lens{
	{"parts", "Surfaces", "Which surface each part belongs to", "intake", needsSurface, parts},
	{"shells", "Shells", "Which pieces the surface falls into", "surface", needsSheets, shellInks},
	{"winding", "Winding", "Which triangles run the other way", "surface", needsSheets, winding},
	{"gap", "Gap", "How far each surface is off what it lies on, and where under it", "surface", needsOthers, gaps},
	{"inside", "Inside", "How often what a surface lies on goes round each of its places", "surface", needsOthers, within},
	{"detail-at-risk", "Detail at risk", "What a weld distance would cost", "surface", needsSheets, risk},
	{"mirror-pairs", "Mirror partners", "Which vertices have a partner on the other side", "surface", needsMirror, pairs},
	{"section-depth", "Section depth", "How deep each joint lies beneath the surface around it, against the middle of its section", "skeleton", needsSections, sectionDepth},
	{"weight-sum", "Sum of weights", "How far the weights of each vertex are from a sum of 1", "binding", needsBinding, sums},
	{"roughness", "Roughness", "The largest jump of weights across an edge", "binding", needsBinding, roughness},
	{"rigid-parts", "Rigid parts", "Which shells follow one joint stiffly", "binding", needsBinding, rigidParts},
	{"seam-gap", "Seam gap", "How far places that are bound twice open over the bend set", "binding", needsSeams, seamGap},
	{"bleed", "Bleed", "What a move draws along beyond the joint's own limb", "bends", needsMoves, bleed},
}

// LensNames are the names of all of them, whether a file has them or not.
func LensNames() (names []string) {
	for _, l := range table {
		names = append(names, l.name)
	}
	return names
}

// Lenses lists what this examination can show besides the scene's own lenses.
func Lenses(r *inspect.Result) []LensInfo {
	var out []LensInfo
	for _, l := range table {
		why := l.needs(r)
		out = append(out, LensInfo{l.name, l.title, l.about, l.station, why == "", why})
	}
	return out
}

// Field makes what a lens shows. An error says that there is no such lens, or why
// it cannot be shown.
func Field(r *inspect.Result, name string, p Params) (*scene.Field, error) {
	for _, l := range table {
		if l.name != name {
			continue
		}
		if why := l.needs(r); why != "" {
			return nil, fmt.Errorf("lens %q: %s", name, why)
		}
		f := l.field(r, p)
		f.Name, f.Title = l.name, l.title
		return f, nil
	}
	return nil, fmt.Errorf("lens %q: this examination shows no such thing", name)
}

func needsSurface(r *inspect.Result) string {
	if len(r.Exam.Shown()) == 0 {
		return "this file shows no surface"
	}
	return ""
}

func needsMirror(r *inspect.Result) string { return r.Exam.Mirror().Doubt() }

func needsBinding(r *inspect.Result) string {
	switch f := inspect.FactsOf[binding.Facts](r); {
	case f == nil:
		return "Binding was not looked at"
	case len(f.Skins) == 0:
		return "no skin in this file"
	}
	return ""
}

// parts gives every surface an ink of its own.
func parts(r *inspect.Result, _ Params) *scene.Field {
	f := &scene.Field{Kind: scene.ByCategory, Values: make([][]float32, len(r.Exam.Rig.Surfaces))}
	shown := r.Exam.Shown()
	vertices := 0
	for i, s := range shown {
		m := &r.Exam.Rig.Meshes[r.Exam.Rig.Surfaces[s].Mesh]
		f.Values[s] = filled(m.Vertices(), float32(i))
		f.Names = append(f.Names, r.Exam.SurfaceName(s))
		vertices += m.Vertices()
	}
	f.Caption = fmt.Sprintf("Surfaces. %s over %s vertices.", say.Count(len(shown), "surface", "surfaces"), say.Whole(vertices))
	return f
}

// pairs tells vertices with a partner, on the plane, and without one apart.
func pairs(r *inspect.Result, _ Params) *scene.Field {
	m := r.Exam.Mirror()
	f := &scene.Field{Kind: scene.BySteps, Values: make([][]float32, len(m.Point)), Names: []string{"a partner", "on the plane", "no partner"}}
	for s, points := range m.Point {
		if points == nil {
			continue
		}
		f.Values[s] = filled(len(points), nan)
		for v, p := range points {
			switch {
			case p < 0: // no triangle uses it
			case m.Partner[p] < 0:
				f.Values[s][v] = 2
			case m.Partner[p] == p:
				f.Values[s][v] = 1
			default:
				f.Values[s][v] = 0
			}
		}
	}
	f.Caption = fmt.Sprintf("Mirror partners. %s, %s on the plane, %s without a partner.",
		say.Count(m.Pairs, "pair", "pairs"), say.Count(m.OnPlane, "vertex", "vertices"), say.Whole(m.Unmatched))
	return f
}

// sums shows how far sums of weights are off. What is in order is 0; vertices of
// no skin, or bound to nothing, have no value.
func sums(r *inspect.Result, _ Params) *scene.Field {
	b := inspect.FactsOf[binding.Facts](r)
	f := &scene.Field{Kind: scene.ByValue, Values: make([][]float32, len(b.Counts))}
	bound := 0
	for s, counts := range b.Counts {
		if counts == nil {
			continue
		}
		f.Values[s] = filled(len(counts), nan)
		for v, n := range counts {
			if n > 0 {
				f.Values[s][v] = 0
				bound++
			}
		}
	}
	off, largest := 0, 0.
	for k := range b.Skins {
		for _, o := range b.Skins[k].Sums {
			if o.Surface < len(f.Values) && int(o.Vertex) < len(f.Values[o.Surface]) {
				f.Values[o.Surface][o.Vertex] = float32(o.Error)
			}
			off++
			largest = max(largest, o.Error)
		}
	}
	f.High = 1
	if largest > 0 {
		f.High = marks.RoundUp(largest)
	}
	f.Caption = fmt.Sprintf("Sum of weights. All %s bound vertices sum to 1.", say.Whole(bound))
	if off > 0 {
		f.Caption = fmt.Sprintf("Sum of weights. %s of %s bound vertices are off, at most by %s.", say.Whole(off), say.Whole(bound), strconv.FormatFloat(largest, 'g', 3, 64))
	}
	return f
}

var nan = float32(math.NaN())

func filled(n int, v float32) []float32 {
	out := make([]float32, n)
	for i := range out {
		out[i] = v
	}
	return out
}
