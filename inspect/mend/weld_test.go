package mend

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// measure answers a number of a receipt, 0 where it has none.
func measure(r *Receipt, name string) float64 {
	for _, m := range r.Measures {
		if m.Name == name {
			return m.Value
		}
	}
	return 0
}

// Every fault of the sample that weld answers, as it is suggested: clear, nothing planted,
// and no vertex farther from its place than the distance.
func TestWeldClearsPlanted(t *testing.T) {
	for _, fault := range planted("surface/near-coincident", "surface/doubled-vertices", "surface/unused-vertices", "surface/slivers") {
		t.Run(fault.Name, func(t *testing.T) {
			r, _ := fault.On(sample())
			s := ofRig(t, r)
			res, err := s.Examine(t.Context(), nil)
			if err != nil {
				t.Fatal(err)
			}
			v := weldPlaces.Suggest(Look(res))
			if len(v) != 1 {
				t.Fatalf("suggested: %v", v)
			}
			x := try(t, s, "weld", v[0])
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			receipt := prove(t, x)
			if !receipt.Kept || receipt.after(fault.ID) != 0 || len(receipt.Planted) > 0 {
				t.Errorf("%s", receipt.Sentence())
			}
			if d := measure(receipt, "distance"); receipt.Moved.Max > d+1e-9 {
				t.Errorf("a vertex moved by %g m, welded at %g", receipt.Moved.Max, d)
			}
			// It is whole again: as many places and open edges as the sample.
			a, b := topology(sample()), topology(x.After.Rig)
			if fault.ID != "surface/unused-vertices" && a != b {
				t.Errorf("%v, the sample has %v", b, a)
			}
		})
	}
}

// topology of mesh 0: places, triangles, open edges.
func topology(r *rig.Rig) (out [3]int) {
	m := &r.Meshes[0]
	w := geom.Weld(m.Positions, nil)
	tri := make([]uint32, len(m.Triangles))
	used := map[uint32]bool{}
	for i, v := range m.Triangles {
		tri[i] = w.Of[v]
		used[w.Of[v]] = true
	}
	e := geom.FindEdges(tri, w.Groups(), nil)
	open := 0
	for i := range e.N() {
		if e.Open(i) {
			open++
		}
	}
	return [3]int{len(used), len(tri) / 3, open}
}

// partition tells for every vertex of a welded figure the smallest vertex of its place.
func partition(positions []float32) []uint32 {
	w := geom.Weld(positions, nil)
	out := make([]uint32, len(w.Of))
	for v, g := range w.Of {
		out[v] = w.First[g]
	}
	return out
}

// The measured rows: a sound figure cut along its joints and shaken. Who belongs to whom is
// known from the same cut without a shake. Over the plateau the truth is recovered exactly,
// and without a distance as well; beyond it no more places are joined wrongly than the
// prototype of the specification joined.
func TestWeldRecoversTheTruth(t *testing.T) {
	truthRig, _ := lamplighter.Fault{Plant: lamplighter.Shake(0)}.On(sample())
	truth := partition(truthRig.Meshes[0].Positions)
	for _, row := range []struct {
		shake float64
		at    []float64 // metres; 0: none given
	}{
		{2e-5, []float64{0, 2e-4, 1e-3}},
		{1e-4, []float64{0, 1e-3}},
		{5e-4, []float64{0}},
	} {
		r, _ := lamplighter.Fault{Plant: lamplighter.Shake(row.shake)}.On(sample())
		s := ofRig(t, r)
		for _, d := range row.at {
			t.Run(fmt.Sprintf("%g m at %g m", row.shake, d), func(t *testing.T) {
				v := Values{"copies": false}
				if d > 0 {
					v["distance"] = d
				}
				x := try(t, s, "weld", v)
				if x.After == nil {
					t.Fatal(x.Refused())
				}
				got := partition(x.After.Rig.Meshes[0].Positions)
				wrong, missed := 0, 0
				for i := range got {
					switch {
					case got[i] == truth[i]:
					case truth[got[i]] != truth[i]:
						wrong++
					default:
						missed++
					}
				}
				if wrong+missed > 0 {
					t.Errorf("%d vertices joined wrongly, %d not joined", wrong, missed)
				}
				if far := exam.New(s.Rig); far.Size() > 0 {
					most := max(d, 4*row.shake)
					g := Compare(s.Rig, x.After.Rig, []Moment{{Clip: rig.None}}, nil)
					if g.Max > most {
						t.Errorf("a vertex moved by %g m", g.Max)
					}
				}
			})
		}
	}
}

