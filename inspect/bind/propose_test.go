package bind

import (
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/space"
)

func vecs(v ...float64) (out []space.Vec) {
	for i := 0; i+2 < len(v); i += 3 {
		out = append(out, space.Vec{v[i], v[i+1], v[i+2]})
	}
	return out
}

// shape gathers pieces.
type shape struct {
	points    []float32
	triangles []uint32
}

func (s *shape) add(points []float32, triangles []uint32) *shape {
	base := uint32(len(s.points) / 3)
	s.points = append(s.points, points...)
	for _, v := range triangles {
		s.triangles = append(s.triangles, base+v)
	}
	return s
}

// arm is a closed tube along x.
func arm(from, to, radius float64) ([]float32, []uint32) {
	p, t := tube(from, to, radius, 41, 16)
	return capped(p, t, 16)
}

// ball of a radius about a point (a tube that narrows).
func ball(at space.Vec, radius float64) ([]float32, []uint32) {
	p, t := tube(-1, 1, 1, 9, 10)
	for v := 0; v < len(p); v += 3 {
		a := float64(p[v]) * math.Pi / 2 * .9
		s, c := math.Sincos(a)
		p[v], p[v+1], p[v+2] = float32(at[0]+radius*s), float32(at[1]+radius*c*float64(p[v+1])), float32(at[2]+radius*c*float64(p[v+2]))
	}
	return capped(p, t, 10)
}

// of is a joint's weight at a place.
func (r *Rows) of(p int, joint int32) float64 {
	for k := range K {
		if r.Joint[K*p+k] == joint && r.Weight[K*p+k] > 0 {
			return r.Weight[K*p+k]
		}
	}
	return 0
}

// limb: root on the floor below, shoulder at 0, elbow at 1, wrist at 2.
func limb() Joints {
	return Joints{At: vecs(0, -3, 0, 0, 0, 0, 1, 0, 0, 2, 0, 0), Parent: []int{-1, 0, 1, 2}}
}

func names(p *Proposal, shell int) (out []int) {
	for j, may := range p.May[shell] {
		if may {
			out = append(out, j)
		}
	}
	return out
}

func TestProposals(t *testing.T) {
	upper, lower := func(s *shape) { s.add(arm(-.1, .95, .2)) }, func(s *shape) { s.add(arm(1.05, 2.6, .2)) }
	whole := func(s *shape) { s.add(arm(-.1, 2.6, .2)) }
	for _, row := range []struct {
		name   string
		build  func(s *shape)
		joints Joints
		may    [][]int
		on     []int
		idle   map[int]Idle
	}{
		{"one arm", whole, limb(), [][]int{{1, 2, 3}}, []int{-1}, map[int]Idle{0: Outside}},
		{"two stiff halves", func(s *shape) { upper(s); lower(s) }, limb(), [][]int{{1}, {2, 3}}, []int{-1, -1}, map[int]Idle{0: Outside}},
		{"a sleeve over the arm", func(s *shape) { whole(s); s.add(tube(-.1, 1.9, .3, 30, 16)) }, limb(), [][]int{{1, 2, 3}, {1, 2}}, []int{-1, -1}, nil},
		{"a buckle on it", func(s *shape) { whole(s); s.add(ball(space.Vec{.5, .22, 0}, .05)) }, limb(), [][]int{{1, 2, 3}, nil}, []int{-1, 0}, nil},
		{"a hinge between halves", func(s *shape) { upper(s); lower(s); s.add(ball(space.Vec{1, 0, 0}, .12)) }, limb(), [][]int{{1}, {2, 3}, {1}}, []int{-1, -1, -1}, nil},
		{"a mark at the end", whole, Joints{At: vecs(0, -3, 0, 0, 0, 0, 1, 0, 0, 2, 0, 0, 2.55, 0, 0), Parent: []int{-1, 0, 1, 2, 3}}, [][]int{{1, 2, 3}}, []int{-1}, map[int]Idle{4: Mark}},
		{"a joint with room ahead", whole, Joints{At: vecs(0, -3, 0, 0, 0, 0, 1, 0, 0, 2, 0, 0), Parent: []int{-1, 0, 1, 2}}, [][]int{{1, 2, 3}}, []int{-1}, map[int]Idle{3: Works}},
		{"a handle in the air", whole, Joints{At: vecs(0, -3, 0, 0, 0, 0, 1, 0, 0, 2, 0, 0, 1, 0, 2), Parent: []int{-1, 0, 1, 2, 0}}, [][]int{{1, 2, 3}}, []int{-1}, map[int]Idle{4: Outside}},
		{"controls on the joints", whole, Joints{At: vecs(0, -3, 0, 0, 0, 0, 1, 0, 0, 2, 0, 0, 2, 0, 0, 1, 0, 0), Parent: []int{-1, 0, 1, 2, 0, 0}}, [][]int{{1, 2, 3}}, []int{-1}, map[int]Idle{4: Control, 5: Control}},
		{"a foot that hangs elsewhere", func(s *shape) { upper(s); lower(s) }, Joints{At: vecs(0, -3, 0, 0, 0, 0, 1.1, 0, 0), Parent: []int{-1, 0, 0}}, [][]int{{1}, {2}}, []int{-1, -1}, map[int]Idle{0: Outside}},
		{"nothing inside", whole, Joints{At: vecs(0, 5, 0, 1, 5, 0), Parent: []int{-1, 0}}, [][]int{{0, 1}}, []int{-1}, map[int]Idle{0: Outside, 1: Outside}},
	} {
		var s shape
		row.build(&s)
		f := New(s.points, s.triangles, row.joints, nil)
		p := f.Propose()
		if len(p.May) != len(row.may) {
			t.Errorf("%s: %d shells", row.name, len(p.May))
			continue
		}
		for i := range row.may {
			if got := names(p, i); !equalInts(got, row.may[i]) || p.On[i] != row.on[i] {
				t.Errorf("%s: shell %d may follow %v and lies on %d, want %v, %d", row.name, i, got, p.On[i], row.may[i], row.on[i])
			}
		}
		for j, idle := range row.idle {
			if p.Idle[j] != idle {
				t.Errorf("%s: joint %d is idle %d, want %d", row.name, j, p.Idle[j], idle)
			}
		}
		// Whatever it is, weights come of it.
		sound(t, row.name, f, p)
	}
}

