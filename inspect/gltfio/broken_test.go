package gltfio

import (
	"encoding/binary"
	"errors"
	"math"
	"runtime"
	"strings"
	"testing"
)

// broken is one way to break the sound figure, and what must come of it: refused
// holds pieces of the error; place and what those of one malformed entry. Rows with
// remark must open with that remark and nothing malformed.
type broken struct {
	name        string
	damage      func(d *draft)
	bytes       func(b []byte) []byte
	refused     []string
	place, what string
	remark      string
}

func put(pointer string, v any) func(*draft) { return func(d *draft) { d.put(pointer, v) } }

// float overwrites one number of an accessor of the figure.
func float(accessor, i int, f float64) func(*draft) {
	return func(d *draft) {
		view := d.at("accessors/" + itoa(accessor)).(object)["bufferView"].(int)
		at := d.at("bufferViews/" + itoa(view)).(object)["byteOffset"].(int)
		binary.LittleEndian.PutUint32(d.bin[at+4*i:], math.Float32bits(float32(f)))
	}
}

func itoa(i int) string { return strings.TrimPrefix(place(i), "/") }

// instead puts a fresh accessor where a pointer stands.
func instead(pointer string, code int, kind string, bounds bool, v ...float64) func(*draft) {
	return func(d *draft) {
		d.put(pointer, d.accessor(code, kind, bounds, v...))
		d.put("buffers/0/byteLength", len(d.bin))
	}
}

func both(f ...func(*draft)) func(*draft) {
	return func(d *draft) {
		for _, g := range f {
			g(d)
		}
	}
}

const prim = "meshes/0/primitives/0/"

