// Package even makes the two sides of a figure alike: it draws the vertices of one side to
// the mirror images of the other's (Draw), builds a half anew (Halve), or mirrors weights
// alone. Pairs are sure, by whole shells, or grown along edges; whoever has none is left
// and listed. Shapes are slices; Figure carries the result over to a rig.
package even

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Shape is what is to be made even: welded places at rest and the plane to mirror over.
type Shape struct {
	Points    []float32 // 3·N, distinct places, metres
	Triangles []uint32  // 3·T, places in Points
	Plane     geom.Plane
	Sure      []int32   // N: the place opposite, its own for one on the plane, −1 (geom.Mirror.Partner)
	Reach     []float32 // N: how far a sure partner may lie, metres (geom.Mirror.Reach)
	Apart     []bool    // N: left alone whatever happens (gear, bound to nothing); nil: none
	Height    float64   // of the figure, metres: moves are a share of it
}

// Limits say how far the pairing may go (common practice, no source).
type Limits struct {
	Move   float64 // share of Height that a vertex may move
	Uneven float64 // share of a part's places without a partner beyond which the part is left alone
}

// Usual are the limits unless a person moves them.
var Usual = Limits{Move: 0.02, Uneven: 0.2}

// How a pair was found.
type How uint8

const (
	None    How = iota
	Sure        // each is nearest to the other's mirror image
	OfShell     // their shells are mirror images that stand apart
	Grown       // their neighbours are pairs
)

// Pairs are who stands opposite whom.
type Pairs struct {
	Of    []int32 // N: the place opposite, its own on the plane, −1
	How   []How   // N
	Part  []int32 // N: part a place belongs to
	Parts []Part
	Count [Grown + 1]int // places by How
}

// Part is one shell of the shape.
type Part struct {
	Places, Alone int  // of its places, and how many have no sure partner
	Left          bool // it is left alone: all of it Apart, or too uneven
	Like          int  // the part that is its mirror image, itself where it has both sides; −1
}

// Pair finds who stands opposite whom. It takes n·log n and answers the same each time.
func Pair(s *Shape, l Limits) *Pairs {
	n := len(s.Points) / 3
	p := &Pairs{Of: slices.Clone(s.Sure), How: make([]How, n), Part: make([]int32, n)}
	for i, j := range p.Of {
		if j >= 0 {
			p.How[i] = Sure
		}
	}
	g := &grower{s: s, p: p, limit: l.Move * s.Height}
	g.parts(l.Uneven)
	for i := range p.Of {
		if g.out(int32(i)) {
			p.Of[i], p.How[i] = -1, None
		}
	}
	for i, j := range p.Of { // a pair with one foot in a part that is left is none
		if j >= 0 && p.Of[j] != int32(i) {
			p.Of[i], p.How[i] = -1, None
		}
	}
	if len(s.Triangles) > 0 {
		g.join()
		aside := g.doubted()
		g.grow()
		g.restore(aside)
	}
	for _, h := range p.How {
		p.Count[h]++
	}
	return p
}

type grower struct {
	s     *Shape
	p     *Pairs
	limit float64
	start []uint32 // N+1: places joined by an edge, of each
	near  []uint32
}

// out tells a place that is left alone.
func (g *grower) out(i int32) bool {
	return g.p.Parts[g.p.Part[i]].Left || g.s.Apart != nil && g.s.Apart[i]
}

func (g *grower) at(i int32) space.Vec { return space.At(g.s.Points, int(i)) }

func (g *grower) image(i int32) space.Vec { return g.s.Plane.Reflect(g.at(i)) }

