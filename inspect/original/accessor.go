package original

import (
	"encoding/binary"
	"fmt"
	"math"
	"slices"
)

// Component types of glTF 2.0, Accessors.
const (
	Byte   = 5120
	Ubyte  = 5121
	Short  = 5122
	Ushort = 5123
	Uint   = 5125
	Float  = 5126
)

var sizes = map[int]int{Byte: 1, Ubyte: 1, Short: 2, Ushort: 2, Uint: 4, Float: 4}

var widths = map[string]int{"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT2": 4, "MAT3": 9, "MAT4": 16}

// steps are the largest integers of normalised components: what 1 is stored as.
var steps = map[int]float64{Byte: 127, Ubyte: 255, Short: 32767, Ushort: 65535}

// Accessor is one accessor whose bounds were checked against its view and buffer.
type Accessor struct {
	Index, Count, Width int
	Type                string
	Component           int
	Normalized          bool
	Sparse              bool

	view   int    // −1: all zero
	stride int    // bytes from element to element
	data   []byte // from the first element on
	d      *Document
}

// Accessor answers one; the error says what does not fit.
func (d *Document) Accessor(i int) (a Accessor, err error) {
	v := d.Object(Accessors, i)
	if v == nil {
		return a, fmt.Errorf("there is no accessor %d, there are %d", i, d.Count(Accessors))
	}
	a = Accessor{Index: i, Count: v.Get("count").Int(), Type: v.Get("type").String(), Component: v.Get("componentType").Int(),
		Normalized: string(v.Get("normalized").raw0()) == "true", Sparse: v.Get("sparse") != nil, view: v.Get("bufferView").Int(), d: d}
	a.Width = widths[a.Type]
	size := sizes[a.Component]
	if a.Width == 0 || size == 0 || a.Count < 1 {
		return a, fmt.Errorf("accessor %d is no list of numbers: %d of type %q, componentType %d", i, a.Count, a.Type, a.Component)
	}
	a.stride = size * a.Width
	if a.view < 0 {
		return a, nil
	}
	view := d.Object(Views, a.view)
	for _, k := range view.Get("extensions").Keys() {
		if k == "EXT_meshopt_compression" || k == "KHR_meshopt_compression" {
			return a, fmt.Errorf("accessor %d is compressed", i)
		}
	}
	if s := view.Get("byteStride").Int(); s > 0 && d.isVertexData(i) {
		a.stride = s
	}
	from := max(v.Get("byteOffset").Int(), 0)
	bytes := d.ViewBytes(a.view)
	if from > len(bytes) || len(bytes)-from < size*a.Width || a.Count-1 > (len(bytes)-from-size*a.Width)/a.stride {
		return a, fmt.Errorf("accessor %d does not fit into buffer view %d", i, a.view)
	}
	a.data = bytes[from:]
	return a, nil
}

// raw0 is the text of a value as it stands; nil for none.
func (v *Value) raw0() []byte {
	if v == nil {
		return nil
	}
	return v.raw
}

// isVertexData tells an accessor that a primitive names as an attribute or a target: only
// these may be interleaved (glTF 2.0, Data Alignment).
func (d *Document) isVertexData(i int) bool {
	for _, u := range d.Uses(Accessors, i) {
		if u.row.path == "meshes/*/primitives/*/attributes/*" || u.row.path == "meshes/*/primitives/*/targets/*/*" ||
			u.row.path == "nodes/*/extensions/EXT_mesh_gpu_instancing/attributes/*" {
			return true
		}
	}
	return false
}

// Floats answers all numbers, Count·Width: normalised integers as what they stand for,
// substituted elements in their places. Numbers that are not finite stay.
func (a *Accessor) Floats() ([]float32, error) {
	raw, err := a.stored()
	if err != nil {
		return nil, err
	}
	out := make([]float32, a.Count*a.Width)
	size := sizes[a.Component]
	for i := range out {
		b := raw[i*size:]
		switch a.Component {
		case Float:
			out[i] = math.Float32frombits(binary.LittleEndian.Uint32(b))
			continue
		case Byte:
			out[i] = float32(int8(b[0]))
		case Ubyte:
			out[i] = float32(b[0])
		case Short:
			out[i] = float32(int16(binary.LittleEndian.Uint16(b)))
		case Ushort:
			out[i] = float32(binary.LittleEndian.Uint16(b))
		case Uint:
			out[i] = float32(binary.LittleEndian.Uint32(b))
		}
		if full := steps[a.Component]; a.Normalized && full > 0 {
			out[i] = max(out[i]/float32(full), -1)
		}
	}
	return out, nil
}

// Uints answers all numbers of an unsigned type.
func (a *Accessor) Uints() ([]uint32, error) {
	raw, err := a.stored()
	if err != nil {
		return nil, err
	}
	out := make([]uint32, a.Count*a.Width)
	for i := range out {
		switch a.Component {
		case Ubyte:
			out[i] = uint32(raw[i])
		case Ushort:
			out[i] = uint32(binary.LittleEndian.Uint16(raw[2*i:]))
		case Uint:
			out[i] = binary.LittleEndian.Uint32(raw[4*i:])
		default:
			return nil, fmt.Errorf("accessor %d is not of an unsigned type", a.Index)
		}
	}
	return out, nil
}

