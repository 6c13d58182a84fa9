package mend

import (
	"strings"

	"rigloupe/inspect/bind"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rest"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/inspect/weights"
)

// attributes writes the arrays of one primitive: places and directions as they were laid on,
// all others to the byte.
func (p *parter) attributes(x *piece, d *rig.PrimitiveData, o *original.Value, number map[int32]uint16) (*original.Value, error) {
	out, list := original.Object(), original.Object()
	attributes := o.Get("attributes")
	for _, name := range attributes.Keys() {
		if strings.HasPrefix(name, "JOINTS_") || strings.HasPrefix(name, "WEIGHTS_") {
			continue
		}
		if err := p.attribute(x, d, list, name, attributes.Get(name).Int()); err != nil {
			return nil, err
		}
	}
	if number != nil {
		err := putInfluences(p.w.Doc, list, d.Count, len(number), func(v int, row []weights.Hold) []weights.Hold {
			return p.row(x.place[d.First+v], number, row)
		})
		if err != nil {
			return nil, err
		}
	}
	out.Set("attributes", list)
	if targets := o.Get("targets"); targets.Len() > 0 {
		all := original.List()
		for t := range targets.Len() {
			one, err := p.target(x, d, targets.At(t))
			if err != nil {
				return nil, err
			}
			all.Append(one)
		}
		out.Set("targets", all)
	}
	return out, nil
}

// attribute writes one array of vertices; index is its accessor in the second file.
func (p *parter) attribute(x *piece, d *rig.PrimitiveData, list *original.Value, name string, index int) error {
	if name == "POSITION" {
		return p.put(list, name, original.Floats32("VEC3", x.at[3*d.First:3*(d.First+d.Count)]), true)
	}
	a, v, err := p.floats(index)
	if err != nil {
		return err
	}
	switch name {
	case "NORMAL":
		p.turned(x, d, v, true)
		return p.put(list, name, original.Floats32("VEC3", v), false)
	case "TANGENT":
		for i := range min(d.Count, len(v)/4) {
			m := p.axesAt(x, d.First+i)
			turnBy(m[:], v[4*i:4*i+3])
			copy(v[4*i:], unit32(v[4*i:4*i+3]))
		}
		return p.put(list, name, original.Floats32("VEC4", v), false)
	}
	// Of glTF itself; other types want an extension (KHR_mesh_quantization).
	if a.Component == original.Float || a.Normalized && (a.Component == original.Ubyte || a.Component == original.Ushort) || strings.HasPrefix(name, "_") {
		data, _, err := a.Raw()
		if err != nil {
			return err
		}
		return p.put(list, name, original.Array{Type: a.Type, Component: a.Component, Normalized: a.Normalized, Count: a.Count, Data: data}, false)
	}
	return p.put(list, name, original.Floats32(a.Type, v), false)
}

// target writes one morph target: displacements of places, and of unit directions, which
// do not grow with the figure.
func (p *parter) target(x *piece, d *rig.PrimitiveData, of *original.Value) (*original.Value, error) {
	one := original.Object()
	for _, name := range of.Keys() {
		if name != "POSITION" && name != "NORMAL" && name != "TANGENT" {
			continue
		}
		_, v, err := p.floats(of.Get(name).Int())
		if err != nil {
			return nil, err
		}
		p.turned(x, d, v, false)
		if name != "POSITION" {
			for i := range v {
				v[i] /= float32(p.laid.Factor)
			}
		}
		if err := p.put(one, name, original.Floats32("VEC3", v), name == "POSITION"); err != nil {
			return nil, err
		}
	}
	return one, nil
}

// put stores an array of vertices in the figure's file and names it in a list.
func (p *parter) put(list *original.Value, name string, a original.Array, bounds bool) error {
	return putArray(p.w.Doc, list, name, a, bounds)
}

// floats reads an accessor of the second file as plain numbers.
func (p *parter) floats(index int) (original.Accessor, []float32, error) {
	a, err := p.b.Doc.Accessor(index)
	if err != nil {
		return a, nil, err
	}
	v, err := a.Floats()
	return a, v, err
}

// turned lays rows of three on, vertex by vertex; unit: directions square to the surface,
// which stay one long.
func (p *parter) turned(x *piece, d *rig.PrimitiveData, v []float32, unit bool) {
	for i := range min(d.Count, len(v)/3) {
		m := p.axesAt(x, d.First+i)
		row := (*[3]float32)(v[3*i : 3*i+3])
		if unit {
			*row, _ = rest.Facing(&m, row[:])
		} else {
			turnBy(m[:], row[:])
		}
	}
}

// axesAt is the map of directions of a vertex, as the rows of a 3×4 matrix.
func (p *parter) axesAt(x *piece, v int) (m [12]float32) {
	for c := range 3 {
		for r := range 3 {
			m[4*r+c] = x.axes[c][3*v+r]
		}
	}
	return m
}

func unit32(v []float32) []float32 {
	u := space.Direction(space.At(v, 0))
	if u.Len() == 0 {
		return v
	}
	return []float32{float32(u[0]), float32(u[1]), float32(u[2])}
}

// row is a place's weights as they are stored.
func (p *parter) row(place uint32, number map[int32]uint16, row []weights.Hold) []weights.Hold {
	row = row[:0]
	for k := bind.K * int(place); k < bind.K*int(place+1); k++ {
		if w := p.weight.Weight[k]; w > 0 {
			row = append(row, weights.Hold{Joint: number[p.weight.Joint[k]], Weight: w})
		}
	}
	return fourOf(row)
}
