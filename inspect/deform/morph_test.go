package deform

import (
	"testing"

	"rigloupe/inspect/rig"
)

// The Khronos tutorial's morph sample (chapter 17): two targets move the third
// vertex; default weights 1 and 0.5 bring it to 0 2 0.
func morphSample() *rig.Rig {
	r := points([]float32{0, 0, 0, 1, 0, 0, .5, .5, 0}, 1)
	m := &r.Meshes[0]
	m.K, m.Joints, m.Weights, m.Primitives[0].Sets = 0, nil, nil, 0
	m.Targets = []rig.Target{
		{Positions: []float32{0, 0, 0, 0, 0, 0, -1, 1, 0}},
		{Positions: []float32{0, 0, 0, 0, 0, 0, 1, 1, 0}},
	}
	m.Morph = []float32{1, .5}
	r.Surfaces[0].Skin, r.Nodes[1].Skin = rig.None, rig.None
	r.Nodes[1].TRS = rig.TRS{R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}
	r.Nodes[1].Matrix = rig.Identity
	return r
}

func TestMorph(t *testing.T) {
	r := morphSample()
	near(t, "tutorial", RestSurface(r, 0), []float64{0, 0, 0, 1, 0, 0, 0, 2, 0}, 0)

	r.Nodes[1].Weights = []float32{0, 0}
	near(t, "the node's weights go before the mesh's", RestSurface(r, 0), []float64{0, 0, 0, 1, 0, 0, .5, .5, 0}, 0)

	r.Clips = []rig.ClipData{{Channels: []rig.Channel{{
		Node: 1, Path: rig.Weights, Width: 2, Times: []float32{0, 1}, Values: []float32{0, 0, 1, .5},
	}}, Seconds: 1}}
	p, d, out := NewPose(r), NewDeformer(r, 0), make([]float32, 9)
	for _, w := range []struct {
		at   float64
		want []float64
	}{{0, []float64{.5, .5, 0}}, {.5, []float64{.25, 1.25, 0}}, {1, []float64{0, 2, 0}}, {9, []float64{0, 2, 0}}} {
		p.Sample(0, w.at)
		d.Apply(p, Linear, out, nil, nil, nil)
		near(t, "clip", out[6:], w.want, 1e-7)
	}
	p.Rest()
	d.Apply(p, Linear, out, nil, nil, nil)
	near(t, "back at rest", out[6:], []float64{.5, .5, 0}, 0)
}

// Cubic morph weights lie per key as all in-tangents, all values, all
// out-tangents (glTF 2.0, Animations).
func TestMorphCubic(t *testing.T) {
	r := morphSample()
	r.Clips = []rig.ClipData{{Channels: []rig.Channel{{
		Node: 1, Path: rig.Weights, Interpolation: rig.Cubic, Width: 2, Times: []float32{0, 2},
		Values: []float32{
			9, 9, 1, 0, .5, 0,
			-1, 0, 3, 1, 9, 9,
		},
	}}}}
	p := NewPose(r)
	p.Sample(0, .5)
	// 1.546875 worked in the reference; the second runs 0 → 1 with flat tangents: 3t² − 2t³ at ¼.
	near(t, "weights", p.MorphWeights(1), []float64{1.546875, 0.15625}, 1e-7)
}

// Displacements come before skinning, and normals have their own.
func TestMorphBeforeSkin(t *testing.T) {
	r := points([]float32{1, 0, 0}, .5, .5)
	m := &r.Meshes[0]
	m.Normals = []float32{1, 0, 0}
	m.Targets = []rig.Target{{Positions: []float32{1, 0, 0}, Normals: []float32{-1, 1, 0}}, {}}
	m.Morph = []float32{1, 1}
	p, out, normals := NewPose(r), make([]float32, 3), make([]float32, 3)
	z := about(0, 0, 1, 90*degree)
	p.Local[0], p.Local[1] = z, z
	p.Update()
	d := NewDeformer(r, 0)
	d.Apply(p, Linear, out, normals, nil, nil)
	near(t, "position", out, []float64{0, 2, 0}, 1e-6)
	near(t, "normal", normals, []float64{-1, 0, 0}, 1e-6)
	near(t, "the mesh itself is untouched", m.Positions, []float64{1, 0, 0}, 0)
	if n := testing.AllocsPerRun(20, func() { d.Apply(p, Linear, out, normals, nil, nil) }); n != 0 {
		t.Errorf("a frame allocates %g times", n)
	}
}
