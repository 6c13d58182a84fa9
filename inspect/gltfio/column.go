package gltfio

import (
	"encoding/binary"
	"math"

	"github.com/qmuntal/gltf"
)

// column is one accessor after all its bounds were checked: its numbers can be
// read without another look.
type column struct {
	accessor   int
	component  gltf.ComponentType
	size       int // bytes of a component
	width      int // components of an element
	count      int
	stride     int    // bytes from element to element
	data       []byte // from the first element on; nil: all zero
	normalized bool
	patch      patch
}

// patch is the sparse part of an accessor.
type patch struct {
	count     int
	indices   []byte
	indexSize int
	values    []byte
}

// componentSize and elementWidth go by the library's constants.
var (
	componentSize = [...]int{gltf.ComponentFloat: 4, gltf.ComponentByte: 1, gltf.ComponentUbyte: 1,
		gltf.ComponentShort: 2, gltf.ComponentUshort: 2, gltf.ComponentUint: 4}
	elementWidth = [...]int{gltf.AccessorScalar: 1, gltf.AccessorVec2: 2, gltf.AccessorVec3: 3,
		gltf.AccessorVec4: 4, gltf.AccessorMat2: 4, gltf.AccessorMat3: 9, gltf.AccessorMat4: 16}
	componentCode = [...]uint16{gltf.ComponentFloat: 5126, gltf.ComponentByte: 5120, gltf.ComponentUbyte: 5121,
		gltf.ComponentShort: 5122, gltf.ComponentUshort: 5123, gltf.ComponentUint: 5125}
	componentName = [...]string{gltf.ComponentFloat: "FLOAT", gltf.ComponentByte: "BYTE", gltf.ComponentUbyte: "UNSIGNED_BYTE",
		gltf.ComponentShort: "SHORT", gltf.ComponentUshort: "UNSIGNED_SHORT", gltf.ComponentUint: "UNSIGNED_INT"}
	elementName = [...]string{gltf.AccessorScalar: "SCALAR", gltf.AccessorVec2: "VEC2", gltf.AccessorVec3: "VEC3",
		gltf.AccessorVec4: "VEC4", gltf.AccessorMat2: "MAT2", gltf.AccessorMat3: "MAT3", gltf.AccessorMat4: "MAT4"}
)

// use is what an accessor is read for; it decides about stride and alignment.
type use uint8

const (
	plainData  use = iota // indices, keys, matrices: tightly packed
	vertexData            // may be interleaved, elements start at multiples of 4
)

// column checks accessor i against its view and buffer (glTF 2.0, Data Alignment).
func (r *reader) column(i int, kind use, want ...gltf.AccessorType) (c column, err error) {
	if i < 0 || i >= len(r.doc.Accessors) {
		return c, faultf("accessor %d does not exist, there are %d", i, len(r.doc.Accessors))
	}
	a := r.doc.Accessors[i]
	if err := r.known(i); err != nil {
		return c, err
	}
	if a.Count < 1 {
		return c, faultf("accessor %d: count is %d, at least 1 is wanted", i, a.Count)
	}
	if int64(a.Count) > r.left {
		return c, r.spend(a.Count, 1)
	}
	fits := len(want) == 0
	for _, t := range want {
		fits = fits || a.Type == t
	}
	if !fits {
		return c, faultf("accessor %d is %s, %s is wanted", i, elementName[a.Type], elementName[want[0]])
	}
	c = column{accessor: i, component: a.ComponentType, size: componentSize[a.ComponentType],
		width: elementWidth[a.Type], count: a.Count, normalized: a.Normalized}
	if c.normalized && (c.component == gltf.ComponentFloat || c.component == gltf.ComponentUint) {
		r.bad(nowhere, place("accessors", i, "normalized"), "%s cannot be normalised; read as it stands", componentName[c.component])
		c.normalized = false
	}
	element := c.size * c.width
	c.stride = element
	if s, is := r.shaped[i]; is {
		c.data, c.count = s.data, s.count
	} else if a.BufferView == nil {
		if a.ByteOffset != 0 {
			r.bad(nowhere, place("accessors", i, "byteOffset"), "%d without a buffer view; ignored", a.ByteOffset)
		}
	} else if err := r.place(&c, a, kind, element); err != nil {
		return c, err
	}
	if a.Sparse != nil {
		err = r.sparse(&c, a.Sparse, element)
	}
	return c, err
}

