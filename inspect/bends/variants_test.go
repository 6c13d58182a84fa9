package bends

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// Every variant of the sample is silent above a note: rest poses, names, sizes. Below
// 10,000 vertices its hem goes from coat to shin within one edge, which is drawn out.
func TestVariants(t *testing.T) {
	for _, pose := range []lamplighter.Pose{lamplighter.T, lamplighter.A} {
		for names := range lamplighter.Naming(3) {
			checktest.Silent(t, &Station, checktest.Built(lamplighter.Options{Pose: pose, Names: names}), check.Note)
		}
		for k, n := range []int{20_000, 100_000} {
			if !rounds.Run(2*k+int(pose), 4) {
				continue
			}
			checktest.Silent(t, &Station, checktest.Built(lamplighter.Options{Pose: pose, Vertices: n}), check.Note)
		}
	}
}

// So are copies that stand elsewhere, in another size or leaning, and what is measured
// on them is the same.
func TestPlaces(t *testing.T) {
	want := measured(t, clean())
	s, c := math.Sincos(12 * math.Pi / 180)
	for name, a := range map[string]rig.Affine{
		"leaning 12°": {c, -s, 0, 0, s, c, 0, 0, 0, 0, 1, 0},
		"turned 12°":  {c, 0, s, 0, 0, 1, 0, 0, -s, 0, c, 0},
		"0.01":        {0: .01, 5: .01, 10: .01},
		"2.54":        {0: 2.54, 5: 2.54, 10: 2.54},
		"far off":     {0: 1, 3: 40, 5: 1, 7: -3, 10: 1, 11: 25},
	} {
		r := clean()
		for i := range r.Nodes {
			if n := &r.Nodes[i]; n.Parent < 0 {
				n.Matrix = a.Mul(&n.Matrix)
				n.TRS = n.Matrix.Decompose()
			}
		}
		checktest.Silent(t, &Station, r, check.Note)
		got := measured(t, r)
		if len(got.Moves) != len(want.Moves) {
			t.Fatalf("%s: %d moves, want %d", name, len(got.Moves), len(want.Moves))
		}
		for i := range want.Moves {
			w := &want.Moves[i]
			k := slices.IndexFunc(got.Moves, func(m Move) bool {
				return m.Joint == w.Joint && m.Axis == w.Axis && m.Degrees*w.Degrees > 0
			})
			if k < 0 {
				t.Fatalf("%s: no move %v %s %g", name, w.Joint, w.Axis, w.Degrees)
			}
			if name == "leaning 12°" { // the axes follow the world's up: another figure
				continue
			}
			g := &got.Moves[k]
			for _, v := range [][2]*float64{{g.Volume, w.Volume}, {g.P99, w.P99}, {g.VolumeDual, w.VolumeDual}, {g.Radius, w.Radius}} {
				if (v[0] == nil) != (v[1] == nil) || v[0] != nil && math.Abs(*v[0]-*v[1]) > 2e-3 {
					t.Errorf("%s: %s %s %g: %v, want %v", name, want.called(w.Joint), w.Axis, w.Degrees, or(v[0], math.NaN()), or(v[1], math.NaN()))
				}
			}
		}
	}
}

// quantised rounds weights to steps that sum to the full scale, the strongest taking
// what is left, as a file with weights of 8 or 16 bits stores them.
func quantised(r *rig.Rig, scale float64, kind uint16) {
	m := &r.Meshes[0]
	for v := range m.Vertices() {
		w := m.Weights[m.K*v : m.K*v+m.K]
		left, best := scale, 0
		for k := range w {
			if w[k] > w[best] {
				best = k
			}
		}
		for k := range w {
			if k != best {
				n := math.Round(float64(w[k]) * scale)
				left -= n
				w[k] = float32(n / scale)
			}
		}
		w[best] = float32(left / scale)
	}
	m.Primitives[0].WeightType = kind
}

// eight smooths weights over the neighbours, so that up to eight joints hold a vertex.
func eight(r *rig.Rig) {
	m := &r.Meshes[0]
	n, joints := m.Vertices(), len(r.Skins[0].Joints)
	around := make([][]uint32, n)
	for t := 0; t < len(m.Triangles); t += 3 {
		for k := range 3 {
			around[m.Triangles[t+k]] = append(around[m.Triangles[t+k]], m.Triangles[t+(k+1)%3])
		}
	}
	sums := make([]float64, n*joints)
	for v := range n {
		put := func(u int, share float64) {
			for k := 4 * u; k < 4*u+4; k++ {
				sums[v*joints+int(m.Joints[k])] += share * float64(m.Weights[k])
			}
		}
		put(v, .5)
		for _, u := range around[v] {
			put(int(u), .5/float64(len(around[v])))
		}
	}
	m.K, m.Joints, m.Weights = 8, make([]uint16, 8*n), make([]float32, 8*n)
	for v := range n {
		var list []int
		for j := range joints {
			if sums[v*joints+j] > 0 {
				list = append(list, j)
			}
		}
		slices.SortStableFunc(list, func(a, b int) int {
			return -int(math.Copysign(1, sums[v*joints+a]-sums[v*joints+b]))
		})
		list = list[:min(8, len(list))]
		total := 0.0
		for _, j := range list {
			total += sums[v*joints+j]
		}
		for k, j := range list {
			m.Joints[8*v+k], m.Weights[8*v+k] = uint16(j), float32(sums[v*joints+j]/total)
		}
	}
	p := &m.Primitives[0]
	p.Sets, p.JointSets, p.WeightSets = 2, 2, 2
}

