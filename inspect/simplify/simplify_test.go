package simplify

import (
	"context"
	"math"
	"testing"
)

// cube is a cube of edge 1 with n×n squares a face, closed, faces outward.
func cube(n int) *Mesh {
	m := &Mesh{D: 3}
	at := map[[3]int]uint32{}
	vertex := func(p [3]int) uint32 {
		v, had := at[p]
		if !had {
			v = uint32(len(at))
			at[p] = v
			for _, x := range p {
				m.At = append(m.At, float64(x)/float64(n))
			}
		}
		return v
	}
	for axis := range 3 {
		for _, side := range []int{0, n} {
			for i := range n {
				for j := range n {
					var q [4]uint32
					for k, d := range [4][2]int{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
						var p [3]int
						p[axis], p[(axis+1)%3], p[(axis+2)%3] = side, i+d[0], j+d[1]
						q[k] = vertex(p)
					}
					if side == 0 {
						q[1], q[3] = q[3], q[1]
					}
					m.Triangles = append(m.Triangles, q[0], q[1], q[2], q[0], q[2], q[3])
				}
			}
		}
	}
	m.Locked = make([]bool, len(at))
	return m
}

// sphere is a cube of n×n faces blown up to radius 1.
func sphere(n int) *Mesh {
	m := cube(n)
	for v := range m.Locked {
		p := m.At[3*v : 3*v+3]
		l := 0.0
		for k := range p {
			p[k] = 2*p[k] - 1
			l += p[k] * p[k]
		}
		for k := range p {
			p[k] /= math.Sqrt(l)
		}
	}
	return m
}

func (m *Mesh) volume(triangles []uint32, gone []bool) (sum float64) {
	for t := range gone {
		if gone[t] {
			continue
		}
		p := func(k int) []float64 { return m.At[m.D*int(triangles[3*t+k]):] }
		a, b, c := p(0), p(1), p(2)
		sum += (a[0]*(b[1]*c[2]-b[2]*c[1]) + a[1]*(b[2]*c[0]-b[0]*c[2]) + a[2]*(b[0]*c[1]-b[1]*c[0])) / 6
	}
	return sum
}

// closed tells that every edge has two triangles, and answers the Euler characteristic.
func closed(triangles []uint32, gone []bool) (euler int, ok bool) {
	count, corners, faces := map[[2]uint32]int{}, map[uint32]bool{}, 0
	for t := range gone {
		if gone[t] {
			continue
		}
		faces++
		for k := range 3 {
			a, b := triangles[3*t+k], triangles[3*t+(k+1)%3]
			count[[2]uint32{min(a, b), max(a, b)}]++
			corners[a] = true
		}
	}
	ok = true
	for _, n := range count {
		ok = ok && n == 2
	}
	return len(corners) - len(count) + faces, ok
}

// A cube of many squares is a cube of twelve triangles: nothing of its shape is lost.
func TestCubeBecomesTwelveTriangles(t *testing.T) {
	m := cube(8)
	r, err := m.Reduce(12, nil)
	if err != nil || r.Left != 12 {
		t.Fatal(err, r.Left)
	}
	if v := m.volume(r.Triangles, r.Gone); math.Abs(v-1) > 1e-12 {
		t.Errorf("its volume is %g", v)
	}
	if e, ok := closed(r.Triangles, r.Gone); e != 2 || !ok {
		t.Errorf("Euler characteristic %d, closed %v", e, ok)
	}
}

// A sphere stays one: closed, of genus 0, never turned in; its volume is that of the closed
// form less what flat triangles cut off, and less is lost the more are left.
func TestSphere(t *testing.T) {
	m := sphere(16)
	before := 0.0
	for _, want := range []int{60, 200, 800, 2400} {
		r, err := m.Reduce(want, nil)
		if err != nil || r.Left > want || r.Left < want-1 {
			t.Fatal(err, r.Left)
		}
		if e, ok := closed(r.Triangles, r.Gone); e != 2 || !ok {
			t.Errorf("%d: Euler characteristic %d, closed %v", want, e, ok)
		}
		v := m.volume(r.Triangles, r.Gone)
		// n equal triangles with corners on a sphere lie 2π/(√3·n) under it on the mean (closed
		// form: side² = 16π/(√3·n), depth side²/8), so 6π/(√3·n) of the volume is lacking.
		lack := (4*math.Pi/3 - v) / (4 * math.Pi / 3)
		if lack <= 0 || lack > 2*6*math.Pi/math.Sqrt(3)/float64(want) || v < before {
			t.Errorf("%d triangles lack %g of the volume", want, lack)
		}
		before = v
	}
}

