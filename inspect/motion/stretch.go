package motion

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// WorstFrame is the moment of a clip at which the surface is stretched most, of
// those that were looked at.
type WorstFrame struct {
	Time   float64  `json:"time"`
	P99    float64  `json:"stretch_p99"`      // 99th percentile of the principal stretch of the triangles
	Area   float64  `json:"stretch_p99_area"` // the same by area at rest: 1 % of the surface is stretched more
	Max    float64  `json:"stretch_max"`
	Joint  rig.Node `json:"joint"`  // that moves most of the stretched triangles
	Looked int      `json:"frames"` // worked out exactly
	Of     int      `json:"of"`     // ranked by how far neighbouring joints part

	limit   float32 // square of P99
	surface int
	corners []rig.Vertex // of the triangles beyond the percentile, the first ones
}

// tension measures the stretch of all skinned surfaces in a pose.
type tension struct {
	f        *figure
	skinned  []tense
	pairs    []pair
	ratios   []float32
	area     float64      // of all triangles, twice that
	whole    int          // poses whose ratios were all worked out
	stirred  []float32    // of one bin, to rank
	bins     []uint32     // how many ratios are in each
	top      []part       // to put in order
	matrices []rig.Affine // by matrix of all skins
}

// tense is one skinned surface and how its triangles lie at rest.
type tense struct {
	surface int
	d       *deform.Deformer
	pos     []float32
	tri     []uint32        // 3 a triangle, needles left out
	rest    []deform.Strain // by triangle
	area    []float32       // by triangle: twice that at rest
	joint   []rig.Node      // by vertex: strongest
	first   int             // of its ratios
}

// pair is two joints that share a stretch of surface.
type pair struct {
	a, b    int        // matrices
	centre  [3]float64 // of what they share, in the mesh's space
	spread  float64    // how far from the centre that lies, the mesh's units
	scale   float64    // square of the world's metres in a unit of the mesh
	weight  float64
	squares float64
}

func newTension(f *figure) *tension {
	t := &tension{f: f}
	first, bases, total := 0, make([]int, len(f.r.Skins)), 0
	for i := range f.r.Skins {
		bases[i] = total
		total += len(f.r.Skins[i].Joints)
	}
	t.matrices = make([]rig.Affine, total)
	index := map[[2]int]int{}
	for _, i := range f.e.Shown() {
		s := f.r.Surfaces[i]
		m := &f.r.Meshes[s.Mesh]
		if s.Skin < 0 || m.K == 0 || len(m.Triangles) == 0 {
			continue
		}
		u := tense{surface: i, d: deform.NewDeformer(f.r, i), pos: make([]float32, len(m.Positions)), first: first}
		rest := f.e.RestPositions(i)
		n := len(m.Triangles) / 3
		u.tri, u.rest, u.area = make([]uint32, 0, 3*n), make([]deform.Strain, 0, n), make([]float32, 0, n)
		for k := 0; k+2 < len(m.Triangles); k += 3 {
			a, b, c := m.Triangles[k], m.Triangles[k+1], m.Triangles[k+2]
			t := [3]space.Vec{space.At(rest, a), space.At(rest, b), space.At(rest, c)}
			strain, ok := deform.NewStrain(t)
			if !ok {
				continue
			}
			u.tri, u.rest = append(u.tri, a, b, c), append(u.rest, strain)
			u.area = append(u.area, float32(t[1].Sub(t[0]).Cross(t[2].Sub(t[0])).Len()))
		}
		for _, area := range u.area {
			t.area += float64(area)
		}
		first += len(u.tri) / 3
		joints := f.r.Skins[s.Skin].Joints
		u.joint = make([]rig.Node, m.Vertices())
		for v := range u.joint {
			u.joint[v] = rig.None
			if k := m.Strongest(v, len(joints)); k >= 0 {
				u.joint[v] = joints[k]
			}
		}
		t.addPairs(m, s.Skin, bases[s.Skin], u.tri, index)
		t.skinned = append(t.skinned, u)
	}
	t.ratios = make([]float32, first)
	t.fill(f.e.RestWorld())
	for i := range t.pairs {
		p := &t.pairs[i]
		if p.weight > 0 {
			for x := range p.centre {
				p.centre[x] /= p.weight
			}
			c := p.centre
			p.spread = math.Sqrt(max(0, p.squares/p.weight-c[0]*c[0]-c[1]*c[1]-c[2]*c[2]))
		}
		one := t.matrices[p.a].Scale()
		if !(one > 0) {
			one = 1
		}
		p.scale = one * one
		p.spread = max(p.spread, 0.005*f.diagonal/one)
	}
	return t
}

