package original

import (
	"bytes"
	"encoding/binary"

	"rigloupe/inspect/gltfio"
)

const dracoName = "KHR_draco_mesh_compression"

// UnpackedShapes counts the primitives whose shape came packed by Draco and lies in the
// document as it reads, since an edit of packed numbers is none.
func (d *Document) UnpackedShapes() int { return d.shapes }

// unpackShapes lays what was packed into the buffer that new bytes go into, each list in a
// view of its own, and takes the extension and the packed bytes out. An accessor that several
// shapes name is one for each, but where their numbers are the same.
func (d *Document) unpackShapes(p *gltfio.Package) {
	if d.shapes = len(p.Shapes); d.shapes == 0 {
		return
	}
	filled := map[int][]byte{} // by accessor
	packed := map[int]bool{}   // views
	for _, s := range p.Shapes {
		o := d.Object(Meshes, s.Mesh).Get("primitives").At(s.Primitive)
		for _, l := range s.Lists {
			n := l.Accessor
			if was, is := filled[n]; is && !bytes.Equal(was, l.Data) {
				n = d.Add(Accessors, d.Object(Accessors, n).Clone())
				o.Get("attributes").Set(l.Name, Whole(n))
			} else if is {
				continue
			}
			filled[n] = l.Data
			d.fill(n, l.Data, s.Points, 0)
		}
		d.fillCorners(o, s)
		drop(o, dracoName)
		packed[s.View] = true
	}
	d.uses, d.taken = nil, nil
	if !d.shaped() {
		d.forget(dracoName)
	}
	var gone []int
	for v := range packed {
		if len(d.Uses(Views, v)) == 0 {
			gone = append(gone, v)
		}
	}
	if d.Remove(Views, gone...) == nil { // else, beside what nobody knows, they stay
		for b := range d.buffers {
			d.close(b)
		}
	}
	d.uses, d.taken = nil, nil
}

// fill points accessor n at new bytes: count elements of its type, without gaps. stride 0: as
// vertices want it, from a multiple of four to the next.
func (d *Document) fill(n int, data []byte, count, stride int) {
	a := d.Object(Accessors, n)
	element := sizes[a.Get("componentType").Int()] * widths[a.Get("type").String()]
	if stride == 0 {
		stride = (element + 3) &^ 3
	}
	laid := data
	if stride != element {
		laid = make([]byte, stride*count)
		for i := range count {
			copy(laid[i*stride:], data[i*element:(i+1)*element])
		}
	} else {
		stride = 0
	}
	a.Set("bufferView", Whole(d.addView(laid, stride, nil)))
	a.Set("byteOffset", nil)
	a.Set("sparse", nil)
	a.Set("count", Whole(count))
	if a.Get("min") != nil || a.Get("max") != nil {
		setBounds(a, Array{Type: a.Get("type").String(), Component: a.Get("componentType").Int(), Count: count, Data: data})
	}
}

// fillCorners makes the indices of a primitive those of its triangles.
func (d *Document) fillCorners(o *Value, s gltfio.Unshaped) {
	if len(s.Corners) == 0 {
		return
	}
	n := o.Get("indices").Int()
	kind := d.Object(Accessors, n).Get("componentType").Int()
	if o.Get("indices") == nil || d.Object(Accessors, n) == nil || len(d.Uses(Accessors, n)) > 1 || sizes[kind] == 0 {
		n, kind = d.Add(Accessors, Object("type", Text("SCALAR"), "componentType", Whole(Uint))), Uint
		o.Set("indices", Whole(n))
	}
	if kind != Uint && s.Points > 1<<(8*sizes[kind])-1 { // the highest stands for an end, and is none (glTF 2.0, Meshes)
		kind = Uint
		d.Object(Accessors, n).Set("componentType", Whole(kind))
	}
	count := len(s.Corners) / 4
	data := make([]byte, 0, sizes[kind]*count)
	for i := range count {
		v := binary.LittleEndian.Uint32(s.Corners[4*i:])
		switch kind {
		case Uint:
			data = binary.LittleEndian.AppendUint32(data, v)
		case Ushort, Short:
			data = binary.LittleEndian.AppendUint16(data, uint16(v))
		default:
			data = append(data, byte(v))
		}
	}
	d.fill(n, data, count, sizes[kind])
	if o.Get("mode") != nil {
		o.Set("mode", nil) // triangles
	}
}

// shaped tells that a primitive has a packed shape.
func (d *Document) shaped() bool {
	for m := range d.Count(Meshes) {
		list := d.Object(Meshes, m).Get("primitives")
		for i := range list.Len() {
			if list.At(i).Get("extensions").Get(dracoName) != nil {
				return true
			}
		}
	}
	return false
}

// forget takes an extension out of the lists of the file.
func (d *Document) forget(name string) {
	for _, list := range []string{"extensionsUsed", "extensionsRequired"} {
		v := d.Root.Get(list)
		if v == nil {
			continue
		}
		if v.Delete(func(i int) bool { return v.At(i).String() == name }); v.Len() == 0 {
			d.Root.Set(list, nil) // glTF 2.0: at least one item, or none of the list
		}
	}
}