// twoSkins cuts the figure at a height into two surfaces, the upper with a skin of its
// own that lists the same joints backwards.
func twoSkins(r *rig.Rig) {
	m := &r.Meshes[0]
	upper := *m
	upper.Joints = slices.Clone(m.Joints)
	k := r.Skins[0]
	k.Joints, k.Bind = slices.Clone(k.Joints), slices.Clone(k.Bind)
	slices.Reverse(k.Joints)
	slices.Reverse(k.Bind)
	last := uint16(len(k.Joints) - 1)
	for i := range upper.Joints {
		upper.Joints[i] = last - upper.Joints[i]
	}
	var below, above []uint32
	for t := 0; t < len(m.Triangles); t += 3 {
		if m.Positions[3*m.Triangles[t]+1] > 1.2 {
			above = append(above, m.Triangles[t:t+3]...)
		} else {
			below = append(below, m.Triangles[t:t+3]...)
		}
	}
	m.Triangles, upper.Triangles = below, above
	m.Primitives[0].TriCount = len(below) / 3
	upper.Primitives = slices.Clone(m.Primitives)
	upper.Primitives[0].TriCount = len(above) / 3
	r.Meshes, r.Skins = append(r.Meshes, upper), append(r.Skins, k)
	node := r.Nodes[r.Surfaces[0].Node]
	node.Mesh, node.Skin, node.Name = 1, 1, "upper half"
	r.Nodes = append(r.Nodes, node)
	n := rig.Node(len(r.Nodes) - 1)
	r.Scenes[0].Roots = append(r.Scenes[0].Roots, n)
	r.Surfaces = append(r.Surfaces, rig.Surface{Node: n, Mesh: 1, Skin: 1})
	r.SetOrder()
}

func TestStorage(t *testing.T) {
	for name, change := range rounds.Named(map[string]func(*rig.Rig){
		"weights of 8 bits":  func(r *rig.Rig) { quantised(r, 255, 5121) },
		"weights of 16 bits": func(r *rig.Rig) { quantised(r, 65535, 5123) },
		"eight influences":   eight,
		"two skins":          twoSkins,
	}, 2) {
		for _, pose := range []lamplighter.Pose{lamplighter.T, lamplighter.A} {
			t.Run(fmt.Sprint(name, pose), func(t *testing.T) {
				r := checktest.Built(lamplighter.Options{Pose: pose})
				change(r)
				checktest.Silent(t, &Station, r, check.Note)
			})
		}
	}
}

// Mirror images move alike: what is measured left and right differs by rounding only.
func TestSidesAreAlike(t *testing.T) {
	f := measured(t, clean())
	r := clean()
	for i := range f.Moves {
		m := &f.Moves[i]
		name := r.Nodes[m.Joint].Name
		if len(name) < 2 || name[len(name)-2:] != "_L" || m.Guessed {
			continue
		}
		other := lamplighter.Node(name[:len(name)-2] + "_R")
		k := slices.IndexFunc(f.Moves, func(o Move) bool { return o.Joint == other && o.Axis == m.Axis && o.Degrees == m.Degrees })
		if k < 0 {
			t.Fatalf("%s %s %g has no image", name, m.Axis, m.Degrees)
		}
		o := &f.Moves[k]
		near(t, name+" volume", or(m.Volume, 1), or(o.Volume, 1), 1e-5)
		near(t, name+" p99", or(m.P99, 1), or(o.P99, 1), 1e-4)
		near(t, name+" radius", or(m.Radius, 1), or(o.Radius, 1), 1e-4)
		if m.Triangles != o.Triangles || math.Abs(or(m.Turned, 0)-or(o.Turned, 0))*float64(m.Triangles) > 1.5 {
			t.Errorf("%s %s: %d of %v turned, other side %d of %v", name, m.Axis, m.Triangles, *m.Turned, o.Triangles, *o.Turned)
		}
	}
}

// Two examinations of one file give the same bytes.
func TestSameBytes(t *testing.T) {
	a, err := json.Marshal(measured(t, clean()))
	if err != nil {
		t.Fatal(err)
	}
	b, _ := json.Marshal(measured(t, clean()))
	if !bytes.Equal(a, b) {
		t.Error("two answers for one rig")
	}
}

// Each method is measured against its own rest pose: weights that sum to 0.9 shrink the
// tube by linear blending at rest already, and not at all by dual quaternions, which
// make them whole. A move changes both as it changes the sound one.
func TestEachMethodFromItsOwnRest(t *testing.T) {
	whole, less := tube(1, .3, 40, 32, true, ramp(1)), tube(1, .3, 40, 32, true, ramp(1))
	for i := range less.Meshes[0].Weights {
		less.Meshes[0].Weights[i] *= .9
	}
	for _, axis := range [][3]float64{alongX, aboutZ} {
		a, b := bent(t, measured(t, whole), 1, axis, 80), bent(t, measured(t, less), 1, axis, 80)
		for _, row := range []struct {
			what      string
			got, want *float64
		}{
			{"volume", b.Volume, a.Volume}, {"volume dual", b.VolumeDual, a.VolumeDual},
			{"radius", b.Radius, a.Radius}, {"radius dual", b.RadiusDual, a.RadiusDual},
			{"p99", b.P99, a.P99}, {"p99 dual", b.P99Dual, a.P99Dual}, {"max dual", b.MaxDual, a.MaxDual}, {"turned dual", b.TurnedDual, a.TurnedDual},
		} {
			near(t, row.what, *row.got, *row.want, 1e-4)
		}
	}
}
