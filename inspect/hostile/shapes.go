package hostile

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strings"
)

// empties are files of a list of n empty objects of every kind, in so many bytes a piece.
func empties(kind string, n int) []byte {
	empty := strings.TrimSuffix(strings.Repeat("{},", n), ",")
	head := `{"asset":{"version":"2.0"},"nodes":[{}],`
	switch kind {
	case "primitives":
		return []byte(head + `"meshes":[{"primitives":[` + empty + `]}]}`)
	case "targets":
		return []byte(head + `"meshes":[{"primitives":[{"targets":[` + empty + `]}]}]}`)
	case "channels", "clip samplers":
		return []byte(head + `"animations":[{"` + strings.Fields(kind)[len(strings.Fields(kind))-1] + `":[` + empty + `]}]}`)
	case "joints":
		return []byte(head + `"skins":[{"joints":[` + strings.ReplaceAll(empty, "{}", "0") + `]}]}`)
	case "children":
		return []byte(`{"asset":{"version":"2.0"},"nodes":[{},{"children":[` + strings.ReplaceAll(empty, "{}", "0") + `]}]}`)
	case "scene nodes":
		return []byte(head + `"scenes":[{"nodes":[` + strings.ReplaceAll(empty, "{}", "0") + `]}]}`)
	}
	return []byte(`{"asset":{"version":"2.0"},"` + kind + `":[` + empty + `]}`)
}

// Kinds are the lists of glTF that a file can fill with nothing.
var Kinds = []string{"nodes", "meshes", "primitives", "targets", "skins", "joints", "children", "scene nodes", "animations", "channels", "clip samplers",
	"accessors", "bufferViews", "buffers", "images", "textures", "samplers", "materials", "cameras", "scenes"}

// shapes are trees that are none, and lists of nothing.
func shapes() (all []File) {
	for _, kind := range Kinds {
		for _, n := range []int{20_000, 4_000_000} {
			all = append(all, File{Name: fmt.Sprintf("empty-%s-%d.gltf", strings.ReplaceAll(kind, " ", "-"), n), Large: n > 1e6, Make: func() []byte { return empties(kind, n) }})
		}
	}
	for name, children := range map[string][4]string{
		"itself": {"[0]", "[3]"}, "circle": {"[1]", "[0]"}, "two-parents": {"[1,3]", "[3]"}, "twice": {"[1,1,1]", "[3]"}, "beyond": {"[99]", "[-5]"}, "mesh-is-joint": {"[2]", "[3]"},
	} {
		all = append(all, File{Name: "tree-" + name + ".glb", Make: func() []byte {
			d := figure()
			d.put("nodes/0/children", json.RawMessage(children[0]))
			d.put("nodes/1/children", json.RawMessage(children[1]))
			return d.glb()
		}})
	}
	return append(all,
		File{Name: "joints-same.glb", Make: func() []byte {
			d := figure()
			d.put("skins/0/joints", array{0, 0})
			return d.glb()
		}},
		// The file of issue D2: one coordinate that is no number, two indices beyond the list.
		File{Name: "nan-and-beyond.glb", Make: func() []byte {
			d := figure()
			view := d.doc["bufferViews"].(array)
			at := view[positions].(object)["byteOffset"].(int)
			copy(d.bin[at+36:], "\x00\x00\xC0\x7F")
			at = view[indices].(object)["byteOffset"].(int)
			copy(d.bin[at+6:], "\xFF\xFF\xFF\xFF")
			return d.glb()
		}},
		File{Name: "nan-and-beyond-far.glb", Make: func() []byte {
			d := figure()
			view := d.doc["bufferViews"].(array)
			at := view[positions].(object)["byteOffset"].(int)
			for v := range 8 {
				copy(d.bin[at+12*5*v:], "\x00\x00\xC0\x7F\x00\x00\xC0\x7F\x00\x00\xC0\x7F")
			}
			at = view[indices].(object)["byteOffset"].(int)
			for i := range 6 {
				copy(d.bin[at+34*i:], "\xFF\xFF")
			}
			return d.glb()
		}},
		File{Name: "one-spot.glb", Make: func() []byte {
			d := figure()
			at := d.doc["bufferViews"].(array)[positions].(object)["byteOffset"].(int)
			clear(d.bin[at : at+72*12])
			return d.glb()
		}},
	)
}

