package rig

import (
	"slices"
	"testing"
)

// tree builds nodes by "name parent mesh moved" and one clip that turns those moved.
type limb struct {
	name   string
	parent Node
	mesh   bool
	moved  bool
}

func tree(limbs []limb) *Rig {
	r := &Rig{Shown: None}
	c := ClipData{Seconds: 1}
	for i, l := range limbs {
		n := NodeData{Name: l.name, Parent: l.parent, Mesh: None, Skin: None, Matrix: Identity}
		if l.mesh {
			n.Mesh = Mesh(len(r.Meshes))
			r.Meshes = append(r.Meshes, MeshData{})
			r.Surfaces = append(r.Surfaces, Surface{Node: Node(i), Mesh: n.Mesh, Skin: None})
		}
		r.Nodes = append(r.Nodes, n)
		if l.parent >= 0 {
			r.Nodes[l.parent].Children = append(r.Nodes[l.parent].Children, Node(i))
		}
		if l.moved {
			c.Channels = append(c.Channels, Channel{Node: Node(i), Path: Rotation, Width: 4, Times: []float32{0, 1}, Values: []float32{0, 0, 0, 1, 0, 0, 1, 0}})
		}
	}
	r.Clips = []ClipData{c}
	r.SetOrder()
	return r
}

func TestOfParts(t *testing.T) {
	for _, row := range []struct {
		name  string
		limbs []limb
		want  []string // names of the joints; nil: no figure
	}{
		{"boxes side by side", []limb{{"a", None, true, true}, {"b", None, true, true}, {"c", None, true, true}, {"d", None, true, true}}, nil},
		{"boxes below an empty scene", []limb{{"scene", None, false, false}, {"a", 0, true, true}, {"b", 0, true, true}, {"c", 0, true, true}, {"d", 0, true, true}}, nil},
		{"a door", []limb{{"house", None, true, false}, {"door", 0, true, true}}, nil},
		{"a lamp of three arms, each on the next", []limb{{"foot", None, true, false}, {"a", 0, true, true}, {"b", 1, true, true}, {"c", 2, true, true}}, []string{"foot", "a", "b", "c"}},
		{"a cart on four wheels", []limb{{"cart", None, true, false}, {"1", 0, true, true}, {"2", 0, true, true}, {"3", 0, true, true}, {"4", 0, true, true}}, []string{"cart", "1", "2", "3", "4"}},
		{"a cart with a box on it", []limb{{"cart", None, true, false}, {"1", 0, true, true}, {"2", 0, true, true}, {"3", 0, true, true}, {"box", 0, true, false}}, []string{"cart", "1", "2", "3"}},
		{"an unmoved link in the middle", []limb{{"hips", None, true, true}, {"thigh", 0, true, true}, {"knee cap", 1, true, false}, {"shank", 2, true, true}, {"hat", 0, true, false}}, []string{"hips", "thigh", "knee cap", "shank"}},
		{"joints without meshes, a shape below each", []limb{{"root", None, false, false}, {"hips", 0, false, true}, {"hips shape", 1, true, false},
			{"thigh", 1, false, true}, {"thigh shape", 3, true, false}, {"shank", 3, false, true}, {"shank shape", 5, true, false}}, []string{"hips", "thigh", "shank"}},
		{"one arm of a person", []limb{{"hips", None, true, false}, {"chest", 0, true, false}, {"head", 1, true, false}, {"arm l", 1, true, true}, {"forearm l", 3, true, true}, {"hand l", 4, true, true},
			{"arm r", 1, true, false}, {"forearm r", 6, true, false}, {"leg l", 0, true, false}, {"leg r", 0, true, false}},
			[]string{"hips", "chest", "head", "arm l", "forearm l", "hand l", "arm r", "forearm r", "leg l", "leg r"}},
		{"a chain that no clip moves, and a hat with its feather", []limb{{"hips", None, true, true}, {"thigh", 0, true, true}, {"shank", 1, true, true}, {"foot", 2, true, true}, {"toes", 3, true, true},
			{"link 1", 0, true, false}, {"link 2", 5, true, false}, {"link 3", 6, true, false}, {"hat", 0, true, false}, {"feather", 8, true, false}},
			[]string{"hips", "thigh", "shank", "foot", "toes", "link 1", "link 2", "link 3"}},
		{"a camera on a crane of bare nodes", []limb{{"house", None, true, false}, {"crane", None, false, true}, {"arm", 1, false, true}, {"camera", 2, false, true}}, nil},
		{"a figure and a house", []limb{{"house", None, true, false}, {"hips", None, true, true}, {"thigh", 1, true, true}, {"shank", 2, true, true}}, []string{"hips", "thigh", "shank"}},
	} {
		var got []string
		r := tree(row.limbs)
		for n, in := range r.OfParts() {
			if in {
				got = append(got, r.Nodes[n].Name)
			}
		}
		if !slices.Equal(got, row.want) {
			t.Errorf("%s: %q, want %q", row.name, got, row.want)
		}
		if row.want != nil && !slices.Equal(r.Joints(), r.OfParts()) {
			t.Errorf("%s: its joints are others", row.name)
		}
		r.Clips = nil
		if r.OfParts() != nil {
			t.Errorf("%s: a figure without a clip", row.name)
		}
	}
	// The other hand does not move, nor does what it holds.
	r := tree([]limb{{"chest", None, true, true}, {"arm l", 0, true, true}, {"hand l", 1, true, true}, {"arm r", 0, true, true}, {"hand r", 3, true, false}, {"sword", 4, true, false}})
	for n, t := range map[Node][3]float64{1: {.2, .1, 0}, 3: {-.2, .1, 0}, 2: {.3, 0, 0}, 4: {-.3, 0, 0}, 5: {0, -.1, 0}} {
		r.Nodes[n].T = t
	}
	if in := r.OfParts(); !in[4] || in[5] {
		t.Errorf("the hand that stays still: %v", in)
	}
	skinned := tree([]limb{{"a", None, true, true}, {"b", 0, true, true}, {"c", 1, true, true}})
	skinned.Skins = []SkinData{{Joints: []Node{0}}}
	if skinned.OfParts() != nil {
		t.Error("a skinned figure is one of parts")
	}
}
