package exam

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

// Which surfaces of the real figures are gear: read by eye. The knight's body is its
// six bound parts; the robot's head and feet are stiff and yet its own.
func TestBodyOfRealFigures(t *testing.T) {
	for _, row := range []struct {
		file         string
		gear         []string
		body, height float64 // metres
	}{
		{"Knight.glb", []string{"1H_Sword_Offhand", "Badge_Shield", "Rectangle_Shield", "Round_Shield", "Spike_Shield", "1H_Sword", "2H_Sword", "Knight_Helmet", "Knight_Cape"}, 2.314535, 2.466579},
		{"robot.glb", nil, 4.559440, 4.559440},
		{"Fox.glb", nil, 79.02894, 79.02894},
		{"hand_left.glb", nil, .212041, .212041},
		{"hand_right.glb", nil, .212041, .212041},
		{"cesium_man.gltf", nil, 1.506550, 1.506550},
	} {
		t.Run(row.file, func(t *testing.T) {
			data, err := os.ReadFile(filepath.FromSlash("../../../shared/corpus/models/" + row.file))
			if err != nil {
				t.Skipf("no corpus here: %v", err)
			}
			r, err := gltfio.Read([]gltfio.File{{Name: row.file, Data: data}}, gltfio.Options{})
			if err != nil {
				t.Fatal(err)
			}
			e := New(r)
			var gear []string
			for _, s := range e.Gear() {
				gear = append(gear, r.Nodes[r.Surfaces[s].Node].Name)
			}
			if !slices.Equal(gear, row.gear) {
				t.Errorf("gear %q, want %q", gear, row.gear)
			}
			if len(e.Body())+len(e.Gear()) != len(e.Shown()) {
				t.Errorf("%d and %d of %d", len(e.Body()), len(e.Gear()), len(e.Shown()))
			}
			if math.Abs(e.Height()-row.body) > 1e-4*row.body || math.Abs(e.WholeHeight()-row.height) > 1e-4*row.height {
				t.Errorf("height %v of %v, want %v of %v", e.Height(), e.WholeHeight(), row.body, row.height)
			}
			for _, s := range e.Gear() {
				if e.Mirror().Point[s] != nil || e.WholeMirror().Point[s] == nil {
					t.Errorf("%s has a say in the body's mirror plane, or none in that of all", e.SurfaceName(s))
				}
			}
			if whole := e.WholeMirror() == e.Mirror(); whole != (row.gear == nil) {
				t.Error("one mirror for body and all, or two where there is no gear")
			}
		})
	}
}

// post is a skinned post from y = 0 to 2 on two joints, with stiff boxes on the upper
// one: on[i] tells node (with its own mesh, no skin) or skin.
func post(boxes ...stiffBox) *rig.Rig {
	r := &rig.Rig{Shown: rig.None}
	add := func(parent rig.Node, y float64, mesh rig.Mesh, skin rig.Skin) rig.Node {
		a := rig.Identity
		a[7] = y
		n := rig.Node(len(r.Nodes))
		r.Nodes = append(r.Nodes, rig.NodeData{Parent: parent, Matrix: a, Mesh: mesh, Skin: skin})
		if parent >= 0 {
			r.Nodes[parent].Children = append(r.Nodes[parent].Children, n)
		}
		if mesh >= 0 {
			r.Surfaces = append(r.Surfaces, rig.Surface{Node: n, Mesh: mesh, Skin: skin})
		}
		return n
	}
	low := add(rig.None, 0, rig.None, rig.None)
	high := add(low, 1, rig.None, rig.None)
	prop := add(high, .5, rig.None, rig.None)
	bind := func(y float64) rig.Affine { a := rig.Identity; a[7] = -y; return a }
	r.Skins = []rig.SkinData{{Joints: []rig.Node{low, high}, Bind: []rig.Affine{bind(0), bind(1)}, HasBind: true}}
	body := block([3]float64{0, .5, 0}, [3]float64{.2, .5, .2}, 0, 1)
	upper := block([3]float64{0, 1.5, 0}, [3]float64{.2, .5, .2}, 1, 1)
	body.Triangles = append(body.Triangles, shifted(upper.Triangles, uint32(body.Vertices()))...)
	body.Positions, body.Joints, body.Weights = append(body.Positions, upper.Positions...), append(body.Joints, upper.Joints...), append(body.Weights, upper.Weights...)
	body.Primitives[0].Count, body.Primitives[0].TriCount = body.Vertices(), len(body.Triangles)/3
	r.Meshes = append(r.Meshes, body)
	add(rig.None, 0, 0, 0)
	for _, b := range boxes {
		at := b.middle
		skin, parent := rig.Skin(0), rig.Node(rig.None)
		if !b.skinned {
			skin, parent, at[1] = rig.None, prop, at[1]-1.5
			if b.loose {
				parent, at[1] = rig.None, at[1]+1.5
			}
		}
		r.Meshes = append(r.Meshes, block(at, b.half, 1, b.weight))
		add(parent, 0, rig.Mesh(len(r.Meshes)-1), skin)
	}
	r.SetOrder()
	return r
}

