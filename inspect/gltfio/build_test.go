package gltfio

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"strconv"
	"strings"
	"sync"
	"testing"

	"rigloupe/inspect/rig"
)

// draft is a glTF document under construction in plain JSON values, so that a test
// can break any member of it, and its binary chunk.
type draft struct {
	doc map[string]any
	bin []byte
}

type object = map[string]any
type array = []any

func newDraft() *draft {
	return &draft{doc: object{"asset": object{"version": "2.0"}}}
}

// add appends v to a top-level list and answers its place.
func (d *draft) add(list string, v any) int {
	l, _ := d.doc[list].(array)
	d.doc[list] = append(l, v)
	return len(l)
}

// view appends bytes, aligned to 4, as a buffer view.
func (d *draft) view(data []byte, stride int) int {
	for len(d.bin)%4 != 0 {
		d.bin = append(d.bin, 0)
	}
	v := object{"buffer": 0, "byteOffset": len(d.bin), "byteLength": len(data)}
	if stride > 0 {
		v["byteStride"] = stride
	}
	d.bin = append(d.bin, data...)
	return d.add("bufferViews", v)
}

// numbers packs values as one component type.
func numbers(code int, v ...float64) []byte {
	var b []byte
	for _, f := range v {
		switch code {
		case 5120, 5121:
			b = append(b, byte(int(f)))
		case 5122, 5123:
			b = binary.LittleEndian.AppendUint16(b, uint16(int(f)))
		case 5125:
			b = binary.LittleEndian.AppendUint32(b, uint32(int64(f)))
		case 5126:
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(f)))
		}
	}
	return b
}

// accessor appends packed values with an accessor; with bounds it states min and
// max as well.
func (d *draft) accessor(code int, kind string, bounds bool, v ...float64) int {
	width := map[string]int{"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT4": 16}[kind]
	a := object{"bufferView": d.view(numbers(code, v...), 0), "componentType": code, "count": len(v) / width, "type": kind}
	if bounds {
		lo, hi := make(array, width), make(array, width)
		for k := range width {
			l, h := math.Inf(1), math.Inf(-1)
			for i := k; i < len(v); i += width {
				l, h = min(l, v[i]), max(h, v[i])
			}
			lo[k], hi[k] = l, h
		}
		a["min"], a["max"] = lo, hi
	}
	return d.add("accessors", a)
}

// at answers the value at a JSON pointer without its first slash.
func (d *draft) at(pointer string) any {
	var v any = d.doc
	for step := range strings.SplitSeq(pointer, "/") {
		switch t := v.(type) {
		case object:
			v = t[step]
		case array:
			i, _ := strconv.Atoi(step)
			v = t[i]
		}
	}
	return v
}

// put sets the value at a JSON pointer; gone removes it from its object.
func (d *draft) put(pointer string, value any) {
	var holder any = d.doc
	last := pointer
	if i := strings.LastIndexByte(pointer, '/'); i >= 0 {
		holder, last = d.at(pointer[:i]), pointer[i+1:]
	}
	switch h := holder.(type) {
	case object:
		if value == gone {
			delete(h, last)
		} else {
			h[last] = value
		}
	case array:
		i, _ := strconv.Atoi(last)
		h[i] = value
	default:
		panic(fmt.Sprintf("%s: nothing there", pointer))
	}
}

type absent struct{}

var gone = absent{}

// json is the document's text; its buffer is the binary chunk of a GLB.
func (d *draft) json() []byte {
	b, err := json.Marshal(d.doc)
	if err != nil {
		panic(err)
	}
	return b
}

func (d *draft) close() {
	if _, has := d.doc["buffers"]; !has {
		d.doc["buffers"] = array{object{"byteLength": len(d.bin)}}
	}
}

// chunk is one GLB chunk, padded.
func chunk(kind uint32, body []byte, pad byte) []byte {
	for len(body)%4 != 0 {
		body = append(body, pad)
	}
	b := binary.LittleEndian.AppendUint32(nil, uint32(len(body)))
	return append(binary.LittleEndian.AppendUint32(b, kind), body...)
}

// glbOf is a GLB of chunks, its length stated.
func glbOf(chunks ...[]byte) []byte {
	b := []byte("glTF\x02\x00\x00\x00\x00\x00\x00\x00")
	for _, c := range chunks {
		b = append(b, c...)
	}
	binary.LittleEndian.PutUint32(b[8:], uint32(len(b)))
	return b
}

func (d *draft) glb() []byte {
	d.close()
	return glbOf(chunk(chunkJSON, d.json(), ' '), chunk(chunkBIN, bytes.Clone(d.bin), 0))
}

func (d *draft) read() (*rig.Rig, error) {
	return Read([]File{{"draft.glb", d.glb()}}, Options{})
}

