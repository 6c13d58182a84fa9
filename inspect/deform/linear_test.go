package deform

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// W1 (worked number, closed form): weights that sum to 1 − 1/255 leave a vertex at
// 1.7 m short by 6.666667 mm.
func TestW1LostWeight(t *testing.T) {
	r := points([]float32{0, 1.7, 0}, 200./255, 54./255)
	got := apply(r, Linear, rig.Identity, rig.Identity)
	near(t, "W1", got, []float64{0, 1.7 - 6.666667e-3, 0}, 1e-6)
}

// W2–W10 (worked numbers, closed form): a point one unit off the axis that two
// joints share, the second turned by an angle.
func TestTwist(t *testing.T) {
	for _, w := range []struct {
		name                     string
		weight, angle            float64
		rho, linear, dual, slerp float64
	}{
		{"W2", .5, 30, 0.965926, 15, 15, 15},
		{"W3", .5, 60, 0.866025, 30, 30, 30},
		{"W4", .5, 90, 0.707107, 45, 45, 45},
		{"W5", .5, 120, 0.500000, 60, 60, 60},
		{"W6", .5, 150, 0.258819, 75, 75, 75},
		{"W7", .5, 180, 0, math.NaN(), 90, 90},
		{"W8", .25, 90, 0.790569, 18.434949, 21.598161, 22.5},
		{"W9", .1, 120, 0.854400, 5.817526, 10.417438, 12},
		{"W10", 1. / 3, 150, 0.413105, 23.793977, 46.305454, 50},
	} {
		t.Run(w.name, func(t *testing.T) {
			r := points([]float32{0, 1, 0}, float32(1-w.weight), float32(w.weight))
			second := about(1, 0, 0, w.angle*degree)
			p := apply(r, Linear, rig.Identity, second)
			rho, angle := math.Hypot(float64(p[1]), float64(p[2])), math.Atan2(float64(p[2]), float64(p[1]))/degree
			near(t, "linear radius", []float64{rho}, []float64{w.rho}, digits)
			if !math.IsNaN(w.linear) { // W7 collapses onto the axis and has no direction
				near(t, "linear angle", []float64{angle}, []float64{w.linear}, 5e-5)
			}
			p = apply(r, Dual, rig.Identity, second)
			rho, angle = math.Hypot(float64(p[1]), float64(p[2])), math.Atan2(float64(p[2]), float64(p[1]))/degree
			near(t, "dual radius", []float64{rho}, []float64{1}, digits)
			near(t, "dual angle", []float64{math.Abs(angle)}, []float64{w.dual}, 5e-5)
			q := space.Slerp(space.Still(), space.About(space.Vec{1, 0, 0}, w.angle*degree), w.weight)
			near(t, "slerp angle", []float64{space.Turned(q) / degree}, []float64{w.slerp}, 1e-9)
		})
	}
}

// W11 (worked number, closed form): an elbow bent by 90° about Z, half and half.
func TestW11Elbow(t *testing.T) {
	r := points([]float32{0, .1, 0, 0, 0, .1, .2, .1, 0}, .5, .5)
	got := apply(r, Linear, rig.Identity, about(0, 0, 1, 90*degree))
	near(t, "W11", got, []float64{-.05, .05, 0, 0, 0, .1, .05, .15, 0}, 1e-7)
}

// W12 (worked numbers): signed volume of a closed tube whose weights run from one
// joint to the other along its whole length, twisted and bent about its middle,
// against the closed forms 1 − ⅔ sin²(θ/2) and 1 − ⅓ sin²(θ/2). Same tube as the
// reference's brute force: length 2, radius 0.3; facets cost less than 1e-3.
func TestW12RampVolume(t *testing.T) {
	const rings, sides = 200, 64
	r, tris := rampTube(rings, sides)
	rest := volume(RestSurface(r, 0), tris)
	for _, w := range []struct{ angle, twist, bend float64 }{
		{30, 0.955342, 0.977671}, {60, 0.833333, 0.916667}, {90, 0.666667, 0.833333},
		{120, 0.500000, 0.750000}, {150, 0.377992, 0.688996}, {180, 0.333333, 0.666667},
	} {
		t.Run(fmt.Sprintf("%g°", w.angle), func(t *testing.T) {
			twist := volume(apply(r, Linear, rig.Identity, about(1, 0, 0, w.angle*degree)), tris) / rest
			bend := volume(apply(r, Linear, rig.Identity, about(0, 0, 1, w.angle*degree)), tris) / rest
			near(t, "twist", []float64{twist}, []float64{w.twist}, 1e-3)
			near(t, "bend", []float64{bend}, []float64{w.bend}, 1e-3)
			dual := volume(apply(r, Dual, rig.Identity, about(1, 0, 0, w.angle*degree)), tris) / rest
			near(t, "dual twist keeps the volume", []float64{dual}, []float64{1}, 2e-3)
		})
	}
}

