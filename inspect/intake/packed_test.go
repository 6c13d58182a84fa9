package intake

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

// grid stores the plain post as integers with so many steps a metre.
func grid(steps float64) func(*rig.Rig) {
	return func(r *rig.Rig) {
		m := &r.Meshes[0]
		for i := range m.Positions {
			m.Positions[i] = float32(math.Round(float64(m.Positions[i]) * steps))
		}
		p := &m.Primitives[0]
		p.PositionType = shortType
		for c := range 3 {
			p.Min[c], p.Max[c] = math.Round(p.Min[c]*steps), math.Round(p.Max[c]*steps)
		}
		p.TrueMin, p.TrueMax = p.Min, p.Max
		set(r, postShape, func(t *rig.TRS) { t.S = [3]float64{1 / steps, 1 / steps, 1 / steps} })
	}
}

// The post's diagonal is √6 m; its shortest side 1 m.
func TestPacked(t *testing.T) {
	d := math.Sqrt(6)
	shape := []rig.Node{postShape}
	fine := func(steps float32) func(*rig.Rig) { // a triangle of some steps beside the post
		return func(r *rig.Rig) {
			grid(16384)(r)
			m := &r.Meshes[0]
			n := uint32(len(m.Positions) / 3)
			m.Positions = append(m.Positions, 0, 0, 0, steps, 0, 0, 0, steps, 0)
			m.Triangles = append(m.Triangles, n, n+1, n+2)
			m.Primitives[0].Count += 3
			m.Primitives[0].TriCount++
		}
	}
	picture := func(mime string, data []byte, missing string) func(*rig.Rig) {
		return func(r *rig.Rig) { r.Images = []rig.Image{{MIME: mime, Data: data, Missing: missing}} }
	}
	checktest.Run(t, packed, Measure, []checktest.Row{
		{Name: "clean", Rig: plainPost},
		{Name: "clean figure", Rig: sample(nil)},
		{Name: "just fine enough", Rig: plainPost, Plant: grid(4090)}, // 1/4090 ÷ √6 = 0.998e-4
		{Name: "just too coarse", Rig: plainPost, Plant: grid(4076), Want: []checktest.Want{{Grade: check.Note, Name: "step", Value: 1 / 4076. / d, Tolerance: 1e-8, Nodes: shape}}},
		{Name: "not yet stepped", Rig: plainPost, Plant: grid(410), Want: []checktest.Want{{Grade: check.Note, Value: 1 / 410. / d, Tolerance: 1e-8}}},
		{Name: "stepped", Rig: plainPost, Plant: grid(406), Want: []checktest.Want{{Grade: check.Flaw, Value: 1 / 406. / d, Tolerance: 1e-8, Nodes: shape}}},
		{Name: "against fine edges", Rig: plainPost, Plant: fine(3.9), Want: []checktest.Want{{Grade: check.Note, Name: "step ÷ edge", Value: 1 / 3.9, Tolerance: 1e-6, Nodes: shape}}},
		{Name: "against edges just long enough", Rig: plainPost, Plant: fine(4.1)},
		{Name: "normalised, 8 bit", Rig: skinnedPost, Plant: func(r *rig.Rig) {
			r.Meshes[0].Primitives[0].PositionType, r.Meshes[0].Primitives[0].PositionNormalized = ubyteType, true
			r.Meshes[0].Primitives[0].WeightType = ubyteType
		}, Want: []checktest.Want{{Grade: check.Flaw, Value: 1 / 255. / d, Tolerance: 1e-9, More: map[string]float64{"weight step": 1 / 255.}}}},
		{Name: "picture of another kind", Rig: plainPost, Plant: picture("image/ktx2", nil, "KTX2 pictures are not shown (Basis Universal, ETC1S, 9 levels)"), Want: []checktest.Want{{Grade: check.Note, Name: "not shown", Value: 1, Pointer: "/images/0"}}},
		{Name: "picture missing", Rig: plainPost, Plant: picture("image/png", nil, `"a.png" was not found`), Want: []checktest.Want{{Grade: check.Note, Value: 1}}},
		{Name: "compressed", Rig: nothing, Plant: func(r *rig.Rig) { r.File.NotHonored = []string{"KHR_draco_mesh_compression"} },
			Skip: "the shape is compressed (KHR_draco_mesh_compression), which is not unpacked here: save it without compression"},
		{Name: "picture shown", Rig: plainPost, Plant: picture("image/png", []byte{1}, "")},
		{Name: "WebP shown", Rig: plainPost, Plant: picture("image/webp", []byte{1}, "")},
		{Name: "a spare of another kind", Rig: plainPost, Plant: func(r *rig.Rig) {
			r.Images = []rig.Image{{MIME: "image/ktx2", Missing: "KTX2 pictures are not shown", Spare: true, Width: 512, Height: 512}}
		}},
		{Name: "no vertex", Rig: hollow},
		{Name: "empty file", Rig: nothing, Skip: "no surface in this file"},
	})
}

// What is not shown is told by its own name, and not as data packed coarsely.
func TestPictureTitles(t *testing.T) {
	station := check.NewStation("intake", "Intake", Measure, []check.Check[Facts]{packed})
	for _, row := range []struct {
		image rig.Image
		title string
	}{
		{rig.Image{MIME: "image/ktx2", Missing: "KTX2 pictures are not shown (Basis Universal, UASTC, 1 level)"}, "Picture not shown"},
		{rig.Image{MIME: "image/png", Missing: `"a.png" was not found`}, "Picture missing"},
	} {
		r := plainPost()
		r.Images = []rig.Image{row.image}
		found, _ := checktest.Judge(t, &station, r, nil)
		if len(found) != 1 || found[0].Title != row.title {
			t.Errorf("%+v: %+v", row.image, found)
		}
	}
}
