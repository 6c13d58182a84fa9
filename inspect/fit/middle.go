package fit

import (
	"cmp"
	"slices"

	"rigloupe/inspect/space"
)

// crossing is where a line passes a triangle, and whether it enters or leaves there.
type crossing struct {
	at  float64
	way int
}

// Middle is the place half way through the body on a line of sight: from a point along a unit
// direction, of the stretches inside the one that near lies in, or that is nearest to it. World,
// metres; triangles 3·T. false: the line misses the body. A stretch ends where as many
// surfaces were left as entered, whichever way they are wound.
func Middle(points []float32, triangles []uint32, from, along, near space.Vec) (space.Vec, bool) {
	want := near.Sub(from).Dot(along)
	least := space.Vec{1, 0, 0}
	if along[0]*along[0] > along[1]*along[1] {
		least = space.Vec{0, 1, 0}
	}
	side := along.Cross(least)
	up := along.Cross(side)
	var last []crossing
	for try := range 4 { // a line through an edge passes two triangles or none: the next goes beside it
		off := float64(try) * nudge * max(1, from.Sub(near).Len())
		all := crossings(points, triangles, from.Add(side.Mul(off)).Add(up.Mul(.618*off)), along)
		if at, ok := middle(all, want); ok {
			return from.Add(along.Mul(at)), true
		}
		last = all
	}
	if len(last) == 0 {
		return near, false
	}
	return from.Add(along.Mul((last[0].at + last[len(last)-1].at) / 2)), true // an open surface
}

// nudge is far under a pixel and far over what float32 places lose, a metre off.
const nudge = 1e-6

// middle is that of the stretch that a wish lies in or nearest to; false: none is closed.
func middle(all []crossing, want float64) (best float64, found bool) {
	depth, begin, off := 0, 0.0, 0.0
	for _, c := range all {
		if depth == 0 {
			begin = c.at
		}
		if depth += c.way; depth != 0 {
			continue
		}
		if d := max(begin-want, want-c.at, 0); !found || d < off {
			best, off, found = (begin+c.at)/2, d, true
		}
	}
	return best, found && depth == 0
}

// crossings are those of a line with all triangles, in their order (Möller and Trumbore 1997).
func crossings(points []float32, triangles []uint32, from, along space.Vec) (all []crossing) {
	for t := 0; t+2 < len(triangles); t += 3 {
		a := space.At(points, triangles[t])
		u, v := space.At(points, triangles[t+1]).Sub(a), space.At(points, triangles[t+2]).Sub(a)
		p := along.Cross(v)
		det := u.Dot(p)
		if det == 0 {
			continue
		}
		w := from.Sub(a)
		x := w.Dot(p) / det
		if !(x >= 0 && x <= 1) {
			continue
		}
		q := w.Cross(u)
		if y := along.Dot(q) / det; !(y >= 0 && x+y <= 1) {
			continue
		}
		way := 1
		if det < 0 {
			way = -1
		}
		all = append(all, crossing{v.Dot(q) / det, way})
	}
	slices.SortFunc(all, func(a, b crossing) int { return cmp.Compare(a.at, b.at) })
	return all
}
