package mend

import (
	"fmt"
	"math"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/even"
	"rigloupe/inspect/original"
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
func (w *Work) halved(p *even.HalvedPrimitive) (edits []original.Edit, err error) {
	at := primitiveAt(int(p.Mesh), p.Primitive)
	o := w.Doc.Root.Resolve(at)
	for _, e := range append(o.Get("extensions").Keys(), w.Doc.Object(original.Meshes, int(p.Mesh)).Get("extensions").Keys()...) {
		if e != "KHR_materials_variants" {
			return nil, w.Refuse("The mesh %q carries %s, which may count vertices: no triangle of it can be made anew.", w.Rig.Meshes[p.Mesh].Name, e)
		}
	}
	mesh := &w.Rig.Meshes[p.Mesh]
	d := &mesh.Primitives[p.Primitive]
	put := func(name string, array func(a *original.Accessor, v []float32) original.Array) {
		use := w.Doc.UseAt(at + name)
		if use == nil || err != nil {
			return
		}
		a, e := w.Doc.Accessor(use.Index)
		var v []float32
		if e == nil && a.Count != d.Count {
			e = fmt.Errorf("it holds %d elements for %d vertices", a.Count, d.Count)
		}
		if e == nil {
			v, e = a.Floats()
		}
		if e != nil {
			err = w.Refuse("%s%s cannot be made anew: %v.", at, name, e)
			return
		}
		edits = append(edits, original.Edit{Use: use, Array: array(&a, v)})
	}
	floats := func(v []float32) func(*original.Accessor, []float32) original.Array {
		return func(a *original.Accessor, _ []float32) original.Array { return a.Like(v, 1e-7) }
	}
	for _, k := range o.Get("attributes").Keys() {
		name := "/attributes/" + k
		switch {
		case k == "POSITION":
			put(name, floats(p.Positions))
		case k == "NORMAL" && p.Normals != nil:
			put(name, floats(p.Normals))
		case k == "TANGENT":
			put(name, func(a *original.Accessor, v []float32) original.Array {
				return a.Like(halvedTangents(p, a, v, d.First), 1.0/127)
			})
		case strings.HasPrefix(k, "JOINTS_"), strings.HasPrefix(k, "WEIGHTS_"):
		default:
			put(name, func(a *original.Accessor, v []float32) original.Array {
				out := make([]float32, 0, a.Width*len(p.From))
				for _, x := range p.From {
					out = append(out, between(a, v, x, d.First)...)
				}
				return a.Like(out, 1.0/127)
			})
		}
	}
	for set := range d.Sets {
		put(fmt.Sprintf("/attributes/JOINTS_%d", set), func(a *original.Accessor, _ []float32) original.Array {
			var out []uint32
			for v := range p.From {
				for k := range 4 {
					out = append(out, uint32(p.Joints[mesh.K*v+4*set+k]))
				}
			}
			return original.Uints32("VEC4", a.Component, out)
		})
		put(fmt.Sprintf("/attributes/WEIGHTS_%d", set), func(a *original.Accessor, was []float32) original.Array {
			full := map[int]uint32{original.Ubyte: 255, original.Ushort: 65535}[a.Component]
			if full == 0 {
				var out []float32
				for v := range p.From {
					out = append(out, p.Weights[mesh.K*v+4*set:mesh.K*v+4*set+4]...)
				}
				return original.Floats32("VEC4", out)
			}
			var out []uint32
			whole := make([]uint32, 4*d.Sets)
			for v, x := range p.From {
				if x.A == x.B && !x.Mirrored { // as stored, rounding and all
					for k := range 4 {
						out = append(out, uint32(math.Round(float64(p.Weights[mesh.K*v+4*set+k])*float64(full))))
					}
					continue
				}
				original.Weights(p.Weights[mesh.K*v:mesh.K*v+4*d.Sets], full, whole)
				out = append(out, whole[4*set:4*set+4]...)
			}
			array := original.Uints32("VEC4", a.Component, out)
			array.Normalized = true
			return array
		})
	}
	for t := range o.Get("targets").Len() {
		for _, k := range o.Get("targets").At(t).Keys() {
			name := fmt.Sprintf("/targets/%d/%s", t, k)
			switch {
			case k == "POSITION" && t < len(p.Targets) && p.Targets[t].Positions != nil:
				put(name, floats(p.Targets[t].Positions))
			case k == "NORMAL" && t < len(p.Targets) && p.Targets[t].Normals != nil:
				put(name, floats(p.Targets[t].Normals))
			default:
				put(name, func(a *original.Accessor, v []float32) original.Array {
					out := make([]float32, 0, a.Width*len(p.From))
					for i, x := range p.From {
						row := between(a, v, x, d.First)
						if k == "TANGENT" {
							turnBy(p.Maps[12*i:12*i+12], row)
						}
						out = append(out, row...)
					}
					return a.Like(out, 1.0/127)
				})
			}
		}
	}
	if err != nil {
		return nil, err
	}
	return w.halvedTriangles(p, at, edits)
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
