package geom

import (
	"math"

	"rigloupe/inspect/space"
)

// Box is the axis-aligned box of some points. A box that holds none has Min at
// +Inf and Max at −Inf; start from EmptyBox.
type Box struct{ Min, Max space.Vec }

// EmptyBox holds nothing.
func EmptyBox() Box {
	i := math.Inf(1)
	return Box{space.Vec{i, i, i}, space.Vec{-i, -i, -i}}
}

// BoxOf is the box of points (3·V). A coordinate that is no number is left out.
func BoxOf(points []float32) Box {
	b := EmptyBox()
	inf := float32(math.Inf(1))
	lo, hi := [3]float32{inf, inf, inf}, [3]float32{-inf, -inf, -inf}
	for i := 0; i+2 < len(points); i += 3 {
		for c, v := range points[i : i+3 : i+3] {
			if v < lo[c] && v > -inf {
				lo[c] = v
			}
			if v > hi[c] && v < inf {
				hi[c] = v
			}
		}
	}
	for c := range 3 {
		b.Min[c], b.Max[c] = float64(lo[c]), float64(hi[c])
	}
	return b
}

// IsEmpty tells that the box holds no point.
func (b Box) IsEmpty() bool {
	return !(b.Min[0] <= b.Max[0] && b.Min[1] <= b.Max[1] && b.Min[2] <= b.Max[2])
}

// Union holds both.
func (b Box) Union(o Box) Box {
	for c := range 3 {
		b.Min[c], b.Max[c] = min(b.Min[c], o.Min[c]), max(b.Max[c], o.Max[c])
	}
	return b
}

// Add grows the box to hold p.
func (b *Box) Add(p space.Vec) {
	for c := range 3 {
		b.Min[c], b.Max[c] = min(b.Min[c], p[c]), max(b.Max[c], p[c])
	}
}

// Holds tells that p lies in the box or on its faces.
func (b Box) Holds(p space.Vec) bool {
	for c := range 3 {
		if !(p[c] >= b.Min[c] && p[c] <= b.Max[c]) {
			return false
		}
	}
	return true
}

// Size are the three extents; 0 when empty.
func (b Box) Size() (s space.Vec) {
	if b.IsEmpty() {
		return s
	}
	for c := range 3 {
		s[c] = b.Max[c] - b.Min[c]
	}
	return s
}

// Diagonal is the distance from corner to corner; 0 when empty.
func (b Box) Diagonal() float64 {
	s := b.Size()
	return math.Sqrt(s[0]*s[0] + s[1]*s[1] + s[2]*s[2])
}

// Volume is the product of the extents; 0 when empty.
func (b Box) Volume() float64 {
	s := b.Size()
	return s[0] * s[1] * s[2]
}

// Center is the middle; 0 0 0 when empty.
func (b Box) Center() (m space.Vec) {
	if b.IsEmpty() {
		return m
	}
	for c := range 3 {
		m[c] = (b.Min[c] + b.Max[c]) / 2
	}
	return m
}

// Overlap is the box that both share; empty when they share none.
func (b Box) Overlap(o Box) Box {
	for c := range 3 {
		b.Min[c], b.Max[c] = max(b.Min[c], o.Min[c]), min(b.Max[c], o.Max[c])
	}
	return b
}
