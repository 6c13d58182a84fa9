package geom

import "math"

// Tree finds the nearest of N points. It is a balanced tree of tight boxes over
// leaves of a few points: unlike a grid it keeps n·log n when all points crowd in
// one corner of the box, which a file may bring at any time (tree_test.go), and
// costs no more on even clouds (bench_test.go).
type Tree struct {
	points []float32 // 3·N, in leaf order
	id     []uint32  // place in the caller's list, one a point
	boxes  []float32 // 6 a node: min, max; node k has the children 2k+1, 2k+2
	depth  int       // levels above the leaves
}

const treeLeaf = 6 // points; 4…8 were alike, 16 and 2 slower

// NewTree sorts points (3·N); the caller's slice is left alone. Points that are
// not finite are never found.
func NewTree(points []float32) *Tree { return newTree(points, nil) }

func newTree(points []float32, watch *Watch) *Tree {
	n := len(points) / 3
	t := &Tree{points: make([]float32, 0, 3*n), id: make([]uint32, 0, n)}
	for v := range n {
		x, y, z := points[3*v], points[3*v+1], points[3*v+2]
		if s := x*0 + y*0 + z*0; s != 0 { // NaN when one is not finite
			continue
		}
		t.points = append(t.points, x, y, z)
		t.id = append(t.id, uint32(v))
	}
	n = len(t.id)
	for n>>t.depth > treeLeaf {
		t.depth++
	}
	t.boxes = make([]float32, 6*(1<<(t.depth+1)-1))
	t.split(0, 0, n, t.depth, watch)
	return t
}

// split sorts the points lo…hi below node k.
func (t *Tree) split(k, lo, hi, depth int, watch *Watch) {
	if !watch.Spend(hi - lo) {
		return
	}
	b := t.boxes[6*k : 6*k+6 : 6*k+6]
	inf := float32(math.Inf(1))
	x0, y0, z0, x1, y1, z1 := inf, inf, inf, -inf, -inf, -inf
	for i := 3 * lo; i < 3*hi; i += 3 {
		x, y, z := t.points[i], t.points[i+1], t.points[i+2]
		// No min and max: on floats they are calls in WebAssembly.
		if x < x0 {
			x0 = x
		}
		if x > x1 {
			x1 = x
		}
		if y < y0 {
			y0 = y
		}
		if y > y1 {
			y1 = y
		}
		if z < z0 {
			z0 = z
		}
		if z > z1 {
			z1 = z
		}
	}
	b[0], b[1], b[2], b[3], b[4], b[5] = x0, y0, z0, x1, y1, z1
	if depth == 0 {
		return
	}
	axis := 0
	if y1-y0 > x1-x0 {
		axis = 1
	}
	if z1-z0 > b[axis+3]-b[axis] {
		axis = 2
	}
	mid := int(uint(lo+hi) / 2)
	t.partition(lo, hi, mid, axis)
	t.split(2*k+1, lo, mid, depth-1, watch)
	t.split(2*k+2, mid, hi, depth-1, watch)
}

// partition puts the mid smallest along axis first. The pivot comes from a fixed
// stream of numbers, so no order of points in a file makes it slow.
func (t *Tree) partition(lo, hi, mid, axis int) {
	seed := uint32(2463534242)
	p := t.points
	for hi-lo > 1 {
		seed ^= seed << 13
		seed ^= seed >> 17
		seed ^= seed << 5
		pivot := p[3*(lo+int(seed%uint32(hi-lo)))+axis]
		i, j := lo, hi-1
		for i <= j {
			for p[3*i+axis] < pivot {
				i++
			}
			for p[3*j+axis] > pivot {
				j--
			}
			if i <= j {
				t.swap(i, j)
				i++
				j--
			}
		}
		switch {
		case mid <= j:
			hi = j + 1
		case mid >= i:
			lo = i
		default:
			return
		}
	}
}

func (t *Tree) swap(i, j int) {
	t.id[i], t.id[j] = t.id[j], t.id[i]
	a, b := t.points[3*i:3*i+3:3*i+3], t.points[3*j:3*j+3:3*j+3]
	a[0], b[0] = b[0], a[0]
	a[1], b[1] = b[1], a[1]
	a[2], b[2] = b[2], a[2]
}