// rampTube lies along x from −1 to 1, capped, weights (1−s, s).
func rampTube(rings, sides int) (*rig.Rig, []uint32) {
	var pos []float32
	for i := range rings + 1 {
		x := -1 + 2*float64(i)/float64(rings)
		for s := range sides {
			a := 2 * math.Pi * float64(s) / float64(sides)
			pos = append(pos, float32(x), float32(.3*math.Cos(a)), float32(.3*math.Sin(a)))
		}
	}
	pos = append(pos, -1, 0, 0, 1, 0, 0)
	var tris []uint32
	at := func(i, s int) uint32 { return uint32(i*sides + s%sides) }
	for i := range rings {
		for s := range sides {
			tris = append(tris, at(i, s), at(i, s+1), at(i+1, s), at(i, s+1), at(i+1, s+1), at(i+1, s))
		}
	}
	first, last := uint32((rings+1)*sides), uint32((rings+1)*sides+1)
	for s := range sides {
		tris = append(tris, first, at(0, s+1), at(0, s), last, at(rings, s), at(rings, s+1))
	}
	r := points(pos, .5, .5)
	m := &r.Meshes[0]
	for v := range m.Vertices() {
		x := (float64(pos[3*v]) + 1) / 2
		m.Weights[4*v], m.Weights[4*v+1] = float32(1-x), float32(x)
	}
	return r, tris
}

func volume(p []float32, tris []uint32) (v float64) {
	at := func(i uint32) (x, y, z float64) {
		return float64(p[3*i]), float64(p[3*i+1]), float64(p[3*i+2])
	}
	for i := 0; i < len(tris); i += 3 {
		ax, ay, az := at(tris[i])
		bx, by, bz := at(tris[i+1])
		cx, cy, cz := at(tris[i+2])
		v += ax*(by*cz-bz*cy) + ay*(bz*cx-bx*cz) + az*(bx*cy-by*cx)
	}
	return v / 6
}

// W13 (worked number, closed form): normals go by the inverse transpose.
func TestNormals(t *testing.T) {
	const h = math.Sqrt2 / 2
	for _, w := range []struct {
		name   string
		matrix rig.Affine
		normal []float32
		want   []float64
	}{
		{"W13 stretched", rig.Affine{0: 2, 5: 1, 10: 1}, []float32{h, h, 0}, []float64{0.447214, 0.894427, 0}},
		{"turned", about(0, 0, 1, math.Pi/2), []float32{h, h, 0}, []float64{-h, h, 0}},
		{"even scale", rig.Affine{0: 3, 5: 3, 10: 3}, []float32{h, h, 0}, []float64{h, h, 0}},
		{"mirrored", rig.Affine{0: -1, 5: 1, 10: 1}, []float32{h, h, 0}, []float64{-h, h, 0}},
		{"mirrored and stretched: as M⁻ᵀ", rig.Affine{0: -2, 5: 1, 10: 1}, []float32{h, h, 0}, []float64{-0.447214, 0.894427, 0}},
		{"flattened: the normal of the plane", rig.Affine{0: 1, 5: 1, 10: 0}, []float32{0, h, h}, []float64{0, 0, 1}},
		{"none", about(0, 0, 1, 1), []float32{0, 0, 0}, []float64{0, 0, 0}},
		{"collapsed", rig.Affine{}, []float32{h, h, 0}, []float64{0, 0, 0}},
	} {
		t.Run(w.name, func(t *testing.T) {
			for _, weights := range [][]float32{{1}, {.5, .5}, {.25, .25, .5}, {.25, .25, .25, .25}, {.2, .2, .2, .2, .2}} {
				r := points([]float32{1, 2, 3}, weights...)
				r.Meshes[0].Normals = w.normal
				p := NewPose(r)
				for i := range weights {
					p.Local[i] = w.matrix
				}
				p.Update()
				for _, m := range []Method{Linear, Dual} {
					if m == Dual && w.matrix.Det() == 0 {
						continue
					}
					pos, normals, extra := make([]float32, 3), make([]float32, 3), make([]float32, 3)
					NewDeformer(r, 0).Apply(p, m, pos, normals, []float32{1, 2, 3}, extra)
					where := fmt.Sprintf("method %d, %d joints", m, len(weights))
					near(t, where+": normal", normals, w.want, digits)
					// Directions go by the matrix itself.
					d := w.matrix.Direction([3]float64{1, 2, 3})
					near(t, where+": direction", extra, d[:], 5e-6)
				}
			}
		})
	}
}