func brokenFiles() []broken {
	nan := math.NaN()
	cut := func(n int) func([]byte) []byte { return func(b []byte) []byte { return b[:n] } }
	poke := func(at int, v uint32) func([]byte) []byte {
		return func(b []byte) []byte { binary.LittleEndian.PutUint32(b[at:], v); return b }
	}
	return []broken{
		// The container.
		{name: "empty file", bytes: cut(0), refused: []string{"the file is empty", "copy or export it again"}},
		{name: "only the magic", bytes: cut(4), refused: []string{"a GLB header has 12 bytes, the file has 4"}},
		{name: "header alone", bytes: cut(12), refused: []string{"there is no JSON chunk"}},
		{name: "cut in a chunk header", bytes: cut(16), refused: []string{"byte 12", "8 bytes, 4 are left"}},
		{name: "cut in the JSON", bytes: cut(200), refused: []string{"chunk 0", "bytes, 180 are there", "copy or export it again"}},
		{name: "cut in the binary chunk", bytes: func(b []byte) []byte { return b[:len(b)-40] }, refused: []string{"chunk 1", "are there"}},
		{name: "four bytes short", bytes: func(b []byte) []byte { return b[:len(b)-4] }, refused: []string{"chunk 1", "copy or export it again"}},
		{name: "version 1", bytes: poke(4, 1), refused: []string{"a GLB of version 1", "export it as glTF 2.0"}},
		{name: "length too large", bytes: poke(8, 1<<30), place: "byte 8", what: "the header states 1073741824 bytes"},
		{name: "length too small", bytes: poke(8, 20), place: "byte 8", what: "the header states 20 bytes"},
		{name: "JSON chunk of 4 GB", bytes: poke(12, math.MaxUint32), refused: []string{"the chunk states 4294967295 bytes"}},
		{name: "binary chunk first", bytes: poke(16, chunkBIN), refused: []string{"the first chunk must be JSON"}},
		{name: "bytes behind the last chunk", bytes: func(b []byte) []byte { return append(b, 1, 2, 3) }, place: "byte", what: "3 bytes behind the last chunk"},
		{name: "no glTF at all", bytes: func([]byte) []byte { return []byte("#VRML V2.0 utf8") }, refused: []string{"neither a GLB", "drop a .glb"}},
		{name: "other JSON", bytes: func([]byte) []byte { return []byte(`{"name":"x","version":2}`) }, refused: []string{"this JSON is no glTF"}},
		{name: "UTF-16", bytes: func([]byte) []byte { return []byte("\xff\xfe{\x00") }, refused: []string{"UTF-16"}},
		{name: "byte order mark", bytes: func([]byte) []byte { return []byte("\xef\xbb\xbf" + `{"asset":{"version":"2.0"}}`) }, place: "byte 0", what: "a byte order mark"},
		{name: "text behind the JSON", bytes: func([]byte) []byte { return []byte(`{"asset":{"version":"2.0"}} more`) }, place: "byte 28", what: "4 bytes behind the JSON"},
		// The JSON text.
		{name: "JSON cut off", bytes: func([]byte) []byte { return []byte(`{"asset":{"version":"2.0"},"nodes":[{"name":"a"`) }, refused: []string{"JSON line 1, column", "/nodes/0", "the end of the text"}},
		{name: "JSON with a stray comma", bytes: func([]byte) []byte { return []byte("{\"asset\":{\"version\":\"2.0\"},\n\"nodes\":[{},]}") }, refused: []string{"JSON line 2, column 13", "/nodes"}},
		{name: "JSON with a comment", bytes: func([]byte) []byte { return []byte(`{/*x*/"asset":{"version":"2.0"}}`) }, refused: []string{"a name in quotes is wanted"}},
		{name: "nested a million deep", bytes: func([]byte) []byte {
			return []byte(`{"asset":{"version":"2.0"},"extras":` + strings.Repeat("[", 1<<20) + strings.Repeat("]", 1<<20) + `}`)
		}, refused: []string{"/extras", "more than 512 deep"}},
		{name: "a million open lists", bytes: func([]byte) []byte { return []byte(`{"nodes":` + strings.Repeat("[", 1<<20)) }, refused: []string{"/nodes"}},
		{name: "word for a number", damage: put("accessors/0/count", "four"), refused: []string{"/accessors/0/count", "a number is wanted, here is a string"}},
		{name: "fraction for a count", damage: put("accessors/0/count", 3.5), refused: []string{"/accessors/0/count", "a whole number is wanted, here is 3.5"}},
		{name: "number beyond any size", damage: put("accessors/0/count", 1e300), refused: []string{"too large for a place or a size"}},
		{name: "null among nodes", damage: put("nodes/1", nil), refused: []string{"/nodes/1", "an object is wanted, here is null"}},
		{name: "materials of another shape", damage: put("materials/0/name", 7), place: "/materials/0/name", what: "the number where a string is wanted; /materials/0 is left out"},
		{name: "a null material", damage: put("materials/0", nil), place: "/materials/0", what: "null"},
		{name: "textures of another shape", damage: put("textures", object{}), place: "/textures", what: "an object where a list is wanted"},
		{name: "scene by name", damage: put("scene", "main"), place: "/scene", what: "a string where a whole number is wanted"},
		{name: "lists of glTF 1.0", bytes: func([]byte) []byte {
			return []byte(`{"accessors":{"a":{"count":1}},"asset":{"version":"1.0"},"nodes":{}}`)
		}, refused: []string{`/asset/version: it is glTF "1.0"`, "export it as glTF 2.0"}},
		// Version and extensions.
		{name: "no version", damage: put("asset", object{}), place: "/asset/version", what: "read as 2.0"},
		{name: "glTF 1.0", damage: put("asset/version", "1.0"), refused: []string{`glTF "1.0"`, "export it as glTF 2.0"}},
		{name: "newer reader wanted", damage: put("asset/minVersion", "2.1"), refused: []string{`a reader of glTF "2.1"`}},
		{name: "required but not used", damage: put("extensionsRequired", array{"KHR_mesh_quantization"}), place: "/extensionsRequired/0", what: "not listed in extensionsUsed"},
		// Buffers and views.
		{name: "buffer longer than its bytes", damage: put("buffers/0/byteLength", 1<<40), place: "/buffers/0/byteLength", what: "1099511627776 bytes are stated"},
		{name: "buffer of no length", damage: put("buffers/0/byteLength", 0), place: "/buffers/0/byteLength", what: "0 bytes are stated"},
		{name: "buffer that is too short", damage: put("buffers/0/byteLength", 20), refused: []string{"POSITION", "do not fit into the 20 bytes left in buffer view 0"}},
		{name: "buffer without data", damage: put("buffers", array{object{"byteLength": 4}, object{"byteLength": 4}}), refused: []string{"do not fit"}},
		{name: "view of a buffer that is not there", damage: put("bufferViews/0/buffer", 5), refused: []string{`mesh 0 "Ribbon", primitive 0, POSITION`, "buffer view 0: buffer 5 does not exist, there are 1"}},
		{name: "view of no buffer", damage: put("bufferViews/0/buffer", gone), refused: []string{"buffer -1 does not exist"}},
		{name: "view of buffer −1", damage: put("bufferViews/0/buffer", -1), refused: []string{"buffer -1 does not exist"}},
		{name: "view before its buffer", damage: put("bufferViews/0/byteOffset", -4), refused: []string{"buffer view 0 starts at byte -4"}},
		{name: "view behind its buffer", damage: put("bufferViews/0/byteOffset", 1<<50), refused: []string{"buffer view 0 starts at byte 1125899906842624"}},
		{name: "view longer than its buffer", damage: put("bufferViews/0/byteLength", 1<<52), place: "/bufferViews/0/byteLength", what: "reach beyond buffer 0"},
		{name: "view of negative length", damage: put("bufferViews/0/byteLength", -1), refused: []string{"byteLength is -1"}},
		{name: "stride of 3", damage: put("bufferViews/0/byteStride", 3), place: "/bufferViews/0/byteStride", what: "3 bytes for elements of 12"},
		{name: "negative stride", damage: put("bufferViews/0/byteStride", -12), refused: []string{"byteStride is -12"}},
		{name: "stride that leaves the view", damage: put("bufferViews/0/byteStride", 252), refused: []string{"4 elements every 252 bytes do not fit"}},
		{name: "stride on indices", damage: put("bufferViews/5/byteStride", 8), place: "/bufferViews/5/byteStride", what: "the stride is ignored"},
		{name: "base64 that breaks off", damage: put("buffers/0/uri", "data:application/octet-stream;base64,AAAA*AAA"), refused: []string{"POSITION", "do not fit into the 3 bytes left"}},
		{name: "data URI of text", damage: func(d *draft) { d.doc["buffers"] = array{object{"byteLength": 3, "uri": "data:text/plain,abc"}} }, refused: []string{"POSITION"}},
		// Accessors.
		{name: "accessor that is not there", damage: put(prim+"attributes/POSITION", 97), refused: []string{"POSITION: accessor 97 does not exist, there are 11"}},
		{name: "accessor −1", damage: put(prim+"attributes/POSITION", -1), refused: []string{"accessor -1 does not exist"}},
		{name: "accessor past its view", damage: put("accessors/0/byteOffset", 1000), refused: []string{"accessor 0 starts at byte 1000 of buffer view 0, which has 48"}},
		{name: "accessor before its view", damage: put("accessors/0/byteOffset", -4), refused: []string{"starts at byte -4"}},
		{name: "negative count", damage: put("accessors/0/count", -4), refused: []string{"count is -4, at least 1 is wanted"}},
		{name: "no count", damage: put("accessors/0/count", gone), refused: []string{"count is 0"}},
		{name: "count beyond the view", damage: put("accessors/0/count", 5), refused: []string{"5 elements every 12 bytes do not fit into the 48 bytes"}},
		{name: "count near the top of 64 bits", damage: put("accessors/0/count", largestWhole), refused: []string{"more than such a small file can honestly hold"}},
		{name: "a billion zeros", damage: both(put("accessors/0/bufferView", gone), put("accessors/0/count", 1_000_000_000)), refused: []string{"more than such a small file can honestly hold"}},
		{name: "ten million zeros", damage: both(put("accessors/0/bufferView", gone), put("accessors/0/count", 10_000_000)), refused: []string{"more than such a small file can honestly hold"}},
		{name: "signed 32-bit numbers", damage: put("accessors/0/componentType", 5124), refused: []string{"accessor 0: componentType 5124 is none of glTF's"}},
		{name: "no component type", damage: put("accessors/0/componentType", gone), refused: []string{"componentType 0"}},
		{name: "unknown type", damage: put("accessors/0/type", "VEC5"), refused: []string{`type "VEC5" is none of glTF's`}},
		{name: "flat positions", damage: put("accessors/0/type", "VEC2"), refused: []string{"accessor 0 is VEC2, VEC3 is wanted"}},
		{name: "unaligned accessor", damage: func(d *draft) {
			d.put("accessors/8", object{"bufferView": d.view(append([]byte{9}, numbers(5126, 0, .5, 1)...), 0), "byteOffset": 1, "componentType": 5126, "count": 3, "type": "SCALAR", "min": array{0}, "max": array{1}})
			d.put("buffers/0/byteLength", len(d.bin))
		}, place: "/accessors/8/byteOffset", what: "no multiple of 4"},
		{name: "float called normalised", damage: put("accessors/0/normalized", true), place: "/accessors/0/normalized", what: "FLOAT cannot be normalised"},
		{name: "sparse index beyond the accessor", damage: sparse(1, 9, 2), place: "/accessors/0/sparse/indices", what: "1 of 2 indices point beyond the 4 elements"},
		{name: "sparse index just beyond the accessor", damage: sparse(1, 4, 2), place: "/accessors/0/sparse/indices", what: "1 of 2 indices point beyond the 4 elements"},
		{name: "sparse indices that fall", damage: sparse(2, 1, 2), place: "/accessors/0/sparse/indices", what: "do not rise"},
		{name: "sparse count too large", damage: sparse(0, 1, 5), refused: []string{"sparse count is 5 of 4 elements"}},
		{name: "sparse count negative", damage: sparse(0, 1, -1), refused: []string{"sparse count is -1"}},
		{name: "sparse view not there", damage: both(sparse(0, 1, 2), put("accessors/0/sparse/values/bufferView", 99)), refused: []string{"buffer view 99 does not exist"}},
		{name: "sparse without indices", damage: both(sparse(0, 1, 2), put("accessors/0/sparse/indices", object{})), refused: []string{"sparse indices are FLOAT"}},
		{name: "sparse values past their view", damage: both(sparse(0, 1, 2), put("accessors/0/sparse/values/byteOffset", 8)), refused: []string{"2 sparse values of 12 bytes from byte 8 on do not fit"}},
		// Meshes.
		{name: "mesh without a primitive", damage: put("meshes/0/primitives", array{}), place: "/meshes/0/primitives", what: "without a primitive"},
		{name: "no POSITION", damage: put(prim+"attributes/POSITION", gone), place: "/meshes/0/primitives/0/attributes", what: "no POSITION"},
		{name: "position that is no number", damage: float(0, 4, nan), place: "/meshes/0/primitives/0/attributes/POSITION", what: "1 number is not finite; read as 0"},
		{name: "endless position", damage: float(0, 4, math.Inf(1)), place: "/meshes/0/primitives/0/attributes/POSITION", what: "not finite"},
		{name: "bounds that lie", damage: put("accessors/0/max", array{1, 3, 0}), place: "/meshes/0/primitives/0/attributes/POSITION", what: "states y from 0 to 3, its data reach from 0 to 2"},
		{name: "no bounds", damage: put("accessors/0/min", gone), place: "/meshes/0/primitives/0/attributes/POSITION", what: "0 numbers as min"},
		{name: "whole-number positions unannounced", damage: instead(prim+"attributes/POSITION", 5122, "VEC3", true, -1, 0, 0, 1, 0, 0, -1, 2, 0, 1, 2, 0), place: "/meshes/0/primitives/0/attributes/POSITION", what: "SHORT positions need KHR_mesh_quantization"},
		{name: "normal left out", damage: put("accessors/1/count", 400), place: "/meshes/0/primitives/0/attributes/NORMAL", what: "left out"},
		{name: "too few normals", damage: put("accessors/1/count", 3), place: "/meshes/0/primitives/0/attributes/NORMAL", what: "3 elements for 4 vertices; the others are 0"},
		{name: "more normals than vertices", damage: instead(prim+"attributes/NORMAL", 5126, "VEC3", false, make([]float64, 15)...), place: "/meshes/0/primitives/0/attributes/NORMAL", what: "5 elements for 4 vertices; the rest is ignored"},
		{name: "more joints than vertices", damage: instead(prim+"attributes/JOINTS_0", 5123, "VEC4", false, make([]float64, 20)...), place: "/meshes/0/primitives/0/attributes/JOINTS_0", what: "5 elements for 4 vertices; the rest is ignored"},
		{name: "a target of more vertices", damage: instead(prim+"targets/0/POSITION", 5126, "VEC3", true, make([]float64, 15)...), place: "/meshes/0/primitives/0/targets/0/POSITION", what: "5 elements for 4 vertices; the rest is ignored"},
		{name: "bounds of a target that lie", damage: put("accessors/6/max", array{0, 9, 0}), place: "/meshes/0/primitives/0/targets/0/POSITION", what: "states y from 0 to 9, its data reach from 0 to 0.5"},
		{name: "index beyond the vertices", damage: instead(prim+"indices", 5123, "SCALAR", false, 0, 1, 3, 0, 3, 4), place: "/meshes/0/primitives/0/indices", what: "1 of 2 triangles has a corner beyond the 4 vertices"},
		{name: "first corner beyond the vertices", damage: instead(prim+"indices", 5123, "SCALAR", false, 4, 1, 3, 0, 3, 2), place: "/meshes/0/primitives/0/indices", what: "1 of 2 triangles"},
		{name: "second corner beyond the vertices", damage: instead(prim+"indices", 5123, "SCALAR", false, 0, 4, 3, 0, 3, 2), place: "/meshes/0/primitives/0/indices", what: "1 of 2 triangles"},
		{name: "the index that means restart", damage: instead(prim+"indices", 5123, "SCALAR", false, 0, 1, 3, 0, 3, 65535), place: "/meshes/0/primitives/0/indices", what: "1 of 2 triangles"},
		{name: "odd number of corners", damage: instead(prim+"indices", 5121, "SCALAR", false, 0, 1, 3, 0), place: "/meshes/0/primitives/0/indices", what: "4 corners are no multiple of 3"},
		{name: "signed indices", damage: put("accessors/5/componentType", 5122), refused: []string{"indices: accessor 5 is SHORT, an unsigned type is wanted"}},
		{name: "indices past their view", damage: put("accessors/5/count", 60), refused: []string{"indices: accessor 5: 60 elements every 2 bytes do not fit"}},
		{name: "unknown mode", damage: put(prim+"mode", 7), place: "/meshes/0/primitives/0/mode", what: "mode 7 is none of glTF's"},
		{name: "strip of two", damage: both(put(prim+"mode", 5), put("accessors/5/count", 2)), place: "/meshes/0/primitives/0/indices", what: "2 corners make no strip or fan"},
		{name: "lines", damage: put(prim+"mode", 1), remark: "points or lines, no triangle"},
		{name: "material that is not there", damage: put(prim+"material", 4), place: "/meshes/0/primitives/0/material", what: "material 4 does not exist, there are 1"},
		{name: "weights past their view", damage: put("accessors/4/count", 5), refused: []string{"WEIGHTS_0: accessor 4: 5 elements"}},
		{name: "fewer weights than vertices", damage: put("accessors/4/count", 2), place: "/meshes/0/primitives/0/attributes/WEIGHTS_0", what: "2 elements for 4 vertices"},
		{name: "weight that is no number", damage: float(4, 8, nan), place: "/meshes/0/primitives/0/attributes/WEIGHTS_0", what: "1 vertex with a weight that is not finite"},
		{name: "weights as whole numbers, not normalised", damage: instead(prim+"attributes/WEIGHTS_0", 5121, "VEC4", false, 255, 0, 0, 0, 255, 0, 0, 0, 255, 0, 0, 0, 255, 0, 0, 0), place: "/meshes/0/primitives/0/attributes/WEIGHTS_0", what: "must be normalised"},
		{name: "weights of a signed type", damage: instead(prim+"attributes/WEIGHTS_0", 5122, "VEC4", false, make([]float64, 16)...), refused: []string{"WEIGHTS_0: accessor 11 is SHORT"}},
		{name: "joints as floats", damage: instead(prim+"attributes/JOINTS_0", 5126, "VEC4", false, make([]float64, 16)...), place: "/meshes/0/primitives/0/attributes/JOINTS_0", what: "joint places are FLOAT"},
		{name: "joints that are not there", damage: put(prim+"attributes/JOINTS_0", 60), refused: []string{"JOINTS_0: accessor 60 does not exist"}},
		{name: "joints without weights", damage: put(prim+"attributes/WEIGHTS_0", gone), place: "/meshes/0/primitives/0/attributes", what: "1 sets of joints and 0 of weights"},
		{name: "target past its view", damage: put("accessors/6/count", 9), refused: []string{"morph target 0, POSITION: accessor 6"}},
		{name: "too few targets' numbers", damage: put("accessors/6/count", 2), place: "/meshes/0/primitives/0/targets/0/POSITION", what: "2 elements for 4 vertices"},
		{name: "names for other targets", damage: put("meshes/0/extras/targetNames", array{"a", "b"}), place: "/meshes/0/extras/targetNames", what: "2 names for 1 morph targets"},
		{name: "weights for other targets", damage: put("meshes/0/weights", array{0, .5}), place: "/meshes/0/weights", what: "2 weights for 1 morph targets"},
		// Nodes and scenes.
		{name: "mesh that is not there", damage: put("nodes/0/mesh", 3), place: "/nodes/0/mesh", what: "mesh 3 does not exist, there are 1"},
		{name: "skin that is not there", damage: put("nodes/0/skin", 3), refused: []string{`node 0 "Ribbon": skin 3 does not exist, there are 1`}},
		{name: "skin without mesh", damage: put("nodes/1/skin", 0), place: "/nodes/1/skin", what: "without a mesh"},
		{name: "skin on an unbound mesh", damage: both(put(prim+"attributes/JOINTS_0", gone), put(prim+"attributes/WEIGHTS_0", gone)), place: "/meshes/0/primitives/0", what: "node 0 binds it to skin 0"},
		{name: "child that is not there", damage: put("nodes/1/children", array{2, 33}), place: "/nodes/1/children/1", what: "node 33 does not exist, there are 3"},
		{name: "child twice", damage: put("nodes/1/children", array{2, 2}), place: "/nodes/1/children/1", what: "listed twice"},
		{name: "two parents", damage: put("nodes/0/children", array{2}), place: "/nodes/1/children/0", what: "already a child of node 0"},
		{name: "its own child", damage: put("nodes/1/children", array{1, 2}), place: "/nodes/1/children/0", what: "its own child"},
		{name: "a ring", damage: put("nodes/2/children", array{1}), place: "/nodes/2/children", what: "the ring is cut there"},
		{name: "matrix of nothing", damage: put("nodes/2/matrix", make(array, 15)), refused: []string{"/nodes/2/matrix", "null"}},
		{name: "short matrix", damage: put("nodes/2/matrix", array{1, 0, 0}), place: "/nodes/2/matrix", what: "3 numbers, 16 are wanted"},
		{name: "matrix and turn", damage: put("nodes/2/matrix", array{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 1, 0, 1}), place: "/nodes/2", what: "the matrix counts"},
		{name: "matrix with a fourth row", damage: both(put("nodes/1/matrix", array{1, 0, 0, 1, 0, 1, 0, 0, 0, 0, 1, 0, 0, 1, 0, 1})), place: "/nodes/1/matrix", what: "the fourth row is 1 0 0 1"},
		{name: "rotation of no length", damage: put("nodes/2/rotation", array{0, 0, 0, 0}), place: "/nodes/2/rotation", what: "read as no rotation"},
		{name: "rotation that is not unit", damage: put("nodes/2/rotation", array{0, 0, 1, 1}), place: "/nodes/2/rotation", what: "length 1.41421"},
		{name: "translation beyond any number", damage: put("nodes/2/translation", array{1e300, 0, 0}), place: "/nodes/2/translation", what: "beyond single precision"},
		{name: "scene that is not there", damage: put("scene", 2), place: "/scene", what: "scene 2 does not exist, there are 1"},
		{name: "scene of a node that is not there", damage: put("scenes/0/nodes", array{0, 1, 9}), place: "/scenes/0/nodes/2", what: "node 9 does not exist"},
		{name: "scene of a child", damage: put("scenes/0/nodes", array{0, 1, 2}), place: "/scenes/0/nodes/2", what: "no root"},
		{name: "weights of a node without a mesh", damage: put("nodes/1/weights", array{1}), place: "/nodes/1/weights", what: "without a mesh"},
		// Skins.
		{name: "joint that is not there", damage: put("skins/0/joints", array{1, 97}), refused: []string{`skin 0 "Bones": joint 1 is node 97, but there are 3 nodes`, "export the file again"}},
		{name: "joint just behind the nodes", damage: put("skins/0/joints", array{1, 3}), refused: []string{"joint 1 is node 3, but there are 3 nodes"}},
		{name: "no joints", damage: put("skins/0/joints", array{}), place: "/skins/0/joints", what: "without a joint"},
		{name: "joint twice", damage: put("skins/0/joints", array{1, 2, 1}), place: "/skins/0/joints/2", what: "node 1 is joint 0 already"},
		{name: "joints without a common root", damage: put("nodes/1/children", gone), place: "/skins/0/joints", what: "2 separate roots"},
		{name: "skeleton that is not there", damage: put("skins/0/skeleton", 8), place: "/skins/0/skeleton", what: "node 8 does not exist"},
		{name: "too few bind matrices", damage: put("accessors/7/count", 1), place: "/skins/0/inverseBindMatrices", what: "1 matrices for 2 joints"},
		{name: "bind matrices past their view", damage: put("accessors/7/count", 3), refused: []string{`skin 0 "Bones", inverseBindMatrices: accessor 7: 3 elements`}},
		{name: "bind matrices of another type", damage: put("accessors/7/type", "VEC4"), refused: []string{"accessor 7 is VEC4, MAT4 is wanted"}},
		{name: "bind matrix that is no number", damage: float(7, 5, nan), place: "/skins/0/inverseBindMatrices", what: "1 number is not finite"},
		{name: "bind matrix with a fourth row", damage: float(7, 3, .5), place: "/skins/0/inverseBindMatrices", what: "1 of 2 matrices has a fourth row"},
		// Clips.
		{name: "clip without a channel", damage: put("animations/0/channels", array{}), place: "/animations/0/channels", what: "without a channel"},
		{name: "channel of a node that is not there", damage: put("animations/0/channels/0/target/node", 50), place: "/animations/0/channels/0/target/node", what: "node 50 does not exist"},
		{name: "channel without a sampler", damage: put("animations/0/channels/0/sampler", 50), place: "/animations/0/channels/0/sampler", what: "sampler 50 does not exist, there are 2"},
		{name: "channel twice", damage: put("animations/0/channels/1/target", object{"node": 2, "path": "rotation"}), place: "/animations/0/channels/1/target", what: "channel 0 moves the same property of node 2"},
		{name: "unknown path", damage: put("animations/0/channels/0/target/path", "colour"), place: "/animations/0/channels/0/target/path", what: `"colour" is none of`},
		{name: "unknown interpolation", damage: put("animations/0/samplers/0/interpolation", "BEZIER"), place: "/animations/0/samplers/0/interpolation", what: `"BEZIER" is none of`},
		{name: "pointer path", damage: put("animations/0/channels/0/target", object{"path": "pointer"}), remark: "KHR_animation_pointer"},
		{name: "times that fall", damage: float(8, 1, 2), place: "/animations/0/samplers/0/input", what: "do not strictly rise; sorted"},
		{name: "times that stand", damage: float(8, 1, 0), place: "/animations/0/samplers/0/input", what: "of equal times the last is kept: 2 keys"},
		{name: "time that is no number", damage: float(8, 1, nan), place: "/animations/0/samplers/0/input", what: "1 of 3 times is not finite; its key is left out"},
		{name: "no time is a number", damage: both(float(8, 0, nan), float(8, 1, nan), float(8, 2, nan)), refused: []string{"accessor 8 holds no finite time"}},
		{name: "negative time", damage: both(float(8, 0, -1), put("accessors/8/min", array{-1})), place: "/animations/0/samplers/0/input", what: "times from -1 s on"},
		{name: "bounds of times that lie", damage: put("accessors/8/max", array{4}), place: "/animations/0/samplers/0/input", what: "min and max state 0 to 4 s"},
		{name: "times past their view", damage: put("accessors/8/count", 4), refused: []string{`clip 0 "sway", channel 0: accessor 8: 4 elements`}},
		{name: "times as whole numbers", damage: put("accessors/8/componentType", 5125), refused: []string{"accessor 8 holds times as UNSIGNED_INT"}},
		{name: "too few keys", damage: put("accessors/9/count", 2), place: "/animations/0/samplers/0/output", what: "8 numbers for 3 keys of 4; the keys without a value are left out"},
		{name: "spline with plain keys", damage: put("animations/0/samplers/0/interpolation", "CUBICSPLINE"), place: "/animations/0/samplers/0/output", what: "12 numbers for 3 keys of 12"},
		{name: "rotation of three numbers", damage: put("accessors/9/type", "VEC3"), place: "/animations/0/samplers/0/output", what: "accessor 9 is VEC3, VEC4 is wanted for rotation"},
		{name: "key that is no number", damage: float(9, 2, nan), place: "/animations/0/samplers/0/output", what: "1 number is not finite"},
		{name: "weights of nothing", damage: put("animations/0/channels/1/target/node", 2), place: "/animations/0/channels/1/target/path", what: "which has no morph target"},
		{name: "a sampler without input", damage: put("animations/0/samplers/0/input", gone), place: "/animations/0/samplers/0/input", what: "accessor -1 does not exist"},
		{name: "a sampler without output", damage: put("animations/0/samplers/0/output", gone), place: "/animations/0/samplers/0/output", what: "accessor -1 does not exist"},
		{name: "a channel that names no sampler", damage: put("animations/0/channels/0/sampler", gone), place: "/animations/0/channels/0/sampler", what: "sampler -1 does not exist"},
		{name: "keys that are not there", damage: put("animations/0/samplers/0/output", 50), place: "/animations/0/samplers/0/output", what: "accessor 50 does not exist"},
		{name: "moved matrix node", damage: both(put("nodes/2/rotation", gone), put("nodes/2/translation", gone), put("nodes/2/matrix", array{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 1, 0, 1})), place: "/animations/0/channels/0/target/node", what: "has a matrix"},
		// Pictures.
		{name: "texture that is not there", damage: put("materials/0/pbrMetallicRoughness/baseColorTexture/index", 3), place: "/materials/0/pbrMetallicRoughness/baseColorTexture/index", what: "texture 3 does not exist"},
		{name: "image that is not there", damage: put("textures/0/source", 3), place: "/textures/0/source", what: "image 3 does not exist"},
		{name: "sampler that is not there", damage: put("textures/0/sampler", 3), place: "/textures/0/sampler", what: "sampler 3 does not exist"},
		{name: "picture that is none", damage: put("images/0/bufferView", 0), remark: "a picture of a kind that is not shown"},
		{name: "picture out of reach", damage: put("images/0", object{"uri": "http://example.com/a/skin.png"}), remark: `"skin.png" was not found; the file names "http://example.com/a/skin.png", an address on a network, and nothing is fetched from there`},
		{name: "picture view that is not there", damage: put("images/0/bufferView", 77), remark: "buffer view 77 does not exist"},
	}
}