// Nearest answers the place of the point nearest to x y z and the square of its
// distance, or −1 when none is nearer than the square root of limit.
func (t *Tree) Nearest(x, y, z, limit float32) (id int32, square float32) {
	var s search
	return s.nearest(t, x, y, z, limit)
}

// search is room for what Nearest has yet to look at. Loops over many places keep one: to
// clear it anew each time is a tenth of a search.
type search [40]struct {
	k, lo, hi int32
	square    float32
}

// nearest is Tree.Nearest with that room.
func (stack *search) nearest(t *Tree, x, y, z, limit float32) (id int32, square float32) {
	id, square = -1, limit
	if len(t.id) == 0 {
		return id, square
	}
	k, lo, hi := 0, 0, len(t.id)
	top := 0
	leaves := 1<<t.depth - 1 // nodes from here on are leaves
	boxes, points := t.boxes, t.points
	for {
		if k >= leaves {
			for i := lo; i < hi; i++ {
				dx, dy, dz := points[3*i]-x, points[3*i+1]-y, points[3*i+2]-z
				if d := dx*dx + dy*dy + dz*dz; d < square || d == square && id >= 0 && int32(t.id[i]) < id {
					square, id = d, int32(t.id[i])
				}
			}
		} else {
			mid := int(uint(lo+hi) / 2)
			l, r := boxes[6*(2*k+1):6*(2*k+1)+6:6*(2*k+1)+6], boxes[6*(2*k+2):6*(2*k+2)+6:6*(2*k+2)+6]
			// boxSquare of both, written out: as calls these were a fifth of the search for a mirror.
			lx, ly, lz := outside(l[0], l[3], x), outside(l[1], l[4], y), outside(l[2], l[5], z)
			rx, ry, rz := outside(r[0], r[3], x), outside(r[1], r[4], y), outside(r[2], r[5], z)
			dl, dr := lx*lx+ly*ly+lz*lz, rx*rx+ry*ry+rz*rz
			if dl <= dr {
				if dl < square {
					if dr < square {
						s := &stack[top]
						s.k, s.lo, s.hi, s.square = int32(2*k+2), int32(mid), int32(hi), dr
						top++
					}
					k, hi = 2*k+1, mid
					continue
				}
			} else if dr < square {
				if dl < square {
					s := &stack[top]
					s.k, s.lo, s.hi, s.square = int32(2*k+1), int32(lo), int32(mid), dl
					top++
				}
				k, lo = 2*k+2, mid
				continue
			}
		}
		for {
			if top == 0 {
				return id, square
			}
			top--
			if s := &stack[top]; s.square < square {
				k, lo, hi = int(s.k), int(s.lo), int(s.hi)
				break
			}
		}
	}
}

// boxSquare is the square of the distance of a point from a box.
func boxSquare(b []float32, x, y, z float32) float32 {
	dx, dy, dz := outside(b[0], b[3], x), outside(b[1], b[4], y), outside(b[2], b[5], z)
	return dx*dx + dy*dy + dz*dz
}

// outside is how far x lies from the range lo…hi. Small enough to be inlined.
func outside(lo, hi, x float32) float32 {
	if x < lo {
		return lo - x
	}
	if x > hi {
		return x - hi
	}
	return 0
}

// Within visits the places whose distance from x y z has at most that square, in the
// order of the tree, until visit answers false. It answers whether it came to the end.
func (t *Tree) Within(x, y, z, square float32, visit func(id uint32) bool) bool {
	var d descent
	d.begin(t)
	for d.more() {
		n := d.take()
		if boxSquare(t.box(n.k), x, y, z) > square {
			continue
		}
		if !d.isLeaf(n) {
			left, right := n.halves()
			d.put(right, left)
			continue
		}
		for i := n.lo; i < n.hi; i++ {
			dx, dy, dz := t.points[3*i]-x, t.points[3*i+1]-y, t.points[3*i+2]-z
			if dx*dx+dy*dy+dz*dz <= square && !visit(t.id[i]) {
				return false
			}
		}
	}
	return true
}
