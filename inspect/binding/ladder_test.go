package binding

import (
	"context"
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// ladder is a strip that stands on the origin, 0.2 m wide, 1 m high, 11 rows of two
// vertices (2i on the left at +x, 2i+1 on the right), bound to a chain of three
// joints at y = 0, ½ and 1. The first has rows 0…3, the second rows 7…10, both
// share rows 4, 5, 6 at ¼, ½, ¾. The third is an end.
func ladder() *rig.Rig {
	node := func(name string, parent rig.Node, y float64, children ...rig.Node) rig.NodeData {
		n := rig.NodeData{Name: name, Parent: parent, Children: children, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: [3]float64{0, y, 0}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}}
		n.Matrix = n.TRS.Affine()
		return n
	}
	r := &rig.Rig{
		Nodes: []rig.NodeData{node("root", rig.None, 0, 1), node("mid", 0, .5, 2), node("end", 1, .5), node("strip", rig.None, 0)},
		Shown: rig.None,
	}
	r.Nodes[3].Mesh, r.Nodes[3].Skin = 0, 0
	r.SetOrder()
	m := rig.MeshData{K: 4}
	for i := range 11 {
		s := max(0, min(1, float32(i-3)/4))
		for _, x := range []float32{.1, -.1} {
			m.Positions = append(m.Positions, x, float32(i)/10, 0)
			m.Joints = append(m.Joints, 0, 1, 0, 0)
			m.Weights = append(m.Weights, 1-s, s, 0, 0)
		}
		if i > 0 {
			a := uint32(2*i - 2)
			m.Triangles = append(m.Triangles, a, a+2, a+1, a+1, a+2, a+3)
		}
	}
	m.Primitives = []rig.PrimitiveData{{Count: 22, TriCount: 20, Material: rig.None, Sets: 1, JointSets: 1, WeightSets: 1, JointType: 5121, WeightType: 5126, PositionType: 5126}}
	r.Meshes = []rig.MeshData{m}
	r.Surfaces = []rig.Surface{{Node: 3, Mesh: 0, Skin: 0}}
	bind := make([]rig.Affine, 3)
	for j := range bind {
		bind[j] = rig.Identity
		bind[j][7] = -float64(j) / 2
	}
	r.Skins = []rig.SkinData{{Name: "strip", Joints: []rig.Node{0, 1, 2}, Skeleton: rig.None, Bind: bind, HasBind: true}}
	return r
}

// weigh gives one vertex weights on joints 0, 1, …
func weigh(v int, weights ...float32) func(*rig.Rig) {
	return func(r *rig.Rig) {
		m := &r.Meshes[0]
		for k := range m.K {
			m.Joints[v*m.K+k], m.Weights[v*m.K+k] = 0, 0
			if k < len(weights) {
				m.Joints[v*m.K+k], m.Weights[v*m.K+k] = uint16(k), weights[k]
			}
		}
	}
}

// loose adds a vertex that no triangle uses, without weight.
func loose(r *rig.Rig) {
	m := &r.Meshes[0]
	m.Positions = append(m.Positions, 5, 5, 5)
	m.Joints = append(m.Joints, make([]uint16, m.K)...)
	m.Weights = append(m.Weights, make([]float32, m.K)...)
	m.Primitives[0].Count++
}

func unskinned(r *rig.Rig) {
	r.Skins = nil
	r.Nodes[3].Skin, r.Surfaces[0].Skin = rig.None, rig.None
}

func idleSkin(r *rig.Rig) { r.Nodes[3].Skin, r.Surfaces[0].Skin = rig.None, rig.None }

func both(f ...func(*rig.Rig)) func(*rig.Rig) {
	return func(r *rig.Rig) {
		for _, f := range f {
			f(r)
		}
	}
}

var lamp = checktest.Built(lamplighter.Options{})

func clean() *rig.Rig { return lamplighter.Clone(lamp) }