// random is a rig with V vertices of 1 to 6 influences that sum to 1.
func random(seed uint64, v int) (*rig.Rig, *rand.Rand) {
	rnd := rand.New(rand.NewPCG(seed, 1))
	pos := make([]float32, 3*v)
	for i := range pos {
		pos[i] = rnd.Float32()*2 - 1
	}
	r := points(pos, 0, 0, 0, 0, 0, 0)
	m := &r.Meshes[0]
	m.Normals = make([]float32, 3*v)
	for i := range v {
		m.Normals[3*i+i%3] = 1
		n, sum := 1+rnd.IntN(6), float32(0)
		for k := range n {
			w := rnd.Float32() + .01
			m.Weights[m.K*i+k], sum = w, sum+w
		}
		for k := range n {
			m.Weights[m.K*i+k] /= sum
		}
		rnd.Shuffle(6, func(a, b int) {
			j, w := m.Joints[m.K*i:], m.Weights[m.K*i:]
			j[a], j[b], w[a], w[b] = j[b], j[a], w[b], w[a]
		})
	}
	return r, rnd
}

func anyMotion(rnd *rand.Rand) rig.Affine {
	t := rig.TRS{
		T: [3]float64{rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()},
		R: axis(rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64(), rnd.Float64()*6),
		S: [3]float64{1, 1, 1},
	}
	return t.Affine()
}

// Invariants of blending (closed form), over 500 random vertices.
func TestInvariants(t *testing.T) {
	r, rnd := random(1, 500)
	var joints [6]rig.Affine
	for i := range joints {
		joints[i] = anyMotion(rnd)
	}
	base := map[Method][]float32{Linear: apply(r, Linear, joints[:]...), Dual: apply(r, Dual, joints[:]...)}

	t.Run("rest identity", func(t *testing.T) {
		for m := range base {
			got := apply(r, m, rig.Identity, rig.Identity, rig.Identity, rig.Identity, rig.Identity, rig.Identity)
			near(t, "rest", got, widen(r.Meshes[0].Positions), 5e-7)
		}
	})
	t.Run("partition of unity: a shift of all joints shifts all vertices", func(t *testing.T) {
		moved := joints
		for i := range moved {
			s := shift(1, -2, .5)
			moved[i] = s.Mul(&joints[i])
		}
		for m, b := range base {
			want := widen(b)
			for i := 0; i < len(want); i += 3 {
				want[i], want[i+1], want[i+2] = want[i]+1, want[i+1]-2, want[i+2]+.5
			}
			near(t, "shifted", apply(r, m, moved[:]...), want, 1e-5)
		}
	})
	t.Run("rigid equivariance", func(t *testing.T) {
		a := anyMotion(rnd)
		moved := joints
		for i := range moved {
			moved[i] = a.Mul(&joints[i])
		}
		for m, b := range base {
			near(t, "moved", apply(r, m, moved[:]...), through(&a, b), 1e-5)
		}
	})
	t.Run("affine equivariance of linear", func(t *testing.T) {
		a := rig.Affine{1, .5, 0, 1, 0, 2, .25, 0, 0, 0, -1, 3}
		moved := joints
		for i := range moved {
			moved[i] = a.Mul(&joints[i])
		}
		near(t, "moved", apply(r, Linear, moved[:]...), through(&a, base[Linear]), 1e-5)
	})
	t.Run("convexity: inside the box of the single-joint images", func(t *testing.T) {
		m := &r.Meshes[0]
		for v := range m.Vertices() {
			for axis := range 3 {
				lo, hi := math.Inf(1), math.Inf(-1)
				for k := range 6 {
					if m.Weights[m.K*v+k] == 0 {
						continue
					}
					p := joints[m.Joints[m.K*v+k]].Point([3]float64(widen(m.Positions[3*v : 3*v+3])))
					lo, hi = min(lo, p[axis]), max(hi, p[axis])
				}
				if got := float64(base[Linear][3*v+axis]); got < lo-1e-5 || got > hi+1e-5 {
					t.Fatalf("vertex %d, axis %d: %g is outside %g … %g", v, axis, got, lo, hi)
				}
			}
		}
	})
	t.Run("grouping changes nothing: every vertex alone, in float64", func(t *testing.T) {
		m := &r.Meshes[0]
		var want []float64
		for v := range m.Vertices() {
			sum := [3]float64{}
			for k := range m.K {
				if w := float64(m.Weights[m.K*v+k]); w != 0 {
					p := joints[m.Joints[m.K*v+k]].Point([3]float64(widen(m.Positions[3*v : 3*v+3])))
					sum[0], sum[1], sum[2] = sum[0]+w*p[0], sum[1]+w*p[1], sum[2]+w*p[2]
				}
			}
			want = append(want, sum[:]...)
		}
		near(t, "alone", base[Linear], want, 2e-6)
	})
}

