package gltfio

import (
	"encoding/json"
	"maps"
	"slices"

	"github.com/qmuntal/gltf"

	"rigloupe/inspect/draco"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

const dracoName = "KHR_draco_mesh_compression"

// drawn is a list of numbers that came out of a packed shape: it stands in for what the
// accessor would read. count elements, without gaps.
type drawn struct {
	data  []byte
	count int
}

// packedShape is what a primitive says of its packed shape.
type packedShape struct {
	view  int
	names []string // of the attributes, sorted
	ids   map[string]int
}

// packedShape answers whether the shape of a primitive is packed by Draco, and how.
func (r *reader) packedShape(src *gltf.Primitive) (s packedShape, is bool, err error) {
	of, is := src.Extensions[dracoName]
	if !is {
		return s, false, nil
	}
	told := struct {
		BufferView int
		Attributes map[string]int
	}{BufferView: -1}
	raw, ok := of.(json.RawMessage)
	if !ok || json.Unmarshal(raw, &told) != nil {
		return s, true, faultf("%s is not as it should be", dracoName)
	}
	s.view, s.ids = told.BufferView, told.Attributes
	for _, name := range slices.Sorted(maps.Keys(s.ids)) {
		if _, has := src.Attributes[name]; has {
			s.names = append(s.names, name)
		}
	}
	return s, true, nil
}

// program is the decoder, begun when the first shape asks for it; nil: there is none, and
// r.undecoded says why.
func (r *reader) program() draco.Program {
	if r.decoder == nil && r.undecoded == "" {
		if r.start == nil {
			r.undecoded = "nothing here unpacks them"
		} else if p, err := r.start(draco.Limit(r.left)); err != nil {
			r.undecoded = err.Error()
		} else {
			r.decoder = p
		}
		if r.undecoded != "" && slices.Contains(r.rig.File.Required, dracoName) && !slices.Contains(r.rig.File.NotHonored, dracoName) {
			r.rig.File.NotHonored = append(r.rig.File.NotHonored, dracoName)
		}
	}
	return r.decoder
}

// endDecoder gives its memory back.
func (r *reader) endDecoder() {
	if r.decoder != nil {
		r.decoder.Close()
		r.decoder = nil
	}
}

// decode unpacks one shape; wants are the accessors in the order of s.names.
func (r *reader) decode(p draco.Program, src *gltf.Primitive, s packedShape) (shape draco.Shape, err error) {
	stream, err := r.view(s.view)
	if err != nil {
		return shape, err
	}
	var want []draco.Attribute
	for _, name := range s.names {
		i := src.Attributes[name]
		if i < 0 || i >= len(r.doc.Accessors) {
			return shape, faultf("%s: accessor %d does not exist, there are %d", name, i, len(r.doc.Accessors))
		}
		if err := r.known(i); err != nil {
			return shape, err
		}
		a := r.doc.Accessors[i]
		want = append(want, draco.Attribute{ID: s.ids[name], Type: int(componentCode[a.ComponentType]), Width: elementWidth[a.Type]})
	}
	shape, err = draco.Unpack(p, stream, want, r.spend)
	if err != nil {
		r.endDecoder() // what met damage is not asked again
	}
	return shape, err
}

// undraco unpacks the shape of a primitive where it is packed, so that its columns are read
// from that. left: it is packed, and there is neither a decoder nor a copy that is not
// packed. corners: those of its triangles; nil: they are read as ever.
func (r *reader) undraco(mesh, i int, where string, at func(...any) string) (left bool, corners *column, err error) {
	src := r.doc.Meshes[mesh].Primitives[i]
	r.shaped = nil
	s, is, err := r.packedShape(src)
	if !is {
		return false, nil, nil
	}
	copied := false
	if a := src.Attributes[gltf.POSITION]; a >= 0 && a < len(r.doc.Accessors) {
		copied = r.doc.Accessors[a].BufferView != nil || r.doc.Accessors[a].Sparse != nil
	}
	var shape draco.Shape
	if err == nil {
		p := r.program()
		if p == nil {
			return !copied, nil, nil
		}
		shape, err = r.decode(p, src, s)
	}
	switch {
	case err != nil && copied:
		r.bad(onMesh(mesh), at("extensions", dracoName), "%s; its copy that is not packed is read", err)
		return false, nil, nil
	case err != nil:
		return false, nil, r.refuse(where+", "+dracoName, err)
	}
	r.shaped = map[int]drawn{}
	for k, name := range s.names {
		n := src.Attributes[name]
		if c := r.doc.Accessors[n].Count; c != shape.Points {
			r.bad(onMesh(mesh), at("attributes", name), "%d elements are stated, the packed shape has %d points; these are read", c, shape.Points)
		}
		r.shaped[n] = drawn{shape.Attributes[k], shape.Points}
	}
	return false, &column{accessor: rig.None, component: gltf.ComponentUint, size: 4, width: 1, stride: 4, count: len(shape.Corners) / 4, data: shape.Corners}, nil
}

// shapes unpacks every packed shape of a file that is taken apart; what cannot be unpacked
// stays, and is told by the reader.
func (r *reader) shapes(p *Package) {
	defer r.endDecoder()
	for m, mesh := range r.doc.Meshes {
		for i, src := range mesh.Primitives {
			s, is, err := r.packedShape(src)
			if !is || err != nil {
				continue
			}
			program := r.program()
			if program == nil {
				return
			}
			shape, err := r.decode(program, src, s)
			if err != nil {
				continue
			}
			one := Unshaped{Mesh: m, Primitive: i, View: s.view, Points: shape.Points, Corners: shape.Corners}
			for k, name := range s.names {
				one.Lists = append(one.Lists, UnshapedList{name, src.Attributes[name], shape.Attributes[k]})
			}
			p.Shapes = append(p.Shapes, one)
		}
	}
}

// roughest is how coarsely a packed shape may be rounded, as a share of its size: positions
// are packed in 8 to 16 bits (common practice, no source). The extremes that its accessor
// states are those before that.
const roughest = 1. / 256

// remarkPacked says which shapes are left empty, and why.
func (r *reader) remarkPacked() {
	if r.packed > 0 {
		r.remark("shapes compressed by %s are not unpacked (%s): %s %s left empty", dracoName, r.undecoded, say.Whole(r.packed), say.Word(r.packed, "part is", "parts are"))
	}
}