// The ladder's figures, counted by hand.
func TestFacts(t *testing.T) {
	f := measured(t, ladder())
	k := &f.Skins[0]
	equal(t, "vertices", k.Vertices, 22)
	equal(t, "influences", k.Influences, [9]int{0, 16, 6})
	equal(t, "most", k.MostInfluences, 2)
	equal(t, "weights", k.Weights, 28)
	root, mid, end := &k.Joints[0], &k.Joints[1], &k.Joints[2]
	equal(t, "root vertices", root.Vertices, 14)
	equal(t, "mid vertices", mid.Vertices, 14)
	equal(t, "root dominant", root.Dominant, 12) // the tie of row 5 goes to the first slot
	equal(t, "mid dominant", mid.Dominant, 10)
	equal(t, "root histogram", root.Histogram, [10]int{2: 2, 4: 2, 7: 2, 9: 8})
	equal(t, "mid histogram", mid.Histogram, [10]int{2: 2, 4: 2, 7: 2, 9: 8})
	equal(t, "root sum", root.WeightSum, 11)
	equal(t, "root largest", root.Largest, 1)
	equal(t, "root islands", root.Islands, 1)
	// Root: its bone ends at y = ½; rows 0…6 hang on it, the farthest at y = 0.6.
	for _, j := range []*Joint{root, mid} {
		if math.Abs(j.Reach-math.Hypot(.1, .1)) > 1e-7 {
			t.Errorf("%s reaches %g m", j.Name, j.Reach)
		}
	}
	equal(t, "end", *end, Joint{Node: 2, Name: "end", Class: ClassEnd})
	equal(t, "mismatch", *f.MirrorMismatch, Mismatch{Compared: 22, SoundCompared: 22})
	equal(t, "counts", string(f.Counts[0][6:10]), "\x01\x01\x02\x02")
}

// Bins are open below and closed above, for the float32 widened: float32 0.1 is a
// little above 1/10, 0.3 and 0.7 fall on either side of theirs.
func TestBin(t *testing.T) {
	for w, want := range map[float32]int{
		1: 9, 0.5: 4, 0.1: 1, 0.2: 2, 0.3: 3, 0.4: 4, 0.6: 6, 0.7: 6, 0.8: 8, 0.9: 8, 1e-30: 0, 0.0999: 0, 0.95: 9, 2: 9,
	} {
		k := want
		// The definition itself, for every row.
		if !(float64(w) > float64(k)/10 && (k == 9 || float64(w) <= float64(k+1)/10)) {
			t.Errorf("row %g: bin %d is not (k/10, (k+1)/10]", w, k)
		}
		if got := bin(float64(w)); got != want {
			t.Errorf("bin of %g: %d, want %d", w, got, want)
		}
	}
}

func TestIslands(t *testing.T) {
	for _, row := range []struct {
		name  string
		plant func(*rig.Rig)
		root  int
		mid   int
	}{
		{"whole", func(*rig.Rig) {}, 1, 1},
		{"a drop at the foot", weigh(0, .9, .1), 1, 2},
		{"two drops, side by side", both(weigh(0, .9, .1), weigh(1, .9, .1)), 1, 2},
		{"two drops, rows apart", both(weigh(0, .9, .1), weigh(4, .9, .1)), 1, 3},
		// Row 10 split into four vertices in one place each: welded, still one patch.
		{"split vertices", func(r *rig.Rig) {
			m := &r.Meshes[0]
			for _, v := range []int{20, 21} {
				m.Positions = append(m.Positions, m.Positions[3*v:3*v+3]...)
				m.Joints = append(m.Joints, m.Joints[4*v:4*v+4]...)
				m.Weights = append(m.Weights, m.Weights[4*v:4*v+4]...)
			}
			m.Primitives[0].Count += 2
			n := len(m.Triangles)
			m.Triangles[n-1] = 23
		}, 1, 1},
		{"a joint named twice", func(r *rig.Rig) {
			m := &r.Meshes[0]
			copy(m.Joints[40:], []uint16{1, 1, 1, 0})
			copy(m.Weights[40:], []float32{.25, .25, .5, 0})
		}, 1, 1},
	} {
		f := measured(t, func() *rig.Rig { r := ladder(); row.plant(r); return r }())
		if j := f.Skins[0].Joints; j[0].Islands != row.root || j[1].Islands != row.mid {
			t.Errorf("%s: %d and %d patches, want %d and %d", row.name, j[0].Islands, j[1].Islands, row.root, row.mid)
		}
	}
}