// known tells that the types of accessor i are glTF's.
func (r *reader) known(i int) error {
	if code, odd := r.doc.oddComponent[i]; odd {
		return faultf("accessor %d: componentType %d is none of glTF's (5120, 5121, 5122, 5123, 5125, 5126)", i, code)
	}
	if name, odd := r.doc.oddType[i]; odd {
		return faultf("accessor %d: type %s is none of glTF's (SCALAR, VEC2, VEC3, VEC4, MAT2, MAT3, MAT4)", i, quote(name))
	}
	return nil
}

// place points c at its bytes.
func (r *reader) place(c *column, a *gltf.Accessor, kind use, element int) error {
	i := c.accessor
	data, err := r.view(*a.BufferView)
	if err != nil {
		return err
	}
	v := r.doc.BufferViews[*a.BufferView]
	if s := v.ByteStride; s != 0 && kind == plainData && s != element {
		r.bad(nowhere, place("bufferViews", *a.BufferView, "byteStride"),
			"%d, but accessor %d is no vertex attribute, so its elements are packed; the stride is ignored", s, i)
	} else if s != 0 && kind == vertexData {
		if s < element || s > 252 || s%4 != 0 {
			r.bad(nowhere, place("bufferViews", *a.BufferView, "byteStride"),
				"%d bytes for elements of %d; a multiple of 4 from the element's size to 252 is wanted; read as stated", s, element)
		}
		if s < 1 {
			return faultf("buffer view %d: byteStride is %d", *a.BufferView, s)
		}
		c.stride = s
	}
	if a.ByteOffset < 0 || a.ByteOffset > len(data) {
		return faultf("accessor %d starts at byte %d of buffer view %d, which has %d", i, a.ByteOffset, *a.BufferView, len(data))
	}
	rest := len(data) - a.ByteOffset
	if rest < element || c.count-1 > (rest-element)/c.stride {
		return faultf("accessor %d: %d elements every %d bytes do not fit into the %d bytes left in buffer view %d", i, c.count, c.stride, rest, *a.BufferView)
	}
	c.data = data[a.ByteOffset:]
	if (a.ByteOffset+v.ByteOffset)%c.size != 0 || a.ByteOffset%c.size != 0 {
		r.bad(nowhere, place("accessors", i, "byteOffset"), "starts at byte %d of its buffer, no multiple of %d; read all the same", a.ByteOffset+v.ByteOffset, c.size)
	} else if kind == vertexData && (a.ByteOffset%4 != 0 || c.stride%4 != 0 && v.ByteStride == 0) {
		r.bad(nowhere, place("accessors", i), "its elements of %d bytes do not all start at a multiple of 4; read all the same", c.stride)
	}
	return nil
}

// view answers the bytes of a buffer view, as many as are there.
func (r *reader) view(i int) ([]byte, error) {
	if i < 0 || i >= len(r.views) {
		return nil, faultf("buffer view %d does not exist, there are %d", i, len(r.views))
	}
	s := &r.views[i]
	if s.known {
		return s.data, s.fault
	}
	s.known = true
	v := r.doc.BufferViews[i]
	if packed, is, err := r.stream(i); is {
		if err == nil {
			s.data, err = r.unpackView(i, packed)
		}
		if err == nil || !r.isThere(v.Buffer) {
			s.fault = err
			return s.data, s.fault
		}
		r.bad(nowhere, place("bufferViews", i, "extensions", packed.by), "%s; its copy that is not packed is read", err)
	}
	s.data, s.fault = r.bytesOf(i, v.Buffer, v.ByteOffset, v.ByteLength)
	return s.data, s.fault
}

