package geom

import "math"

// Near finds which of N places lie within a distance of each other, by walking a
// Tree against itself. It keeps n·log n where a grid does not: two boxes that are
// one set already, or that lie within the distance altogether, are done in one
// step, however many places crowd in them.
type Near struct {
	tree *Tree
	set  []int32 // tree node → the set that all its places are in; −1: several
	u    *Union
	t2   float64

	watch *Watch
}

// NewNear takes places (3·N). Places that are not finite are near nothing. The watch
// looks at Clusters and Pairs too.
func NewNear(points []float32, watch *Watch) *Near {
	return &Near{tree: newTree(points, watch), u: NewUnion(len(points) / 3), watch: watch}
}

// Clusters joins all places within distance of each other; chains join too. Calls
// with rising distances build on each other. The answer is each place's smallest
// fellow, valid until the next call.
func (n *Near) Clusters(distance float64) []uint32 {
	t := n.tree
	if len(t.id) > 1 && distance > 0 {
		n.t2 = distance * distance
		if n.set == nil {
			n.set = make([]int32, len(t.boxes)/6)
		}
		n.label(0, 0, len(t.id), t.depth)
		n.within(0, 0, len(t.id), t.depth)
	}
	return n.u.Flatten()
}

// label says for every box whether all its places are one set.
func (n *Near) label(k, lo, hi, depth int) int32 {
	set := int32(-1)
	if depth == 0 {
		for i := lo; i < hi; i++ {
			s := int32(n.u.Find(n.tree.id[i]))
			if i > lo && s != set {
				set = -1
				break
			}
			set = s
		}
	} else {
		mid := int(uint(lo+hi) / 2)
		l, r := n.label(2*k+1, lo, mid, depth-1), n.label(2*k+2, mid, hi, depth-1)
		if l == r {
			set = l
		}
	}
	n.set[k] = set
	return set
}

// one answers the set of a box, if it is one: a label holds as a name for a member
// whose set may have grown since.
func (n *Near) one(k int) int32 {
	if n.set[k] < 0 {
		return -1
	}
	return int32(n.u.Find(uint32(n.set[k])))
}

func (n *Near) within(k, lo, hi, depth int) {
	if n.one(k) >= 0 || !n.watch.Spend(workOfPair) {
		return
	}
	t := n.tree
	if boxFar(t.boxes[6*k:6*k+6], t.boxes[6*k:6*k+6]) <= n.t2 {
		for i := lo + 1; i < hi; i++ {
			n.u.Join(t.id[lo], t.id[i])
		}
		n.set[k] = int32(n.u.Find(t.id[lo]))
		return
	}
	if depth == 0 {
		for i := lo; i < hi; i++ {
			for j := i + 1; j < hi; j++ {
				if t.square(i, j) <= n.t2 {
					n.u.Join(t.id[i], t.id[j])
				}
			}
		}
	} else {
		mid := int(uint(lo+hi) / 2)
		n.within(2*k+1, lo, mid, depth-1)
		n.within(2*k+2, mid, hi, depth-1)
		n.between(2*k+1, lo, mid, 2*k+2, mid, hi, depth-1)
		if l, r := n.one(2*k+1), n.one(2*k+2); l >= 0 && l == r {
			n.set[k] = l
		}
		return
	}
	n.relabel(k, lo, hi)
}

// workOfPair is what looking at a pair of boxes costs, in pieces of work: see Watch.
const workOfPair = 4

func (n *Near) relabel(k, lo, hi int) {
	s := n.u.Find(n.tree.id[lo])
	for i := lo + 1; i < hi; i++ {
		if n.u.Find(n.tree.id[i]) != s {
			return
		}
	}
	n.set[k] = int32(s)
}

// between joins over the gap of two boxes at the same depth.
func (n *Near) between(a, alo, ahi, b, blo, bhi, depth int) {
	if !n.watch.Spend(workOfPair) {
		return
	}
	t := n.tree
	ba, bb := t.boxes[6*a:6*a+6:6*a+6], t.boxes[6*b:6*b+6:6*b+6]
	if boxGap(ba, bb) > n.t2 {
		return
	}
	sa, sb := n.one(a), n.one(b)
	if sa >= 0 && sa == sb {
		return
	}
	if boxFar(ba, bb) <= n.t2 {
		// Every place of one is near every place of the other.
		for i := alo; i < ahi; i++ {
			n.u.Join(t.id[alo], t.id[i])
		}
		for i := blo; i < bhi; i++ {
			n.u.Join(t.id[alo], t.id[i])
		}
		n.set[a], n.set[b] = int32(t.id[alo]), int32(t.id[alo])
		return
	}
	if depth == 0 {
		for i := alo; i < ahi; i++ {
			for j := blo; j < bhi; j++ {
				if t.square(i, j) <= n.t2 {
					n.u.Join(t.id[i], t.id[j])
				}
			}
		}
		return
	}
	am, bm := int(uint(alo+ahi)/2), int(uint(blo+bhi)/2)
	n.between(2*a+1, alo, am, 2*b+1, blo, bm, depth-1)
	n.between(2*a+1, alo, am, 2*b+2, bm, bhi, depth-1)
	n.between(2*a+2, am, ahi, 2*b+1, blo, bm, depth-1)
	n.between(2*a+2, am, ahi, 2*b+2, bm, bhi, depth-1)
}