// The real figures, cut and shaken by a hundredth of their shortest edge: whole again.
func TestWeldCorpus(t *testing.T) {
	for _, name := range []string{"Fox.glb", "cesium_man.gltf", "robot.glb", "Knight.glb"} {
		t.Run(name, func(t *testing.T) {
			s := corpusState(t, name)
			i := slices.IndexFunc(s.Rig.Surfaces, func(x rig.Surface) bool { return x.Skin >= 0 && len(s.Rig.Meshes[x.Mesh].Triangles) > 900 })
			if i < 0 {
				t.Skip("no skinned surface")
			}
			mesh := s.Rig.Surfaces[i].Mesh
			m := &s.Rig.Meshes[mesh]
			// Every stored vertex is moved by itself: splits of normals and of the picture
			// part, as rounding after an export parts them.
			before := topologyOf(m)
			short := shortest(m)
			is := copyMeshes(s.Rig)
			p := slices.Clone(m.Positions)
			for k := range p {
				p[k] += float32(short / 100 * math.Sin(float64(k*k)*12.9898))
			}
			is.Meshes[mesh].Positions = p
			w := &Work{Context: t.Context(), Doc: s.Doc.Clone(), Rig: s.Rig}
			if err := w.Write(is, nil); err != nil {
				t.Fatal(err)
			}
			shaken, err := Open(w.Doc)
			if err != nil {
				t.Fatal(err)
			}
			if got := topologyOf(&shaken.Rig.Meshes[mesh]); got == before {
				t.Fatal("nothing was shaken apart")
			}
			x := try(t, shaken, "weld", nil)
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			r := prove(t, x)
			got := topologyOf(&x.After.Rig.Meshes[mesh])
			t.Logf("places, triangles, open edges: %v, shaken %v, welded %v; %v", before, topologyOf(&shaken.Rig.Meshes[mesh]), got, r.Sentence())
			if got[2] > before[2] || got[0] > before[0] {
				t.Errorf("welded %v, it was %v: %v %v", got, before, r.Says, r.Refused)
			}
		})
	}
}

func topologyOf(m *rig.MeshData) [3]int { return topology(&rig.Rig{Meshes: []rig.MeshData{*m}}) }

func shortest(m *rig.MeshData) float64 {
	least := math.Inf(1)
	for t := 0; t < len(m.Triangles); t += 3 {
		for k := range 3 {
			a, b := m.Triangles[t+k], m.Triangles[t+(k+1)%3]
			if d := math.Sqrt(square(m.Positions[3*a:3*a+3], m.Positions[3*b:3*b+3])); d > 1e-7 {
				least = min(least, d)
			}
		}
	}
	return least
}

// Weights that differ part for good: such places stay two unless they are to be averaged,
// and then no crack is left.
func TestWeldHeldApart(t *testing.T) {
	r, p := lamplighter.Fault{Plant: lamplighter.SplitCorner(6e-6)}.On(sample())
	m := &r.Meshes[0]
	n := int(p.Vertices[1])
	for k := range m.K {
		m.Weights[m.K*n+k], m.Joints[m.K*n+k] = 0, 0
	}
	m.Weights[m.K*n] = 1
	s := ofRig(t, r)
	x := try(t, s, "weld", Values{"distance": 1e-4, "copies": false})
	if got := x.After.Rig.Meshes[0].Positions; !slices.Equal(got, s.Rig.Meshes[0].Positions) {
		t.Error("parts that move apart were joined")
	}
	if left := strings.Join(prove(t, x).Refused, " "); !strings.Contains(left, "their weights differ") {
		t.Errorf("left: %q", left)
	}
	x = try(t, s, "weld", Values{"distance": 1e-4, "average": true})
	got := &x.After.Rig.Meshes[0]
	if topologyOf(got) != topologyOf(&sample().Meshes[0]) {
		t.Errorf("%v", topologyOf(got))
	}
	for v := range got.Vertices() {
		sum := float32(0)
		for _, w := range got.Weights[got.K*v : got.K*v+got.K] {
			sum += w
		}
		if math.Abs(float64(sum)-1) > 1e-6 {
			t.Fatalf("vertex %d: weights sum to %g", v, sum)
		}
	}
}

