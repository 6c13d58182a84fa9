package geom

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/space"
)

// candidates are planes worth trying, the likeliest first.
func candidates(s Shape, box Box, m Moments) (planes []Plane) {
	if len(s.Pairs) > 0 {
		planes = append(planes, pairPlane(s.Pairs))
	}
	middle := box.Center()
	axes, _ := Axes(m.Cov)
	x, y, z := space.Vec{1, 0, 0}, space.Vec{0, 1, 0}, space.Vec{0, 0, 1}
	for _, n := range []space.Vec{x, z, y} {
		planes = append(planes, planeThrough(n, space.Vec{}), planeThrough(n, middle), planeThrough(n, m.Centre))
	}
	for _, n := range axes {
		planes = append(planes, planeThrough(n, m.Centre), planeThrough(n, middle))
	}
	return slices.DeleteFunc(planes, func(p Plane) bool { return p.Normal == space.Vec{} })
}

// pairPlane is the plane half way between places that lie opposite each other:
// the mean of their differences, all turned to one side, and of their middles.
func pairPlane(pairs [][2]space.Vec) Plane {
	var cov [6]float64
	var middle space.Vec
	for _, p := range pairs {
		d := p[0].Sub(p[1])
		k := 0
		for i := range 3 {
			middle[i] += (p[0][i] + p[1][i]) / 2 / float64(len(pairs))
			for j := i; j < 3; j++ {
				cov[k] += d[i] * d[j]
				k++
			}
		}
	}
	axes, values := Axes(cov)
	if values[0] == 0 {
		return Plane{}
	}
	return planeThrough(axes[0], middle)
}

// finder tries planes on a sample of the points.
type finder struct {
	tree     *Tree
	points   []float32 // all, centred
	sample   []uint32
	diagonal float64
	watch    *Watch
	search   search
}

// Sizes of the samples. A share of 400 points is off by 2.5 % at worst (one
// standard deviation), enough to tell planes apart; they are taken at even steps,
// so the answer is the same each time.
const (
	sampleSize = 400
	fanSize    = 120 // points looked at for each direction of the fan
	fanCount   = 96  // directions of the fan: 13° apart
	contenders = 4   // planes that are fitted, twice as many of the fan
)

func newFinder(tree *Tree, points []float32, diagonal float64) *finder {
	f := &finder{tree: tree, points: points, diagonal: diagonal}
	n := len(points) / 3
	k := min(n, sampleSize)
	for i := range k {
		f.sample = append(f.sample, uint32(i*n/k))
	}
	return f
}

// score tells how well a plane mirrors the sample: the mean of 1 − distance ÷
// reach, over the points whose own image is farther than reach from themselves (a
// point on the plane proves nothing: any flat shape is its own image). It is −1
// when fewer than a tenth are.
func (f *finder) score(plane Plane, reach float64, sample []uint32) float64 {
	if !f.watch.Spend(workOfNearest * len(sample)) {
		return -1
	}
	p := newPlane32(plane)
	limit := float32(reach * reach)
	sum, off := 0.0, 0
	for _, i := range sample {
		x, y, z := f.points[3*i], f.points[3*i+1], f.points[3*i+2]
		u, v, w := p.reflect(x, y, z)
		if d := (u-x)*(u-x) + (v-y)*(v-y) + (w-z)*(w-z); !(d > limit) {
			continue
		}
		off++
		if _, square := f.search.nearest(f.tree, u, v, w, limit); square < limit {
			sum += 1 - math.Sqrt(float64(square))/reach
		}
	}
	if 10*off < len(sample) || off == 0 {
		return -1
	}
	return sum / float64(off)
}

// alike is the share of the points off the plane whose image lies near the shape:
// near one of its points, or its surface where points are far between.
func (f *finder) alike(plane Plane, triangles []uint32) float64 {
	reach := 0.02 * f.diagonal
	p := newPlane32(plane)
	limit := float32(reach * reach)
	in, off := 0, 0
	var missed []space.Vec
	for _, i := range f.sample {
		x, y, z := f.points[3*i], f.points[3*i+1], f.points[3*i+2]
		u, v, w := p.reflect(x, y, z)
		if d := (u-x)*(u-x) + (v-y)*(v-y) + (w-z)*(w-z); !(d > limit) {
			continue
		}
		off++
		if id, _ := f.search.nearest(f.tree, u, v, w, limit); id >= 0 {
			in++
		} else {
			missed = append(missed, space.Vec{float64(u), float64(v), float64(w)})
		}
	}
	if off == 0 {
		return 0
	}
	if 20*len(missed) > off && len(triangles) > 0 {
		in += f.near(missed, triangles, reach)
	}
	return float64(in) / float64(off)
}