// Pairs counts the pairs of places within a distance of each other and visits the
// first of them, up to most. Boxes that lie within the distance altogether are
// counted without being walked once most is reached. all is false when the count
// was given up after work comparisons: it is a lower bound then.
func (n *Near) Pairs(distance float64, most, work int, visit func(a, b uint32)) (count int, all bool) {
	if len(n.tree.id) < 2 {
		return 0, true
	}
	p := pairWalk{tree: n.tree, t2: distance * distance, most: most, work: work, visit: visit, watch: n.watch}
	p.within(0, 0, len(n.tree.id), n.tree.depth)
	return p.count, p.work > 0
}

type pairWalk struct {
	tree        *Tree
	t2          float64
	count, most int
	work        int
	visit       func(a, b uint32)
	watch       *Watch
}

func (p *pairWalk) test(i, j int) {
	p.work--
	if p.tree.square(i, j) <= p.t2 {
		p.count++
		if p.count <= p.most {
			a, b := p.tree.id[i], p.tree.id[j]
			p.visit(min(a, b), max(a, b))
		}
	}
}

func (p *pairWalk) within(k, lo, hi, depth int) {
	if p.work <= 0 || !p.watch.Spend(workOfPair) {
		return
	}
	t := p.tree
	if p.count >= p.most && boxFar(t.boxes[6*k:6*k+6], t.boxes[6*k:6*k+6]) <= p.t2 {
		p.count += (hi - lo) * (hi - lo - 1) / 2
		return
	}
	if depth == 0 {
		for i := lo; i < hi; i++ {
			for j := i + 1; j < hi; j++ {
				p.test(i, j)
			}
		}
		return
	}
	mid := int(uint(lo+hi) / 2)
	p.within(2*k+1, lo, mid, depth-1)
	p.within(2*k+2, mid, hi, depth-1)
	p.between(2*k+1, lo, mid, 2*k+2, mid, hi, depth-1)
}

func (p *pairWalk) between(a, alo, ahi, b, blo, bhi, depth int) {
	if p.work <= 0 || !p.watch.Spend(workOfPair) {
		return
	}
	t := p.tree
	ba, bb := t.boxes[6*a:6*a+6:6*a+6], t.boxes[6*b:6*b+6:6*b+6]
	if boxGap(ba, bb) > p.t2 {
		return
	}
	if p.count >= p.most && boxFar(ba, bb) <= p.t2 {
		p.count += (ahi - alo) * (bhi - blo)
		return
	}
	if depth == 0 {
		for i := alo; i < ahi; i++ {
			for j := blo; j < bhi; j++ {
				p.test(i, j)
			}
		}
		return
	}
	am, bm := int(uint(alo+ahi)/2), int(uint(blo+bhi)/2)
	p.between(2*a+1, alo, am, 2*b+1, blo, bm, depth-1)
	p.between(2*a+1, alo, am, 2*b+2, bm, bhi, depth-1)
	p.between(2*a+2, am, ahi, 2*b+1, blo, bm, depth-1)
	p.between(2*a+2, am, ahi, 2*b+2, bm, bhi, depth-1)
}

// square is the square of the distance of two points in leaf order, in float64:
// at a hundred-thousandth of the diagonal float32 squares have no digit left.
func (t *Tree) square(i, j int) float64 {
	dx := float64(t.points[3*i]) - float64(t.points[3*j])
	dy := float64(t.points[3*i+1]) - float64(t.points[3*j+1])
	dz := float64(t.points[3*i+2]) - float64(t.points[3*j+2])
	return dx*dx + dy*dy + dz*dz
}

// boxGap is the square of the smallest distance of two boxes.
func boxGap(a, b []float32) (square float64) {
	for c := range 3 {
		d := 0.0
		if b[c] > a[c+3] {
			d = float64(b[c]) - float64(a[c+3])
		} else if a[c] > b[c+3] {
			d = float64(a[c]) - float64(b[c+3])
		}
		square += d * d
	}
	return square
}

// boxFar is the square of the largest distance between a point of one box and one
// of the other.
func boxFar(a, b []float32) (square float64) {
	for c := range 3 {
		d := math.Max(float64(b[c+3])-float64(a[c]), float64(a[c+3])-float64(b[c]))
		square += d * d
	}
	return square
}

// Reset takes all joining back.
func (n *Near) Reset() { n.u, n.set = NewUnion(len(n.u.parent)), nil }
