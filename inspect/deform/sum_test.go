package deform_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// agrees holds the written sum of every vertex against the deformer, by both
// methods, and the parts against each other.
func agrees(t *testing.T, name string, r *rig.Rig, p *deform.Pose, step int) {
	t.Helper()
	for i, s := range r.Surfaces {
		pos := make([]float32, len(r.Meshes[s.Mesh].Positions))
		for _, m := range []deform.Method{deform.Linear, deform.Dual} {
			d := deform.NewDeformer(r, i)
			d.Apply(p, m, pos, nil, nil, nil)
			for v := 0; v < len(pos)/3; v += step {
				w, ok := deform.Sum(r, p, i, rig.Vertex(v), m)
				if !ok {
					t.Fatalf("%s: no vertex %d of surface %d", name, v, i)
				}
				want := mgl64.Vec3{float64(pos[3*v]), float64(pos[3*v+1]), float64(pos[3*v+2])}
				// float32 keeps 24 bits of every term.
				size := 1.0
				for _, term := range w.Terms {
					for row := range 3 {
						reach := math.Abs(term.Matrix[4*row+3])
						for c := range 3 {
							reach += math.Abs(term.Matrix[4*row+c] * w.Position[c])
						}
						size = max(size, reach)
					}
				}
				if d := w.Place.Sub(want).Len(); !(d <= 1e-6*size) {
					t.Fatalf("%s surface %d vertex %d method %d: %.8f, deformer %.8f", name, i, v, m, w.Place, want)
				}
				var total mgl64.Vec3
				for k, term := range w.Terms {
					if !term.Adds.ApproxEqualThreshold(term.Alone.Mul(term.Weight), 1e-12) {
						t.Fatalf("%s vertex %d term %d adds %v", name, v, k, term.Adds)
					}
					if total = total.Add(term.Adds); total != term.Total {
						t.Fatalf("%s vertex %d term %d: total %v, want %v", name, v, k, term.Total, total)
					}
				}
				// One term after the other, the rest of the weight still at rest: with
				// weights that come to 1 the way ends in the sum.
				if n := len(w.Terms); n > 0 {
					end := w.Terms[n-1].Stands.Sub(w.Rest.Mul(1 - w.WeightSum))
					if d := end.Sub(w.Stored).Len(); !(d <= 1e-9*size) {
						t.Fatalf("%s vertex %d: the way ends %g m from the sum", name, v, d)
					}
				}
				if total != w.Stored {
					t.Fatalf("%s vertex %d: %v, terms come to %v", name, v, w.Stored, total)
				}
			}
		}
	}
}

func TestSumIsTheDeformers(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{})
	p := deform.NewPose(r)
	agrees(t, "rest", r, p, 7)
	for c := range r.Clips {
		p.Sample(rig.Clip(c), r.Clips[c].Seconds*0.37)
		agrees(t, r.Clips[c].Name, r, p, 7)
	}
	crowded := lamplighter.Clone(r)
	lamplighter.Crowd(30, 9)(crowded)
	lamplighter.Unbind(14)(crowded)
	p = deform.NewPose(crowded)
	p.Sample(0, 0.3)
	agrees(t, "crowded", crowded, p, 3)
}

func TestSumOfCorpus(t *testing.T) {
	paths, _ := filepath.Glob("../../../shared/corpus/models/*.gl*")
	if len(paths) == 0 {
		t.Skip("no folder of real models beside the repository: nothing is compared with outside answers here")
	}
	for _, path := range paths {
		r, err := gltfio.ReadFS(os.DirFS(filepath.Dir(path)), filepath.Base(path), gltfio.Options{})
		if err != nil {
			t.Fatal(err)
		}
		p := deform.NewPose(r)
		agrees(t, path, r, p, 11)
		for c := range r.Clips[:min(3, len(r.Clips))] {
			p.Sample(rig.Clip(c), r.Clips[c].Seconds*0.6)
			agrees(t, fmt.Sprint(path, c), r, p, 11)
		}
	}
}

// W1 (worked number, closed form): a sum short by 1/255 at 1.7 m is 6.666667 mm off.
func TestSumW1(t *testing.T) {
	r := stick([]float32{254. / 255}, []float32{0, 1.7, 0})
	w, _ := deform.Sum(r, deform.NewPose(r), 0, 0, deform.Linear)
	if d := w.Whole.Shift; math.Abs(d-6.666667e-3) > 1e-6 {
		t.Errorf("%g m, want 6.666667e-3", d)
	}
	if w.Whole.Place.Sub(mgl64.Vec3{0, 1.7, 0}).Len() > 1e-6 {
		t.Errorf("whole at %v", w.Whole.Place)
	}
}

