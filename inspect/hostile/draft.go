// Package hostile builds files that are made to harm whoever reads them: torn and cut ones,
// numbers where nobody expects them, small files that state or unpack to much, and honest
// shapes that slow algorithms die of. For tests alone; what each must come to (an answer or
// a refusal in bounded time and memory) is held in cmd/rigloupe.
package hostile

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
)

type (
	object = map[string]any
	array  = []any
)

// draft is a glTF document in plain JSON values and its binary chunk.
type draft struct {
	doc object
	bin []byte
}

// add appends v to a list of the document and answers its place.
func (d *draft) add(list string, v any) int {
	l, _ := d.doc[list].(array)
	d.doc[list] = append(l, v)
	return len(l)
}

// floats, shorts and bytes append an accessor of these values and answer its place.
func (d *draft) floats(kind string, v ...float32) int {
	b := make([]byte, 0, 4*len(v))
	for _, f := range v {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(f))
	}
	return d.accessor(b, 5126, kind, len(v))
}

func (d *draft) shorts(kind string, v ...uint16) int {
	b := make([]byte, 0, 2*len(v))
	for _, n := range v {
		b = binary.LittleEndian.AppendUint16(b, n)
	}
	return d.accessor(b, 5123, kind, len(v))
}

func (d *draft) longs(kind string, v ...uint32) int {
	b := make([]byte, 0, 4*len(v))
	for _, n := range v {
		b = binary.LittleEndian.AppendUint32(b, n)
	}
	return d.accessor(b, 5125, kind, len(v))
}

func (d *draft) accessor(b []byte, code int, kind string, values int) int {
	for len(d.bin)%4 != 0 {
		d.bin = append(d.bin, 0)
	}
	view := d.add("bufferViews", object{"buffer": 0, "byteOffset": len(d.bin), "byteLength": len(b)})
	d.bin = append(d.bin, b...)
	width := map[string]int{"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT4": 16}[kind]
	return d.add("accessors", object{"bufferView": view, "componentType": code, "count": values / width, "type": kind})
}

// put sets the value at a JSON pointer without its first slash.
func (d *draft) put(pointer string, value any) {
	var v any = d.doc
	steps := strings.Split(pointer, "/")
	for _, step := range steps[:len(steps)-1] {
		switch t := v.(type) {
		case object:
			v = t[step]
		case array:
			i, _ := strconv.Atoi(step)
			v = t[i]
		}
	}
	last := steps[len(steps)-1]
	switch t := v.(type) {
	case object:
		t[last] = value
	case array:
		i, _ := strconv.Atoi(last)
		t[i] = value
	default:
		panic("hostile: nothing at " + pointer)
	}
}

// glb packs the document and its chunk.
func (d *draft) glb() []byte {
	d.doc["buffers"] = array{object{"byteLength": len(d.bin)}}
	return pack(marshal(d.doc), d.bin)
}

func marshal(v any) []byte {
	text, err := json.Marshal(v)
	if err != nil {
		panic(err) // a mistake of ours
	}
	return text
}

// pack writes a GLB (glTF 2.0, GLB File Format).
func pack(text, bin []byte) []byte {
	for len(text)%4 != 0 {
		text = append(text, ' ')
	}
	for len(bin)%4 != 0 {
		bin = append(bin, 0)
	}
	b := []byte("glTF")
	b = binary.LittleEndian.AppendUint32(b, 2)
	b = binary.LittleEndian.AppendUint32(b, uint32(12+8+len(text)+8+len(bin)))
	b = binary.LittleEndian.AppendUint32(b, uint32(len(text)))
	b = append(append(b, "JSON"...), text...)
	b = binary.LittleEndian.AppendUint32(b, uint32(len(bin)))
	return append(append(b, "BIN\x00"...), bin...)
}

