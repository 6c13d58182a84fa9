package scene

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/ceiling"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/texels"
)

// many is one triangle shown n times; the last of them is skinned, the one before large.
func many(n int) *rig.Rig {
	r := &rig.Rig{Scenes: []rig.Scene{{}}, Meshes: []rig.MeshData{
		{Positions: make([]float32, 9), Triangles: []uint32{0, 1, 2}},
		{Positions: make([]float32, 9), Triangles: []uint32{0, 1, 2, 0, 2, 1}},
	}, Skins: []rig.SkinData{{}}}
	for i := range n {
		s := rig.Surface{Node: rig.Node(i), Mesh: 0, Skin: rig.None}
		switch i {
		case n - 1:
			s.Skin = 0
		case n - 2:
			s.Mesh = 1
		}
		r.Nodes = append(r.Nodes, rig.NodeData{Parent: rig.None, Mesh: s.Mesh})
		r.Order = append(r.Order, rig.Node(i))
		r.Scenes[0].Roots = append(r.Scenes[0].Roots, rig.Node(i))
		r.Surfaces = append(r.Surfaces, s)
	}
	return r
}

// TestSurfacesLeftOut: up to the budget all are drawn, beyond it the skinned and the
// largest are, in their own order, and it is said.
func TestSurfacesLeftOut(t *testing.T) {
	if r := many(ceiling.Surfaces); len(drawn(r)) != ceiling.Surfaces || len(LeftOut(r)) > 0 {
		t.Errorf("%d drawn, %q", len(drawn(r)), LeftOut(r))
	}
	r := many(ceiling.Surfaces + 100)
	d := drawn(r)
	if len(d) != ceiling.Surfaces || !slices.IsSorted(d) || !slices.Contains(d, ceiling.Surfaces+99) || !slices.Contains(d, ceiling.Surfaces+98) || slices.Contains(d, ceiling.Surfaces+97) {
		t.Errorf("%d drawn, the last %v", len(d), d[len(d)-3:])
	}
	if said := LeftOut(r); len(said) != 1 || !strings.Contains(strings.ReplaceAll(said[0], "\u202f", ""), "4096 of 4196 surfaces") {
		t.Errorf("%q", said)
	}
}

// TestTargetsForStage: targets that nothing moves stay behind; what moves does not,
// up to the budget.
func TestTargetsForStage(t *testing.T) {
	r := many(3)
	for range 4 {
		r.Meshes[0].Targets = append(r.Meshes[0].Targets, rig.Target{Name: "t", Positions: make([]float32, 9)})
	}
	r.Meshes[0].Morph = []float32{0, .5, 0, 0}
	s := ForStage(r)
	for i, want := range []bool{false, true, false, false} {
		if got := s.Meshes[0].Targets[i].Positions != nil; got != want || s.Meshes[0].Targets[i].Name != "t" {
			t.Errorf("target %d crosses: %v", i, got)
		}
	}
	if r.Meshes[0].Targets[0].Positions == nil {
		t.Error("the rig itself is changed")
	}
	r.Clips = []rig.ClipData{{Channels: []rig.Channel{{Node: 0, Path: rig.Weights, Width: 4, Times: []float32{0}, Values: []float32{0, 0, 1, 0}}}}}
	if s = ForStage(r); s.Meshes[0].Targets[2].Positions == nil || s.Meshes[0].Targets[0].Positions == nil {
		t.Error("targets of a mesh that a clip keys stay behind")
	}
	if len(LeftOut(r)) > 0 {
		t.Errorf("%q", LeftOut(r))
	}
	large := make([]float32, ceiling.Shifts/3)
	for i := range r.Meshes[0].Targets {
		r.Meshes[0].Targets[i].Positions = large
	}
	if said := LeftOut(r); len(said) != 1 || !strings.Contains(said[0], "3 of 4 morph targets") {
		t.Errorf("%q", said)
	}
}

// TestPicturesHandedOver: a figure painted with pictures that were handed over is the
// one painted with its own; pictures beyond the budget are said.
func TestPicturesHandedOver(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, 16, 16))
	for i := range 256 {
		img.Set(i%16, i/16, color.NRGBA{uint8(i), uint8(16 * (i % 16)), 90, 255})
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	r := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	r.Images = []rig.Image{{Data: b.Bytes(), Width: 16, Height: 16}}
	r.Materials = []rig.Material{{Color: [4]float32{1, 1, 1, 1}, Image: 0}}
	for i := range r.Meshes[0].Primitives {
		r.Meshes[0].Primitives[i].Material = 0
	}
	r.Meshes[0].UV = make([]float32, 2*r.Meshes[0].Vertices())
	for i := range r.Meshes[0].UV {
		r.Meshes[0].UV[i] = float32(i%97) / 97
	}
	st := still(300, 300)
	st.Lens = Painted
	whole := New(r, nil, nil)
	whole.DecodeBy(texels.Decode)
	own := slices.Clone(whole.Draw(&st).Pix)
	s := New(ForStage(r), nil, nil)
	plain := slices.Clone(s.Draw(&st).Pix)
	s.SetTexture(Decoder(texels.Decode).Texture(0, b.Bytes()))
	if painted := s.Draw(&st).Pix; !slices.Equal(painted, own) {
		t.Error("the picture that was handed over is painted otherwise")
	}
	if slices.Equal(plain, own) {
		t.Error("the figure is not painted at all")
	}
	if p := Pictures(r); !slices.Equal(p, []int{0}) || len(LeftOut(r)) > 0 {
		t.Errorf("%v, %q", p, LeftOut(r))
	}
	r.Images[0].Width, r.Images[0].Height = 8192, 1+ceiling.Painted/8192
	if p := Pictures(r); len(p) > 0 || len(LeftOut(r)) != 1 {
		t.Errorf("%v, %q", p, LeftOut(r))
	}
	if d := Decoder(texels.Decode); d.Texture(0, []byte("no picture")) != nil || d.Texture(0, nil) != nil {
		t.Error("what is no picture was decoded")
	}
}
