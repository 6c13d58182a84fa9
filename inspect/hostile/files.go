package hostile

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"strings"
)

// File is one hostile file. Large ones take a second or more to answer.
type File struct {
	Name  string
	Large bool
	Make  func() []byte
}

// Files lists them all: over four hundred.
func Files() []File {
	var all []File
	for _, part := range [][]File{members(), values(), cuts(), texts(), captures(), packed(), draco(), shapes(), heavy()} {
		all = append(all, part...)
	}
	return all
}

// members are files with one member set to what nobody writes there.
func members() (all []File) {
	places := []string{
		"accessors/0/bufferView", "accessors/0/byteOffset", "accessors/0/count", "accessors/0/componentType", "accessors/0/type", "accessors/4/normalized",
		"accessors/0/min", "accessors/12/sparse", "accessors/12/sparse/count", "accessors/12/sparse/indices", "accessors/12/sparse/indices/bufferView",
		"bufferViews/0/buffer", "bufferViews/0/byteOffset", "bufferViews/0/byteLength", "bufferViews/0/byteStride",
		"nodes/0/children", "nodes/0/translation", "nodes/1/rotation", "nodes/1/scale", "nodes/3/matrix", "nodes/2/mesh", "nodes/2/skin", "nodes/2/weights", "nodes/0/name",
		"skins/0/joints", "skins/0/inverseBindMatrices", "skins/0/skeleton", "skins/0/joints/1",
		"meshes/0/primitives", "meshes/0/primitives/0/indices", "meshes/0/primitives/0/mode", "meshes/0/primitives/0/material", "meshes/0/primitives/0/attributes",
		"meshes/0/primitives/0/attributes/POSITION", "meshes/0/primitives/0/attributes/JOINTS_0", "meshes/0/primitives/0/attributes/WEIGHTS_0", "meshes/0/primitives/0/targets", "meshes/0/weights",
		"animations/0/channels", "animations/0/samplers", "animations/0/channels/0/sampler", "animations/0/channels/0/target", "animations/0/channels/0/target/node", "animations/0/channels/0/target/path",
		"animations/0/samplers/0/input", "animations/0/samplers/0/output", "animations/0/samplers/0/interpolation",
		"scenes", "scenes/0/nodes", "scene", "images/0/uri", "images/0/bufferView", "textures/0/source", "materials/0/pbrMetallicRoughness/baseColorTexture/index", "asset/version", "extensionsUsed",
	}
	odd := map[string]string{
		"minus": "-1", "int32": "2147483648", "int53": "9007199254740993", "huge": "1e308", "half": "1.5", "word": `"x"`, "null": "null", "list": "[]", "object": "{}", "zero": "0",
	}
	names := []string{"minus", "int32", "int53", "huge", "half", "word", "null", "list", "object", "zero"}
	for i, at := range places {
		for k, name := range names {
			if (i+k)%2 != 0 { // half of all pairs: each place and each value many times
				continue
			}
			all = append(all, File{Name: "member-" + strings.ReplaceAll(at, "/", "-") + "-" + name + ".glb", Make: func() []byte {
				d := figure()
				d.put(at, json.RawMessage(odd[name]))
				return d.glb()
			}})
		}
	}
	return all
}

// values are files with a number in their data that is none, or too large, or too small.
func values() (all []File) {
	odd := map[string]float32{"nan": float32(math.NaN()), "inf": float32(math.Inf(1)), "most": math.MaxFloat32, "least": math.SmallestNonzeroFloat32, "minus": -1e18, "billion": 1e9}
	for _, kind := range []struct {
		name     string
		accessor int
	}{{"positions", positions}, {"normals", normals}, {"uvs", uvs}, {"weights", weightsOf}, {"binds", binds}, {"times", times}, {"turns", turns}, {"moves", moves}, {"sizes", sizes}, {"morphs", weighs}} {
		for _, name := range []string{"nan", "inf", "most", "least", "minus", "billion"} {
			for _, every := range []int{1, 5} {
				all = append(all, File{Name: fmt.Sprintf("value-%s-%s-%d.glb", kind.name, name, every), Make: func() []byte {
					d := figure()
					view := d.doc["bufferViews"].(array)[kind.accessor].(object)
					at, size := view["byteOffset"].(int), view["byteLength"].(int)
					for i := at + 4; i < at+size; i += 4 * every {
						binary.LittleEndian.PutUint32(d.bin[i:], math.Float32bits(odd[name]))
					}
					return d.glb()
				}})
			}
		}
	}
	for _, name := range []string{"last", "all"} {
		for _, accessor := range []int{joints, indices} {
			all = append(all, File{Name: fmt.Sprintf("value-beyond-%d-%s.glb", accessor, name), Make: func() []byte {
				d := figure()
				view := d.doc["bufferViews"].(array)[accessor].(object)
				at, size := view["byteOffset"].(int), view["byteLength"].(int)
				from := at
				if name == "last" {
					from = at + size - 4
				}
				for i := from; i < at+size; i++ {
					d.bin[i] = 0xFF
				}
				return d.glb()
			}})
		}
	}
	return all
}

