package original

import (
	"slices"
	"strconv"
	"strings"
)

// Kind is a list of a glTF file that others point into, by its key.
type Kind string

const (
	Nodes     Kind = "nodes"
	Meshes    Kind = "meshes"
	Skins     Kind = "skins"
	Clips     Kind = "animations"
	Accessors Kind = "accessors"
	Views     Kind = "bufferViews"
	Buffers   Kind = "buffers"
	Materials Kind = "materials"
	Textures  Kind = "textures"
	Images    Kind = "images"
	Cameras   Kind = "cameras"
	Samplers  Kind = "samplers"
	Scenes    Kind = "scenes"
)

// reference is a row of the table: where an index stands, what it points at, and how much
// goes with it when that is taken out: the value itself (0), the object that holds it
// (1), the one around that (2); mustStay: the edit is refused.
type reference struct {
	path string // * is every member or item
	of   Kind
	goes int
}

// mustStay stands in the place of an object that is not taken out while something names it.
const mustStay = -1

// references are those of glTF 2.0 and of the extensions that the lists of its registry
// and VRM describe. Sources: glTF 2.0, Properties Reference; the registry's extension
// texts; VRM 0.x and 1.0 with spring bones and node constraints.
var references = []reference{
	{"scene", Scenes, 0},
	{"scenes/*/nodes/*", Nodes, 0},
	{"nodes/*/children/*", Nodes, 0},
	{"nodes/*/mesh", Meshes, 0},
	{"nodes/*/skin", Skins, 0},
	{"nodes/*/camera", Cameras, 0},
	{"meshes/*/primitives/*/attributes/*", Accessors, mustStay},
	{"meshes/*/primitives/*/indices", Accessors, mustStay},
	{"meshes/*/primitives/*/targets/*/*", Accessors, mustStay},
	{"meshes/*/primitives/*/material", Materials, 0},
	{"skins/*/joints/*", Nodes, mustStay},
	{"skins/*/skeleton", Nodes, 0},
	{"skins/*/inverseBindMatrices", Accessors, mustStay},
	{"animations/*/channels/*/target/node", Nodes, 2},
	{"animations/*/samplers/*/input", Accessors, mustStay},
	{"animations/*/samplers/*/output", Accessors, mustStay},
	{"accessors/*/bufferView", Views, mustStay},
	{"accessors/*/sparse/indices/bufferView", Views, mustStay},
	{"accessors/*/sparse/values/bufferView", Views, mustStay},
	{"bufferViews/*/buffer", Buffers, mustStay},
	{"images/*/bufferView", Views, mustStay},
	{"textures/*/source", Images, 0},
	{"textures/*/sampler", Samplers, 0},
	{"materials/*/normalTexture/index", Textures, 1},
	{"materials/*/occlusionTexture/index", Textures, 1},
	{"materials/*/emissiveTexture/index", Textures, 1},
	{"materials/*/pbrMetallicRoughness/*/index", Textures, 1},
	{"materials/*/extensions/*/*/index", Textures, 1},

	{"meshes/*/primitives/*/extensions/KHR_draco_mesh_compression/bufferView", Views, mustStay},
	{"meshes/*/primitives/*/extensions/KHR_materials_variants/mappings/*/material", Materials, 1},
	{"meshes/*/extensions/EXT_mesh_manifold/manifoldPrimitive/indices", Accessors, mustStay},
	{"meshes/*/extensions/EXT_mesh_manifold/mergeIndices", Accessors, mustStay},
	{"meshes/*/extensions/EXT_mesh_manifold/mergeValues", Accessors, mustStay},
	{"bufferViews/*/extensions/EXT_meshopt_compression/buffer", Buffers, mustStay},
	{"bufferViews/*/extensions/KHR_meshopt_compression/buffer", Buffers, mustStay},
	{"nodes/*/extensions/EXT_mesh_gpu_instancing/attributes/*", Accessors, mustStay},
	{"nodes/*/extensions/MSFT_lod/ids/*", Nodes, 0},
	{"materials/*/extensions/MSFT_lod/ids/*", Materials, 0},
	{"textures/*/extensions/*/source", Images, 1},

	{"nodes/*/extensions/VRMC_node_constraint/constraint/*/source", Nodes, 3},
	{"extensions/VRMC_vrm/humanoid/humanBones/*/node", Nodes, 1},
	{"extensions/VRMC_vrm/meta/thumbnailImage", Images, 0},
	{"extensions/VRMC_vrm/firstPerson/meshAnnotations/*/node", Nodes, 1},
	{"extensions/VRMC_vrm/expressions/*/*/morphTargetBinds/*/node", Nodes, 1},
	{"extensions/VRMC_vrm/expressions/*/*/materialColorBinds/*/material", Materials, 1},
	{"extensions/VRMC_vrm/expressions/*/*/textureTransformBinds/*/material", Materials, 1},
	{"extensions/VRMC_springBone/colliders/*/node", Nodes, mustStay}, // named by place in colliderGroups
	{"extensions/VRMC_springBone/springs/*/joints/*/node", Nodes, 1},
	{"extensions/VRMC_springBone/springs/*/center", Nodes, 0},
	{"materials/*/extensions/VRMC_materials_mtoon/*/index", Textures, 1},

	{"extensions/VRM/meta/texture", Textures, 0},
	{"extensions/VRM/humanoid/humanBones/*/node", Nodes, 1},
	{"extensions/VRM/firstPerson/firstPersonBone", Nodes, 0},
	{"extensions/VRM/firstPerson/meshAnnotations/*/mesh", Meshes, 1},
	{"extensions/VRM/blendShapeMaster/blendShapeGroups/*/binds/*/mesh", Meshes, 1},
	{"extensions/VRM/secondaryAnimation/boneGroups/*/center", Nodes, 0},
	{"extensions/VRM/secondaryAnimation/boneGroups/*/bones/*", Nodes, 0},
	{"extensions/VRM/secondaryAnimation/colliderGroups/*/node", Nodes, mustStay}, // named by place in boneGroups
	{"extensions/VRM/materialProperties/*/textureProperties/*", Textures, 0},
}