// parts splits the shape into shells and decides which are left alone.
func (g *grower) parts(uneven float64) {
	s, p := g.s, g.p
	u := geom.NewUnion(len(p.Of))
	for t := 0; t+2 < len(s.Triangles); t += 3 {
		u.Join(s.Triangles[t], s.Triangles[t+1])
		u.Join(s.Triangles[t], s.Triangles[t+2])
	}
	of, count := u.Numbered()
	p.Parts = make([]Part, count)
	apart := make([]int, count)
	for i, part := range of {
		p.Part[i] = int32(part)
		x := &p.Parts[part]
		x.Places++
		x.Like = -1
		if p.Of[i] < 0 {
			x.Alone++
		}
		if s.Apart != nil && s.Apart[i] {
			apart[part]++
		}
	}
	members := make([][]int32, count)
	var odd []int
	for k := range p.Parts {
		x := &p.Parts[k]
		gone := apart[k] == x.Places
		if x.Left = gone || float64(x.Alone) > uneven*float64(x.Places); x.Left && !gone {
			odd = append(odd, k)
		}
	}
	if len(odd) == 0 {
		return
	}
	isOdd := make([]bool, count)
	for _, k := range odd {
		isOdd[k] = true
	}
	for i, part := range of {
		if isOdd[part] {
			members[part] = append(members[part], int32(i))
		}
	}
	g.shells(odd, members)
}

// shells takes up parts that stand away from the mirror image of their like: as many
// places, as large, and nearly all of them opposite once the two middles are.
func (g *grower) shells(odd []int, members [][]int32) {
	const size = 0.05 // share by which the sizes of two likes may differ
	type shell struct {
		part   int
		middle space.Vec
		spread float64 // mean square from the middle
	}
	list := make([]shell, 0, len(odd))
	for _, k := range odd {
		x := shell{part: k}
		for _, i := range members[k] {
			x.middle = x.middle.Add(g.at(i))
		}
		x.middle = x.middle.Mul(1 / float64(len(members[k])))
		for _, i := range members[k] {
			d := g.at(i).Sub(x.middle)
			x.spread += d.Dot(d)
		}
		if space.Finite(x.middle) {
			list = append(list, x)
		}
	}
	middles := make([]float32, 0, 3*len(list))
	for _, x := range list {
		middles = append(middles, float32(x.middle[0]), float32(x.middle[1]), float32(x.middle[2]))
	}
	tree := geom.NewTree(middles)
	choice, pairing := make([]int, len(list)), make([][]int32, len(list))
	for a := range list {
		x := &list[a]
		image := g.s.Plane.Reflect(x.middle)
		type like struct {
			id  int
			off float64
		}
		var near []like
		tree.Within(float32(image[0]), float32(image[1]), float32(image[2]), float32(g.limit*g.limit), func(id uint32) bool {
			y := &list[id]
			if len(members[y.part]) == len(members[x.part]) && math.Abs(y.spread-x.spread) <= size*x.spread {
				near = append(near, like{int(id), y.middle.Sub(image).Len()})
			}
			return true
		})
		slices.SortFunc(near, func(a, b like) int { return cmp.Or(cmp.Compare(a.off, b.off), cmp.Compare(a.id, b.id)) })
		// Of several the one whose shape fits best, the nearest among equals.
		var best []int32
		to, least := -1, math.Inf(1)
		for _, y := range near[:min(len(near), mostLikes)] {
			there, off := g.alike(members[x.part], members[list[y.id].part], list[y.id].middle.Sub(image))
			if there != nil && off < least-1e-6*g.s.Height {
				best, to, least = there, y.id, off
			}
		}
		choice[a], pairing[a] = to, best
	}
	for a, b := range choice { // the two must choose each other: a lonely one finds some other's like
		if b >= a && choice[b] == a {
			g.pairShells(list[a].part, list[b].part, members, pairing[a])
		}
	}
}

// mostLikes are looked at where many small shells of one shape lie together: rivets.
const mostLikes = 6

// alike answers for each place of one part the place of another that is opposite once the
// way between them is taken out, −1, and how far they are from it on average; nil where
// under nineteen in twenty find one.
func (g *grower) alike(a, b []int32, way space.Vec) (there []int32, off float64) {
	const enough = 0.95
	find := func(from, to []int32, way space.Vec) []int32 {
		points := make([]float32, 0, 3*len(to))
		for _, i := range to {
			points = append(points, g.s.Points[3*i:3*i+3]...)
		}
		tree := geom.NewTree(points)
		out := make([]int32, len(from))
		for k, i := range from {
			x := g.image(i).Add(way)
			r := g.s.Reach[i]
			out[k], _ = tree.Nearest(float32(x[0]), float32(x[1]), float32(x[2]), r*r)
		}
		return out
	}
	there, back := find(a, b, way), find(b, a, g.mirrored(way))
	found := 0
	for k := range there {
		if j := there[k]; j >= 0 && back[j] == int32(k) {
			off += g.image(a[k]).Add(way).Sub(g.at(b[j])).Len()
			there[k] = b[j]
			found++
		} else {
			there[k] = -1
		}
	}
	if float64(found) < enough*float64(len(a)) {
		return nil, 0
	}
	return there, off / float64(found)
}