// A clean figure, one with gear, four legs, two figures in a file, three heads: nothing to
// suggest, and welded by a rounding nothing changes but copies.
func TestWeldRefuses(t *testing.T) {
	r := sample()
	r.Meshes[0].Triangles = nil
	r.Meshes[0].Primitives[0].TriCount = 0
	s := ofRig(t, sample())
	if x := try(t, s, "weld", Values{"surfaces": []string{"nobody"}}); x.Refused() != `There is no surface "nobody".` {
		t.Errorf("%q", x.Refused())
	}
	if res, _ := s.Examine(t.Context(), nil); len(weldPlaces.Suggest(Look(res))) > 0 {
		t.Error("suggested on the clean figure")
	}
	if x := try(t, s, "weld", nil); prove(t, x).Kept || prove(t, x).Why != "nothing changes" {
		t.Errorf("%v", prove(t, x).Sentence())
	}
}

// The rows of the prototype, measured on the walking man (2,338 places, 935 of them stored
// several times, shortest edge 4.9 mm): every stored vertex shaken, welded at a distance.
// The truth comes back exactly in every row, also at 6 and 8 mm, longer than edges, where
// places joined by distance alone go wrong by 50 and 150.
func TestWeldRows(t *testing.T) {
	s := corpusState(t, "cesium_man.gltf")
	m := &s.Rig.Meshes[0]
	truth := partition(m.Positions)
	for _, row := range []struct{ shake, at float64 }{
		{2e-5, 2e-4}, {2e-5, 4e-3}, {1e-4, 1e-3}, {1e-4, 2e-3}, {1e-4, 4e-3}, {5e-4, 3e-3}, {5e-4, 4e-3},
		{1e-4, 6e-3}, {1e-4, 8e-3}, {2e-5, 0}, {1e-4, 0}, {5e-4, 0},
	} {
		is := copyMeshes(s.Rig)
		rnd := rand.New(rand.NewPCG(7, uint64(row.shake*1e9)))
		p := slices.Clone(m.Positions)
		for v := range len(p) / 3 {
			d := [3]float64{1, 1, 1}
			for d[0]*d[0]+d[1]*d[1]+d[2]*d[2] > 1 {
				d = [3]float64{2*rnd.Float64() - 1, 2*rnd.Float64() - 1, 2*rnd.Float64() - 1}
			}
			for k := range 3 {
				p[3*v+k] += float32(row.shake * d[k])
			}
		}
		is.Meshes[0].Positions = p
		w := &Work{Context: t.Context(), Doc: s.Doc.Clone(), Rig: s.Rig}
		if err := w.Write(is, nil); err != nil {
			t.Fatal(err)
		}
		shaken, err := Open(w.Doc)
		if err != nil {
			t.Fatal(err)
		}
		v := Values{"copies": false}
		if row.at > 0 {
			v["distance"] = row.at
		}
		x := try(t, shaken, "weld", v)
		got := partition(x.After.Rig.Meshes[0].Positions)
		wrong, missed := 0, 0
		for i := range got {
			if got[i] != truth[i] && truth[got[i]] != truth[i] {
				wrong++
			} else if got[i] != truth[i] {
				missed++
			}
		}
		if wrong+missed > 0 {
			t.Errorf("shaken by %g, welded at %g: %d joined wrongly, %d not joined", row.shake, row.at, wrong, missed)
		}
	}
}