// stored answers the elements tightly packed, substituted ones in place.
func (a *Accessor) stored() ([]byte, error) {
	element := sizes[a.Component] * a.Width
	out := make([]byte, a.Count*element)
	if a.data != nil {
		if a.stride == element {
			copy(out, a.data)
		} else {
			for e := range a.Count {
				copy(out[e*element:(e+1)*element], a.data[e*a.stride:])
			}
		}
	}
	if !a.Sparse {
		return out, nil
	}
	s := a.d.Object(Accessors, a.Index).Get("sparse")
	n := s.Get("count").Int()
	kind := s.Get("indices").Get("componentType").Int()
	part := func(v *Value, size int) []byte {
		b := a.d.ViewBytes(v.Get("bufferView").Int())
		from := max(v.Get("byteOffset").Int(), 0)
		if n < 1 || n > a.Count || from > len(b) || n > (len(b)-from)/size {
			return nil
		}
		return b[from:]
	}
	width := sizes[kind]
	if width == 0 {
		return nil, fmt.Errorf("accessor %d: sparse indices of componentType %d", a.Index, kind)
	}
	at, values := part(s.Get("indices"), width), part(s.Get("values"), element)
	if at == nil || values == nil {
		return nil, fmt.Errorf("accessor %d: its substituted elements do not fit", a.Index)
	}
	for k := range n {
		e := 0
		switch kind {
		case Ubyte:
			e = int(at[k])
		case Ushort:
			e = int(binary.LittleEndian.Uint16(at[2*k:]))
		default:
			e = int(binary.LittleEndian.Uint32(at[4*k:]))
		}
		if e < a.Count {
			copy(out[e*element:(e+1)*element], values[k*element:])
		}
	}
	return out, nil
}

// Raw answers all elements as they are stored, tightly packed, and the bytes of one.
func (a *Accessor) Raw() (data []byte, element int, err error) {
	data, err = a.stored()
	return data, sizes[a.Component] * a.Width, err
}

// Array is numbers as they go into a file: Count elements of a type, tightly packed.
type Array struct {
	Type       string
	Component  int
	Normalized bool
	Count      int
	Data       []byte
}

// Floats32 is an array of float32.
func Floats32(kind string, v []float32) Array {
	a := Array{Type: kind, Component: Float, Count: len(v) / widths[kind], Data: make([]byte, 0, 4*len(v))}
	for _, x := range v {
		a.Data = binary.LittleEndian.AppendUint32(a.Data, math.Float32bits(x))
	}
	return a
}

// Uints32 is an array of unsigned integers; Uint is kept only where a smaller type does
// not hold them and the old one, component, is none of the smaller.
func Uints32(kind string, component int, v []uint32) Array {
	if len(v) > 0 {
		switch most := slices.Max(v); {
		case component == Ubyte && most > 255:
			component = Ushort
			fallthrough
		case component == Ushort && most > 65535:
			if most > 65535 {
				component = Uint
			}
		}
	}
	a := Array{Type: kind, Component: component, Count: len(v) / widths[kind]}
	for _, x := range v {
		switch component {
		case Ubyte:
			a.Data = append(a.Data, byte(x))
		case Ushort:
			a.Data = binary.LittleEndian.AppendUint16(a.Data, uint16(x))
		default:
			a.Data = binary.LittleEndian.AppendUint32(a.Data, x)
		}
	}
	return a
}

// Like is numbers (as Floats answers them) in the type of an accessor where that keeps
// each within tolerance, else as float32.
func (a *Accessor) Like(v []float32, tolerance float64) Array {
	if a.Component == Float {
		return Floats32(a.Type, v)
	}
	out := Array{Type: a.Type, Component: a.Component, Normalized: a.Normalized, Count: len(v) / a.Width}
	full := 1.0
	if a.Normalized {
		full = steps[a.Component]
	}
	lo, hi := 0.0, map[int]float64{Byte: 127, Ubyte: 255, Short: 32767, Ushort: 65535, Uint: math.MaxUint32}[a.Component]
	if a.Component == Byte || a.Component == Short {
		lo = -hi
	}
	for _, x := range v {
		n := math.Round(float64(x) * full)
		if !(n >= lo && n <= hi) || math.Abs(n/full-float64(x)) > tolerance {
			return Floats32(a.Type, v)
		}
		switch sizes[a.Component] {
		case 1:
			out.Data = append(out.Data, byte(int64(n)))
		case 2:
			out.Data = binary.LittleEndian.AppendUint16(out.Data, uint16(int64(n)))
		default:
			out.Data = binary.LittleEndian.AppendUint32(out.Data, uint32(int64(n)))
		}
	}
	return out
}

// Weights rounds the weights of one vertex to integers whose sum is exactly full: each
// down, then one more for those with the largest remainder (Hare–Niemeyer; of equal ones
// the first). Negative and undefined weights count as 0; the sum need not be 1. out may
// be w's length; with no weight at all it stays 0.
func Weights(w []float32, full uint32, out []uint32) {
	sum := 0.0
	for _, x := range w {
		if x > 0 && x-x == 0 {
			sum += float64(x)
		}
	}
	clear(out)
	if sum == 0 {
		return
	}
	rest := make([]float64, len(w))
	left := full
	for i, x := range w {
		if x > 0 && x-x == 0 {
			share := float64(x) / sum * float64(full)
			out[i] = min(uint32(share), left)
			rest[i] = share - float64(out[i])
			left -= out[i]
		}
	}
	for ; left > 0; left-- {
		best := 0
		for i := range rest {
			if rest[i] > rest[best] {
				best = i
			}
		}
		out[best]++
		rest[best]--
	}
}
