package mend

import (
	"fmt"
	"math"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/even"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// halve makes one half of a figure anew from the other: new triangles, so a person chooses
// it and no finding does where the figure is bound.
func (x *evened) halve(g *evenFigure, wants even.Wants) error {
	w := x.w
	h, err := even.Halve(g.e, wants)
	if err != nil {
		return w.evenRefusal(err)
	}
	var edits []original.Edit
	for i := range h.Primitives {
		more, err := w.halved(&h.Primitives[i])
		if err != nil {
			return err
		}
		edits = append(edits, more...)
	}
	x.edits = append(x.edits, edits...)
	for i := range h.Primitives {
		p := &h.Primitives[i]
		m := &w.Rig.Meshes[p.Mesh]
		if x.from[p.Mesh] == nil {
			x.from[p.Mesh] = make([][]int32, len(m.Primitives))
			for k, d := range m.Primitives {
				for v := range d.Count {
					x.from[p.Mesh][k] = append(x.from[p.Mesh][k], int32(d.First+v))
				}
			}
		}
		list := make([]int32, len(p.From))
		for v, x := range p.From {
			list[v] = x.A
			if x.Mirrored || x.A != x.B {
				list[v] = -1
			}
		}
		x.from[p.Mesh][p.Primitive] = list
	}
	to, behind := g.e.SideNames()
	if wants.From == even.Behind {
		to = behind
	}
	w.Say("The %s half stays; the other is its mirror image, with the same stretch of the picture.", to)
	w.Measure(check.Also("edges cut at the plane", float64(h.Cut), say.Edges))
	w.Measure(check.Also("vertices that went", float64(h.Gone), say.Vertices))
	w.Measure(check.Also("laid onto the plane by at most", h.Laid, say.Metre))
	for _, s := range h.LeftWhole {
		w.Leave("%s. Left as it is.", capital(s))
	}
	parts, places := 0, 0
	for _, p := range h.Pairs.Parts {
		if p.Left {
			parts, places = parts+1, places+p.Places
		}
	}
	if parts > 0 {
		w.Leave("%s with %s, too uneven to have two halves: left as they are.", say.Count(parts, "part", "parts"), say.Count(places, "vertex", "vertices"))
	}
	if h.NoRoom > 0 {
		w.Leave("%s on the plane lost their smallest weights: the slots of the file do not hold those of both sides.", say.Count(h.NoRoom, "vertex", "vertices"))
	}
	return nil
}

// halved lists the arrays of one primitive made anew.
func (w *Work) halved(p *even.HalvedPrimitive) ([]original.Edit, error) {
	at := primitiveAt(int(p.Mesh), p.Primitive)
	o := w.Doc.Root.Resolve(at)
	for _, e := range append(o.Get("extensions").Keys(), w.Doc.Object(original.Meshes, int(p.Mesh)).Get("extensions").Keys()...) {
		if e != "KHR_materials_variants" {
			return nil, w.Refuse("The mesh %q carries %s, which may count vertices: no triangle of it can be made anew.", w.Rig.Meshes[p.Mesh].Name, e)
		}
	}
	mesh := &w.Rig.Meshes[p.Mesh]
	h := &halfArrays{w: w, p: p, at: at, k: mesh.K, d: &mesh.Primitives[p.Primitive]}
	h.attributes(o.Get("attributes").Keys())
	for set := range h.d.Sets {
		h.influences(set)
	}
	for t := range o.Get("targets").Len() {
		h.target(t, o.Get("targets").At(t).Keys())
	}
	if h.err != nil {
		return nil, h.err
	}
	return w.halvedTriangles(p, at, h.edits)
}

// halfArrays gathers the edits of one primitive; the first error stays.
type halfArrays struct {
	w     *Work
	p     *even.HalvedPrimitive
	at    string // of the primitive in the document
	k     int    // influences a vertex, as read
	d     *rig.PrimitiveData
	edits []original.Edit
	err   error
}

// put makes the accessor of that name anew out of its numbers; there may be none.
func (h *halfArrays) put(name string, array func(a *original.Accessor, v []float32) original.Array) {
	use := h.w.Doc.UseAt(h.at + name)
	if use == nil || h.err != nil {
		return
	}
	a, err := h.w.Doc.Accessor(use.Index)
	var v []float32
	if err == nil && a.Count != h.d.Count {
		err = fmt.Errorf("it holds %d elements for %d vertices", a.Count, h.d.Count)
	}
	if err == nil {
		v, err = a.Floats()
	}
	if err != nil {
		h.err = h.w.Refuse("%s%s cannot be made anew: %v.", h.at, name, err)
		return
	}
	h.edits = append(h.edits, original.Edit{Use: use, Array: array(&a, v)})
}

// numbers are stored as they are.
func (h *halfArrays) numbers(name string, v []float32) {
	h.put(name, func(a *original.Accessor, _ []float32) original.Array { return a.Like(v, 1e-7) })
}

// taken stores what each vertex was made of; turn is nil or changes a row of it.
func (h *halfArrays) taken(name string, turn func(vertex int, row []float32)) {
	h.put(name, func(a *original.Accessor, v []float32) original.Array {
		out := make([]float32, 0, a.Width*len(h.p.From))
		for i, x := range h.p.From {
			row := between(a, v, x, h.d.First)
			if turn != nil {
				turn(i, row)
			}
			out = append(out, row...)
		}
		return a.Like(out, 1.0/127)
	})
}

// attributes are all but joints and weights.
func (h *halfArrays) attributes(keys []string) {
	for _, k := range keys {
		name := "/attributes/" + k
		switch {
		case k == "POSITION":
			h.numbers(name, h.p.Positions)
		case k == "NORMAL" && h.p.Normals != nil:
			h.numbers(name, h.p.Normals)
		case k == "TANGENT":
			h.put(name, func(a *original.Accessor, v []float32) original.Array {
				return a.Like(halvedTangents(h.p, a, v, h.d.First), 1.0/127)
			})
		case strings.HasPrefix(k, "JOINTS_"), strings.HasPrefix(k, "WEIGHTS_"):
		default:
			h.taken(name, nil)
		}
	}
}

// influences are the joints and weights of one set of four.
func (h *halfArrays) influences(set int) {
	h.put(fmt.Sprintf("/attributes/JOINTS_%d", set), func(a *original.Accessor, _ []float32) original.Array {
		var out []uint32
		for v := range h.p.From {
			for k := range 4 {
				out = append(out, uint32(h.p.Joints[h.k*v+4*set+k]))
			}
		}
		return original.Uints32("VEC4", a.Component, out)
	})
	h.put(fmt.Sprintf("/attributes/WEIGHTS_%d", set), func(a *original.Accessor, _ []float32) original.Array {
		full := map[int]uint32{original.Ubyte: 255, original.Ushort: 65535}[a.Component]
		if full == 0 {
			var out []float32
			for v := range h.p.From {
				out = append(out, h.p.Weights[h.k*v+4*set:h.k*v+4*set+4]...)
			}
			return original.Floats32("VEC4", out)
		}
		array := original.Uints32("VEC4", a.Component, h.wholeWeights(set, full))
		array.Normalized = true
		return array
	})
}

// wholeWeights are those of one set as integers, whose sum over all sets is full.
func (h *halfArrays) wholeWeights(set int, full uint32) (out []uint32) {
	whole := make([]uint32, 4*h.d.Sets)
	for v, x := range h.p.From {
		own := h.p.Weights[h.k*v : h.k*v+4*h.d.Sets]
		if x.A == x.B && !x.Mirrored { // as stored, rounding and all
			for _, w := range own[4*set : 4*set+4] {
				out = append(out, uint32(math.Round(float64(w)*float64(full))))
			}
			continue
		}
		original.Weights(own, full, whole)
		out = append(out, whole[4*set:4*set+4]...)
	}
	return out
}

// target is one morph target.
func (h *halfArrays) target(t int, keys []string) {
	for _, k := range keys {
		name := fmt.Sprintf("/targets/%d/%s", t, k)
		switch {
		case k == "POSITION" && t < len(h.p.Targets) && h.p.Targets[t].Positions != nil:
			h.numbers(name, h.p.Targets[t].Positions)
		case k == "NORMAL" && t < len(h.p.Targets) && h.p.Targets[t].Normals != nil:
			h.numbers(name, h.p.Targets[t].Normals)
		case k == "TANGENT":
			h.taken(name, func(i int, row []float32) { turnBy(h.p.Maps[12*i:12*i+12], row) })
		default:
			h.taken(name, nil)
		}
	}
}

// halvedTriangles adds the list of corners.
func (w *Work) halvedTriangles(p *even.HalvedPrimitive, at string, edits []original.Edit) ([]original.Edit, error) {
	o := w.Doc.Root.Resolve(at)
	if mode := o.Get("mode"); mode != nil && mode.Int() != 4 {
		o.Set("mode", original.Whole(4))
	}
	kind := original.Ushort
	if len(p.From) > 65535 { // 65535 itself restarts a strip (glTF 2.0, Meshes)
		kind = original.Uint
	}
	if u := w.Doc.UseAt(at + "/indices"); u != nil {
		if a, err := w.Doc.Accessor(u.Index); err == nil && a.Component == original.Uint {
			kind = original.Uint
		}
		return append(edits, original.Edit{Use: u, Array: original.Uints32("SCALAR", kind, p.Triangles)}), nil
	}
	i, err := w.Doc.NewAccessor(original.Uints32("SCALAR", kind, p.Triangles), false, false)
	if err != nil {
		return nil, err
	}
	o.Set("indices", original.Whole(i))
	w.Doc.Refresh(original.Meshes, int(p.Mesh))
	return edits, nil
}

// between is a row of an attribute for a new vertex. Whole numbers that stand for
// themselves (an id, a class) are those of the nearer end.
func between(a *original.Accessor, v []float32, x even.Made, first int) []float32 {
	from, to := v[a.Width*(int(x.A)-first):], v[a.Width*(int(x.B)-first):]
	out := make([]float32, a.Width)
	for k := range out {
		switch {
		case x.A == x.B:
			out[k] = from[k]
		case a.Component == original.Float || a.Normalized:
			out[k] = float32(float64(from[k])*(1-x.Share) + float64(to[k])*x.Share)
		case x.Share < 0.5:
			out[k] = from[k]
		default:
			out[k] = to[k]
		}
	}
	return out
}

// halvedTangents turns tangents with their vertices and lays them square to the normals;
// a mirror image turns their sign.
func halvedTangents(p *even.HalvedPrimitive, a *original.Accessor, v []float32, first int) []float32 {
	out := make([]float32, 0, a.Width*len(p.From))
	for i, x := range p.From {
		row := between(a, v, x, first)
		if x.A != x.B || x.Mirrored {
			turnBy(p.Maps[12*i:12*i+12], row)
			t := space.At(row, 0)
			if p.Normals != nil {
				t = space.Level(t, space.At(p.Normals, i))
			}
			if u, ok := space.Unit(t); ok {
				row[0], row[1], row[2] = float32(u[0]), float32(u[1]), float32(u[2])
			}
			if a.Width == 4 {
				row[3] = float32(math.Copysign(1, float64(row[3])))
				if x.Mirrored {
					row[3] = -row[3]
				}
			}
		}
		out = append(out, row...)
	}
	return out
}

// turnBy multiplies a direction by the 3×3 part of a 3×4 matrix, in place.
func turnBy(m, d []float32) {
	x := space.At(d, 0)
	for r := range 3 {
		d[r] = float32(float64(m[4*r])*x[0] + float64(m[4*r+1])*x[1] + float64(m[4*r+2])*x[2])
	}
}
