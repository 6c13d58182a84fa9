package surface

import (
	"context"
	"encoding/json"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// bare is a rig of one surface without a skin.
func bare(p []float32, tri []uint32) *rig.Rig {
	m := rig.MeshData{Positions: p, Triangles: tri, Primitives: []rig.PrimitiveData{{Count: len(p) / 3, TriCount: len(tri) / 3, Material: rig.None}}}
	r := &rig.Rig{
		Nodes:  []rig.NodeData{{Name: "x", Parent: rig.None, Skin: rig.None, TRS: rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}, Matrix: rig.Identity}},
		Meshes: []rig.MeshData{m}, Surfaces: []rig.Surface{{Skin: rig.None}}, Shown: rig.None,
	}
	r.SetOrder()
	return r
}

// tetrahedra are n closed shells, strewn about or one inside the other.
func tetrahedra(n int, nested bool, rnd *rand.Rand) *rig.Rig {
	var p []float32
	var tri []uint32
	for i := range n {
		b := uint32(len(p) / 3)
		size, at := float32(i+1), [3]float32{}
		if !nested {
			size, at = 0.001, [3]float32{rnd.Float32(), rnd.Float32(), rnd.Float32()}
		}
		for _, d := range [4][3]float32{{1, 1, 1}, {1, -1, -1}, {-1, 1, -1}, {-1, -1, 1}} {
			p = append(p, at[0]+size*d[0], at[1]+size*d[1], at[2]+size*d[2])
		}
		tri = append(tri, b, b+1, b+2, b, b+3, b+1, b, b+2, b+3, b+1, b+3, b+2)
	}
	return bare(p, tri)
}

// Surfaces that are none, or far too much of one: an answer, as JSON, and no
// verdict that was not earned.
func TestStress(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	random := func(n, limit int) []uint32 {
		tri := make([]uint32, n)
		for i := range tri {
			tri[i] = uint32(rnd.IntN(limit))
		}
		return tri
	}
	cloud := func(n int, spread float64) *rig.Rig {
		p, tri := make([]float32, 3*n), make([]uint32, 0, n)
		for i := range p {
			p[i] = float32(rnd.NormFloat64() * spread)
		}
		p[0], p[4] = 1, 1
		for i := 0; i+2 < n; i += 3 {
			tri = append(tri, uint32(i), uint32(i+1), uint32(i+2))
		}
		return bare(p, tri)
	}
	soup := make([]float32, 3*2000)
	for i := range soup {
		soup[i] = rnd.Float32()
	}
	n := 8_000
	if rounds.Long() {
		n = 100_000
	}
	for _, row := range []struct {
		name    string
		rig     *rig.Rig
		verdict string
	}{
		{"one triangle", bare([]float32{0, 0, 0, 1, 0, 0, 0, 1, 0}, []uint32{0, 1, 2}), "ready"},
		{"all vertices in one place", bare(make([]float32, 3*n), random(3*n, n)), "after-steps"},
		{"soup that branches everywhere", bare(soup, random(60_000, 2000)), "not-yet"},
		{"5,000 shells", tetrahedra(5000, false, rnd), "ready"},
		{"5,000 shells one inside the other", tetrahedra(5000, true, rnd), cannotTell},
		{"as many nearly in one place", cloud(n, 1e-6), "not-yet"},
	} {
		t.Run(row.name, func(t *testing.T) {
			if row.verdict == cannotTell {
				rounds.Dear(t)
			}
			f, err := Measure(context.Background(), exam.New(row.rig))
			if err != nil {
				t.Fatal(err)
			}
			if _, err := json.Marshal(f); err != nil {
				t.Error(err)
			}
			if f.Ready.Verdict != row.verdict {
				t.Errorf("verdict %q, want %q", f.Ready.Verdict, row.verdict)
			}
			Station.Judge(f, nil)
		})
	}
}