// Two joints, one turned by 90°: the way of a vertex from its rest place.
func TestSumWay(t *testing.T) {
	r := stick([]float32{.75, .25}, []float32{1, .1, 0})
	p := deform.NewPose(r)
	w, _ := deform.Sum(r, p, 0, 0, deform.Linear)
	if w.Spread != 0 || w.Rest != w.Stored || w.Terms[0].Stands.Sub(w.Rest).Len() > 1e-12 {
		t.Errorf("at rest: spread %g, rest %v, stands %v", w.Spread, w.Rest, w.Terms[0].Stands)
	}
	p.Local[1] = rig.Affine{0, -1, 0, 1, 1, 0, 0, -1, 0, 0, 1, 0} // 90° about Z through 1 0 0
	p.Update()
	w, _ = deform.Sum(r, p, 0, 0, deform.Linear)
	rest, moved := mgl64.Vec3{1, .1, 0}, mgl64.Vec3{.9, 0, 0}
	if w.Rest.Sub(rest).Len() > 1e-6 || math.Abs(w.Spread-moved.Sub(rest).Len()) > 1e-6 {
		t.Errorf("rest %v, spread %g; want %v, %g", w.Rest, w.Spread, rest, moved.Sub(rest).Len())
	}
	still, turned := w.Terms[0], w.Terms[1]
	if still.Stands.Sub(rest).Len() > 1e-6 || turned.Stands.Sub(rest.Mul(.75).Add(moved.Mul(.25))).Len() > 1e-6 {
		t.Errorf("stands %v, then %v", still.Stands, turned.Stands)
	}
}

// W16 (worked number, closed form): half a turn of 90° about Z through 1 0 0.
func TestSumW16(t *testing.T) {
	r := stick([]float32{.5, .5}, []float32{1, .1, 0})
	p := deform.NewPose(r)
	p.Local[1] = rig.Affine{0, -1, 0, 1, 1, 0, 0, -1, 0, 0, 1, 0}
	p.Update()
	w, _ := deform.Sum(r, p, 0, 0, deform.Linear)
	if got, want := w.Stored, (mgl64.Vec3{.95, .05, 0}); got.Sub(want).Len() > 1e-6 {
		t.Errorf("linear %v, want %v", got, want)
	}
	if got, want := w.Dual.Place, (mgl64.Vec3{.929289, .070711, 0}); got.Sub(want).Len() > 1.5e-6 {
		t.Errorf("dual %v, want %v", got, want)
	}
	if len(w.Terms) != 2 || w.Terms[1].Alone.Sub(mgl64.Vec3{.9, 0, 0}).Len() > 1e-6 {
		t.Errorf("terms %+v", w.Terms)
	}
}

// Five joints, each shifted by its number of metres along x: the place is Σ w·number.
func TestSumCut(t *testing.T) {
	r := stick([]float32{.05, .3, .25, .2, .2}, []float32{0, 0, 0})
	p := deform.NewPose(r)
	for j := range 5 {
		p.Local[j][3] = float64(j)
	}
	p.Update()
	w, _ := deform.Sum(r, p, 0, 0, deform.Linear)
	for _, row := range []struct {
		name string
		got  deform.Other
		want float64
		kept int
	}{
		{"stored", deform.Other{Place: w.Stored, Kept: 5}, .3 + .5 + .6 + .8, 5},
		{"strongest four", w.Strongest, (.3 + .5 + .6 + .8) / .95, 4},
		{"first four", w.FirstFour, (.3 + .5 + .6) / .8, 4},
	} {
		if math.Abs(row.got.Place[0]-row.want) > 1e-6 || row.got.Kept != row.kept {
			t.Errorf("%s: %v, want %g", row.name, row.got, row.want)
		}
	}
	for _, row := range []struct {
		surface int
		vertex  rig.Vertex
	}{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
		if _, ok := deform.Sum(r, p, row.surface, row.vertex, deform.Linear); ok {
			t.Errorf("%+v is there", row)
		}
	}
}

// stick is one vertex bound to as many roots as there are weights.
func stick(weights, at []float32) *rig.Rig {
	k := (len(weights) + 3) / 4 * 4
	m := rig.MeshData{Positions: at, K: k, Joints: make([]uint16, k), Weights: make([]float32, k), Primitives: []rig.PrimitiveData{{Count: 1, Sets: k / 4, Material: rig.None}}}
	r := &rig.Rig{Shown: rig.None}
	skin := rig.SkinData{Skeleton: rig.None}
	for j, w := range weights {
		m.Joints[j], m.Weights[j] = uint16(j), w
		r.Nodes = append(r.Nodes, rig.NodeData{Parent: rig.None, Matrix: rig.Identity, Mesh: rig.None, Skin: rig.None})
		skin.Joints, skin.Bind = append(skin.Joints, rig.Node(j)), append(skin.Bind, rig.Identity)
	}
	r.Nodes = append(r.Nodes, rig.NodeData{Parent: rig.None, Matrix: rig.Identity, Skin: 0})
	r.Meshes, r.Skins = []rig.MeshData{m}, []rig.SkinData{skin}
	r.Surfaces = []rig.Surface{{Node: rig.Node(len(weights))}}
	r.SetOrder()
	return r
}

func BenchmarkSum(b *testing.B) {
	r := lamplighter.Build(lamplighter.Options{Vertices: 6000})
	p := deform.NewPose(r)
	p.Sample(0, 0.3)
	for b.Loop() {
		deform.Sum(r, p, 0, 1500, deform.Dual)
	}
}