// figure is a small sound figure that has one of everything a file may hold: two joints in
// a skin, a tube around them, a stiff box, a morph target, a sparse accessor, a picture, a
// clip of all four paths. Its accessors: see the constants.
func figure() *draft {
	d := &draft{doc: object{"asset": object{"version": "2.0"}}}
	var pos, nor, uv, weights []float32
	var joints []uint16
	const rings, sides = 9, 8
	for i := range rings {
		y := float32(i) / 4
		for k := range sides {
			s, c := math.Sincos(2 * math.Pi * float64(k) / sides)
			pos = append(pos, float32(c)/5, y, float32(s)/5)
			nor = append(nor, float32(c), 0, float32(s))
			uv = append(uv, float32(k)/sides, y/2)
			w := min(max(y-0.5, 0), 1)
			joints = append(joints, 0, 1, 0, 0)
			weights = append(weights, 1-w, w, 0, 0)
		}
	}
	var tri []uint16
	for i := range rings - 1 {
		for k := range sides {
			a, b := uint16(i*sides+k), uint16(i*sides+(k+1)%sides)
			tri = append(tri, a, a+sides, b, b, a+sides, b+sides)
		}
	}
	p := d.floats("VEC3", pos...)
	n := d.floats("VEC3", nor...)
	t := d.floats("VEC2", uv...)
	j := d.shorts("VEC4", joints...)
	w := d.floats("VEC4", weights...)
	i := d.shorts("SCALAR", tri...)
	ibm := d.floats("MAT4", 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, -1, 0, 1)
	times := d.floats("SCALAR", 0, 0.5, 1)
	turn := d.floats("VEC4", 0, 0, 0, 1, 0, 0, 0.3826834, 0.9238795, 0, 0, 0, 1)
	move := d.floats("VEC3", 0, 1, 0, 0, 1.1, 0, 0, 1, 0)
	size := d.floats("VEC3", 1, 1, 1, 1, 1.1, 1, 1, 1, 1)
	weigh := d.floats("SCALAR", 0, 1, 0)
	morph := d.floats("VEC3", make([]float32, len(pos))...)
	at := d.longs("SCALAR", 3, 4)
	to := d.floats("VEC3", 0, 0.1, 0, 0, 0.1, 0)
	d.put(fmt.Sprintf("accessors/%d/sparse", morph), object{"count": 2,
		"indices": object{"bufferView": at, "componentType": 5125}, "values": object{"bufferView": to}})
	d.put(fmt.Sprintf("accessors/%d/min", p), array{-0.2, 0, -0.2})
	d.put(fmt.Sprintf("accessors/%d/max", p), array{0.2, 2, 0.2})
	d.add("images", object{"uri": "data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNiAAAABgADNjd8qAAAAABJRU5ErkJggg=="})
	d.add("samplers", object{})
	d.add("textures", object{"source": 0, "sampler": 0})
	d.add("materials", object{"name": "skin", "pbrMetallicRoughness": object{"baseColorTexture": object{"index": 0}}})
	d.add("meshes", object{"name": "tube", "weights": array{0}, "primitives": array{object{"material": 0, "mode": 4, "indices": i,
		"attributes": object{"POSITION": p, "NORMAL": n, "TEXCOORD_0": t, "JOINTS_0": j, "WEIGHTS_0": w},
		"targets":    array{object{"POSITION": morph}}}}})
	d.add("meshes", object{"name": "box", "primitives": array{object{"attributes": object{"POSITION": p}, "indices": i}}})
	d.add("nodes", object{"name": "hips", "children": array{1}, "translation": array{0, 0, 0}})
	d.add("nodes", object{"name": "spine", "children": array{3}, "translation": array{0, 1, 0}, "rotation": array{0, 0, 0, 1}, "scale": array{1, 1, 1}})
	d.add("nodes", object{"name": "body", "mesh": 0, "skin": 0, "weights": array{0}})
	d.add("nodes", object{"name": "hat", "mesh": 1, "matrix": array{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 1, 0, 1}})
	d.add("skins", object{"joints": array{0, 1}, "inverseBindMatrices": ibm, "skeleton": 0})
	var channels, samplers array
	for k, path := range []string{"rotation", "translation", "scale", "weights"} {
		node := 1
		if path == "weights" {
			node = 2
		}
		samplers = append(samplers, object{"input": times, "output": []int{turn, move, size, weigh}[k], "interpolation": "LINEAR"})
		channels = append(channels, object{"sampler": k, "target": object{"node": node, "path": path}})
	}
	d.add("animations", object{"name": "bow", "channels": channels, "samplers": samplers})
	d.add("scenes", object{"nodes": array{0, 2}})
	d.doc["scene"] = 0
	return d
}

// The accessors of figure by what they hold.
const (
	positions = iota
	normals
	uvs
	joints
	weightsOf
	indices
	binds
	times
	turns
	moves
	sizes
	weighs
)

// Figure is the sound figure that the hostile ones are made of, its root called name.
func Figure(name string) []byte {
	d := figure()
	d.put("nodes/0/name", name)
	return d.glb()
}
