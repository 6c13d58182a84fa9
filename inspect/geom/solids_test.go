package geom

import (
	"math"
	"testing"

	"rigloupe/inspect/space"
)

// ring answers n points of a circle in the plane y = h.
func ring(points []float32, n int, radius, h float64) []float32 {
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		points = append(points, float32(radius*s), float32(h), float32(radius*c))
	}
	return points
}

// band joins two rings of n, the lower at a, the upper at b.
func band(triangles []uint32, n, a, b int) []uint32 {
	for i := range n {
		j := (i + 1) % n
		triangles = append(triangles, uint32(a+i), uint32(a+j), uint32(b+j), uint32(a+i), uint32(b+j), uint32(b+i))
	}
	return triangles
}

// fan closes a ring at a with the point p; up says which way the lid faces.
func fan(triangles []uint32, n, a, p int, up bool) []uint32 {
	for i := range n {
		j := (i + 1) % n
		if up {
			triangles = append(triangles, uint32(a+i), uint32(a+j), uint32(p))
		} else {
			triangles = append(triangles, uint32(a+j), uint32(a+i), uint32(p))
		}
	}
	return triangles
}

// prism is a capped n-gon tube of height 1 with so many segments (W40, W43).
func prism(n, segments int, capped bool) (points []float32, triangles []uint32) {
	for s := range segments + 1 {
		points = ring(points, n, 1, float64(s)/float64(segments))
		if s > 0 {
			triangles = band(triangles, n, (s-1)*n, s*n)
		}
	}
	if capped {
		low := len(points) / 3
		points = append(points, 0, 0, 0, 0, 1, 0)
		triangles = fan(triangles, n, 0, low, false)
		triangles = fan(triangles, n, segments*n, low+1, true)
	}
	return points, triangles
}

// uvSphere is the UV sphere of W39.
func uvSphere(stacks, slices int) (points []float32, triangles []uint32) {
	for s := 1; s < stacks; s++ {
		sin, cos := math.Sincos(math.Pi * float64(s) / float64(stacks))
		points = ring(points, slices, sin, -cos)
		if s > 1 {
			triangles = band(triangles, slices, (s-2)*slices, (s-1)*slices)
		}
	}
	low := len(points) / 3
	points = append(points, 0, -1, 0, 0, 1, 0)
	triangles = fan(triangles, slices, 0, low, false)
	return points, fan(triangles, slices, (stacks-2)*slices, low+1, true)
}

// torus of W41: R = 1, r = 0.25.
func torus(n, m int) (points []float32, triangles []uint32) {
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		for j := range m {
			t, d := math.Sincos(2 * math.Pi * float64(j) / float64(m))
			r := 1 + 0.25*d
			points = append(points, float32(r*c), float32(0.25*t), float32(r*s))
		}
	}
	at := func(i, j int) uint32 { return uint32(i%n*m + j%m) }
	for i := range n {
		for j := range m {
			a, b, c, d := at(i, j), at(i, j+1), at(i+1, j+1), at(i+1, j)
			triangles = append(triangles, a, b, c, a, c, d)
		}
	}
	return points, triangles
}

func welded(points []float32, triangles []uint32) ([]float32, []uint32) {
	w := Weld(points, nil)
	p, t := make([]float32, 0, 3*w.Groups()), make([]uint32, len(triangles))
	for _, v := range w.First {
		p = append(p, points[3*v:3*v+3]...)
	}
	for i, v := range triangles {
		t[i] = w.Of[v]
	}
	return p, t
}

