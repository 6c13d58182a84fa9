package mend

import (
	"encoding/binary"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// inA is the sample with its arms 45° below level, chains keyed.
func inA() *rig.Rig { return lamplighter.Build(lamplighter.Options{Pose: lamplighter.A, Sway: true}) }

// edited opens a rig as a file that was changed in its JSON and bytes.
func edited(t *testing.T, r *rig.Rig, change func(d *original.Document)) *State {
	t.Helper()
	d, err := original.Open([]gltfio.File{{Name: "figure.glb", Data: lamplighter.Write(r)}})
	if err != nil {
		t.Fatal(err)
	}
	change(d)
	b, err := d.GLB()
	if err != nil {
		t.Fatal(err)
	}
	return stateOf(t, gltfio.File{Name: "figure.glb", Data: b})
}

// restMends are those of this file's kind, each with values that change the sample in A.
var restMends = []struct {
	id string
	v  Values
}{
	{"rest", Values{"pose": "T"}},
	{"rebind", Values{"pose": "T", "price": 1.0}},
	{"rebind", Values{"pose": "T", "way": "seen", "price": 1.0}},
	{"even", Values{"form": "draw", "from": "left"}},
	{"even", Values{"form": "halve", "from": "left"}},
	{"even", Values{"form": "weights", "from": "left"}},
}

// bumped plants a bump and a leak on the right, so that making even has something to do.
func bumped(r *rig.Rig) *rig.Rig {
	m := &r.Meshes[0]
	for v := range m.Vertices() {
		if p := space.At(m.Positions, v); p.Sub(space.Vec{-0.15, 1.25, 0.12}).Len() < 0.06 {
			m.Positions[3*v+2] += 0.012
		}
	}
	lamplighter.Leak(0.25)(r)
	m.Remeasure()
	return r
}

// A second mesh, worn without a skin, names the accessors of the first: no mend of the
// first changes it.
func TestSharedAccessorsStay(t *testing.T) {
	s := edited(t, bumped(inA()), func(d *original.Document) {
		twin := d.Object(original.Meshes, 0).Clone()
		p := twin.Get("primitives").At(0)
		for _, k := range p.Get("attributes").Keys() {
			if k != "POSITION" && k != "NORMAL" {
				p.Get("attributes").Set(k, nil)
			}
		}
		m := d.Add(original.Meshes, twin)
		n := d.Add(original.Nodes, original.Object("mesh", original.Whole(m), "translation", original.Numbers(4, 0, 0)))
		d.Object(original.Scenes, 0).Get("nodes").Append(original.Whole(n))
		d.Refresh(original.Scenes, 0)
	})
	for _, w := range restMends {
		x := try(t, s, w.id, w.v)
		if x.After == nil {
			t.Errorf("%s %v: %s", w.id, w.v, x.Refused())
			continue
		}
		a, b := &s.Rig.Meshes[1], &x.After.Rig.Meshes[1]
		if !slices.Equal(a.Positions, b.Positions) || !slices.Equal(a.Normals, b.Normals) || !slices.Equal(a.Triangles, b.Triangles) {
			t.Errorf("%s %v changed the other mesh", w.id, w.v)
		}
		if w.id != "rest" && slices.Equal(s.Rig.Meshes[0].Positions, x.After.Rig.Meshes[0].Positions) && slices.Equal(s.Rig.Meshes[0].Weights, x.After.Rig.Meshes[0].Weights) {
			t.Errorf("%s %v changed nothing", w.id, w.v)
		}
	}
}

// Positions of 16 bits, a quarter of the size, the rest in the bind matrices: bound anew
// the figure is what the plain one gives, to what 16 bits hold.
func TestQuantisedRebind(t *testing.T) {
	plain := inA()
	small := lamplighter.Clone(plain)
	m := &small.Meshes[0]
	for i := range m.Positions {
		m.Positions[i] /= 4
	}
	four := rig.Affine{0: 4, 5: 4, 10: 4}
	for j := range small.Skins[0].Bind {
		small.Skins[0].Bind[j] = small.Skins[0].Bind[j].Mul(&four)
	}
	s := edited(t, small, func(d *original.Document) {
		use := d.UseAt("/meshes/0/primitives/0/attributes/POSITION")
		a, err := d.Accessor(use.Index)
		if err != nil {
			t.Fatal(err)
		}
		v, _ := a.Floats()
		out := original.Array{Type: "VEC3", Component: original.Short, Normalized: true, Count: a.Count}
		for _, x := range v {
			out.Data = binary.LittleEndian.AppendUint16(out.Data, uint16(int16(math.Round(float64(x)*32767))))
		}
		if err := d.Rewrite(out, use); err != nil {
			t.Fatal(err)
		}
		d.Root.Set("extensionsUsed", original.List(original.Text("KHR_mesh_quantization")))
		d.Root.Set("extensionsRequired", original.List(original.Text("KHR_mesh_quantization")))
	})
	v := Values{"pose": "T", "price": 1.0}
	a, b := try(t, ofRig(t, plain), "rebind", v), try(t, s, "rebind", v)
	if a.After == nil || b.After == nil {
		t.Fatal(a.Refused(), b.Refused())
	}
	if g := Compare(a.After.Rig, b.After.Rig, Moments(plain), nil); g.Max > 5*4./32767 {
		t.Errorf("%.3g m apart", g.Max)
	}
	stiffStay(t, s.Rig, b.After.Rig)
}

// One displaced vertex is stored sparsely over the others: mends read and write it.
func TestSparseRebind(t *testing.T) {
	plain := inA()
	s := edited(t, plain, func(d *original.Document) {
		at, err := d.NewAccessor(original.Uints32("SCALAR", original.Uint, []uint32{7}), false, false)
		if err != nil {
			t.Fatal(err)
		}
		to, err := d.NewAccessor(original.Floats32("VEC3", []float32{0.1, 1.3, 0.5}), false, false)
		if err != nil {
			t.Fatal(err)
		}
		o := d.Object(original.Accessors, d.UseAt("/meshes/0/primitives/0/attributes/POSITION").Index)
		o.Set("sparse", original.Object("count", original.Whole(1),
			"indices", original.Object("bufferView", d.Object(original.Accessors, at).Get("bufferView").Clone(), "componentType", original.Whole(original.Uint)),
			"values", original.Object("bufferView", d.Object(original.Accessors, to).Get("bufferView").Clone())))
	})
	if p := space.At(s.Rig.Meshes[0].Positions, 7); p.Sub(space.Vec{0.1, 1.3, 0.5}).Len() > 1e-6 {
		t.Fatal("the sparse vertex is not read")
	}
	x := try(t, s, "rebind", Values{"pose": "T", "price": 1.0})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	stiffStay(t, s.Rig, x.After.Rig)
}

// Cubic keys: rest only keeps every clip to float32 between the keys as well.
func TestRestKeepsCubicKeys(t *testing.T) {
	r := inA()
	for c := range r.Clips {
		for i := range r.Clips[c].Channels {
			ch := &r.Clips[c].Channels[i]
			n := len(ch.Times)
			out := make([]float32, 0, 3*len(ch.Values))
			for k := range n {
				value := ch.Values[k*ch.Width : (k+1)*ch.Width]
				tangent := make([]float32, ch.Width)
				if k > 0 && k < n-1 {
					for e := range tangent {
						tangent[e] = (ch.Values[(k+1)*ch.Width+e] - ch.Values[(k-1)*ch.Width+e]) / (ch.Times[k+1] - ch.Times[k-1])
					}
				}
				out = append(append(append(out, tangent...), value...), tangent...)
			}
			ch.Values, ch.Interpolation = out, rig.Cubic
		}
	}
	s := ofRig(t, r)
	x := try(t, s, "rest", Values{"pose": "T", "knees": true})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	if g := Compare(s.Rig, x.After.Rig, Moments(r)[1:], nil); g.Max > 1e-6 {
		t.Errorf("%.3g m apart", g.Max)
	}
}

// A morph target, at rest by a third: bound anew it does in the new rest what it did.
func TestRebindCarriesMorphs(t *testing.T) {
	r := inA()
	m := &r.Meshes[0]
	d := make([]float32, len(m.Positions))
	for v := range m.Vertices() {
		for c := range 3 {
			d[3*v+c] = 0.03 * m.Normals[3*v+c]
		}
	}
	m.Targets, m.Morph = []rig.Target{{Name: "stout", Positions: d}}, []float32{1. / 3}
	s := ofRig(t, r)
	if len(s.Rig.Meshes[0].Targets) != 1 {
		t.Skip("files of lamplighter hold no morph targets")
	}
	x := try(t, s, "rebind", Values{"pose": "T", "way": "seen", "price": 1.0})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	stiffStay(t, s.Rig, x.After.Rig)
}

// The whole figure hangs below a node scaled to centimetres: exact all the same.
func TestRestBelowAScale(t *testing.T) {
	r := inA()
	k := 0.01
	root := &r.Nodes[0]
	for i := range r.Nodes {
		n := &r.Nodes[i]
		for c := range 3 {
			n.T[c] /= k
		}
		n.Matrix = n.TRS.Affine()
	}
	root.S = [3]float64{k, k, k}
	for c := range 3 {
		root.T[c] *= k
	}
	root.Matrix = root.TRS.Affine()
	for c := range r.Clips {
		for i := range r.Clips[c].Channels {
			ch := &r.Clips[c].Channels[i]
			if ch.Path == rig.Translation && ch.Node != 0 {
				for e := range ch.Values {
					ch.Values[e] /= float32(k)
				}
			}
		}
	}
	world := r.RestWorld()
	for j, n := range r.Skins[0].Joints {
		r.Skins[0].Bind[j], _ = world[n].Inverse()
	}
	s := ofRig(t, r)
	for _, id := range []string{"rest", "rebind"} {
		v := Values{"pose": "T"}
		if id == "rebind" {
			v["price"] = 1.0
		}
		x := try(t, s, id, v)
		if x.After == nil {
			t.Fatal(id, x.Refused())
		}
		for _, a := range armsBelow(x.After.Rig) {
			if math.Abs(a) > .01 {
				t.Errorf("%s: an arm is %.4f° below level", id, a)
			}
		}
		stiffStay(t, s.Rig, x.After.Rig)
	}
}

// Places and weights that are no numbers, vertices without weight, joints that are not
// there: every mend ends, and what is sound beside them is done.
func TestEvenAndRestWithDamage(t *testing.T) {
	rounds.Dear(t)
	damage := map[string]func(*rig.Rig){
		"undefined places": func(r *rig.Rig) {
			for v := range 9 {
				r.Meshes[0].Positions[300*v] = float32(math.NaN())
			}
		},
		"no weight":      func(r *rig.Rig) { lamplighter.Unbind(60)(r) },
		"short sums":     func(r *rig.Rig) { lamplighter.Weaken(200, 0.6)(r) },
		"no such joint":  func(r *rig.Rig) { lamplighter.Misindex(20)(r) },
		"negative":       func(r *rig.Rig) { lamplighter.Negative(20)(r) },
		"six influences": func(r *rig.Rig) { lamplighter.Crowd(200, 6)(r) },
		"a flat bind":    func(r *rig.Rig) { lamplighter.FlatBind(4)(r) },
		"no bind matrix": func(r *rig.Rig) { lamplighter.LoseBinds(false)(r) },
		"no triangle":    func(r *rig.Rig) { r.Meshes[0].Triangles, r.Meshes[0].Primitives[0].TriCount = nil, 0 },
		"one triangle": func(r *rig.Rig) {
			r.Meshes[0].Triangles, r.Meshes[0].Primitives[0].TriCount = r.Meshes[0].Triangles[:3], 1
		},
		"two of them":     func(r *rig.Rig) { lamplighter.Double(300)(r) },
		"chain taken off": func(r *rig.Rig) { lamplighter.Detach(22)(r) },
	}
	for i, name := range slices.Sorted(maps.Keys(damage)) {
		r := bumped(inA())
		damage[name](r)
		s := ofRig(t, r)
		for k, w := range restMends {
			if !rounds.Run(i+k, 7) {
				continue
			}
			x := try(t, s, w.id, w.v)
			if x.After == nil && len(x.Refused()) < 10 {
				t.Errorf("%s, %s: refused without words: %q", name, w.id, x.Refused())
			}
			if x.After != nil {
				a, b := &s.Rig.Meshes[0], &x.After.Rig.Meshes[0]
				for i := range b.Positions {
					if y := b.Positions[i]; y-y != 0 && (w.v["form"] == "halve" || a.Positions[i]-a.Positions[i] == 0) && name != "undefined places" {
						t.Fatalf("%s, %s %v: number %d is %v now", name, w.id, w.v, i, y)
					}
				}
			} else {
				t.Logf("%s, %s %v: %s", name, w.id, w.v, x.Refused())
			}
		}
	}
}

// Five thousand shells, half of them on one side alone and the rest 10 mm off: paired in
// n·log n, told apart, none of the lonely moved.
func TestEvenOfThousandsOfShells(t *testing.T) {
	r := sample()
	m := &r.Meshes[0]
	first := m.Vertices()
	const shells = 2500
	rnd := rand.New(rand.NewPCG(7, 1))
	var taken []space.Vec
	for k := 0; k < shells; k++ {
		x, y, z, size := 0.3+0.5*rnd.Float64(), 0.2+1.2*rnd.Float64(), -0.3+0.6*rnd.Float64(), 0.01+0.01*rnd.Float64()
		if slices.ContainsFunc(taken, func(p space.Vec) bool { return p.Sub(space.Vec{x, y, z}).Len() < 0.03 }) {
			k--
			continue
		}
		taken = append(taken, space.Vec{x, y, z})
		addBox(m, [3]float64{x, y, z}, size, 0)
		if k%2 == 0 {
			addBox(m, [3]float64{-x - size, y + 0.01, z}, size, 0)
		}
	}
	m.Remeasure()
	s := ofRig(t, r)
	start := time.Now()
	x := try(t, s, "even", Values{"form": "draw", "from": "left", "weights": false})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	t.Logf("%d vertices in %v", s.Rig.Meshes[0].Vertices(), time.Since(start))
	a, b := s.Rig.Meshes[0].Positions, x.After.Rig.Meshes[0].Positions
	moved := 0
	for v := first; v < len(a)/3; v++ {
		if space.At(a, v) != space.At(b, v) {
			moved++
			if d := space.At(b, v).Sub(space.At(a, v)); math.Abs(d[1]+0.01) > 1e-4 || math.Abs(d[0]) > 1e-4 {
				t.Fatalf("vertex %d moved by %v", v, d)
			}
			if a[3*v] > 0 {
				t.Fatalf("vertex %d of the giving side moved", v)
			}
		}
	}
	if moved < 8*shells/2*9/10 {
		t.Errorf("%d moved, of %d", moved, 8*shells/2)
	}
}
