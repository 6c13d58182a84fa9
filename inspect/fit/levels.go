package fit

import (
	"math"

	"rigloupe/inspect/geom"
)

// level is one layer of cubes, taken apart into what hangs together in it.
type level struct {
	y     float64 // of its middle, metres
	part  []int32 // by x and z, x fastest: place in parts + 1, 0: empty
	parts []part
}

// part is one connected piece of a level.
type part struct {
	cubes  int
	x, z   float64 // its middle
	x0, x1 float64 // its extent
	z0, z1 float64
}

func (p *part) width() float64 { return p.x1 - p.x0 }
func (p *part) depth() float64 { return p.z1 - p.z0 }

// newLevels takes all layers apart; cubes that meet in an edge hang together.
func newLevels(s *geom.Solid) []level {
	out := make([]level, s.N[1])
	nx, nz := s.N[0], s.N[2]
	var stack []int32
	for j := range out {
		l := &out[j]
		l.y = s.Origin[1] + (float64(j)+.5)*s.Cell
		l.part = make([]int32, nx*nz)
		in := func(k int) bool { return s.In[(k/nx*s.N[1]+j)*nx+k%nx] }
		for k := range l.part {
			if l.part[k] != 0 || !in(k) {
				continue
			}
			p := part{x0: math.Inf(1), x1: math.Inf(-1), z0: math.Inf(1), z1: math.Inf(-1)}
			id := int32(len(l.parts) + 1)
			l.part[k] = id
			stack = append(stack[:0], int32(k))
			for len(stack) > 0 {
				c := int(stack[len(stack)-1])
				stack = stack[:len(stack)-1]
				x, z := s.Origin[0]+(float64(c%nx)+.5)*s.Cell, s.Origin[2]+(float64(c/nx)+.5)*s.Cell
				p.cubes++
				p.x, p.z = p.x+x, p.z+z
				p.x0, p.x1 = min(p.x0, x-s.Cell/2), max(p.x1, x+s.Cell/2)
				p.z0, p.z1 = min(p.z0, z-s.Cell/2), max(p.z1, z+s.Cell/2)
				for dz := -1; dz <= 1; dz++ {
					for dx := -1; dx <= 1; dx++ {
						// The outermost cubes are empty: no neighbour lies beyond the grid.
						if n := c + dz*nx + dx; l.part[n] == 0 && in(n) {
							l.part[n] = id
							stack = append(stack, int32(n))
						}
					}
				}
			}
			p.x, p.z = p.x/float64(p.cubes), p.z/float64(p.cubes)
			l.parts = append(l.parts, p)
		}
	}
	return out
}

// at is the level of a height, within the figure.
func (f *figure) at(y float64) int {
	j := int((y - f.solid.Origin[1]) / f.solid.Cell)
	return max(1, min(len(f.levels)-2, j))
}