// picturePNG is a picture of 8 by 4, encoded once: it is the slow part of a draft.
var picturePNG = sync.OnceValue(func() []byte {
	m := image.NewRGBA(image.Rect(0, 0, 8, 4))
	m.Set(0, 0, color.RGBA{200, 90, 40, 255})
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		panic(err)
	}
	return b.Bytes()
})

// figure is a small sound file with one of everything: a ribbon of four vertices
// bound to two joints, a morph target, a clip of two channels, a picture.
//
//	accessors 0 POSITION 1 NORMAL 2 TEXCOORD_0 3 JOINTS_0 4 WEIGHTS_0 5 indices
//	6 target POSITION 7 inverse bind matrices 8 times 9 rotations 10 weights
func figure() *draft {
	d := newDraft()
	d.accessor(5126, "VEC3", true, -1, 0, 0, 1, 0, 0, -1, 2, 0, 1, 2, 0)
	d.accessor(5126, "VEC3", false, 0, 0, 1, 0, 0, 1, 0, 0, 1, 0, 0, 1)
	d.accessor(5126, "VEC2", false, 0, 0, 1, 0, 0, 1, 1, 1)
	d.accessor(5121, "VEC4", false, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0)
	d.accessor(5126, "VEC4", false, 1, 0, 0, 0, 1, 0, 0, 0, .25, .75, 0, 0, .25, .75, 0, 0)
	d.accessor(5123, "SCALAR", false, 0, 1, 3, 0, 3, 2)
	d.accessor(5126, "VEC3", true, 0, 0, 0, 0, 0, 0, 0, .5, 0, 0, .5, 0)
	d.accessor(5126, "MAT4", false, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, -1, 0, 1)
	d.accessor(5126, "SCALAR", true, 0, .5, 1)
	d.accessor(5126, "VEC4", false, 0, 0, 0, 1, 0, 0, .70710677, .70710677, 0, 0, 0, 1)
	d.accessor(5126, "SCALAR", false, 0, 1, 0)
	picture := d.view(picturePNG(), 0)
	d.doc["scene"], d.doc["scenes"] = 0, array{object{"nodes": array{0, 1}}}
	d.doc["nodes"] = array{
		object{"name": "Ribbon", "mesh": 0, "skin": 0},
		object{"name": "Lower", "children": array{2}},
		object{"name": "Upper", "translation": array{0, 1, 0}, "rotation": array{0, 0, 0, 1}},
	}
	d.doc["meshes"] = array{object{"name": "Ribbon", "extras": object{"targetNames": array{"stretch"}}, "weights": array{0}, "primitives": array{object{
		"attributes": object{"POSITION": 0, "NORMAL": 1, "TEXCOORD_0": 2, "JOINTS_0": 3, "WEIGHTS_0": 4},
		"indices":    5, "material": 0, "targets": array{object{"POSITION": 6}},
	}}}}
	d.doc["skins"] = array{object{"name": "Bones", "joints": array{1, 2}, "inverseBindMatrices": 7, "skeleton": 1}}
	d.doc["animations"] = array{object{"name": "sway",
		"samplers": array{object{"input": 8, "output": 9}, object{"input": 8, "output": 10, "interpolation": "STEP"}},
		"channels": array{object{"sampler": 0, "target": object{"node": 2, "path": "rotation"}}, object{"sampler": 1, "target": object{"node": 0, "path": "weights"}}},
	}}
	d.doc["materials"] = array{object{"name": "Cloth", "doubleSided": true, "pbrMetallicRoughness": object{"baseColorFactor": array{.5, .25, 1, 1}, "baseColorTexture": object{"index": 0}}}}
	d.doc["textures"] = array{object{"source": 0, "sampler": 0}}
	d.doc["samplers"] = array{object{"wrapS": 33071}}
	d.doc["images"] = array{object{"bufferView": picture, "mimeType": "image/png"}}
	d.close()
	return d
}