// The solids of the worked numbers (closed form): counts exactly, volumes and areas
// to the six digits given.
func TestSolids(t *testing.T) {
	type solid struct {
		name         string
		points       []float32
		triangles    []uint32
		v, e, f      int
		open, loops  int
		volume, area float64
	}
	var rows []solid
	row := func(name string, points []float32, triangles []uint32, v, e, f, open, loops int, volume, area float64) {
		rows = append(rows, solid{name, points, triangles, v, e, f, open, loops, volume, area})
	}
	p, tri := cube()
	row("W42 cube as stored", p, tri, 24, 30, 12, 24, 6, math.NaN(), 6)
	p, tri = welded(p, tri)
	row("W36 W42 cube welded", p, tri, 8, 18, 12, 0, 0, 1, 6)
	row("W36 cube shifted", turned(p, space.Vec{0, 0, 1}, 0, 1, space.Vec{100, -50, 25}), tri, 8, 18, 12, 0, 0, 1, 6)
	row("W37 cube without a face", p, tri[6:], 8, 17, 10, 4, 1, math.NaN(), 5)
	for n, want := range [][2]float64{{2.536151, 9.574541}, {3.658712, 11.665931}, {4.047045, 12.329849}, {4.152741, 12.506493}, {4.179739, 12.551354}, {4.186525, 12.562613}} {
		p, tri := icosphere(n)
		k := 1 << (2 * n)
		row("W38 icosphere", p, tri, 10*k+2, 30*k, 20*k, 0, 0, want[0], want[1])
	}
	for _, s := range []struct {
		m, n         int
		volume, area float64
	}{{8, 16, 3.926596, 12.166689}, {16, 32, 4.121942, 12.465694}, {32, 64, 4.171996, 12.541154}} {
		p, tri := uvSphere(s.m, s.n)
		row("W39 UV sphere", p, tri, s.n*(s.m-1)+2, 3*s.n*(s.m-1), 2*s.n*(s.m-1), 0, 0, s.volume, s.area)
	}
	for _, s := range []space.Vec{{6, 2.598076, 6}, {8, 2.828427, 6.122935}, {12, 3, 6.211657}, {16, 3.061467, 6.242890}, {24, 3.105829, 6.265257}, {32, 3.121445, 6.273097}, {64, 3.136548, 6.280662}} {
		n := int(s[0])
		p, tri := prism(n, 1, true)
		row("W40 prism", p, tri, 2*n+2, 6*n, 4*n, 0, 0, s[1], s[2]+2*s[1]) // lids have the volume's area at h = 1
		p, tri = prism(n, 1, false)
		row("W40 prism, lateral", p, tri, 2*n, 4*n, 2*n, 2*n, 2, math.NaN(), s[2])
	}
	p, tri = torus(32, 16)
	row("W41 torus", p, tri, 512, 1536, 1024, 0, 0, 1.194525, 9.767006)
	p, tri = prism(16, 10, true)
	row("W43 capped tube", p, tri, 178, 528, 352, 0, 0, 3.061467, 6.242890+2*3.061467)
	for _, r := range rows {
		edges := FindEdges(r.triangles, len(r.points)/3, nil)
		shells := FindShells(r.points, r.triangles, edges, nil)
		v, area, volume, closed, open := 0, 0.0, 0.0, true, 0
		for i := range shells.List {
			s := &shells.List[i]
			v, area, volume, open, closed = v+s.Places, area+s.Area, volume+s.Volume, open+s.Open, closed && s.Closed()
		}
		if v != r.v || edges.N() != r.e || len(r.triangles)/3 != r.f || open != r.open {
			t.Errorf("%s: V/E/F %d/%d/%d, open %d; want %d/%d/%d, %d", r.name, v, edges.N(), len(r.triangles)/3, open, r.v, r.e, r.f, r.open)
		}
		if loops := BoundaryLoops(edges); len(loops) != r.loops {
			t.Errorf("%s: %d loops, want %d", r.name, len(loops), r.loops)
		}
		if closed == math.IsNaN(r.volume) || closed && math.Abs(volume-r.volume) > 2e-6 || math.Abs(area-r.area) > 4e-6 {
			t.Errorf("%s: closed %v, volume %.7f, area %.7f, want %.6f, %.6f", r.name, closed, volume, area, r.volume, r.area)
		}
	}
}

// Two holes that touch at a corner are two loops; a triangle turned over has mixed
// edges; a fin branches.
func TestEdgesOfFaults(t *testing.T) {
	p, tri := icosphere(1)
	a := tri[0]
	cut := append([]uint32(nil), tri[3:]...)
	for i := 3; i < len(cut); i += 3 { // the triangle farthest round the same corner
		if cut[i] == a || cut[i+1] == a || cut[i+2] == a {
			shared := 0
			for _, v := range cut[i : i+3] {
				for _, w := range tri[:3] {
					if v == w {
						shared++
					}
				}
			}
			if shared == 1 {
				cut = append(cut[:i:i], cut[i+3:]...)
				break
			}
		}
	}
	if loops := BoundaryLoops(FindEdges(cut, len(p)/3, nil)); len(loops) != 2 || !loops[0].Closed || !loops[1].Closed || len(loops[0].Places) != 3 {
		t.Errorf("loops %v, want two of three", loops)
	}
	turned := append([]uint32(nil), tri...)
	turned[0], turned[1] = turned[1], turned[0]
	mixed := 0
	for _, m := range FindEdges(turned, len(p)/3, nil).Mixed {
		if m {
			mixed++
		}
	}
	if mixed != 3 {
		t.Errorf("%d mixed edges, want 3", mixed)
	}
	fin := append(append([]uint32(nil), tri...), tri[0], tri[1], tri[30])
	branching := 0
	for _, n := range FindEdges(fin, len(p)/3, nil).Count {
		if n > 2 {
			branching++
		}
	}
	if branching != 1 {
		t.Errorf("%d branching edges, want 1", branching)
	}
}