// What is locked stays; within a limit only what costs less goes; a stop is heard.
func TestReduceLimits(t *testing.T) {
	m := cube(6)
	for v := range m.Locked {
		m.Locked[v] = m.At[3*v] == 0
	}
	r, _ := m.Reduce(1, nil)
	for v := range m.Locked {
		if m.Locked[v] && r.To[v] != uint32(v) {
			t.Errorf("vertex %d went", v)
		}
	}
	flat, _ := (&Mesh{Triangles: cube(6).Triangles, At: cube(6).At, D: 3, Locked: make([]bool, len(m.Locked)), Within: 1e-9}).Reduce(1, nil)
	if flat.Left != 12 {
		t.Errorf("%d triangles are left of a cube within nothing, want 12", flat.Left)
	}
	if _, err := sphere(4).Reduce(4, func() error { return context.Canceled }); err == nil {
		t.Error("it does not stop")
	}
}

// Further dimensions count: a flat sheet that bends in a pose along its middle keeps the
// middle, and is flat but for it.
func TestPosesCount(t *testing.T) {
	const n = 8
	m := &Mesh{D: 6}
	for j := range n + 1 {
		for i := range n + 1 {
			x, y := float64(i)/n, float64(j)/n
			lift := max(0, x-.5)
			m.At = append(m.At, x, y, 0, x-lift, y, lift) // folded up by a right angle
			m.Locked = append(m.Locked, (i == 0 || i == n) && (j == 0 || j == n))
		}
	}
	for j := range n {
		for i := range n {
			a := uint32(j*(n+1) + i)
			m.Triangles = append(m.Triangles, a, a+1, a+n+2, a, a+n+2, a+n+1)
		}
	}
	for v := range m.Locked { // its border stays
		i, j := v%(n+1), v/(n+1)
		m.Locked[v] = i == 0 || j == 0 || i == n || j == n
	}
	m.Within = 1e-6
	r, _ := m.Reduce(1, nil)
	across := func(m *Mesh, r *Reduced) (n int) {
		for t, gone := range r.Gone {
			low, high := false, false
			for k := range 3 {
				x := m.At[m.D*int(r.Triangles[3*t+k])]
				low, high = low || x < .5-1e-9, high || x > .5+1e-9
			}
			if low && high && !gone {
				n++
			}
		}
		return n
	}
	if n := across(m, r); n > 0 {
		t.Errorf("%d triangles go across the fold", n)
	}
	if r.Left >= len(r.Gone)*3/4 {
		t.Errorf("%d of %d are left", r.Left, len(r.Gone))
	}
	m.D = 3
	var flat []float64
	for v := range m.Locked {
		flat = append(flat, m.At[6*v:6*v+3]...)
	}
	m.At = flat
	if plain, _ := m.Reduce(1, nil); across(m, plain) == 0 {
		t.Error("without the pose nothing tells of the fold, and none goes across it")
	}
}

// What goes on one side goes on the other.
func TestSidesStayAlike(t *testing.T) {
	m := sphere(12)
	find := map[[3]int]int32{}
	key := func(x, y, z float64) [3]int {
		return [3]int{int(math.Round(x * 1e6)), int(math.Round(y * 1e6)), int(math.Round(z * 1e6))}
	}
	for v := range m.Locked {
		find[key(m.At[3*v], m.At[3*v+1], m.At[3*v+2])] = int32(v)
	}
	for v := range m.Locked {
		m.Opposite = append(m.Opposite, find[key(-m.At[3*v], m.At[3*v+1], m.At[3*v+2])])
	}
	r, _ := m.Reduce(500, nil)
	lone := 0
	for v := range m.Locked {
		if (r.To[v] == uint32(v)) != (r.To[m.Opposite[v]] == uint32(m.Opposite[v])) {
			lone++
		}
	}
	if lone > 2 {
		t.Errorf("%d vertices stay on one side alone", lone)
	}
}