// heavy are shapes that slow algorithms die of.
func heavy() []File {
	large := func(name string, make func() []byte) File { return File{Name: name, Large: true, Make: make} }
	tree := func(n int, bind func(d *draft, n int), parent func(i int) int) func() []byte {
		return func() []byte {
			d := figure()
			nodes := d.doc["nodes"].(array)
			children := make([]array, n)
			first := len(nodes)
			for i := 1; i < n; i++ {
				p := parent(i)
				children[p] = append(children[p], first+i)
			}
			joints := array{}
			for i := range n {
				node := object{"translation": array{0.01 * float64(i%7-3), 0.01, 0.01 * float64(i%5-2)}}
				if children[i] != nil {
					node["children"] = children[i]
				}
				nodes = append(nodes, node)
				joints = append(joints, first+i)
			}
			d.doc["nodes"] = nodes
			d.put("scenes/0/nodes", array{0, 2, first})
			s := d.doc["skins"].(array)[0].(object)
			s["joints"] = joints
			delete(s, "inverseBindMatrices")
			delete(s, "skeleton")
			bind(d, n)
			return d.glb()
		}
	}
	rnd := rand.New(rand.NewPCG(7, 7))
	random := make([]int, 60_001)
	for i := 1; i < len(random); i++ {
		random[i] = rnd.IntN(i)
	}
	triangles := func(n int, size float32) func() []byte {
		return func() []byte {
			d, rnd := figure(), rand.New(rand.NewPCG(3, 4))
			var p []float32
			for range n {
				var c [3]float32
				for k := range c {
					c[k] = rnd.Float32()
				}
				for range 3 {
					for k := range c {
						p = append(p, c[k]+size*(rnd.Float32()-0.5))
					}
				}
			}
			d.put("meshes/1/primitives/0", object{"attributes": object{"POSITION": d.floats("VEC3", p...)}})
			return d.glb()
		}
	}
	instances := func(n int, skinned bool) func() []byte {
		return func() []byte {
			d := figure()
			nodes, roots := d.doc["nodes"].(array), array{0, 2}
			for i := range n {
				node := object{"mesh": 1, "translation": array{float64(i % 100), float64(i / 100 % 100), float64(i / 10000)}}
				if skinned {
					node = object{"mesh": 0, "skin": 0}
				}
				roots = append(roots, len(nodes))
				nodes = append(nodes, node)
			}
			d.doc["nodes"] = nodes
			d.put("scenes/0/nodes", roots)
			return d.glb()
		}
	}
	return []File{
		large("shared-accessor.glb", func() []byte { return shared(1000, 28_000) }),
		large("shared-accessor-small.glb", func() []byte { return shared(1000, 5_000) }),
		large("tree-random-2000.glb", tree(2000, strew, func(i int) int { return random[i] })),
		large("tree-random-20000.glb", tree(20_000, strew, func(i int) int { return random[i] })),
		large("tree-random-60000.glb", tree(60_000, strew, func(i int) int { return random[i] })),
		large("tree-chain-5000.glb", tree(5000, strew, func(i int) int { return i - 1 })),
		large("tree-chain-20000.glb", tree(20_000, strew, func(i int) int { return i - 1 })),
		large("tree-star-20000.glb", tree(20_000, strew, func(int) int { return 0 })),
		large("tube-chain-5000.glb", tree(5000, spread, func(i int) int { return i - 1 })),
		large("tube-chain-20000.glb", tree(20_000, spread, func(i int) int { return i - 1 })),
		large("tube-random-20000.glb", tree(20_000, spread, func(i int) int { return random[i] })),
		large("triangles-100k-small.glb", triangles(100_000, 0.01)),
		large("triangles-100k-large.glb", triangles(100_000, 0.8)),
		large("triangles-300k-large.glb", triangles(300_000, 0.8)),
		large("instances-8000.glb", instances(8000, false)),
		large("instances-16000.glb", instances(16_000, false)),
		large("instances-50000.glb", instances(50_000, false)),
		large("instances-skinned-1000.glb", instances(1000, true)),
		large("morphs-5000.glb", func() []byte {
			d := figure()
			t := make(array, 5000)
			for i := range t {
				t[i] = object{"POSITION": 12}
			}
			d.put("meshes/0/primitives/0/targets", t)
			d.put("meshes/0/weights", make(array, 0))
			return d.glb()
		}),
		large("clips-20000.glb", func() []byte {
			d := figure()
			a := d.doc["animations"].(array)
			for len(a) < 20_000 {
				a = append(a, a[0])
			}
			d.doc["animations"] = a
			return d.glb()
		}),
		large("channels-100000.glb", func() []byte {
			d := figure()
			a := d.doc["animations"].(array)[0].(object)
			c := a["channels"].(array)
			for len(c) < 100_000 {
				c = append(c, c[0])
			}
			a["channels"] = c
			return d.glb()
		}),
		large("skins-4000.glb", func() []byte {
			d := figure()
			s := d.doc["skins"].(array)
			for len(s) < 4000 {
				s = append(s, s[0])
			}
			d.doc["skins"] = s
			return d.glb()
		}),
		large("keys-1m.glb", func() []byte {
			d := figure()
			t, v := make([]float32, 1_000_000), make([]float32, 4_000_000)
			for i := range t {
				t[i], v[4*i+3] = float32(i)/1000, 1
			}
			d.put("animations/0/samplers/0", object{"input": d.floats("SCALAR", t...), "output": d.floats("VEC4", v...)})
			return d.glb()
		}),
	}
}