// followed are the extensions whose references all stand in the table, or that hold none.
func followed(name string) bool {
	switch name {
	case "KHR_draco_mesh_compression", "EXT_meshopt_compression", "KHR_meshopt_compression", "EXT_mesh_manifold",
		"EXT_mesh_gpu_instancing", "MSFT_lod", "MSFT_texture_dds", "KHR_animation_pointer", "KHR_mesh_quantization", "KHR_node_visibility",
		"KHR_lights_punctual", "KHR_xmp", "KHR_xmp_json_ld", "VRM", "VRMC_vrm", "VRMC_springBone", "VRMC_node_constraint":
		return true
	}
	for _, look := range []string{"KHR_materials_", "EXT_materials_", "KHR_texture_", "EXT_texture_", "VRMC_materials_"} {
		if strings.HasPrefix(name, look) {
			return true
		}
	}
	return false
}

// Use is one place that names an object of a list by its index.
type Use struct {
	Pointer string
	Of      Kind
	Index   int
	row     *reference
	holders []*Value // the value's holder last, the root first
	keys    []string // by holder: the step down from it
}

// put writes another index there.
func (u *Use) put(i int) {
	u.Index = i
	h, k := u.holders[len(u.holders)-1], u.keys[len(u.keys)-1]
	if h.IsList() {
		n, _ := strconv.Atoi(k)
		h.SetAt(n, Whole(i))
	} else {
		h.Set(k, Whole(i))
	}
}

// uses are all references of a document.
type uses struct {
	at map[string]*Use
	of map[Kind]map[int][]*Use
	in map[Kind]map[int][]*Use // by the object of a list that holds the reference
}

// Uses answers the places that name an object, in the order of the table.
func (d *Document) Uses(k Kind, index int) []*Use { return d.references().of[k][index] }

// UseAt answers the reference at a pointer; nil: there is none.
func (d *Document) UseAt(pointer string) *Use { return d.references().at[pointer] }