// sane checks what every part that uses a rig relies on.
func sane(t testing.TB, r *rig.Rig) {
	t.Helper()
	within := func(what string, i, n int, none bool) {
		if !(i >= 0 && i < n || none && i == rig.None) {
			t.Errorf("%s: %d of %d", what, i, n)
		}
	}
	length := func(what string, got int, want ...int) {
		for _, w := range want {
			if got == w {
				return
			}
		}
		t.Errorf("%s: %d values, want %v", what, got, want)
	}
	number := func(what string, v []float32) {
		for _, f := range v {
			if f-f != 0 {
				t.Errorf("%s: holds %g", what, f)
				return
			}
		}
	}
	seen := make([]bool, len(r.Nodes))
	length("order", len(r.Order), len(r.Nodes))
	for _, n := range r.Order {
		within("order", int(n), len(r.Nodes), false)
		p := r.Nodes[n].Parent
		within("parent", int(p), len(r.Nodes), true)
		if seen[n] || p != rig.None && !seen[p] {
			t.Errorf("node %d stands twice or before its parent", n)
		}
		seen[n] = true
	}
	for i := range r.Nodes {
		n := &r.Nodes[i]
		within("mesh", int(n.Mesh), len(r.Meshes), true)
		within("skin", int(n.Skin), len(r.Skins), true)
		for _, f := range n.Matrix {
			if math.IsNaN(f) || math.IsInf(f, 0) {
				t.Errorf("node %d: matrix %v", i, n.Matrix)
			}
		}
		if l := n.R[0]*n.R[0] + n.R[1]*n.R[1] + n.R[2]*n.R[2] + n.R[3]*n.R[3]; math.Abs(l-1) > 1e-9 {
			t.Errorf("node %d: rotation of length² %g", i, l)
		}
		if n.Weights != nil && n.Mesh != rig.None {
			length("node weights", len(n.Weights), len(r.Meshes[n.Mesh].Targets))
		}
	}
	within("shown", r.Shown, len(r.Scenes), true)
	for _, s := range r.Scenes {
		for _, n := range s.Roots {
			within("scene root", int(n), len(r.Nodes), false)
		}
	}
	r.IsShown()
	for i := range r.Meshes {
		m := &r.Meshes[i]
		v := m.Vertices()
		length("positions", len(m.Positions), 3*v)
		length("normals", len(m.Normals), 0, 3*v)
		length("UV", len(m.UV), 0, 2*v)
		length("joints", len(m.Joints), m.K*v)
		length("weights", len(m.Weights), m.K*v)
		length("morph", len(m.Morph), len(m.Targets))
		if m.K%4 != 0 {
			t.Errorf("mesh %d: K is %d", i, m.K)
		}
		for _, f := range [][]float32{m.Positions, m.Normals, m.UV, m.Weights, m.Morph} {
			number("mesh", f)
		}
		for _, x := range m.Targets {
			length("target", len(x.Positions), 0, 3*v)
			length("target", len(x.Normals), 0, 3*v)
			number("target", x.Positions)
		}
		first, tri := 0, 0
		for _, p := range m.Primitives {
			length("first", p.First, first)
			length("first triangle", p.FirstTri, tri)
			first, tri = first+p.Count, tri+p.TriCount
			within("material", p.Material, len(r.Materials), true)
			if p.WeightSums != nil {
				length("weight sums", len(p.WeightSums), p.Count)
			}
			for _, c := range m.Triangles[3*p.FirstTri : 3*tri] {
				if int(c) < p.First || int(c) >= first {
					t.Errorf("mesh %d: corner %d outside its primitive", i, c)
				}
			}
		}
		length("vertices", v, first)
		length("triangles", len(m.Triangles), 3*tri)
		for _, x := range m.NonFinite {
			within("vertex", int(x), v, false)
		}
	}
	for i := range r.Skins {
		s := &r.Skins[i]
		length("bind", len(s.Bind), len(s.Joints))
		length("bind rows", len(s.BindRow), 0, 4*len(s.Joints))
		within("skeleton", int(s.Skeleton), len(r.Nodes), true)
		for _, j := range s.Joints {
			within("joint", int(j), len(r.Nodes), false)
		}
	}
	for _, s := range r.Surfaces {
		within("surface", int(s.Mesh), len(r.Meshes), false)
		within("surface", int(s.Skin), len(r.Skins), true)
		if s.Skin != rig.None && r.Meshes[s.Mesh].K == 0 {
			t.Errorf("node %d: a skinned surface without influences", s.Node)
		}
	}
	for i := range r.Clips {
		for k, c := range r.Clips[i].Channels {
			within("channel node", int(c.Node), len(r.Nodes), false)
			row := c.Width
			if c.Interpolation == rig.Cubic {
				row *= 3
			}
			if len(c.Times) == 0 || c.Width < 1 {
				t.Errorf("clip %d, channel %d: %d keys of %d", i, k, len(c.Times), c.Width)
			}
			length("keys", len(c.Values), len(c.Times)*row)
			number("keys", c.Values)
			number("times", c.Times)
			for n := 1; n < len(c.Times); n++ {
				if c.Times[n] <= c.Times[n-1] {
					t.Errorf("clip %d, channel %d: times do not rise", i, k)
					break
				}
			}
			if c.Path == rig.Weights {
				length("weights", c.Width, len(r.Meshes[r.Nodes[c.Node].Mesh].Targets))
			}
		}
	}
	for _, m := range r.Materials {
		within("image", m.Image, len(r.Images), true)
	}
	for _, m := range r.Malformed {
		within("malformed node", int(m.Node), len(r.Nodes), true)
		within("malformed mesh", int(m.Mesh), len(r.Meshes), true)
		within("malformed skin", int(m.Skin), len(r.Skins), true)
		within("malformed clip", int(m.Clip), len(r.Clips), true)
	}
	for bone, n := range r.Humanoid.Bones {
		within(bone, int(n), len(r.Nodes), false)
	}
}