// bytesOf answers n bytes of a buffer from an offset on, as many as are there, for view i.
func (r *reader) bytesOf(i, buffer, offset, n int) ([]byte, error) {
	if buffer < 0 || buffer >= len(r.buffers) {
		return nil, faultf("buffer view %d: buffer %d does not exist, there are %d", i, buffer, len(r.buffers))
	}
	b := r.buffers[buffer]
	switch {
	case b.fault != nil:
		return nil, b.fault
	case offset < 0 || offset > len(b.data):
		return nil, faultf("buffer view %d starts at byte %d of buffer %d, which has %d", i, offset, buffer, len(b.data))
	case n < 0:
		return nil, faultf("buffer view %d: byteLength is %d", i, n)
	case n > len(b.data)-offset:
		r.bad(nowhere, place("bufferViews", i, "byteLength"), "%d bytes from byte %d on reach beyond buffer %d, which has %d; what is there is read",
			n, offset, buffer, len(b.data))
		return b.data[offset:], nil
	}
	return b.data[offset : offset+n : offset+n], nil
}

// sparse checks the substituted elements (glTF 2.0, Sparse Accessors).
func (r *reader) sparse(c *column, s *gltf.Sparse, element int) error {
	i := c.accessor
	if s.Count < 1 || s.Count > c.count {
		return faultf("accessor %d: sparse count is %d of %d elements", i, s.Count, c.count)
	}
	if code, odd := r.doc.oddIndex[i]; odd {
		return faultf("accessor %d: sparse indices of componentType %d; 5121, 5123 or 5125 is wanted", i, code)
	}
	switch s.Indices.ComponentType {
	case gltf.ComponentUbyte, gltf.ComponentUshort, gltf.ComponentUint:
	default:
		return faultf("accessor %d: sparse indices are %s; an unsigned type is wanted", i, componentName[s.Indices.ComponentType])
	}
	part := func(what string, view, offset, size int) ([]byte, error) {
		data, err := r.view(view)
		if err != nil {
			return nil, err
		}
		if offset < 0 || offset > len(data) || s.Count > (len(data)-offset)/size {
			return nil, faultf("accessor %d: %d sparse %s of %d bytes from byte %d on do not fit into buffer view %d, which has %d",
				i, s.Count, what, size, offset, view, len(data))
		}
		return data[offset:], nil
	}
	p := patch{count: s.Count, indexSize: componentSize[s.Indices.ComponentType]}
	var err error
	if p.indices, err = part("indices", s.Indices.BufferView, s.Indices.ByteOffset, p.indexSize); err != nil {
		return err
	}
	if p.values, err = part("values", s.Values.BufferView, s.Values.ByteOffset, element); err != nil {
		return err
	}
	if err := r.spend(p.count, 4); err != nil {
		return err
	}
	last, outside, falling := -1, 0, 0
	for k := range p.count {
		n := p.index(k)
		if n >= c.count {
			outside++
		}
		if n <= last {
			falling++
		}
		last = n
	}
	if outside > 0 {
		r.bad(nowhere, place("accessors", i, "sparse", "indices"), "%d of %d indices point beyond the %d elements; left out", outside, p.count, c.count)
	}
	if falling > 0 {
		r.bad(nowhere, place("accessors", i, "sparse", "indices"), "%d of %d indices do not rise; applied in the order they stand", falling, p.count)
	}
	c.patch = p
	return nil
}

func (p *patch) index(k int) int {
	switch p.indexSize {
	case 1:
		return int(p.indices[k])
	case 2:
		return int(binary.LittleEndian.Uint16(p.indices[2*k:]))
	}
	return int(binary.LittleEndian.Uint32(p.indices[4*k:]))
}

// floats writes the stored numbers, not normalised: element e, component k goes to
// out[e·step + k]. Numbers that are not finite become 0; it answers how many.
func (c *column) floats(out []float32, step int) (odd int) {
	if c.data != nil {
		odd = convert(c.component, c.data, c.stride, c.count, c.width, out, step)
	}
	element := c.size * c.width
	for k := range c.patch.count {
		if n := c.patch.index(k); n < c.count {
			odd += convert(c.component, c.patch.values[k*element:], element, 1, c.width, out[n*step:], step)
		}
	}
	return odd
}