// addPairs finds which joints share vertices, or the edges of a triangle, and where.
func (t *tension) addPairs(m *rig.MeshData, skin rig.Skin, base int, tri []uint32, index map[[2]int]int) {
	joints := len(t.f.r.Skins[skin].Joints)
	add := func(a, b int, v uint32, w float64) {
		if a == b {
			return
		}
		key := [2]int{base + min(a, b), base + max(a, b)}
		i, ok := index[key]
		if !ok {
			i = len(t.pairs)
			index[key] = i
			t.pairs = append(t.pairs, pair{a: key[0], b: key[1]})
		}
		p := &t.pairs[i]
		p.weight += w
		for x := range 3 {
			y := float64(m.Positions[3*v+uint32(x)])
			p.centre[x] += w * y
			p.squares += w * y * y
		}
	}
	k := uint32(m.K)
	done := make([]bool, m.Vertices())
	for i, v := range tri {
		if a, b := m.Strongest(int(v), joints), m.Strongest(int(tri[i/3*3+(i+1)%3]), joints); a >= 0 && b >= 0 {
			add(a, b, v, 0.5)
		}
		if done[v] {
			continue
		}
		done[v] = true
		for c := v * k; c < v*k+k; c++ {
			for d := c + 1; d < v*k+k; d++ {
				wa, wb := m.Weights[c], m.Weights[d]
				if wa > 0 && wb > 0 && int(m.Joints[c]) < joints && int(m.Joints[d]) < joints {
					add(int(m.Joints[c]), int(m.Joints[d]), v, 4*float64(wa)*float64(wb))
				}
			}
		}
	}
}

// strain guesses how much a pose stretches the surface without carrying it: for
// every two joints that share some of it, how far they part there in lengths of the
// shared stretch; squared, and weighted by how much they share.
func (t *tension) strain(world []rig.Affine) (sum float64) {
	t.fill(world)
	for i := range t.pairs {
		p := &t.pairs[i]
		a, b, c := &t.matrices[p.a], &t.matrices[p.b], &p.centre
		move, turn := 0.0, 0.0
		for x := 0; x < 12; x += 4 {
			d0, d1, d2 := a[x]-b[x], a[x+1]-b[x+1], a[x+2]-b[x+2]
			d := d0*c[0] + d1*c[1] + d2*c[2] + a[x+3] - b[x+3]
			move += d * d
			turn += d0*d0 + d1*d1 + d2*d2
		}
		sum += p.weight * (move/(p.spread*p.spread) + turn) / p.scale
	}
	return sum
}

// fill works out the matrices of all skins, one skin after the other.
func (t *tension) fill(world []rig.Affine) {
	at := 0
	for i := range t.f.r.Skins {
		s := &t.f.r.Skins[i]
		for j, n := range s.Joints {
			switch m := &t.matrices[at]; {
			case n < 0 || int(n) >= len(world):
				*m = rig.Identity
			case j < len(s.Bind):
				*m = world[n].Mul(&s.Bind[j])
			default:
				*m = world[n]
			}
			at++
		}
	}
}

// look carries all skinned surfaces to a pose and measures the stretch of every
// triangle, the larger principal one, squared. Where the percentile is no more than that
// of worst, false is answered and nothing else: told by counting, without a root for most
// triangles and without putting any in order.
func (t *tension) look(p *deform.Pose, worst *WorstFrame) (w WorstFrame, worse bool) {
	w.Joint, w.surface = rig.None, -1
	for i := range t.skinned {
		u := &t.skinned[i]
		u.d.Apply(p, deform.Linear, u.pos, nil, nil, nil)
	}
	if len(t.ratios) == 0 || worst != nil && !t.passes(worst.limit) {
		return w, false
	}
	t.whole++
	for i := range t.skinned {
		u := &t.skinned[i]
		for k := 0; k < len(u.tri)/3; k++ {
			p, q, r := corner(u.pos, u.tri[3*k]), corner(u.pos, u.tri[3*k+1]), corner(u.pos, u.tri[3*k+2])
			most, _ := u.rest[k].Squares(q.X-p.X, q.Y-p.Y, q.Z-p.Z, r.X-p.X, r.Y-p.Y, r.Z-p.Z)
			t.ratios[u.first+k] = float32(most)
		}
	}
	most := t.sift()
	w.limit = t.ranked(t.percentile())
	w.P99, w.Max = math.Sqrt(float64(w.limit)), math.Sqrt(float64(most))
	w.Area = t.byArea()
	t.blame(&w, w.limit)
	return w, w.Joint >= 0
}

// percentile is the place of the 99th percentile among the ratios in order.
func (t *tension) percentile() int { return (len(t.ratios) - 1) * 99 / 100 }

