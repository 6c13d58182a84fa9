package geom

import (
	"math"
	"slices"

	"rigloupe/inspect/space"
)

// The engraving coordinate S runs along limbs in metres; its isolines are the
// printed lines. It starts as a weighted sum of straight coordinates, one a slot
// (a joint, or a rigid part), each beginning with its parent's value where the
// two meet (FieldAxes, CarryField), and is then made even over the surface by a
// Poisson solve (EvenField).

// FieldAxis is the straight coordinate of one slot: Value + (p − At)·Dir.
type FieldAxis struct {
	At, Dir space.Vec32 // Dir is unit and points the way the coordinate grows
	Value   float32
}

// FieldSlots describes what carries the surface. All slices have one entry (or
// three floats) a slot.
type FieldSlots struct {
	Parent []int32   // slot above, −1: none
	Origin []float32 // 3 a slot, world, at rest
	Own    []float32 // surface carried: the sum of weights
	Middle []float32 // 3 a slot: weighted mean of what it carries
}

// FieldAxes works the axes out. A slot's axis is the mean direction to its
// children, weighted by the surface each branch carries (so both arms cancel and
// the head wins), or towards the middle of what it moves when it is a leaf, if
// that is farther than 0.4 % of size. The sign turns over where a branch runs
// back against its parent, so that legs and hanging arms count down while the
// trunk counts up and lines meet. Slots whose parents form a ring count as roots.
func FieldAxes(f FieldSlots, size float32) []FieldAxis {
	n := len(f.Parent)
	order := slotOrder(f.Parent)
	branch := slices.Clone(f.Own) // surface carried by a slot and all below it
	for _, j := range slices.Backward(order) {
		if p := f.Parent[j]; p >= 0 {
			branch[p] += branch[j]
		}
	}
	toKids := make([]float32, 3*n) // directions to children, weighted by branch
	kids := make([]int32, n)
	for _, j := range order {
		p := f.Parent[j]
		if p < 0 || branch[j] <= 0 {
			continue
		}
		kids[p]++
		d := space.Direction32(space.At32(f.Origin, j).Sub(space.At32(f.Origin, p)))
		for k := range 3 {
			toKids[3*int(p)+k] += d[k] * branch[j]
		}
	}
	out := make([]FieldAxis, n)
	for _, j := range order {
		o, p := space.At32(f.Origin, j), f.Parent[j]
		dir := space.At32(toKids, j)
		if f.Own[j] > 0 && (dir.Len() < .3*branch[j] || kids[j] == 0) {
			if d := space.At32(f.Middle, j).Sub(o); d.Len() > .004*size {
				dir = dir.Add(space.Direction32(d).Mul(f.Own[j]))
			}
		}
		if l := dir.Len(); !(l >= .15*branch[j]) || l == 0 {
			dir = space.Vec32{0, 1, 0}
			if p >= 0 {
				dir = out[p].Dir
			}
		}
		a := FieldAxis{At: o, Dir: space.Direction32(dir)}
		if p >= 0 {
			q := &out[p]
			if a.Dir.Dot(q.Dir) < -.25 {
				a.Dir = a.Dir.Mul(-1)
			}
			a.Value = q.Value + o.Sub(q.At).Dot(q.Dir)
		}
		out[j] = a
	}
	return out
}

// slotOrder lists slots with parents first; slots in a ring come last.
func slotOrder(parent []int32) []int32 {
	n := len(parent)
	first, next := make([]int32, n), make([]int32, n) // children as linked lists
	for i := range first {
		first[i], next[i] = -1, -1
	}
	var stack []int32
	for j := n - 1; j >= 0; j-- {
		if p := parent[j]; p >= 0 && int(p) < n {
			next[j], first[p] = first[p], int32(j)
		} else {
			stack = append(stack, int32(j))
		}
	}
	order := make([]int32, 0, n)
	for len(stack) > 0 {
		j := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		order = append(order, j)
		for c := first[j]; c >= 0; c = next[c] {
			stack = append(stack, c)
		}
	}
	return order
}

// CarryField adds up the slots' coordinates. Each of V vertices has k slots and
// weights (weights that sum to 1). s takes V values; goal takes 3·V floats, the
// wished-for gradient, unit or zero.
func CarryField(pos []float32, k int, slot []uint32, weight []float32, axes []FieldAxis, s, goal []float32) {
	for v := range s {
		x, y, z := pos[3*v], pos[3*v+1], pos[3*v+2]
		var sum, gx, gy, gz float32
		for i := v * k; i < v*k+k; i++ {
			w := weight[i]
			if w <= 0 {
				continue
			}
			a := &axes[slot[i]]
			sum += w * (a.Value + (x-a.At[0])*a.Dir[0] + (y-a.At[1])*a.Dir[1] + (z-a.At[2])*a.Dir[2])
			gx, gy, gz = gx+w*a.Dir[0], gy+w*a.Dir[1], gz+w*a.Dir[2]
		}
		if sum-sum != 0 {
			sum = 0 // a place that is not finite takes no part
		}
		s[v] = sum
		g := space.Direction32(space.Vec32{gx, gy, gz})
		goal[3*v], goal[3*v+1], goal[3*v+2] = g[0], g[1], g[2]
	}
}

// LongAxis is the first principal axis of points (3·N, those of which is set;
// nil: all) by power iteration, pointing up, and its share of the whole spread:
// 1/3 for a ball, 1 for a rod. Points that are not finite are left out. With
// fewer than two points the axis is +Y and the share 0.
func LongAxis(points []float32, which []uint32) (mean, axis space.Vec32, share float32) {
	var m space.Vec
	n := len(points) / 3
	if which != nil {
		n = len(which)
	}
	place := func(i int) int {
		if which != nil {
			return int(which[i])
		}
		return i
	}
	count := 0.
	for i := range n {
		p := space.At32(points, place(i))
		if !space.Finite32(p) {
			continue
		}
		for k := range m {
			m[k] += float64(p[k])
		}
		count++
	}
	axis = space.Vec32{0, 1, 0}
	if count == 0 {
		return mean, axis, 0
	}
	for k := range m {
		m[k] /= count
		mean[k] = float32(m[k])
	}
	var c [3]space.Vec
	for i := range n {
		p := space.At32(points, place(i))
		if !space.Finite32(p) {
			continue
		}
		d := space.Vec{float64(p[0]) - m[0], float64(p[1]) - m[1], float64(p[2]) - m[2]}
		for r := range 3 {
			for s := range 3 {
				c[r][s] += d[r] * d[s]
			}
		}
	}
	trace := c[0][0] + c[1][1] + c[2][2]
	if !(trace > 0) {
		return mean, axis, 0
	}
	// Not along any plane of symmetry, so that the iteration always starts.
	a := space.Vec{.31, .83, .46}
	top := 0.
	for range 60 {
		var b space.Vec
		for r := range 3 {
			b[r] = c[r][0]*a[0] + c[r][1]*a[1] + c[r][2]*a[2]
		}
		top = math.Sqrt(b[0]*b[0] + b[1]*b[1] + b[2]*b[2])
		if top == 0 {
			return mean, axis, 0
		}
		a = space.Vec{b[0] / top, b[1] / top, b[2] / top}
	}
	if a[1] < 0 {
		a = space.Vec{-a[0], -a[1], -a[2]}
	}
	return mean, space.Vec32{float32(a[0]), float32(a[1]), float32(a[2])}, float32(top / trace)
}