// convert is the one hot loop of reading: one branch on the type, then plain loops.
func convert(t gltf.ComponentType, src []byte, stride, count, width int, out []float32, step int) (odd int) {
	const exponent = 0x7F800000 // all ones: infinite or no number
	switch t {
	case gltf.ComponentFloat:
		if stride == 4*width && step == width {
			n := count * width
			src, out = src[:4*n], out[:n]
			for i := range out {
				u := binary.LittleEndian.Uint32(src[4*i:])
				if u&exponent == exponent {
					odd++
					u = 0
				}
				out[i] = math.Float32frombits(u)
			}
			return odd
		}
		for e := range count {
			from, to := src[e*stride:], out[e*step:e*step+width]
			for k := range to {
				u := binary.LittleEndian.Uint32(from[4*k:])
				if u&exponent == exponent {
					odd++
					u = 0
				}
				to[k] = math.Float32frombits(u)
			}
		}
	case gltf.ComponentUbyte:
		for e := range count {
			from, to := src[e*stride:], out[e*step:e*step+width]
			for k := range to {
				to[k] = float32(from[k])
			}
		}
	case gltf.ComponentByte:
		for e := range count {
			from, to := src[e*stride:], out[e*step:e*step+width]
			for k := range to {
				to[k] = float32(int8(from[k]))
			}
		}
	case gltf.ComponentUshort:
		for e := range count {
			from, to := src[e*stride:], out[e*step:e*step+width]
			for k := range to {
				to[k] = float32(binary.LittleEndian.Uint16(from[2*k:]))
			}
		}
	case gltf.ComponentShort:
		for e := range count {
			from, to := src[e*stride:], out[e*step:e*step+width]
			for k := range to {
				to[k] = float32(int16(binary.LittleEndian.Uint16(from[2*k:])))
			}
		}
	case gltf.ComponentUint:
		for e := range count {
			from, to := src[e*stride:], out[e*step:e*step+width]
			for k := range to {
				to[k] = float32(binary.LittleEndian.Uint32(from[4*k:]))
			}
		}
	}
	return odd
}

// normalise turns stored integers into what they stand for (glTF 2.0, Animations:
// f = max(c / 127, −1) and so on). width numbers every step.
func normalise(t gltf.ComponentType, v []float32, step, width int) {
	full := float32(1)
	switch t {
	case gltf.ComponentByte:
		full = 127
	case gltf.ComponentUbyte:
		full = 255
	case gltf.ComponentShort:
		full = 32767
	case gltf.ComponentUshort:
		full = 65535
	default:
		return
	}
	for e := 0; e+width <= len(v); e += step {
		for k := range width {
			v[e+k] = max(v[e+k]/full, -1)
		}
	}
}

// whole writes unsigned integers, one column of width numbers, element by element.
// Signed types come as their bits, so that −1 stays an index beyond every list.
func (c *column) whole(out []uint32, step int) {
	read := func(from []byte, to []uint32) {
		for k := range to {
			switch c.size {
			case 1:
				to[k] = uint32(from[k])
			case 2:
				to[k] = uint32(binary.LittleEndian.Uint16(from[2*k:]))
			case 4:
				to[k] = binary.LittleEndian.Uint32(from[4*k:])
			}
		}
	}
	if c.data != nil {
		switch {
		case c.size == 2 && c.width == 1 && c.stride == 2 && step == 1:
			src := c.data[:2*c.count]
			for i := range out[:c.count] {
				out[i] = uint32(binary.LittleEndian.Uint16(src[2*i:]))
			}
		default:
			for e := range c.count {
				read(c.data[e*c.stride:], out[e*step:e*step+c.width])
			}
		}
	}
	element := c.size * c.width
	for k := range c.patch.count {
		if n := c.patch.index(k); n < c.count {
			read(c.patch.values[k*element:], out[n*step:n*step+c.width])
		}
	}
}