// pairShells makes likes of two parts and pairs of their places.
func (g *grower) pairShells(a, b int, members [][]int32, there []int32) {
	p := g.p
	p.Parts[a].Left, p.Parts[b].Left = false, false
	p.Parts[a].Like, p.Parts[b].Like = b, a
	for _, list := range [][]int32{members[a], members[b]} {
		for _, i := range list {
			if j := p.Of[i]; j >= 0 {
				p.Of[i], p.Of[j], p.How[i], p.How[j] = -1, -1, None, None
			}
		}
	}
	for k, i := range members[a] {
		if j := there[k]; j >= 0 && p.Of[i] < 0 && p.Of[j] < 0 {
			p.Of[i], p.Of[j], p.How[i], p.How[j] = j, i, OfShell, OfShell
		}
	}
}

// mirrored is the way from b's image to a, given the way from a's image to b.
func (g *grower) mirrored(way space.Vec) space.Vec {
	n := space.Vec(g.s.Plane.Normal)
	return way.Sub(n.Mul(2 * way.Dot(n))).Mul(-1)
}

// join lists the places that share an edge.
func (g *grower) join() {
	n := len(g.p.Of)
	edges := geom.FindEdges(g.s.Triangles, n, nil)
	g.start = make([]uint32, n+1)
	for _, e := range edges.Ends {
		g.start[e+1]++
	}
	for i := range n {
		g.start[i+1] += g.start[i]
	}
	g.near = make([]uint32, len(edges.Ends))
	fill := slices.Clone(g.start[:n])
	for e := 0; e+1 < len(edges.Ends); e += 2 {
		a, b := edges.Ends[e], edges.Ends[e+1]
		g.near[fill[a]], g.near[fill[b]] = b, a
		fill[a]++
		fill[b]++
	}
}

func (g *grower) beside(i int32) []uint32 { return g.near[g.start[i]:g.start[i+1]] }

// pair is one that was taken for sure.
type pair struct {
	a, b  int32
	group uint32
}

// doubted takes back sure pairs that do not hang together with most of their part: where a
// stretch of the surface was moved by more than an edge, its places come to lie at the
// mirror images of others than their own. Two pairs hang together when each end of an edge
// has its partner at an edge. Those taken back are answered, for restore.
func (g *grower) doubted() (aside []pair) {
	p := g.p
	u := geom.NewUnion(len(p.Of))
	for i, j := range p.Of {
		if j < 0 {
			continue
		}
		u.Join(uint32(i), uint32(j))
		for _, b := range g.beside(int32(i)) {
			if c := p.Of[b]; c >= 0 && int(b) > i && slices.Contains(g.beside(j), uint32(c)) {
				u.Join(uint32(i), b)
			}
		}
	}
	root := u.Flatten()
	size := make([]int32, len(p.Of))
	for i, j := range p.Of {
		if j >= 0 {
			size[root[i]]++
		}
	}
	main := make([]int32, len(p.Parts)) // of a part: the root of its largest group, −1
	for k := range main {
		main[k] = -1
	}
	for i, j := range p.Of {
		if k := p.Part[i]; j >= 0 && (main[k] < 0 || size[root[i]] > size[main[k]]) {
			main[k] = int32(root[i])
		}
	}
	for i, j := range p.Of {
		if j < int32(i) || p.How[i] != Sure || main[p.Part[i]] == int32(root[i]) || main[p.Part[j]] == int32(root[i]) {
			continue
		}
		aside = append(aside, pair{int32(i), j, root[i]})
	}
	for _, x := range aside {
		p.Of[x.a], p.Of[x.b], p.How[x.a], p.How[x.b] = -1, -1, None, None
	}
	return aside
}