func widen(s []float32) []float64 {
	out := make([]float64, len(s))
	for i, v := range s {
		out[i] = float64(v)
	}
	return out
}

func through(a *rig.Affine, p []float32) []float64 {
	var out []float64
	for i := 0; i < len(p); i += 3 {
		q := a.Point([3]float64(widen(p[i : i+3])))
		out = append(out, q[:]...)
	}
	return out
}

// What cannot be used is left out, and nothing panics.
func TestUnusableInfluences(t *testing.T) {
	nan := float32(math.NaN())
	for _, w := range []struct {
		name    string
		joints  []uint16
		weights []float32
		want    []float64
	}{
		{"joint beyond the skin", []uint16{0, 9, 0, 0}, []float32{1, .5, 0, 0}, []float64{1, 2, 3}},
		{"weight not a number", []uint16{0, 1, 0, 0}, []float32{1, nan, 0, 0}, []float64{1, 2, 3}},
		{"infinite weight", []uint16{0, 1, 0, 0}, []float32{1, float32(math.Inf(1)), 0, 0}, []float64{1, 2, 3}},
		{"no weight: the origin, as the sum says", []uint16{0, 0, 0, 0}, []float32{0, 0, 0, 0}, []float64{0, 0, 0}},
		{"half a weight", []uint16{0, 0, 0, 0}, []float32{.5, 0, 0, 0}, []float64{.5, 1, 1.5}},
		{"negative weight counts", []uint16{0, 1, 0, 0}, []float32{2, -1, 0, 0}, []float64{1, 2, 3}},
		{"one joint twice", []uint16{1, 1, 0, 0}, []float32{.5, .5, 0, 0}, []float64{1, 2, 3}},
		{"zero slot before a used one", []uint16{0, 1, 1, 0}, []float32{0, 1, 0, 0}, []float64{1, 2, 3}},
	} {
		t.Run(w.name, func(t *testing.T) {
			r := points([]float32{1, 2, 3}, 1, 0)
			r.Meshes[0].Joints, r.Meshes[0].Weights = w.joints, w.weights
			near(t, "linear", apply(r, Linear, rig.Identity, rig.Identity), w.want, 1e-6)
			if w.name != "half a weight" { // a rotation is made unit: Dual has no half
				near(t, "dual", apply(r, Dual, rig.Identity, rig.Identity), w.want, 1e-6)
			}
		})
	}
}

// A primitive without joints follows the node that holds the mesh, and so does a
// surface without a skin; the skinned one beside it does not.
func TestFollowsNode(t *testing.T) {
	r := points([]float32{1, 1, 1, 1, 1, 1}, 1)
	r.Meshes[0].Primitives = []rig.PrimitiveData{{First: 0, Count: 1, Sets: 1}, {First: 1, Count: 1}}
	holder := r.Nodes[1].Matrix.Point([3]float64{1, 1, 1})
	got := apply(r, Linear, shift(0, 0, 5))
	near(t, "skinned, then loose", got, append([]float64{1, 1, 6}, holder[:]...), 1e-5)
	got = apply(r, Dual, shift(0, 0, 5))
	near(t, "dual", got, append([]float64{1, 1, 6}, holder[:]...), 1e-5)

	r.Surfaces[0].Skin = rig.None
	got = apply(r, Linear, shift(0, 0, 5))
	near(t, "no skin", got, append(holder[:], holder[:]...), 1e-5)
}
