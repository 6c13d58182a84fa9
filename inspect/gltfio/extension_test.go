package gltfio

import (
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/rig"
)

// Compressed geometry is said and left empty; nothing else of the file is lost.
func TestPacked(t *testing.T) {
	for _, row := range []struct {
		name   string
		pack   func(*draft)
		honour []string
		empty  bool
	}{
		{"draco", func(d *draft) {
			d.put(prim+"extensions", object{"KHR_draco_mesh_compression": object{"bufferView": 0, "attributes": object{"POSITION": 0}}})
			for _, a := range []string{"0", "1", "2", "3", "4", "5"} {
				d.put("accessors/"+a+"/bufferView", gone)
			}
			d.put("extensionsRequired", array{"KHR_draco_mesh_compression"})
			d.put("extensionsUsed", array{"KHR_draco_mesh_compression"})
		}, []string{"KHR_draco_mesh_compression"}, true},
		{"draco with a plain copy", func(d *draft) {
			d.put(prim+"extensions", object{"KHR_draco_mesh_compression": object{"bufferView": 0, "attributes": object{"POSITION": 0}}})
			d.put("extensionsUsed", array{"KHR_draco_mesh_compression"})
		}, nil, false},
	} {
		t.Run(row.name, func(t *testing.T) {
			d := figure()
			row.pack(d)
			r, err := d.read()
			if err != nil {
				t.Fatal(err)
			}
			sane(t, r)
			if len(r.Malformed) > 0 {
				t.Errorf("malformed: %v", r.Malformed)
			}
			if !slices.Equal(r.File.NotHonored, row.honour) {
				t.Errorf("not honoured: %v, want %v", r.File.NotHonored, row.honour)
			}
			m := &r.Meshes[0]
			if empty := len(m.Positions) == 0; empty != row.empty || len(m.Primitives) != 1 || len(r.Surfaces) != 1 {
				t.Errorf("%d positions, primitives %+v", len(m.Positions), m.Primitives)
			}
			if said := strings.Contains(strings.Join(r.Remarks, "\n"), "compressed"); said != (row.name != "draco with a plain copy") {
				t.Errorf("remarks %v", r.Remarks)
			}
			if len(r.Skins[0].Joints) != 2 || len(r.Clips) != 1 {
				t.Errorf("skin %+v", r.Skins[0])
			}
		})
	}
}

func TestExtensionsOfTheLook(t *testing.T) {
	d := figure()
	d.put("extensionsUsed", array{"KHR_texture_transform", "EXT_texture_webp", "KHR_node_of_doom"})
	d.put("extensionsRequired", array{"KHR_texture_transform", "EXT_texture_webp", "KHR_node_of_doom"})
	webp := append([]byte("RIFF\x20\x00\x00\x00WEBPVP8L\x05\x00\x00\x00\x2F"), 0x3F, 0xC0, 7, 0, 0) // RFC 9649: 64 × 32, each less one in 14 bits
	d.put("images/0", object{"bufferView": d.view(webp, 0), "mimeType": "image/webp"})
	d.put("textures/0", object{"extensions": object{"EXT_texture_webp": object{"source": 0}}})
	d.put("materials/0/alphaMode", "MASK")
	d.put("materials/0/pbrMetallicRoughness/baseColorTexture/texCoord", 1)
	d.put(prim+"attributes/TEXCOORD_1", d.accessor(5123, "VEC2", false, 65535, 0, 0, 0, 0, 0, 0, 65535))
	d.put("accessors/11/normalized", true)
	d.put("buffers/0/byteLength", len(d.bin))
	r, err := d.read()
	if err != nil {
		t.Fatal(err)
	}
	sane(t, r)
	if len(r.Malformed) > 0 || !slices.Equal(r.File.NotHonored, []string{"KHR_node_of_doom"}) {
		t.Errorf("malformed %v, not honoured %v", r.Malformed, r.File.NotHonored)
	}
	if p := r.Images[0]; p.Width != 64 || p.Height != 32 || p.Data == nil || p.Missing != "" {
		t.Errorf("image %dx%d %s", p.Width, p.Height, p.Missing)
	}
	if m := r.Materials[0]; m.Image != 0 || m.Cutoff != .5 || r.Meshes[0].UV[0] != 1 {
		t.Errorf("material %+v, UV %v", m, r.Meshes[0].UV)
	}
}