// restore takes pairs up again that growth left free, where those of their group lie so
// near to each other's mirror images that chance would not put them there.
func (g *grower) restore(aside []pair) {
	const near = 0.1 // of how far a sure pair may lie apart: half an edge
	p := g.p
	off, all := map[uint32]float64{}, map[uint32]float64{}
	for _, x := range aside {
		off[x.group] += g.image(x.a).Sub(g.at(x.b)).Len()
		all[x.group] += float64(g.s.Reach[x.a])
	}
	for _, x := range aside {
		if p.Of[x.a] < 0 && p.Of[x.b] < 0 && off[x.group] <= near*all[x.group] {
			p.Of[x.a], p.Of[x.b], p.How[x.a], p.How[x.b] = x.b, x.a, Sure, Sure
		}
	}
}

// The fewest and the most neighbours that must be pairs for their word to count.
const fewest, most = 2, 6

// What an edge's length off counts for, in neighbours, and by how many the best candidate
// must lead: where diagonals are not mirrored, edges alone speak for wrong ones as well.
const worth, doubt = 2.0, 0.5

// grow pairs places whose neighbours are pairs: the candidate opposite is the one that
// most partners of the neighbours lie beside, less what it lies off from where its
// neighbours' partners make one expect it, and the two must choose each other. Those that most neighbours speak for come first, so
// that a doubtful one is met when more around it is known.
func (g *grower) grow() {
	p := g.p
	var open []int32
	for i, j := range p.Of {
		if j < 0 && !g.out(int32(i)) && space.Finite(g.at(int32(i))) {
			open = append(open, int32(i))
		}
	}
	votes := map[int32]int{}
	choice, said, stale := make([]int32, len(p.Of)), make([]int, len(p.Of)), make([]bool, len(p.Of))
	for _, i := range open {
		stale[i] = true
	}
	for level := most; level >= fewest && len(open) > 0; {
		for _, i := range open {
			if stale[i] || choice[i] >= 0 && p.Of[choice[i]] >= 0 {
				choice[i], said[i] = g.choose(i, votes)
				stale[i] = false
			}
		}
		found := false
		for _, i := range open {
			j := choice[i]
			if j < 0 || min(said[i], said[j]) < level || p.Of[i] >= 0 || p.Of[j] >= 0 || choice[j] != i {
				continue
			}
			p.Of[i], p.Of[j], p.How[i], p.How[j] = j, i, Grown, Grown
			for _, k := range [2]int32{i, j} {
				for _, b := range g.beside(k) {
					stale[b] = true
				}
			}
			found = true
		}
		if !found {
			level--
			continue
		}
		open = slices.DeleteFunc(open, func(i int32) bool { return p.Of[i] >= 0 })
		level = most
	}
}

// choose answers the candidate opposite a place and how many neighbours speak for it; all
// neighbours of a place with few count as many.
func (g *grower) choose(i int32, votes map[int32]int) (int32, int) {
	p, said := g.p, 0
	clear(votes)
	var list []int32
	var shift space.Vec // of the neighbours' partners from their mirror images
	pairs := 0.0
	for _, a := range g.beside(i) {
		b := p.Of[a]
		if b < 0 {
			continue
		}
		shift, pairs = shift.Add(g.at(b).Sub(g.image(int32(a)))), pairs+1
		for _, c := range g.beside(b) {
			c := int32(c)
			if p.Of[c] >= 0 || g.out(c) {
				continue
			}
			if votes[c] == 0 {
				list = append(list, c)
			}
			votes[c]++
		}
	}
	if pairs == 0 {
		return -1, 0
	}
	image := g.image(i)
	where := image.Add(shift.Mul(1 / pairs))
	edge := 0.0
	for _, a := range g.beside(i) {
		edge += g.at(int32(a)).Sub(g.at(i)).Len() / float64(len(g.beside(i)))
	}
	best, score, second := int32(-1), math.Inf(-1), math.Inf(-1)
	slices.Sort(list)
	for _, c := range list {
		if !(g.at(c).Sub(image).Len() <= g.limit) {
			continue
		}
		x := float64(votes[c]) - worth*min(1, g.at(c).Sub(where).Len()/edge)
		if x > score {
			second = score
			best, score, said = c, x, votes[c]
		} else {
			second = max(second, x)
		}
	}
	if score-second < doubt {
		return best, said - 1 // another is nearly as likely: it waits until more is known
	}
	if best >= 0 && said == len(g.beside(i)) {
		said = max(said, fewest)
	}
	return best, said
}
