package lamplighter

import (
	"math"
	"slices"

	"rigloupe/inspect/space"
)

// A block is 4×4×4 grid nodes. Only blocks that the surface may touch are stored:
// at a million vertices the whole grid would take gigabytes.
const (
	bits = 2
	side = 1 << bits
	mask = side - 1
)

type block struct {
	node [side * side * side]float32 // distance at the nodes
	cell [side * side * side]int32   // vertex of the cell whose low corner the node is; -1
	near []uint16                    // solids that matter to the surface in here
	wide []uint16                    // and those that matter to the weights
}

// net turns the distance into a closed triangle surface: one vertex in each cell
// that the surface crosses, one quad over each grid edge that it crosses (surface
// nets). Only x ≥ 0 is worked out.
type net struct {
	solids     []solid
	g          *lattice
	bx, by, bz int
	at         []int32 // block of a place, or −1 outside, −2 inside
	blocks     []block
	cells      [][3]int32 // cells with a vertex, in block order
	mended     int        // corners filled
}

func newNet(b *body, g *lattice) *net {
	n := &net{solids: b.solids, g: g}
	n.sampleAll()
	for n.collect(); n.mend(); n.collect() {
	}
	return n
}

// sampleAll finds the blocks near the surface, big boxes first, and fills them.
func (n *net) sampleAll() {
	g := n.g
	n.bx, n.by, n.bz = (len(g.x)+mask)>>bits, (len(g.y)+mask)>>bits, (len(g.z)+mask)>>bits
	n.at = make([]int32, n.bx*n.by*n.bz)
	every := make([]uint16, len(n.solids))
	for i := range every {
		every[i] = uint16(i)
	}
	const big = 4 // a big box is 6×6×6 blocks
	var outer, inner field
	for z := 0; z < n.bz; z += big {
		for y := 0; y < n.by; y += big {
			for x := 0; x < n.bx; x += big {
				c, r := n.ball(x, y, z, big)
				d, sure := outer.gather(n.solids, every, c, r)
				for k := z; k < min(z+big, n.bz); k++ {
					for j := y; j < min(y+big, n.by); j++ {
						for i := x; i < min(x+big, n.bx); i++ {
							place := (k*n.by+j)*n.bx + i
							n.at[place] = -1
							if d < 0 {
								n.at[place] = -2
							}
							if !sure {
								n.fill(place, i, j, k, &outer, &inner)
							}
						}
					}
				}
			}
		}
	}
}

// ball holds the nodes of a cube of blocks and one more layer on each side.
func (n *net) ball(x, y, z, size int) (c space.Vec, r float64) {
	var lo, hi [3]float64
	for a, s := range [3][]float64{n.g.x, n.g.y, n.g.z} {
		i := [3]int{x, y, z}[a] << bits
		lo[a], hi[a] = s[max(i-1, 0)], s[min(i+size*side, len(s)-1)]
	}
	least, most := math.Inf(1), 0.0
	for _, w := range n.g.wide[max(y<<bits-1, 0):min((y+size)<<bits+1, len(n.g.wide))] {
		least, most = min(least, w), max(most, w)
	}
	var half float64
	for a := range 3 {
		if a != 1 {
			lo[a], hi[a] = min(lo[a]*least, lo[a]*most), max(hi[a]*least, hi[a]*most)
		}
		c[a] = (lo[a] + hi[a]) / 2
		half += (hi[a] - lo[a]) * (hi[a] - lo[a]) / 4
	}
	return c, math.Sqrt(half)
}

// fill makes one block, unless the surface is too far from it.
func (n *net) fill(place, i, j, k int, outer, inner *field) {
	c, r := n.ball(i, j, k, 1)
	d, sure := inner.gather(n.solids, outer.wide, c, r)
	if d < 0 {
		n.at[place] = -2
	} else {
		n.at[place] = -1
	}
	if sure {
		return
	}
	n.at[place] = int32(len(n.blocks))
	n.blocks = append(n.blocks, block{near: slices.Clone(inner.near), wide: slices.Clone(inner.wide)})
	b := &n.blocks[len(n.blocks)-1]
	for w := range side {
		for v := range side {
			for u := range side {
				p := (w<<bits|v)<<bits | u
				b.cell[p] = -1
				x, y, z := i<<bits|u, j<<bits|v, k<<bits|w
				if x >= len(n.g.x) || y >= len(n.g.y) || z >= len(n.g.z) {
					b.node[p] = 1e9
					continue
				}
				px, py, pz := n.g.node(x, y, z)
				b.node[p] = float32(inner.distance(math.Abs(px), py, pz))
			}
		}
	}
}