func equalInts(a, b []int) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// sound binds and asks for whole weights at every place that a triangle uses.
func sound(t *testing.T, name string, f *Figure, p *Proposal) *Bound {
	t.Helper()
	b, err := f.Bind(Options{Narrow: Usual, Parts: p})
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	for v, shell := range f.Of {
		if shell < 0 {
			continue
		}
		sum := 0.0
		for k := range K {
			w := b.Rows.Weight[K*v+k]
			if w < 0 || w > 1+1e-9 || w != w {
				t.Fatalf("%s: place %d has %v", name, v, w)
			}
			if p != nil && p.On[shell] < 0 && w > 0 && !p.May[shell][b.Rows.Joint[K*v+k]] {
				t.Fatalf("%s: place %d hangs on joint %d, which may not hold it", name, v, b.Rows.Joint[K*v+k])
			}
			sum += w
		}
		if math.Abs(sum-1) > 1e-6 {
			t.Fatalf("%s: place %d sums to %v", name, v, sum)
		}
	}
	return b
}

// A buckle is stiff, with the row of where it lies; a sleeve goes with the arm under it.
func TestWhatLiesOnIt(t *testing.T) {
	var s shape
	s.add(arm(-.1, 2.6, .2))
	n := len(s.points) / 3
	s.add(ball(space.Vec{.98, .22, 0}, .05))
	m := len(s.points) / 3
	s.add(tube(-.1, 1.9, .3, 30, 16))
	f := New(s.points, s.triangles, limb(), nil)
	b := sound(t, "arm", f, f.Propose())
	if b.Ways[0] != ByHeat || b.Ways[1] != AsOne || b.Ways[2] != ByCarry {
		t.Fatalf("ways %v", b.Ways)
	}
	for v := n; v < m; v++ {
		for k := range K {
			if b.Rows.Weight[K*v+k] != b.Rows.Weight[K*n+k] {
				t.Fatalf("the buckle bends: %v and %v", b.Rows.Weight[K*v:K*v+K], b.Rows.Weight[K*n:K*n+K])
			}
		}
	}
	if w := b.Rows.of(n, 1); w < .3 || w > .7 {
		t.Errorf("a buckle beside the elbow has %.2f of the upper arm", w)
	}
	surface, triangles, _ := f.surfaceOf([]int{0})
	for v := m; v < len(s.points)/3; v++ {
		at := space.At(s.points, v)
		hit, _ := surface.Closest(at, math.Inf(1))
		for j := int32(1); j < 3; j++ {
			x, y := b.Rows.of(v, j), 0.0
			for c := range 3 {
				y += hit.At[c] * b.Rows.of(int(triangles[3*hit.Triangle+c]), j)
			}
			if math.Abs(x-y) > .06 && at[0] < 1.5 {
				t.Errorf("sleeve at %.2f has %.2f of joint %d, the arm under it %.2f", at[0], x, j, y)
			}
		}
	}
}

