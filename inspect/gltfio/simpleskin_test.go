package gltfio

import (
	"math"
	"os"
	"slices"
	"testing"

	"rigloupe/inspect/rig"
)

// The numbers are those printed in the Khronos glTF Tutorials, chapters 19 (Simple
// Skin) and 20 (Skins).
func TestSimpleSkin(t *testing.T) {
	raw, err := os.ReadFile("testdata/simpleskin.gltf")
	if err != nil {
		t.Fatal(err)
	}
	r := mustRead(t, File{"simpleskin.gltf", raw})
	if len(r.Malformed) > 0 || len(r.Remarks) > 0 {
		t.Errorf("malformed %v, remarks %v", r.Malformed, r.Remarks)
	}
	m := &r.Meshes[0]
	upper := []float32{0, 0, .25, .25, .5, .5, .75, .75, 1, 1}
	for v := range 10 {
		if got, want := m.Positions[3*v:3*v+3], []float32{float32(v%2) - .5, float32(v/2) / 2, 0}; !slices.Equal(got, want) {
			t.Errorf("vertex %d at %v, want %v", v, got, want)
		}
		if got, want := m.Joints[4*v:4*v+4], []uint16{0, 1, 0, 0}; !slices.Equal(got, want) {
			t.Errorf("vertex %d: joints %v, want %v", v, got, want)
		}
		if got, want := m.Weights[4*v:4*v+4], []float32{1 - upper[v], upper[v], 0, 0}; !slices.Equal(got, want) {
			t.Errorf("vertex %d: weights %v, want %v", v, got, want)
		}
	}
	if want := []uint32{0, 1, 3, 0, 3, 2, 2, 3, 5, 2, 5, 4, 4, 5, 7, 4, 7, 6, 6, 7, 9, 6, 9, 8}; !slices.Equal(m.Triangles, want) {
		t.Errorf("triangles %v", m.Triangles)
	}
	s := &r.Skins[0]
	lowered := rig.Identity
	lowered[7] = -1
	if !slices.Equal(s.Joints, []rig.Node{1, 2}) || s.Bind[0] != rig.Identity || s.Bind[1] != lowered {
		t.Errorf("skin %+v", s)
	}
	if w := r.RestWorld(); w[2][7] != 1 || r.Nodes[2].Parent != 1 {
		t.Errorf("node 2 stands at %v under %d", w[2].Origin(), r.Nodes[2].Parent)
	}
	c := r.Clips[0].Channels[0]
	if r.Clips[0].Seconds != 5.5 || c.Node != 2 || c.Path != rig.Rotation || len(c.Times) != 12 || c.Values[6] != .383 || c.Values[4*8+2] != -.707 {
		t.Errorf("channel %+v", c)
	}
}

// hands are real skinned figures that an npm package carries, or the same files in
// the folder of real models. One release of them had lost its skins.
func TestHands(t *testing.T) {
	for _, name := range []string{"hand_left.glb", "hand_right.glb"} {
		raw, err := os.ReadFile("../../testdata/cache/" + name)
		if err != nil {
			raw, err = os.ReadFile(corpus + "/models/" + name)
		}
		if err != nil {
			t.Skipf("%s is neither in testdata/cache nor beside the repository: no real figure is read here (make fetches it)", name)
		}
		r := mustRead(t, File{name, raw})
		if len(r.Skins) != 1 || len(r.Skins[0].Joints) != 25 || len(r.Malformed) > 0 {
			t.Fatalf("%s: %d skins, malformed %v", name, len(r.Skins), r.Malformed)
		}
		vertices, triangles := 0, 0
		for _, s := range r.Surfaces {
			m := &r.Meshes[s.Mesh]
			vertices += m.Vertices()
			triangles += len(m.Triangles) / 3
			for v := range m.Vertices() {
				sum := 0.0
				for _, w := range m.Weights[v*m.K : v*m.K+m.K] {
					sum += float64(w)
				}
				if math.Abs(sum-1) > 8e-7 {
					t.Fatalf("%s, vertex %d: weights sum to %g", name, v, sum)
				}
			}
		}
		if vertices != 1360 || triangles != 2314 {
			t.Errorf("%s: %d vertices, %d triangles, want 1360 and 2314", name, vertices, triangles)
		}
	}
}
