package geom

import (
	"math"

	"rigloupe/inspect/space"
)

// NewInner puts a shape on a grid whose longest side has so many cubes, as NewSolid does,
// but takes only cubes whose middle the surface goes round: what lies side by side stays
// apart, and holes, open ends and shells that cross do no harm (winding number over a
// half). What is thinner than a cube is lost. With faces that look inwards it is the
// same. nil: no finite extent, triangles that cross everything, or ended by the watch.
//
// Only the cubes that a triangle passes through are asked one by one; a row of others
// between them is asked once, in its middle.
func NewInner(points []float32, triangles []uint32, cubes int, watch *Watch) *Solid {
	s := newShell(points, triangles, cubes, watch)
	if s == nil || watch.Err() != nil {
		return nil
	}
	w := NewWindings(points, triangles, watch)
	in := make([]bool, len(s.In))
	inside := func(k int) bool { return math.Abs(w.At(s.At(k))) > 0.5 }
	for row := 0; row < len(s.In); row += s.N[0] {
		if !watch.Spend(s.N[0]) {
			return nil
		}
		for x := 0; x < s.N[0]; {
			if s.In[row+x] {
				in[row+x] = inside(row + x)
				watch.Spend(60)
				x++
				continue
			}
			end := x
			for end < s.N[0] && !s.In[row+end] {
				end++
			}
			if x > 0 && end < s.N[0] && inside(row+(x+end)/2) {
				for i := x; i < end; i++ {
					in[row+i] = true
				}
			}
			x = end
		}
	}
	s.In = in
	return s
}

// Bridge joins the parts of a solid that do not touch, the nearest first, by straight
// rows of cubes through the air, where the way is no longer than reach metres: a hand that is a
// shell of its own hangs on its arm. It answers how many rows it laid.
func (s *Solid) Bridge(reach float64) (rows int) {
	part, from := make([]int32, len(s.In)), make([]int32, len(s.In))
	far := make([]int32, len(s.In))
	parts := int32(0)
	var queue []int32
	step := [6]int{-1, 1, -s.N[0], s.N[0], -s.N[0] * s.N[1], s.N[0] * s.N[1]}
	for k, is := range s.In {
		if !is || part[k] != 0 {
			continue
		}
		parts++
		part[k] = parts
		stack := []int32{int32(k)}
		for len(stack) > 0 {
			i := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			for z := -1; z <= 1; z++ {
				for y := -1; y <= 1; y++ {
					for x := -1; x <= 1; x++ {
						// The outermost cubes are empty: no neighbour lies beyond the grid.
						if n := int(i) + (z*s.N[1]+y)*s.N[0] + x; s.In[n] && part[n] == 0 {
							part[n] = parts
							stack = append(stack, int32(n))
						}
					}
				}
			}
		}
	}
	if parts < 2 {
		return 0
	}
	for k, is := range s.In {
		from[k] = int32(k)
		if is {
			queue = append(queue, int32(k))
		}
	}
	most := int32(reach / s.Cell)
	u := NewUnion(int(parts) + 1)
	// Fronts grow from all parts at once through the air, so that where two of them meet
	// first is where the parts are nearest.
	for at := 0; at < len(queue); at++ {
		k := queue[at]
		for _, by := range step {
			n := int(k) + by
			if n < 0 || n >= len(s.In) {
				continue
			}
			if part[n] == 0 {
				if far[k]+1 <= most {
					part[n], from[n], far[n] = part[k], from[k], far[k]+1
					queue = append(queue, int32(n))
				}
				continue
			}
			if a, b := uint32(part[n]), uint32(part[k]); u.Find(a) != u.Find(b) && far[n]+far[k]+1 <= most {
				u.Join(a, b)
				s.row(s.At(int(from[k])), s.At(int(from[n])))
				rows++
			}
		}
	}
	return rows
}

// row sets the cubes on a straight line.
func (s *Solid) row(a, b space.Vec) {
	d := b.Sub(a)
	n := int(d.Len()/(s.Cell/2)) + 1
	for i := range n + 1 {
		if k := s.Index(a.Add(d.Mul(float64(i) / float64(n)))); k >= 0 {
			s.In[k] = true
		}
	}
}