// near counts the places from which the surface is within reach. They are a few hundred at
// most, in order along one axis: going once over the triangles takes a fifth of the time
// that a tree of them does.
func (f *finder) near(places []space.Vec, triangles []uint32, reach float64) (count int) {
	slices.SortFunc(places, func(a, b space.Vec) int { return cmp.Compare(a[0], b[0]) })
	found := make([]bool, len(places))
	for t := 0; t+2 < len(triangles) && count < len(places); t += 3 {
		if t%Stride == 0 && !f.watch.Spend(Stride) {
			return count
		}
		var lo, hi space.Vec
		for i, v := range triangles[t : t+3] {
			for c := range 3 {
				x := float64(f.points[3*v+uint32(c)])
				if i == 0 || x-x != 0 || x-reach < lo[c] {
					lo[c] = x - reach
				}
				if i == 0 || x-x != 0 || x+reach > hi[c] {
					hi[c] = x + reach
				}
			}
		}
		k, end := 0, len(places) // the first that may lie within reach
		for k < end {
			if middle := (k + end) / 2; places[middle][0] < lo[0] {
				k = middle + 1
			} else {
				end = middle
			}
		}
		for ; k < len(places) && places[k][0] <= hi[0]; k++ {
			p := &places[k]
			if found[k] || !(p[1] >= lo[1] && p[1] <= hi[1] && p[2] >= lo[2] && p[2] <= hi[2]) {
				continue
			}
			a, b, c := space.At(f.points, triangles[t]), space.At(f.points, triangles[t+1]), space.At(f.points, triangles[t+2])
			u := closestOnTriangle(*p, a, b, c)
			q := space.Vec{u[0]*a[0] + u[1]*b[0] + u[2]*c[0], u[0]*a[1] + u[1]*b[1] + u[2]*c[1], u[0]*a[2] + u[1]*b[2] + u[2]*c[2]}
			if way := p.Sub(q); way.Dot(way) < reach*reach {
				found[k] = true
				count++
			}
		}
	}
	return count
}

// fit moves a plane to where its own pairs want it, nearer ones counting more
// (Tukey's biweight), within a reach that shrinks to that of partners and then to
// a few times what is left, so that a sword on one side pulls at nothing.
func (f *finder) fit(plane Plane) Plane {
	reach := 0.04 * f.diagonal
	last := PartnerReach * f.diagonal
	squares := make([]float64, 0, len(f.sample))
	for range 14 {
		if !f.watch.Spend(workOfNearest * len(f.sample)) {
			break
		}
		p := newPlane32(plane)
		limit := float32(reach * reach)
		var s pairSums
		squares = squares[:0]
		off := 0
		for _, i := range f.sample {
			x, y, z := f.points[3*i], f.points[3*i+1], f.points[3*i+2]
			u, v, w := p.reflect(x, y, z)
			if d := (u-x)*(u-x) + (v-y)*(v-y) + (w-z)*(w-z); !(d > limit) {
				continue
			}
			off++
			j, square := f.search.nearest(f.tree, u, v, w, limit)
			if j < 0 {
				continue
			}
			k := 1 - float64(square)/(reach*reach)
			s.add(space.At(f.points, i), space.At(f.points, j), k*k)
			squares = append(squares, float64(square))
		}
		if len(squares) < 4 || 5*len(squares) < off {
			break // it gets nowhere
		}
		next, ok := s.plane()
		if !ok || math.Abs(next.Normal.Dot(plane.Normal)) < 0.5 {
			break
		}
		moved := next.Normal.Sub(plane.Normal).Len()*f.diagonal + math.Abs(next.Offset-plane.Offset)
		plane = next
		if reach > last {
			reach = max(last, reach*0.6)
			continue
		}
		if moved < 1e-7*f.diagonal {
			break
		}
		reach = min(last, max(4*math.Sqrt(space.Ranked(squares, len(squares)/2)), 1e-6*f.diagonal))
		last = reach
	}
	return plane
}