type stiffBox struct {
	middle, half   [3]float64
	skinned, loose bool
	weight         float32 // on the upper joint, the rest on the lower
}

func block(at, half [3]float64, joint uint16, weight float32) rig.MeshData {
	m := rig.MeshData{K: 4, Triangles: []uint32{0, 2, 1, 1, 2, 3, 4, 5, 6, 5, 7, 6, 0, 1, 4, 1, 5, 4, 2, 6, 3, 3, 6, 7, 0, 4, 2, 2, 4, 6, 1, 3, 5, 3, 7, 5}}
	for c := range 8 {
		for k := range 3 {
			m.Positions = append(m.Positions, float32(at[k]+half[k]*float64(2*(c>>k&1)-1)))
		}
		m.Joints = append(m.Joints, joint, 1-joint, 0, 0)
		m.Weights = append(m.Weights, weight, 1-weight, 0, 0)
	}
	m.Primitives = []rig.PrimitiveData{{Count: 8, TriCount: 12, Sets: 1, Material: rig.None, Mode: 4}}
	return m
}

func shifted(t []uint32, by uint32) []uint32 {
	out := slices.Clone(t)
	for i := range out {
		out[i] += by
	}
	return out
}

func TestBodyOfBuiltFigures(t *testing.T) {
	small, long := [3]float64{.05, .05, .05}, [3]float64{.05, 1, .05}
	for _, row := range []struct {
		name string
		box  stiffBox
		body bool
	}{
		{"a sword that hangs on a helper", stiffBox{middle: [3]float64{.3, 1.5, 0}, half: long}, false},
		{"a sword that is bound to one joint", stiffBox{middle: [3]float64{.3, 1.5, 0}, half: long, skinned: true, weight: 1}, false},
		{"the same with the dust of another weight", stiffBox{middle: [3]float64{.3, 1.5, 0}, half: long, skinned: true, weight: .995}, false},
		{"a cloth that two joints move", stiffBox{middle: [3]float64{.3, 1.5, 0}, half: long, skinned: true, weight: .7}, true},
		{"an eye inside, without a skin", stiffBox{middle: [3]float64{.1, 1.6, .1}, half: small}, true},
		{"an eye that looks out, without a skin", stiffBox{middle: [3]float64{.1, 1.6, .2}, half: small}, false},
		{"an eye that looks out, bound", stiffBox{middle: [3]float64{.1, 1.6, .2}, half: small, skinned: true, weight: 1}, true},
		{"a bound cap that stands well out", stiffBox{middle: [3]float64{0, 2.2, 0}, half: [3]float64{.2, .3, .2}, skinned: true, weight: 1}, false},
		{"a pebble on the ground", stiffBox{middle: [3]float64{1, 0, 0}, half: small, loose: true}, false},
		{"a house with a bound flag, of no known kind", stiffBox{middle: [3]float64{0, 0, 0}, half: [3]float64{5, 5, 5}, loose: true}, true},
	} {
		e := New(post(row.box))
		if e.IsBody(1) != row.body || !e.IsBody(0) {
			t.Errorf("%s: body %v and %v, want true and %v", row.name, e.IsBody(0), e.IsBody(1), row.body)
		}
	}
	// A part of its own on a joint that nothing else covers.
	r := post(stiffBox{middle: [3]float64{.3, 1.5, 0}, half: long})
	upper := r.Nodes[1].Children[0]
	r.Meshes[0].Triangles = r.Meshes[0].Triangles[:36]
	for v := range 8 {
		copy(r.Meshes[0].Joints[32+4*v:], []uint16{0, 0, 0, 0})
	}
	if e := New(r); !e.IsBody(1) || e.StiffOn(1) != 1 {
		t.Errorf("the only part on a joint: body %v, on %d below %d", e.IsBody(1), e.StiffOn(1), upper)
	}
	if e := New(&rig.Rig{Shown: rig.None}); len(e.Body()) != 0 || e.Height() != 0 {
		t.Error("nothing has a body")
	}
}