func TestReach(t *testing.T) {
	// An end reaches from its own place: row 0 of the ladder to (0, 1).
	r := ladder()
	weigh(0, .5, 0, .5)(r)
	f := measured(t, r)
	if want, got := math.Hypot(.1, 1), f.Skins[0].Joints[2].Reach; math.Abs(got-want) > 1e-6 {
		t.Errorf("the end reaches %g m, want %g", got, want)
	}
	// Far from the origin nothing changes.
	r = ladder()
	r.Nodes[0].TRS.T = [3]float64{1000, 0, 3000}
	r.Nodes[0].Matrix = r.Nodes[0].TRS.Affine()
	if got := measured(t, r).Skins[0].Joints[0].Reach; math.Abs(got-math.Hypot(.1, .1)) > 3e-4 {
		t.Errorf("far off, the root reaches %g m", got)
	}
}

// Every variant of the sample is silent above a note, and of notes too.
func TestVariants(t *testing.T) {
	for _, pose := range []lamplighter.Pose{lamplighter.T, lamplighter.A} {
		for names := range lamplighter.Naming(3) {
			r := checktest.Built(lamplighter.Options{Pose: pose, Names: names, Vertices: 4000})
			for _, found := range checktest.Silent(t, &Station, r, check.Note) {
				// At 4,000 vertices the hem goes from coat to shin within one edge; at
				// 10,000 (TestPlaces) nothing jumps.
				if found.ID != "binding/rough" {
					t.Errorf("pose %d, names %d: %s", pose, names, found.ID)
				}
			}
		}
	}
}

// Scaled, turned, leaning and shifted copies are silent too.
func TestPlaces(t *testing.T) {
	s, c := math.Sincos(12 * math.Pi / 180)
	for name, a := range map[string]rig.Affine{
		"leaning 12°": {c, -s, 0, 0, s, c, 0, 0, 0, 0, 1, 0},
		"turned 12°":  {c, 0, s, 0, 0, 1, 0, 0, -s, 0, c, 0},
		"100 ×":       {0: 100, 5: 100, 10: 100},
		"1/100":       {0: .01, 5: .01, 10: .01},
		"far off":     {0: 1, 3: 40, 5: 1, 7: -3, 10: 1, 11: 25},
	} {
		r := clean()
		for i := range r.Nodes {
			if n := &r.Nodes[i]; n.Parent < 0 {
				n.Matrix = a.Mul(&n.Matrix)
				n.TRS = n.Matrix.Decompose()
			}
		}
		for _, found := range checktest.Silent(t, &Station, r, 0) {
			t.Errorf("%s: %s", name, found.ID)
		}
	}
}

func TestDegenerate(t *testing.T) {
	nan := float32(math.NaN())
	for name, plant := range map[string]func(*rig.Rig){
		"no triangle":       func(r *rig.Rig) { r.Meshes[0].Triangles = nil },
		"no weights at all": func(r *rig.Rig) { m := &r.Meshes[0]; m.K, m.Joints, m.Weights = 0, nil, nil },
		"all in one place":  func(r *rig.Rig) { clear(r.Meshes[0].Positions) },
		"all zero weights":  func(r *rig.Rig) { clear(r.Meshes[0].Weights) },
		"not a number":      func(r *rig.Rig) { r.Meshes[0].Positions[4], r.Meshes[0].Weights[0] = nan, nan },
		"joints in one place": func(r *rig.Rig) {
			for i := range r.Nodes {
				r.Nodes[i].TRS.T = [3]float64{}
				r.Nodes[i].Matrix = rig.Identity
			}
		},
		"skin without joints": func(r *rig.Rig) { r.Skins[0].Joints, r.Skins[0].Bind = nil, nil },
	} {
		t.Run(name, func(t *testing.T) {
			r := ladder()
			plant(r)
			checktest.Judge(t, &Station, r, nil)
			r = ladder()
			plant(r)
			a, b := measured(t, r), measured(t, r)
			if !slices.EqualFunc(a.Skins, b.Skins, func(x, y Skin) bool { return slices.Equal(x.Joints, y.Joints) }) {
				t.Error("two answers for one rig")
			}
		})
	}
}

func TestMeasureStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Measure(ctx, exam.New(ladder())); err == nil {
		t.Error("goes on after it was cancelled")
	}
}

func measured(t *testing.T, r *rig.Rig) *Facts {
	t.Helper()
	f, err := Measure(context.Background(), exam.New(r))
	if err != nil {
		t.Fatal(err)
	}
	return f
}