// passes tells that the percentile of the stretch, of the surfaces as they were carried, is
// larger than limit: that more ratios are than may stand after it.
func (t *tension) passes(limit float32) bool {
	left := len(t.ratios) - t.percentile()
	for i := range t.skinned {
		u := &t.skinned[i]
		for k := 0; k < len(u.tri)/3; k++ {
			p, q, r := corner(u.pos, u.tri[3*k]), corner(u.pos, u.tri[3*k+1]), corner(u.pos, u.tri[3*k+2])
			ux, uy, uz, vx, vy, vz := q.X-p.X, q.Y-p.Y, q.Z-p.Z, r.X-p.X, r.Y-p.Y, r.Z-p.Z
			if u.rest[k].Within(float64(limit), ux, uy, uz, vx, vy, vz) {
				continue
			}
			if most, _ := u.rest[k].Squares(ux, uy, uz, vx, vy, vz); float32(most) > limit && float32(most) <= math.MaxFloat32 {
				if left--; left == 0 {
					return true
				}
			}
		}
	}
	return false
}

func corner(pos []float32, v uint32) space.XYZ {
	p := pos[3*v : 3*v+3]
	return space.XYZ{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])}
}

// The bits of floats that are not negative rise as they do, so their upper bits are bins
// of a thirty-second of a doubling each.
const (
	binShift = 18
	binCount = 1 << 13
)

// sift counts the ratios into bins and answers the largest; what is no number is 0.
func (t *tension) sift() (most float32) {
	if t.bins == nil {
		t.bins = make([]uint32, binCount)
	}
	clear(t.bins)
	for i, x := range t.ratios {
		if !(x > 0) || x > math.MaxFloat32 {
			x = 0
			t.ratios[i] = 0
		}
		most = max(most, x)
		t.bins[math.Float32bits(x)>>binShift]++
	}
	return most
}

// ranked is the k-th smallest ratio, from 0: only those of its bin are put in order.
func (t *tension) ranked(k int) float32 {
	before, bin := 0, uint32(0)
	for ; before+int(t.bins[bin]) <= k; bin++ {
		before += int(t.bins[bin])
	}
	t.stirred = t.stirred[:0]
	for _, x := range t.ratios {
		if math.Float32bits(x)>>binShift == bin {
			t.stirred = append(t.stirred, x)
		}
	}
	return space.Ranked(t.stirred, k-before)
}

// part is a triangle's stretch and its area at rest.
type part struct{ ratio, area float32 }

// byArea is the stretch that one hundredth of the area at rest is over. Only as many of the
// most stretched triangles are sorted as hold that hundredth; where those over the 90th
// percentile do not (all are tiny), that is the answer.
func (t *tension) byArea() float64 {
	limit := float32(0)
	for _, percent := range []int{98, 96, 90} {
		floor, top := t.ranked((len(t.ratios)-1)*percent/100), t.top[:0]
		for i := range t.skinned {
			u := &t.skinned[i]
			ratios := t.ratios[u.first:]
			for k, area := range u.area {
				if r := ratios[k]; r >= floor {
					top = append(top, part{r, area})
				}
			}
		}
		t.top, limit = top, floor
		slices.SortFunc(top, func(a, b part) int { return cmp.Compare(b.ratio, a.ratio) })
		sum := 0.0
		for _, p := range top {
			if sum += float64(p.area); sum >= t.area/100 {
				return math.Sqrt(float64(p.ratio))
			}
		}
	}
	return math.Sqrt(float64(limit))
}

// blame names the joint that most of the triangles beyond the percentile follow.
func (t *tension) blame(w *WorstFrame, limit float32) {
	votes := make([]float64, len(t.f.r.Nodes))
	for i := range t.skinned {
		u := &t.skinned[i]
		for k := 0; k < len(u.tri)/3; k++ {
			r := t.ratios[u.first+k]
			if r < limit {
				continue
			}
			for _, v := range u.tri[3*k : 3*k+3] {
				if n := u.joint[v]; n >= 0 {
					votes[n] += float64(r)
				}
			}
		}
	}
	for n, v := range votes {
		if v > 0 && (w.Joint < 0 || v > votes[w.Joint]) {
			w.Joint = rig.Node(n)
		}
	}
	for i := range t.skinned {
		u := &t.skinned[i]
		for k := 0; k < len(u.tri)/3 && len(w.corners) < 96; k++ {
			if t.ratios[u.first+k] < limit || w.surface >= 0 && w.surface != u.surface {
				continue
			}
			for _, v := range u.tri[3*k : 3*k+3] {
				if u.joint[v] == w.Joint {
					w.surface = u.surface
					w.corners = append(w.corners, rig.Vertex(v))
				}
			}
		}
	}
	slices.Sort(w.corners)
	w.corners = slices.Compact(w.corners)
}