// Gear of the built figures: a child with a large head, and a person of rigid parts
// without any skin, whose sword is no part of them.
func TestBodyOfTheMenagerie(t *testing.T) {
	for _, row := range []struct {
		name string
		r    *rig.Rig
		gear []string
		body float64 // metres
	}{
		{"person with gear", menagerie.Person(menagerie.Options{Gear: true}), []string{"sword", "shield", "helmet", "cape", "book"}, 1.76},
		{"three heads high, with gear", menagerie.ThreeHeads(menagerie.Options{Gear: true}), []string{"sword", "shield", "helmet", "cape", "book"}, 1.05},
		{"the same, bones numbered", menagerie.ThreeHeads(menagerie.Options{Gear: true, Names: menagerie.Numbered}), []string{"sword", "shield", "helmet", "cape", "book"}, 1.05},
		{"person", menagerie.Person(menagerie.Options{}), nil, 1.76},
		{"unbound", menagerie.Person(menagerie.Options{Unbound: true}), nil, 1.76},
		{"rigid parts", menagerie.Parts(menagerie.Options{}), nil, 1.76},
	} {
		e := New(row.r)
		var gear []string
		for _, s := range e.Gear() {
			gear = append(gear, row.r.Nodes[row.r.Surfaces[s].Node].Name)
		}
		if !slices.Equal(gear, row.gear) {
			t.Errorf("%s: gear %q", row.name, gear)
		}
		if h := e.Height(); math.Abs(h-row.body) > .02*row.body {
			t.Errorf("%s: %v m high, want %v", row.name, h, row.body)
		}
	}
}

// A lantern on a chain in one hand is gear; hair on a chain of the head is the figure's own.
func TestWhatDangles(t *testing.T) {
	r := menagerie.Carrying(menagerie.Options{})
	if e := New(r); len(e.Body()) != 1 || len(e.Gear()) != 1 || e.SurfaceName(e.Gear()[0]) == e.SurfaceName(e.Body()[0]) {
		t.Errorf("body %v, gear %v", e.Body(), e.Gear())
	}
	hand, head := -1, -1
	for n := range r.Nodes {
		switch r.Nodes[n].Name {
		case "hand_l":
			hand = n
		case "head":
			head = n
		}
	}
	top := r.Nodes[hand].Children[0]
	r.Nodes[hand].Children = nil
	r.Nodes[head].Children, r.Nodes[top].Parent = append(r.Nodes[head].Children, top), rig.Node(head)
	r.SetOrder()
	if e := New(r); len(e.Gear()) != 0 {
		t.Errorf("gear %v", e.Gear())
	}
}