// sparse makes the figure's positions sparse: count elements at two places.
func sparse(a, b float64, count int) func(*draft) {
	return func(d *draft) {
		i := d.view(numbers(5121, a, b), 0)
		v := d.view(numbers(5126, -1, 0, 0, 1, 0, 0), 0)
		d.put("accessors/0/sparse", object{"count": count, "indices": object{"bufferView": i, "componentType": 5121}, "values": object{"bufferView": v}})
		d.put("buffers/0/byteLength", len(d.bin))
	}
}

func (b *broken) file() []byte {
	d := figure()
	if b.damage != nil {
		b.damage(d)
	}
	raw := d.glb()
	if b.bytes != nil {
		raw = b.bytes(raw)
	}
	return raw
}

func TestBrokenFiles(t *testing.T) {
	rows := brokenFiles()
	if len(rows) < 60 {
		t.Errorf("%d broken files, at least 60 are wanted", len(rows))
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			r, err := Read([]File{{"broken.glb", row.file()}}, Options{})
			if err != nil {
				var refused *Refused
				if !errors.As(err, &refused) || refused.What == "" || refused.Hint == "" {
					t.Errorf("no full refusal: %#v", err)
				}
				if strings.Contains(err.Error(), "fault of the reader") || row.refused == nil {
					t.Fatal(err)
				}
			}
			for _, piece := range row.refused {
				if err == nil || !strings.Contains(err.Error(), piece) {
					t.Errorf("got %v, want %q in it", err, piece)
				}
			}
			if err != nil {
				return
			}
			sane(t, r)
			found := row.place == ""
			for _, m := range r.Malformed {
				found = found || strings.HasPrefix(m.Place, row.place) && strings.Contains(m.What, row.what)
			}
			if !found {
				t.Errorf("malformed: %+v\nwant %s: %s", r.Malformed, row.place, row.what)
			}
			if row.remark != "" && (!strings.Contains(strings.Join(r.Remarks, "\n"), row.remark) || len(r.Malformed) > 0) {
				t.Errorf("remarks %q, malformed %v; want %q", r.Remarks, r.Malformed, row.remark)
			}
		})
	}
}