// cuts are files that end early, or whose frame lies.
func cuts() (all []File) {
	whole := func() []byte { return figure().glb() }
	n := len(whole())
	for _, share := range []float64{0, 0.0003, 0.001, 0.002, 0.01, 0.1, 0.3, 0.5, 0.6, 0.8, 0.9, 0.99, 0.9999} {
		all = append(all, File{Name: fmt.Sprintf("cut-%v.glb", share), Make: func() []byte { return whole()[:int(share*float64(n))] }})
	}
	for _, at := range []int{0, 4, 8, 12, 16} {
		for _, word := range []uint32{0, 1, 3, 0x7FFFFFFF, 0xFFFFFFFF} {
			all = append(all, File{Name: fmt.Sprintf("frame-%d-%x.glb", at, word), Make: func() []byte {
				b := whole()
				binary.LittleEndian.PutUint32(b[at:], word)
				return b
			}})
		}
	}
	return all
}

// texts are documents that are deep, long or no JSON at all.
func texts() []File {
	doc := func(inside string) func() []byte {
		return func() []byte { return []byte(`{"asset":{"version":"2.0"},` + inside + `}`) }
	}
	deep := func(open, shut string, n int) func() []byte {
		return func() []byte {
			return doc(`"extras":` + strings.Repeat(open, n) + "1" + strings.Repeat(shut, n))()
		}
	}
	return []File{
		{Name: "deep-lists.gltf", Make: deep("[", "]", 1_000_000)},
		{Name: "deep-objects.gltf", Make: deep(`{"a":`, "}", 300_000)},
		{Name: "deep-open.gltf", Make: deep("[", "", 3_000_000)},
		{Name: "deep-nodes.gltf", Make: doc(`"nodes":` + strings.Repeat("[", 1_000_000))},
		{Name: "long-name.gltf", Make: doc(`"nodes":[{"name":"` + strings.Repeat("n", 10<<20) + `"}]`)},
		{Name: "long-name-skinned.glb", Make: func() []byte {
			d := figure()
			d.put("nodes/1/name", strings.Repeat("é", 5<<20))
			return d.glb()
		}},
		{Name: "long-key.gltf", Make: doc(`"` + strings.Repeat("k", 10<<20) + `":1`)},
		{Name: "long-escapes.gltf", Make: doc(`"nodes":[{"name":"` + strings.Repeat(`\u0000`, 1<<20) + `"}]`)},
		{Name: "long-number.gltf", Make: doc(`"scene":` + strings.Repeat("9", 5<<20))},
		{Name: "many-keys.gltf", Make: func() []byte {
			var b strings.Builder
			for i := range 400_000 {
				fmt.Fprintf(&b, `"k%d":0,`, i)
			}
			return doc(`"extras":{` + strings.TrimSuffix(b.String(), ",") + `}`)()
		}},
		{Name: "same-key.gltf", Make: doc(strings.TrimSuffix(strings.Repeat(`"nodes":[{}],`, 100_000), ","))},
		{Name: "many-attributes.gltf", Make: func() []byte {
			var b strings.Builder
			for i := range 200_000 {
				fmt.Fprintf(&b, `"_A%d":0,`, i)
			}
			return doc(`"meshes":[{"primitives":[{"attributes":{` + strings.TrimSuffix(b.String(), ",") + `}}]}]`)()
		}},
		{Name: "many-extensions.gltf", Make: doc(`"extensionsUsed":["a"` + strings.Repeat(`,"b"`, 500_000) + `],"extensionsRequired":["a"` + strings.Repeat(`,"c"`, 200_000) + `]`)},
		{Name: "many-required.gltf", Make: func() []byte {
			var b strings.Builder
			for i := range 60_000 {
				fmt.Fprintf(&b, `,"X_%d"`, i)
			}
			return doc(`"extensionsRequired":["a"` + b.String() + `],"extensionsUsed":["a"` + b.String() + `]`)()
		}},
		{Name: "many-uris.gltf", Make: func() []byte {
			var b strings.Builder
			for i := range 60_000 {
				fmt.Fprintf(&b, `,{"uri":"p%d.png"}`, i)
			}
			return doc(`"images":[` + b.String()[1:] + `]`)()
		}},
		{Name: "springs.gltf", Make: doc(`"nodes":[{}],"extensionsUsed":["VRMC_springBone"],"extensions":{"VRMC_springBone":{"specVersion":"1.0","colliders":[{"node":0,"shape":{"sphere":{}}}` +
			strings.Repeat(`,{"node":0,"shape":{"sphere":{}}}`, 10_000) + `],"colliderGroups":[{"colliders":[0` + strings.Repeat(",1", 20_000) + `]}],"springs":[{"colliderGroups":[0],"joints":[{"node":0}]}` +
			strings.Repeat(`,{"colliderGroups":[0],"joints":[{"node":0}]}`, 20_000) + `]}}`)},
		{Name: "zeros.glb", Make: func() []byte { return make([]byte, 1<<20) }},
		{Name: "utf16.gltf", Make: func() []byte { return []byte("\xFF\xFE{\x00}\x00") }},
		{Name: "nul.gltf", Make: func() []byte { return []byte("{\"asset\":{\"version\":\"2.0\"},\"nodes\":[{\"name\":\"a\x00b\"}]}") }},
		{Name: "bad-utf8.gltf", Make: doc("\"nodes\":[{\"name\":\"\xFF\xC0\xAF\"}]")},
		{Name: "surrogates.gltf", Make: doc(`"nodes":[{"name":"\ud800\udfff\ud800"}]`)},
		{Name: "control.glb", Make: func() []byte {
			d := figure()
			d.put("nodes/0/name", "\x1b]0;owned\x07\x1b[31mred\u202e=1+1\r\n")
			d.put("asset/generator", "\x1b[2J")
			return d.glb()
		}},
	}
}