// spread binds the tube's vertices to joints all over a skin of n.
func spread(d *draft, n int) {
	at := d.doc["bufferViews"].(array)[joints].(object)["byteOffset"].(int)
	for v := range 72 {
		for k := range 2 {
			j := (v*2 + k) * n / 144
			d.bin[at+8*v+2*k], d.bin[at+8*v+2*k+1] = byte(j), byte(j>>8)
		}
	}
}

// strew lays a small triangle at each of n joints and binds it there.
func strew(d *draft, n int) {
	p, j, w := make([]float32, 0, 9*n), make([]uint16, 0, 12*n), make([]float32, 0, 12*n)
	rnd := rand.New(rand.NewPCG(5, 6))
	for i := range n {
		x, y, z := rnd.Float32(), rnd.Float32(), rnd.Float32()
		p = append(p, x, y, z, x+0.01, y, z, x, y+0.01, z)
		for range 3 {
			j, w = append(j, uint16(i), 0, 0, 0), append(w, 1, 0, 0, 0)
		}
	}
	d.put("meshes/0/primitives/0", object{"attributes": object{"POSITION": d.floats("VEC3", p...), "JOINTS_0": d.shorts("VEC4", j...), "WEIGHTS_0": d.floats("VEC4", w...)}})
	delete(d.doc["meshes"].([]any)[0].(object), "weights")
}

// shared is a mesh of n primitives that share one accessor of v vertices without a view,
// all zero: some 87 bytes a primitive for as many vertices as one cares to state.
func shared(n, v int) []byte {
	d := figure()
	a := d.add("accessors", object{"componentType": 5126, "count": v, "type": "VEC3"})
	p := make(array, n)
	for i := range p {
		p[i] = object{"attributes": object{"POSITION": a, "NORMAL": a}}
	}
	d.put("meshes/1/primitives", p)
	return d.glb()
}