func (d *Document) references() *uses {
	if d.uses == nil {
		d.uses = &uses{map[string]*Use{}, map[Kind]map[int][]*Use{}, map[Kind]map[int][]*Use{}}
		for i := range references {
			d.walk(&references[i], d.Root, strings.Split(references[i].path, "/"), nil, nil)
		}
	}
	return d.uses
}

func (d *Document) walk(row *reference, v *Value, path []string, holders []*Value, keys []string) {
	if v == nil {
		return
	}
	if len(path) == 0 {
		if i := v.Int(); i >= 0 {
			pointer := ""
			for _, k := range keys {
				pointer += "/" + escape(k)
			}
			if d.uses.at[pointer] == nil {
				d.uses.add(&Use{Pointer: pointer, Of: row.of, Index: i, row: row, holders: slices.Clone(holders), keys: slices.Clone(keys)})
			}
		}
		return
	}
	holders = append(holders, v)
	switch {
	case path[0] != "*":
		d.walk(row, v.Get(path[0]), path[1:], holders, append(keys, path[0]))
	case v.IsList():
		for i := range v.Len() {
			d.walk(row, v.At(i), path[1:], holders, append(keys, strconv.Itoa(i)))
		}
	default:
		for _, k := range v.Keys() {
			d.walk(row, v.Get(k), path[1:], holders, append(keys, k))
		}
	}
}

func (u *uses) add(x *Use) {
	u.at[x.Pointer] = x
	put := func(to map[Kind]map[int][]*Use, k Kind, i int) {
		if to[k] == nil {
			to[k] = map[int][]*Use{}
		}
		to[k][i] = append(to[k][i], x)
	}
	put(u.of, x.Of, x.Index)
	if len(x.keys) > 2 {
		if i, err := strconv.Atoi(x.keys[1]); err == nil {
			put(u.in, Kind(x.keys[0]), i)
		}
	}
}

// Refresh must be called after references of an object were changed by hand.
func (d *Document) Refresh(k Kind, i int) { d.refresh(k, i) }

// RefreshAll must be called after references outside the lists, in an extension of the file
// itself, were changed by hand.
func (d *Document) RefreshAll() { d.uses = nil }

// refresh looks anew at what one object of a list names, so that a thousand changes do
// not cost a thousand walks over the file.
func (d *Document) refresh(k Kind, i int) {
	if d.uses == nil {
		return
	}
	for _, x := range d.uses.in[k][i] {
		delete(d.uses.at, x.Pointer)
		list := d.uses.of[x.Of]
		list[x.Index] = slices.DeleteFunc(list[x.Index], func(y *Use) bool { return y == x })
	}
	if d.uses.in[k] != nil {
		delete(d.uses.in[k], i)
	}
	list := d.Root.Get(string(k))
	for r := range references {
		if path := strings.Split(references[r].path, "/"); path[0] == string(k) && len(path) > 2 {
			d.walk(&references[r], list.At(i), path[2:], []*Value{d.Root, list}, []string{string(k), strconv.Itoa(i)})
		}
	}
}

// move lets a use point at another object.
func (d *Document) move(u *Use, to int) {
	list := d.references().of[u.Of]
	list[u.Index] = slices.DeleteFunc(list[u.Index], func(x *Use) bool { return x == u })
	u.put(to)
	list[to] = append(list[to], u)
}

// Unfollowed lists the extensions anywhere in the file whose insides are not known: they
// may hold indices.
func (d *Document) Unfollowed() (names []string) {
	var walk func(v *Value)
	walk = func(v *Value) {
		for _, k := range v.Keys() {
			m := v.Get(k)
			if k == "extras" {
				continue // the file's own; no standard lets it point anywhere
			}
			if k == "extensions" {
				for _, name := range m.Keys() {
					if !followed(name) && !slices.Contains(names, name) {
						names = append(names, name)
					}
				}
			}
			walk(m)
		}
		for i := range v.Len() {
			walk(v.At(i))
		}
	}
	walk(Parse(d.Root.Bytes()))
	slices.Sort(names)
	return names
}