// What must be survived: no answer may be wrong, slow or none.
func TestSurvives(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	build := func(f func(s *shape)) shape {
		var s shape
		f(&s)
		return s
	}
	many := Joints{}
	for i := range 500 {
		many.At, many.Parent = append(many.At, space.Vec{float64(i) * .005, .01 * r.NormFloat64(), 0}), append(many.Parent, i-1)
	}
	for _, row := range []struct {
		name   string
		s      shape
		joints Joints
	}{
		{"nothing", shape{}, limb()},
		{"no joints", build(func(s *shape) { s.add(arm(-.1, 2.6, .2)) }), Joints{}},
		{"one triangle", shape{[]float32{0, 0, 0, 1, 0, 0, 0, 1, 0}, []uint32{0, 1, 2}}, limb()},
		{"no area", shape{[]float32{0, 0, 0, 1, 0, 0, 2, 0, 0, 3, 0, 0}, []uint32{0, 1, 2, 1, 2, 3, 0, 1, 1}}, limb()},
		{"three sheets on an edge", build(func(s *shape) {
			s.add(arm(-.1, 2.6, .2))
			s.points = append(s.points, 0, .5, 0, 1, .5, .3)
			n := uint32(len(s.points) / 3)
			s.triangles = append(s.triangles, 16, 32, n-2, 16, 32, n-1)
		}), limb()},
		{"not finite", build(func(s *shape) {
			s.add(arm(-.1, 2.6, .2))
			s.points[30] = float32(math.NaN())
		}), limb()},
		{"a joint not finite", build(func(s *shape) { s.add(arm(-.1, 2.6, .2)) }), Joints{At: vecs(0, 0, 0, math.NaN(), 0, 0, 2, 0, 0), Parent: []int{-1, 0, 1}}},
		{"inside out", build(func(s *shape) {
			s.add(arm(-.1, 2.6, .2))
			for i := 0; i < len(s.triangles); i += 3 {
				s.triangles[i], s.triangles[i+1] = s.triangles[i+1], s.triangles[i]
			}
		}), limb()},
		{"500 joints", build(func(s *shape) { s.add(arm(-.1, 2.6, .2)) }), many},
		{"all joints in one place", build(func(s *shape) { s.add(arm(-.1, 2.6, .2)) }), Joints{At: vecs(1, 0, 0, 1, 0, 0, 1, 0, 0), Parent: []int{-1, 0, 1}}},
		{"a ring of parents", build(func(s *shape) { s.add(arm(-.1, 2.6, .2)) }), Joints{At: vecs(0, 0, 0, 1, 0, 0), Parent: []int{1, 0}}},
		{"5,000 shells", build(func(s *shape) {
			s.add(arm(-.1, 2.6, .2))
			for range 5000 {
				x, y, z := float32(r.Float64()*2.6), float32(r.NormFloat64()*.3), float32(r.NormFloat64()*.3)
				s.add([]float32{x, y, z, x + .01, y, z, x, y + .01, z}, []uint32{0, 1, 2})
			}
		}), limb()},
		{"soup", build(func(s *shape) {
			for range 300 {
				s.points = append(s.points, float32(r.Float64()*2.6), float32(r.NormFloat64()*.2), float32(r.NormFloat64()*.2))
			}
			for range 1000 {
				s.triangles = append(s.triangles, uint32(r.IntN(300)), uint32(r.IntN(300)), uint32(r.IntN(300)))
			}
		}), limb()},
	} {
		f := New(row.s.points, row.s.triangles, row.joints, nil)
		if len(row.joints.At) == 0 {
			if b, err := f.Bind(Options{Narrow: Usual, Parts: f.Propose()}); err != nil || b.Ways[0] != ByNone {
				t.Errorf("%s: %v", row.name, err)
			}
			continue
		}
		sound(t, row.name, f, f.Propose())
		sound(t, row.name+", any joint", f, nil)
	}
}

// The same figure, a hundred times as large, turned, and with its joints in another order,
// has the same weights.
func TestScaleAndOrder(t *testing.T) {
	var s shape
	s.add(arm(-.1, 2.6, .2))
	s.add(ball(space.Vec{.5, .22, 0}, .05))
	f := New(s.points, s.triangles, limb(), nil)
	b := sound(t, "as it is", f, f.Propose())
	large := make([]float32, len(s.points))
	for v := 0; v < len(large); v += 3 {
		large[v], large[v+1], large[v+2] = 100*s.points[v+1], 100*s.points[v+2], 100*s.points[v]
	}
	order := []int{2, 0, 3, 1} // old number → new
	j := Joints{At: make([]space.Vec, 4), Parent: make([]int, 4)}
	for i, at := range limb().At {
		j.At[order[i]] = space.Vec{100 * at[1], 100 * at[2], 100 * at[0]}
		j.Parent[order[i]] = -1
		if p := limb().Parent[i]; p >= 0 {
			j.Parent[order[i]] = order[p]
		}
	}
	g := New(large, s.triangles, j, nil)
	c := sound(t, "large", g, g.Propose())
	for v := range f.Of {
		for i := range 4 {
			if x, y := b.Rows.of(v, int32(i)), c.Rows.of(v, int32(order[i])); math.Abs(x-y) > 2e-3 {
				t.Fatalf("place %d joint %d: %v and %v", v, i, x, y)
			}
		}
	}
}

// The dial: the larger, the narrower joints hold.
func TestNarrow(t *testing.T) {
	var s shape
	s.add(arm(-.1, 2.6, .2))
	f := New(s.points, s.triangles, limb(), nil)
	p := f.Propose()
	last := math.Inf(1)
	for _, c := range []float64{1, 4, 16} {
		b, err := f.Bind(Options{Narrow: c, Parts: p})
		if err != nil {
			t.Fatal(err)
		}
		shared := 0.0
		for v := range f.Of {
			shared += 1 - b.Rows.Weight[K*v]
		}
		if !(shared < .8*last) {
			t.Errorf("c = %v: %v shared, before %v", c, shared, last)
		}
		last = shared
	}
}
