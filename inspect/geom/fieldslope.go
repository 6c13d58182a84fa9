package geom

import (
	"math"

	"rigloupe/inspect/space"
)

// FieldSlope is the gradient of s along the surface, per vertex (3·V), the
// triangles' gradients weighted by area. Where normals (3·V) are given it is
// made tangent to them. Vertices without a triangle get zero.
func FieldSlope(pos []float32, tri []uint32, normals, s []float32) []float32 {
	out := make([]float32, 3*len(s))
	area := make([]float32, len(s))
	for t := 0; t+2 < len(tri); t += 3 {
		i, j, k := tri[t], tri[t+1], tri[t+2]
		a := space.At32(pos, i)
		e, f := space.At32(pos, j).Sub(a), space.At32(pos, k).Sub(a)
		n := e.Cross(f)
		l := n.Dot(n)
		if !(l > 1e-30) || l-l != 0 {
			continue
		}
		// ∇s = ((s_j − s_i)·(f×n) + (s_k − s_i)·(n×e)) / |n|², twice the area |n|.
		w := float32(math.Sqrt(float64(l)))
		g := f.Cross(n).Mul((s[j] - s[i]) / w).Add(n.Cross(e).Mul((s[k] - s[i]) / w))
		if !space.Finite32(g) {
			continue
		}
		for _, v := range [3]uint32{i, j, k} {
			out[3*v] += g[0]
			out[3*v+1] += g[1]
			out[3*v+2] += g[2]
			area[v] += w
		}
	}
	for v := range area {
		if area[v] <= 0 {
			continue
		}
		g := space.At32(out, v).Mul(1 / area[v])
		if normals != nil {
			n := space.At32(normals, v)
			g = g.Sub(n.Mul(g.Dot(n)))
		}
		out[3*v], out[3*v+1], out[3*v+2] = g[0], g[1], g[2]
	}
	return out
}

// Soften smooths a value per vertex over the surface: each round mixes 0.7 of
// the mean of the triangles around a vertex into it.
func Soften(tri []uint32, value []float32, rounds int) {
	sum, count := make([]float32, len(value)), make([]float32, len(value))
	for range rounds {
		clear(sum)
		clear(count)
		for t := 0; t+2 < len(tri); t += 3 {
			i, j, k := tri[t], tri[t+1], tri[t+2]
			m := (value[i] + value[j] + value[k]) * (1 / 3.)
			sum[i], sum[j], sum[k] = sum[i]+m, sum[j]+m, sum[k]+m
			count[i], count[j], count[k] = count[i]+1, count[j]+1, count[k]+1
		}
		for v := range value {
			if count[v] > 0 {
				value[v] = .3*value[v] + .7*sum[v]/count[v]
			}
		}
	}
}
