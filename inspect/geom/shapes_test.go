package geom

import (
	"math"
	"math/rand/v2"

	"rigloupe/inspect/space"
)

// icosphere is the sphere of skinning mathematics' W38: an icosahedron on radius 1,
// every triangle cut in four n times.
func icosphere(n int) (points []float32, triangles []uint32) {
	g := (1 + math.Sqrt(5)) / 2
	p := []space.Vec{{-1, g, 0}, {1, g, 0}, {-1, -g, 0}, {1, -g, 0}, {0, -1, g}, {0, 1, g}, {0, -1, -g}, {0, 1, -g}, {g, 0, -1}, {g, 0, 1}, {-g, 0, -1}, {-g, 0, 1}}
	for i := range p {
		p[i] = unit(p[i])
	}
	triangles = []uint32{0, 11, 5, 0, 5, 1, 0, 1, 7, 0, 7, 10, 0, 10, 11, 1, 5, 9, 5, 11, 4, 11, 10, 2, 10, 7, 6, 7, 1, 8, 3, 9, 4, 3, 4, 2, 3, 2, 6, 3, 6, 8, 3, 8, 9, 4, 9, 5, 2, 4, 11, 6, 2, 10, 8, 6, 7, 9, 8, 1}
	for range n {
		cut := map[[2]uint32]uint32{}
		half := func(a, b uint32) uint32 {
			k := [2]uint32{min(a, b), max(a, b)}
			if m, ok := cut[k]; ok {
				return m
			}
			p = append(p, unit(space.Vec{p[a][0] + p[b][0], p[a][1] + p[b][1], p[a][2] + p[b][2]}))
			cut[k] = uint32(len(p) - 1)
			return cut[k]
		}
		var next []uint32
		for t := 0; t < len(triangles); t += 3 {
			a, b, c := triangles[t], triangles[t+1], triangles[t+2]
			ab, bc, ca := half(a, b), half(b, c), half(c, a)
			next = append(next, a, ab, ca, b, bc, ab, c, ca, bc, ab, bc, ca)
		}
		triangles = next
	}
	for _, v := range p {
		points = append(points, float32(v[0]), float32(v[1]), float32(v[2]))
	}
	return points, triangles
}

func unit(a space.Vec) space.Vec {
	l := a.Len()
	return space.Vec{a[0] / l, a[1] / l, a[2] / l}
}

// cube is the unit cube as a renderer stores it: 24 vertices, 12 triangles (W42).
func cube() (points []float32, triangles []uint32) {
	for axis := range 3 {
		for side := range 2 {
			base := uint32(len(points) / 3)
			for _, uv := range [4][2]float32{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
				var p space.Vec32
				p[axis], p[(axis+1)%3], p[(axis+2)%3] = float32(side), uv[0], uv[1]
				points = append(points, p[:]...)
			}
			q := [6]uint32{0, 1, 2, 0, 2, 3}
			if side == 0 {
				q = [6]uint32{0, 2, 1, 0, 3, 2}
			}
			for _, k := range q {
				triangles = append(triangles, base+k)
			}
		}
	}
	return points, triangles
}

// blob is a lump without any symmetry of its own, joined with its mirror image
// over x = 0: vertex i of the right half has the partner i + n of the left.
func blob(n int) (points []float32) {
	r := rand.New(rand.NewPCG(1, 2))
	for range n {
		x, y, z := r.NormFloat64(), r.NormFloat64(), r.NormFloat64()
		l := math.Sqrt(x*x + y*y + z*z)
		x, y, z = math.Abs(x/l), y/l, z/l
		k := 1 + 0.3*y + 0.2*z*y
		points = append(points, float32(0.05+x*k*0.4), float32(y*k), float32(z*k*0.3+0.1*y*y))
	}
	for i := range n {
		points = append(points, -points[3*i], points[3*i+1], points[3*i+2])
	}
	return points
}

// turned is a copy under scale·rotation (angle about a unit axis) and then a shift.
func turned(points []float32, axis space.Vec, degrees, scale float64, shift space.Vec) []float32 {
	out := make([]float32, len(points))
	s, c := math.Sincos(degrees * math.Pi / 180)
	axis = unit(axis)
	for v := range len(points) / 3 {
		p := space.At(points, v)
		k, d := axis.Cross(p), axis.Dot(p)
		for i := range 3 {
			out[3*v+i] = float32(scale*(p[i]*c+k[i]*s+axis[i]*d*(1-c)) + shift[i])
		}
	}
	return out
}

// lump is an icosphere pulled into a shape whose only mirror plane is x = 0; its
// vertices are mirror images of each other too.
func lump(n int) (points []float32, triangles []uint32) {
	points, triangles = icosphere(n)
	for i := 0; i < len(points); i += 3 {
		x, y, z := points[i], points[i+1], points[i+2]
		points[i], points[i+1], points[i+2] = x*(.5+.2*y), y*(1+.3*z)+.4*x*x, z*(.4+.1*y)
	}
	return points, triangles
}
