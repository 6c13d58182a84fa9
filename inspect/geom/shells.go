package geom

import (
	"math"

	"rigloupe/inspect/space"
)

// Shells are the pieces of a mesh that hang together through shared places.
type Shells struct {
	Of   []int32 // one a triangle; −1: two of its corners are one place
	List []Shell // by their first triangle
}

// Shell is one piece. Volumes and areas are those of the places handed to
// FindShells.
type Shell struct {
	First     int // its first triangle
	Triangles int
	Places    int
	Open      int     // boundary edges
	Branching int     // edges of more than two triangles
	Mixed     int     // edges whose two triangles run the same way
	Area      float64 // m²
	Volume    float64 // m³, signed; about its own first corner, so exact only when closed
	Box       Box
	Corner    uint32 // one of its places
}

// Closed tells that the shell has an inside: no boundary, no branching, one way
// round.
func (s *Shell) Closed() bool { return s.Open == 0 && s.Branching == 0 && s.Mixed == 0 }

// FindShells takes triangles (3·T) of places; points (3·V) says where they lie.
func FindShells(points []float32, triangles []uint32, edges *Edges, watch *Watch) *Shells {
	u := NewUnion(len(points) / 3)
	count := len(triangles) / 3
	for t := range count {
		if t%Stride == 0 && !watch.Spend(3*Stride) {
			break
		}
		a, b, c := triangles[3*t], triangles[3*t+1], triangles[3*t+2]
		if edges.Of[3*t] != NoEdge {
			u.Join(a, b)
			u.Join(a, c)
		}
	}
	root := u.Flatten()
	s := &Shells{Of: make([]int32, count)}
	number := make([]int32, len(points)/3) // of a root, +1
	seen := make([]bool, len(points)/3)
	for t := range count {
		if t%Stride == 0 && !watch.Spend(12*Stride) {
			break
		}
		if edges.Of[3*t] == NoEdge {
			s.Of[t] = -1
			continue
		}
		r := root[triangles[3*t]]
		if number[r] == 0 {
			s.List = append(s.List, Shell{First: t, Corner: triangles[3*t], Box: EmptyBox()})
			number[r] = int32(len(s.List))
		}
		i := number[r] - 1
		s.Of[t] = i
		x := &s.List[i]
		x.Triangles++
		o := space.At(points, x.Corner)
		a, b, c := space.At(points, triangles[3*t]).Sub(o), space.At(points, triangles[3*t+1]).Sub(o), space.At(points, triangles[3*t+2]).Sub(o)
		if area := b.Sub(a).Cross(c.Sub(a)).Len() / 2; area > 0 && !math.IsInf(area, 0) {
			x.Area += area
			x.Volume += a.Dot(b.Cross(c)) / 6
		}
		for _, v := range triangles[3*t : 3*t+3] {
			if !seen[v] {
				seen[v] = true
				x.Places++
				if p := space.At(points, v); space.Finite(p) {
					x.Box.Add(p)
				}
			}
		}
	}
	if watch.Err() != nil {
		s.List = nil
		for t := range s.Of {
			s.Of[t] = -1
		}
		return s
	}
	for i, n := range edges.Count {
		x := &s.List[s.Of[edges.Tri[2*i]]]
		switch {
		case n == 1:
			x.Open++
		case n > 2:
			x.Branching++
		case edges.Mixed[i]:
			x.Mixed++
		}
	}
	return s
}