// find answers the best plane, relative to the middle, and false when no plane
// was any use.
func (f *finder) find(tries []Plane, m Moments, middle space.Vec, edge []float32) (Plane, bool) {
	for i := range tries {
		tries[i].Offset = tries[i].Side(middle) * -1
	}
	best, score := Plane{}, exactScore
	for _, p := range tries {
		if s := f.score(p, exactReach*f.diagonal, f.sample); s > score+tie {
			best, score = p, s
		}
	}
	if score > exactScore && !f.beaten(best, tries) {
		return best, true
	}
	best, score = f.best(f.contenders(tries, 0.02*f.diagonal, f.sample, 0.8, contenders))
	if score < 0.5 { // nothing from the list is the plane: ask the points
		if b, s := f.best(f.contenders(f.votes(edge), 0.02*f.diagonal, f.sample, 3, contenders)); s > score+tie {
			best, score = b, s
		}
	}
	if score < 0.5 { // try directions all around
		centre := m.Centre.Sub(middle)
		step := f.sample
		if len(step) > fanSize {
			step = make([]uint32, fanSize)
			for i := range step {
				step[i] = f.sample[i*len(f.sample)/fanSize]
			}
		}
		fan := make([]Plane, 0, 2*fanCount+1)
		if score >= 0 {
			fan = append(fan, best)
		}
		along := make([]float64, len(step))
		for i := range fanCount { // a spiral over the half sphere, evenly spread
			z := (float64(i) + 0.5) / fanCount
			s, c := math.Sincos(float64(i) * math.Pi * (3 - math.Sqrt(5)))
			r := math.Sqrt(1 - z*z)
			n := space.Vec{r * c, r * s, z}
			for k, v := range step {
				along[k] = n.Dot(space.At(f.points, v))
			}
			// Gear on one side draws the centroid far, the median less.
			fan = append(fan, planeThrough(n, centre), planeThrough(n, n.Mul(space.Ranked(along, len(along)/2))))
		}
		if b, s := f.best(f.contenders(fan, 0.04*f.diagonal, step, 20, 2*contenders)); s > score+tie {
			best, score = b, s
		}
	}
	return best, score >= 0
}

// The plane over which most points meet another to the last digits, if that many
// do, is the one, and there is nothing to fit. Only round limbs are alike front and
// back as well: where rounding parts the two sides by more than front and back, another
// plane is better by far for all points, and then the last digits say nothing.
const (
	exactReach = 1e-5 // of the diagonal
	exactScore = 0.4  // share of the points
	byFar      = 0.05 // of the score at the reach of partners
)

// beaten tells that another plane mirrors the shape better by far than the one that the last
// digits speak for.
func (f *finder) beaten(best Plane, tries []Plane) bool {
	reach := PartnerReach * f.diagonal
	limit := f.score(best, reach, f.sample) + byFar
	return limit < 1 && slices.ContainsFunc(tries, func(p Plane) bool { return f.score(p, reach, f.sample) > limit })
}

// tie is how much better a later plane must score to win.
const tie = 0.002

// contenders answers the few planes that score best at a generous reach, no two
// of them within some degrees and near each other, in the order of the list.
func (f *finder) contenders(tries []Plane, reach float64, sample []uint32, degrees float64, count int) []Plane {
	apart := math.Cos(degrees * math.Pi / 180)
	type tried struct {
		place int
		score float64
	}
	var list []tried
	for i, p := range tries {
		if s := f.score(p, reach, sample); s >= 0 {
			list = append(list, tried{i, s})
		}
	}
	slices.SortStableFunc(list, func(a, b tried) int {
		return cmp.Compare(b.score, a.score)
	})
	var kept []int
	for _, t := range list {
		same := slices.ContainsFunc(kept, func(k int) bool {
			d := tries[k].Normal.Dot(tries[t.place].Normal)
			return math.Abs(d) > apart && math.Abs(tries[k].Offset-math.Copysign(1, d)*tries[t.place].Offset) < 2*(1-apart)*f.diagonal+0.001*f.diagonal
		})
		if !same {
			kept = append(kept, t.place)
		}
		if len(kept) == count {
			break
		}
	}
	slices.Sort(kept)
	out := make([]Plane, len(kept))
	for i, k := range kept {
		out[i] = tries[k]
	}
	return out
}

// best fits the contenders and scores them, as they were and as fitted, at the
// reach of partners.
func (f *finder) best(list []Plane) (best Plane, score float64) {
	score = -1
	reach := PartnerReach * f.diagonal
	for _, p := range list {
		s := f.score(p, reach, f.sample)
		if s < 0.9999 { // else there is nothing to fit
			q := f.fit(p)
			if t := f.score(q, reach, f.sample); t > s+1e-4 {
				p, s = q, t
			}
		}
		if s > score+tie {
			best, score = p, s
		}
	}
	return best, score
}
