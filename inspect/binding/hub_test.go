package binding

import (
	"math"
	"math/rand"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// fan is the ladder's skeleton under a fan of triangles around two places in which all of
// n rim vertices meet, each with weights of its own.
func fan(n int) *rig.Rig {
	r := ladder()
	m := &r.Meshes[0]
	random := rand.New(rand.NewSource(4))
	m.Positions, m.Joints, m.Weights, m.Triangles = nil, nil, nil, nil
	add := func(x, y, z float64) {
		w := random.Float32()
		m.Positions = append(m.Positions, float32(x), float32(y), float32(z))
		m.Joints = append(m.Joints, uint16(random.Intn(2)), 2, 0, 0)
		m.Weights = append(m.Weights, w, 1-w, 0, 0)
	}
	add(0, .1, 0)
	add(0, -.1, 0)
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		add(math.Cos(a), 0, math.Sin(a))
		u, v := uint32(2+i), uint32(2+(i+1)%n)
		m.Triangles = append(m.Triangles, 0, u, v, 1, v, u)
	}
	p := &m.Primitives[0]
	p.Count, p.TriCount = n+2, 2*n
	return r
}

// Where thousands of edges meet in one place, the jumps across them are those of the
// definition, ½ Σ |δ_b − δ_a| worked out edge by edge, and the work grows with the edges.
func TestHubs(t *testing.T) {
	var puts [2]int
	for k, n := range []int{1000, 4000} {
		r := fan(n)
		f := measured(t, r)
		puts[k] = f.puts
		if k > 0 {
			continue
		}
		e := exam.New(r)
		g, weld := buildGraph(e, 0, e.RestPositions(0)), e.Weld(0)
		m := &r.Meshes[0]
		delta := func(place uint32) (d [3]float64) {
			hold := func(p uint32, by float64) {
				v := int(weld.First[p])
				for c := 4 * v; c < 4*v+4; c++ {
					d[m.Joints[c]] += by * float64(m.Weights[c])
				}
			}
			sum := 0.0
			for i := g.start[place]; i < g.start[place+1]; i++ {
				sum += 1 / float64(g.length[i])
			}
			hold(place, 1)
			for i := g.start[place]; i < g.start[place+1]; i++ {
				hold(g.to[i], -1/float64(g.length[i])/sum)
			}
			return d
		}
		hub := delta(weld.Of[0])
		seen := 0
		for _, x := range f.Roughs {
			if x.A != 0 && x.B != 0 {
				continue
			}
			b, want := delta(weld.Of[max(x.A, x.B)]), 0.0
			for j := range b {
				want += math.Abs(b[j]-hub[j]) / 2
			}
			if seen++; math.Abs(x.Jump-want) > 1e-4 {
				t.Errorf("from the hub to %d: %.5f, want %.5f", max(x.A, x.B), x.Jump, want)
			}
		}
		if seen < 100 {
			t.Errorf("%d edges of the hub are rough", seen)
		}
	}
	if puts[1] > 5*puts[0] {
		t.Errorf("four times the edges ask %d weights, not %d", puts[1], puts[0])
	}
}
