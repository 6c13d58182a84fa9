package gltfio

import (
	"slices"
	"testing"

	"rigloupe/inspect/rig"
)

func mustRead(t testing.TB, files ...File) *rig.Rig {
	t.Helper()
	r, err := Read(files, Options{})
	if err != nil {
		t.Fatal(err)
	}
	sane(t, r)
	return r
}

func TestSoundFigure(t *testing.T) {
	r := mustRead(t, File{"figure.glb", figure().glb()})
	if len(r.Malformed) > 0 || len(r.Remarks) > 0 {
		t.Errorf("malformed %v, remarks %v", r.Malformed, r.Remarks)
	}
	m := &r.Meshes[0]
	if got, want := m.Triangles, []uint32{0, 1, 3, 0, 3, 2}; !slices.Equal(got, want) {
		t.Errorf("triangles %v, want %v", got, want)
	}
	if got, want := m.Weights[8:12], []float32{.25, .75, 0, 0}; m.K != 4 || !slices.Equal(got, want) {
		t.Errorf("weights %v, want %v", got, want)
	}
	if m.Targets[0].Name != "stretch" || m.Targets[0].Positions[7] != .5 {
		t.Errorf("target %+v", m.Targets[0])
	}
	if s := r.Skins[0]; s.Bind[1][7] != -1 || !s.HasBind || s.BindRow != nil || s.Skeleton != 1 {
		t.Errorf("skin %+v", s)
	}
	c := r.Clips[0]
	if c.Seconds != 1 || c.Start != 0 || len(c.Channels) != 2 || c.Channels[1].Interpolation != rig.Step || c.Channels[1].Width != 1 {
		t.Errorf("clip %+v", c)
	}
	if w := r.Materials[0]; w.Color != [4]float32{.5, .25, 1, 1} || w.Image != 0 || w.Wrap != [2]uint16{33071, 10497} || !w.DoubleSided {
		t.Errorf("material %+v", w)
	}
	if p := r.Images[0]; p.Width != 8 || p.Height != 4 || p.MIME != "image/png" || p.Data == nil {
		t.Errorf("image %dx%d %s %s", p.Width, p.Height, p.MIME, p.Missing)
	}
	if p := m.Primitives[0]; p.JointType != 5121 || p.WeightType != 5126 || p.Sets != 1 || p.TrueMax != [3]float64{1, 2, 0} || !p.HasBounds {
		t.Errorf("primitive %+v", p)
	}
}

// The fourth rows are handed on as they stand, in float64.
func TestBindRow(t *testing.T) {
	d := figure()
	float(7, 16+7, .5)(d)
	r := mustRead(t, File{"figure.glb", d.glb()})
	if want := []float64{0, 0, 0, 1, 0, .5, 0, 1}; !slices.Equal(r.Skins[0].BindRow, want) {
		t.Errorf("rows %v, want %v", r.Skins[0].BindRow, want)
	}
}