// blockOf answers the block of a cell.
func (n *net) blockOf(x, y, z int) *block {
	return &n.blocks[n.at[(z>>bits*n.by+y>>bits)*n.bx+x>>bits]]
}

// value is the distance at a grid node; ±1e9 where no surface is near.
func (n *net) value(x, y, z int) float32 {
	at := n.at[(z>>bits*n.by+y>>bits)*n.bx+x>>bits]
	if at < 0 {
		return 1e9 * float32(3+2*at) // −1: outside, −2: inside
	}
	return n.blocks[at].node[((z&mask)<<bits|y&mask)<<bits|x&mask]
}

func (n *net) set(x, y, z int, v float32) {
	if at := n.at[(z>>bits*n.by+y>>bits)*n.bx+x>>bits]; at >= 0 {
		n.blocks[at].node[((z&mask)<<bits|y&mask)<<bits|x&mask] = v
	}
}

// corners answers the eight distances of a cell and which are inside, bit by bit;
// corner c lies at x+(c&1), y+(c>>1&1), z+(c>>2).
func (n *net) corners(x, y, z int, out *[8]float32) (in uint8) {
	for c := range 8 {
		v := n.value(x+c&1, y+c>>1&1, z+c>>2)
		out[c] = v
		if v < 0 {
			in |= 1 << c
		}
	}
	return in
}

// collect lists the cells that the surface crosses.
func (n *net) collect() {
	n.cells = n.cells[:0]
	for bz := range n.bz {
		for by := range n.by {
			for bx := range n.bx {
				at := n.at[(bz*n.by+by)*n.bx+bx]
				if at < 0 {
					continue
				}
				b := &n.blocks[at]
				for p := range side * side * side {
					u, v, w := p&mask, p>>bits&mask, p>>(2*bits)
					x, y, z := bx<<bits|u, by<<bits|v, bz<<bits|w
					if x+1 >= len(n.g.x) || y+1 >= len(n.g.y) || z+1 >= len(n.g.z) {
						continue
					}
					b.cell[p] = -1
					var in int
					if u < mask && v < mask && w < mask {
						q := b.node[p:]
						for _, o := range [8]int{0, 1, side, side + 1, side * side, side*side + 1, side*side + side, side*side + side + 1} {
							if q[o] < 0 {
								in++
							}
						}
					} else {
						var d [8]float32
						in = int(n.corners(x, y, z, &d))
						if in == 255 {
							in = 8
						} else if in != 0 {
							in = 1
						}
					}
					if in != 0 && in != 8 {
						b.cell[p] = int32(len(n.cells))
						n.cells = append(n.cells, [3]int32{int32(x), int32(y), int32(z)})
					}
				}
			}
		}
	}
}

// mend fills corners until no cell holds two pieces of surface: no face with inside
// and outside across its diagonals, no pair of opposite corners alone (a
// well-composed image, Latecki 1997, from memory). Then one vertex a cell gives a
// manifold. It answers whether anything was filled.
func (n *net) mend() (filled bool) {
	for _, c := range n.cells {
		x, y, z := int(c[0]), int(c[1]), int(c[2])
		var d [8]float32
		if !critical[n.corners(x, y, z, &d)] {
			continue
		}
		best := -1
		for i, v := range d {
			if v >= 0 && (best < 0 || v < d[best]) {
				best = i
			}
		}
		u, v, w := x+best&1, y+best>>1&1, z+best>>2
		tiny := float32(-0.1 * n.g.step(x, y, z))
		n.mended++
		n.set(u, v, w, tiny)
		if u <= 1 { // the two columns beside the mirror plane are one
			n.set(1-u, v, w, tiny)
		}
		filled = true
	}
	return filled
}

var critical = func() (t [256]bool) {
	faces := [6][4]int{{0, 1, 3, 2}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 3, 7, 6}, {0, 2, 6, 4}, {1, 3, 7, 5}} // around
	for m := range 256 {
		in := func(c int) bool { return m>>c&1 == 1 }
		for _, f := range faces {
			if in(f[0]) == in(f[2]) && in(f[1]) == in(f[3]) && in(f[0]) != in(f[1]) {
				t[m] = true
			}
		}
		for c := range 4 {
			pair := 1<<c | 1<<(7-c)
			if m == pair || m == 255-pair {
				t[m] = true
			}
		}
	}
	return t
}()