// TestNothingByClaim: reading a broken file may allocate in proportion to its
// bytes, never by a number written in it.
func TestNothingByClaim(t *testing.T) {
	for _, row := range brokenFiles() {
		raw := row.file()
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		Read([]File{{"broken.glb", raw}}, Options{})
		runtime.ReadMemStats(&after)
		if got, most := after.TotalAlloc-before.TotalAlloc, uint64(4<<20+64*len(raw)); got > most {
			t.Errorf("%s: %d bytes allocated for a file of %d", row.name, got, len(raw))
		}
	}
}

// TestShared: files whose parts name the same bytes over and over would unfold to
// many times their size.
func TestShared(t *testing.T) {
	t.Run("primitives", func(t *testing.T) {
		d := newDraft()
		a := d.accessor(5126, "VEC3", true, make([]float64, 3*20_000)...)
		list := array{}
		for range 5000 {
			list = append(list, object{"attributes": object{"POSITION": a}})
		}
		d.doc["meshes"] = array{object{"primitives": list}}
		if _, err := d.read(); err == nil || !strings.Contains(err.Error(), "can honestly hold") {
			t.Errorf("got %v", err)
		}
	})
	t.Run("nodes", func(t *testing.T) {
		d := newDraft()
		d.doc["meshes"] = array{object{"primitives": array{object{"attributes": object{"POSITION": d.accessor(5126, "VEC3", true, make([]float64, 3*20_000)...)}}}}}
		for range 5000 {
			d.add("nodes", object{"mesh": 0})
		}
		if _, err := d.read(); err == nil || !strings.Contains(err.Error(), "can honestly hold") {
			t.Errorf("got %v", err)
		}
	})
	t.Run("materials of one body", func(t *testing.T) { // honest: 30 primitives on one array
		d := newDraft()
		a := d.accessor(5126, "VEC3", true, make([]float64, 3*20_000)...)
		list := array{}
		for range 30 {
			list = append(list, object{"attributes": object{"POSITION": a}})
		}
		d.doc["meshes"] = array{object{"primitives": list}}
		r, err := d.read()
		if err != nil || r.Meshes[0].Vertices() != 600_000 {
			t.Errorf("got %v", err)
		}
	})
}
