package lamplighter

import (
	"math"
	"slices"
	"sync"
	"testing"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

var variant sync.Map // Options → func() *rig.Rig

// variants are built once; the sizes between 10k and 100k catch links that melt and
// crumbs that come off at one grid and not at another.
func variants(t *testing.T, each func(t *testing.T, r *rig.Rig)) {
	t.Helper()
	for i, p := range []Pose{T, A} {
		for k, n := range []int{4_000, 0, 17_000, 30_000, 100_000} {
			if !rounds.Run(2*i+k, 3) {
				continue
			}
			o := Options{Pose: p, Vertices: n}
			r, _ := variant.LoadOrStore(o, sync.OnceValue(func() *rig.Rig { return Build(o) }))
			t.Run(o.FileName(), func(t *testing.T) { each(t, Clone(r.(func() *rig.Rig)())) })
		}
	}
}

// TestClosedManifold: every edge has two triangles that run along it in opposite
// directions, the vertices hang together in one shell, and the Euler characteristic
// is 2 − 2·12, one handle for each of the twelve links.
func TestClosedManifold(t *testing.T) {
	variants(t, func(t *testing.T, r *rig.Rig) {
		m := &r.Meshes[0]
		v, f := m.Vertices(), len(m.Triangles)/3
		ends := make([]uint64, 0, 3*f)
		shell := make([]uint32, v)
		for i := range shell {
			shell[i] = uint32(i)
		}
		root := func(a uint32) uint32 {
			for shell[a] != a {
				shell[a] = shell[shell[a]]
				a = shell[a]
			}
			return a
		}
		for i := 0; i < len(m.Triangles); i += 3 {
			for k := range 3 {
				a, b := m.Triangles[i+k], m.Triangles[i+(k+1)%3]
				if a == b {
					t.Fatalf("triangle %d has two equal corners", i/3)
				}
				ends = append(ends, uint64(a)<<32|uint64(b))
				shell[root(a)] = root(b)
			}
		}
		slices.Sort(ends)
		for i, e := range ends {
			if i > 0 && ends[i-1] == e {
				t.Fatalf("edge %d→%d comes twice the same way", e>>32, uint32(e))
			}
			if _, ok := slices.BinarySearch(ends, e<<32|e>>32); !ok {
				t.Fatalf("edge %d→%d has one triangle", e>>32, uint32(e))
			}
		}
		shells := 0
		for i := range shell {
			if root(uint32(i)) == uint32(i) {
				shells++
			}
		}
		if euler := v - len(ends)/2 + f; shells != 1 || euler != 2-2*2*links {
			t.Errorf("%d shells, Euler characteristic %d; want 1, %d", shells, euler, 2-2*2*links)
		}
	})
}

// TestFans: the triangles round each vertex form one ring (no two fans that touch in
// a point): walking from one to the next meets all of them.
func TestFans(t *testing.T) {
	m := &Build(Options{}).Meshes[0]
	next := map[uint64]uint32{} // at a vertex, from one neighbour to the next
	count := make([]int, m.Vertices())
	for i := 0; i < len(m.Triangles); i += 3 {
		for k := range 3 {
			a, b, c := m.Triangles[i+k], m.Triangles[i+(k+1)%3], m.Triangles[i+(k+2)%3]
			next[uint64(a)<<32|uint64(b)] = c
			count[a]++
		}
	}
	for i := 0; i < len(m.Triangles); i++ {
		a, start := m.Triangles[i], m.Triangles[i/3*3+(i%3+1)%3]
		steps, at := 1, next[uint64(a)<<32|uint64(start)]
		for at != start && steps <= count[a] {
			at = next[uint64(a)<<32|uint64(at)]
			steps++
		}
		if steps != count[a] {
			t.Fatalf("vertex %d: a fan of %d of its %d triangles", a, steps, count[a])
		}
	}
}

// TestMirroredToTheBit: each vertex off the middle has a partner with x negated and
// all else bit-equal, weights on the partner joints; triangles too.
func TestMirroredToTheBit(t *testing.T) {
	variants(t, func(t *testing.T, r *rig.Rig) {
		m := &r.Meshes[0]
		type key [3]float32
		place := make(map[key]int, m.Vertices())
		of := func(v int, s float32) key {
			return key{s*m.Positions[3*v] + 0, m.Positions[3*v+1], m.Positions[3*v+2]}
		}
		for v := range m.Vertices() {
			if _, twice := place[of(v, 1)]; twice {
				t.Fatalf("vertex %d stands where another does", v)
			}
			place[of(v, 1)] = v
		}
		partner := make([]uint32, m.Vertices())
		for v := range m.Vertices() {
			u, ok := place[of(v, -1)]
			if !ok {
				t.Fatalf("vertex %d at %v has no partner", v, m.Positions[3*v:3*v+3])
			}
			partner[v] = uint32(u)
			n, q := m.Normals[3*v:3*v+3], m.Normals[3*u:3*u+3]
			if n[0] != -q[0] || n[1] != q[1] || n[2] != q[2] {
				t.Fatalf("vertex %d: normal %v, partner's %v", v, n, q)
			}
			var a, b [joints]float32
			for k := range 4 {
				a[mirror(int(m.Joints[4*v+k]))] += m.Weights[4*v+k]
				b[m.Joints[4*u+k]] += m.Weights[4*u+k]
			}
			if a != b {
				t.Fatalf("vertex %d: weights %v, partner's %v", v, a, b)
			}
		}
		seen := map[[3]uint32]bool{}
		turn := func(a, b, c uint32) [3]uint32 { // smallest first, order kept
			switch min(a, b, c) {
			case b:
				return [3]uint32{b, c, a}
			case c:
				return [3]uint32{c, a, b}
			}
			return [3]uint32{a, b, c}
		}
		for i := 0; i < len(m.Triangles); i += 3 {
			seen[turn(m.Triangles[i], m.Triangles[i+1], m.Triangles[i+2])] = true
		}
		for i := 0; i < len(m.Triangles); i += 3 {
			if !seen[turn(partner[m.Triangles[i]], partner[m.Triangles[i+2]], partner[m.Triangles[i+1]])] {
				t.Fatalf("triangle %d has no mirror image", i/3)
			}
		}
	})
}

// TestTriangles: no slivers, no two vertices nearer than 1e-5 of the diagonal,
// normals unit and on the side of their triangles, facing outwards.
func TestTriangles(t *testing.T) {
	variants(t, func(t *testing.T, r *rig.Rig) {
		m := &r.Meshes[0]
		at := func(i uint32) space.Vec {
			return space.Vec{float64(m.Positions[3*i]), float64(m.Positions[3*i+1]), float64(m.Positions[3*i+2])}
		}
		volume, flattest, shortest, opposed := 0.0, math.Inf(1), math.Inf(1), 0
		for i := 0; i < len(m.Triangles); i += 3 {
			a, b, c := at(m.Triangles[i]), at(m.Triangles[i+1]), at(m.Triangles[i+2])
			n := b.Sub(a).Cross(c.Sub(a))
			longest := max(b.Sub(a).Len(), c.Sub(b).Len(), a.Sub(c).Len())
			shortest = min(shortest, b.Sub(a).Len(), c.Sub(b).Len(), a.Sub(c).Len())
			flattest = min(flattest, n.Len()/(longest*longest))
			volume += a.Dot(b.Cross(c)) / 6
			for _, v := range m.Triangles[i : i+3] {
				if n.Dot(space.Vec{float64(m.Normals[3*v]), float64(m.Normals[3*v+1]), float64(m.Normals[3*v+2])}) < 0 {
					opposed++
				}
			}
		}
		for i := 0; i < len(m.Normals); i += 3 {
			x, y, z := float64(m.Normals[i]), float64(m.Normals[i+1]), float64(m.Normals[i+2])
			if l := math.Sqrt(x*x + y*y + z*z); !(math.Abs(l-1) < 1e-6) {
				t.Fatalf("normal %d is %v long", i/3, l)
			}
		}
		const diagonal = 2.68
		// Far inside the limits of the checks: 1e-4 height ÷ base, 1e-5 of the diagonal.
		// A few corners of the bent wires are turned more than 90° from their vertex.
		if !(flattest > 0.02) || !(shortest > 4e-4*diagonal/math.Sqrt(float64(m.Vertices())/1e4)) || opposed > m.Vertices()/150 || !(volume > 0.13) {
			t.Errorf("flattest %.2g, shortest edge %.2g m, %d normals opposed, volume %.4f m³", flattest, shortest, opposed, volume)
		}
	})
}

// TestStands: soles on the ground, 1.86 m tall, bounds as stored.
func TestStands(t *testing.T) {
	variants(t, func(t *testing.T, r *rig.Rig) {
		p := &r.Meshes[0].Primitives[0]
		if !(math.Abs(p.Min[1]) < 0.003) || !(math.Abs(p.Max[1]-1.86) < 0.005) {
			t.Errorf("stands from %.4f to %.4f m, want 0 to 1.86", p.Min[1], p.Max[1])
		}
		if p.Min[0] != -p.Max[0] || p.Min != p.TrueMin || p.Max != p.TrueMax {
			t.Errorf("bounds %v %v", p.Min, p.Max)
		}
	})
}

// TestCullingChangesNoBit: the distance at every stored node is bit-equal with all
// solids and with the few that the block kept, and blocks left out hold no surface.
func TestCullingChangesNoBit(t *testing.T) {
	b := newBody(A)
	g := b.lattice(2)
	n := &net{solids: b.solids, g: g}
	n.sampleAll()
	// The union in full: every solid, group by group.
	distance := func(x, y, z float64) float64 {
		all := 1e9
		for p := range groups {
			part := 1e9
			for i := range b.solids {
				if b.solids[i].group == p {
					part = smoothMin(part, b.solids[i].distance(x, y, z), within[p])
				}
			}
			if p == coat {
				part += seam(x, y, z)
			}
			all = smoothMin(all, part, max(joined[p], 1e-9))
		}
		return all
	}
	for k := range g.z {
		for j := range g.y {
			for i := range g.x {
				x, y, z := g.node(i, j, k)
				got, want := n.value(i, j, k), float32(distance(math.Abs(x), y, z))
				if got >= 1e9 || got <= -1e9 {
					if got < 0 != (want < 0) {
						t.Fatalf("node %d %d %d left out: %v, is %v", i, j, k, got, want)
					}
				} else if got != want {
					t.Fatalf("node %d %d %d: %v, with all solids %v", i, j, k, got, want)
				}
			}
		}
	}
}

func TestBuildTwice(t *testing.T) {
	a, b := GLB(Options{}), GLB(Options{})
	if !slices.Equal(a, b) {
		t.Error("two builds differ")
	}
}