func TestHumanoid(t *testing.T) {
	old := object{"humanoid": object{"humanBones": array{object{"bone": "hips", "node": 1}, object{"bone": "leftThumbProximal", "node": 2},
		object{"bone": "leftThumbIntermediate", "node": 0}, object{"bone": "head", "node": 44}}}}
	newer := object{"specVersion": "1.0", "humanoid": object{"humanBones": object{"hips": object{"node": 1}, "leftThumbProximal": object{"node": 2}}}}
	for _, row := range []struct {
		name, version string
		extensions    object
		bones         map[string]rig.Node
		malformed     int
	}{
		{"0.x", "0", object{"VRM": old}, map[string]rig.Node{"hips": 1, "leftThumbMetacarpal": 2, "leftThumbProximal": 0}, 1},
		{"1.0", "1", object{"VRMC_vrm": newer}, map[string]rig.Node{"hips": 1, "leftThumbProximal": 2}, 0},
		{"both", "1", object{"VRM": old, "VRMC_vrm": newer}, map[string]rig.Node{"hips": 1, "leftThumbProximal": 2}, 0},
		{"another shape", "", object{"VRMC_vrm": object{"humanoid": array{}}}, nil, 1},
	} {
		t.Run(row.name, func(t *testing.T) {
			d := figure()
			d.put("extensions", row.extensions)
			r, err := d.read()
			if err != nil {
				t.Fatal(err)
			}
			sane(t, r)
			if r.Humanoid.Version != row.version || len(r.Humanoid.Bones) != len(row.bones) || len(r.Malformed) != row.malformed {
				t.Fatalf("%+v, malformed %v", r.Humanoid, r.Malformed)
			}
			for bone, n := range row.bones {
				if r.Humanoid.Bones[bone] != n {
					t.Errorf("%s is %d, want %d", bone, r.Humanoid.Bones[bone], n)
				}
			}
		})
	}
}

// Two scenes, a skin shared by two nodes, joints in any order with a helper node
// between them, and a matrix node.
func TestTree(t *testing.T) {
	d := figure()
	d.put("nodes", array{
		object{"name": "A", "mesh": 0, "skin": 0},
		object{"name": "Upper"},
		object{"name": "helper", "matrix": array{0, 2, 0, 0, -2, 0, 0, 0, 0, 0, 2, 0, 1, 2, 3, 1}, "children": array{1}},
		object{"name": "Lower", "children": array{2}, "scale": array{1, 1, 0}},
		object{"name": "B", "mesh": 0, "skin": 0, "weights": array{.25}},
	})
	d.put("scenes", array{object{"name": "one", "nodes": array{0, 3}}, object{"nodes": array{0, 3, 4}}})
	d.put("scene", gone)
	d.put("skins/0/joints", array{1, 3})
	d.put("skins/0/skeleton", 3)
	d.put("animations/0/channels/0/target/node", 1)
	r, err := d.read()
	if err != nil {
		t.Fatal(err)
	}
	sane(t, r)
	if len(r.Malformed) > 0 || len(r.Surfaces) != 2 || r.Shown != 0 || r.IsShown()[4] || !r.IsShown()[1] {
		t.Errorf("malformed %v, shown %v", r.Malformed, r.IsShown())
	}
	if len(r.Remarks) != 1 || r.Remarks[0] != `2 scenes; shown is scene 0 "one", the first, none is named as default` {
		t.Errorf("remarks %q", r.Remarks)
	}
	h := &r.Nodes[2]
	if !h.HasMatrix || h.Matrix != (rig.Affine{0, -2, 0, 1, 2, 0, 0, 2, 0, 0, 2, 3}) || h.S != [3]float64{2, 2, 2} || h.T != [3]float64{1, 2, 3} {
		t.Errorf("helper %+v", h)
	}
	if r.Nodes[3].S != [3]float64{1, 1, 0} || r.Nodes[3].HasMatrix || r.Nodes[4].Weights[0] != .25 {
		t.Errorf("nodes %+v", r.Nodes)
	}
}
