package bind

import (
	"math"

	"rigloupe/inspect/space"
)

const (
	// easeMost is by how many metres a metre of surface may be drawn out where one joint turns by
	// 60° (the chord is the lever): to four times its length, where the check of bends begins to
	// speak half way. With 2.4 artists' weights were less well met, from 3 on as without.
	easeMost = 3.0
	// easeRounds bound the work: each widens what is eased.
	easeRounds = 8
	// easeReach of the length over which a whole weight may pass is how far around a steep
	// place the first round goes.
	easeReach = 0.125
)

// ease lets weights pass over a longer stretch where they change so fast that a turn of a
// joint would tear the surface: the farther a place is from the joint that it leaves, the
// longer the way between holding and not holding it must be. The front of a coat between two
// legs, a hand's breadth from both and half a metre below the hips, is drawn out ninefold by
// what suits a knee. What is too steep, and around it a little more each round, is filled in
// evenly between its rims (harmonically, Joshi et al. 2007).
func (w *worker) ease(opposite []int32) error {
	s := &steep{worker: w, far: make([]float64, len(w.f.Of)), sum: make([][3]float64, len(w.f.Joints.At)), depth: w.f.Joints.depths()}
	for round := range easeRounds {
		if !s.find(float64(round+1) * easeReach) {
			return nil
		}
		if err := s.fill(); err != nil {
			return err
		}
		w.f.even(w.b, opposite)
		w.f.sides(w.b)
	}
	return nil
}

// steep are places at which weights change too fast.
type steep struct {
	*worker
	far   []float64 // by place: how far around it is eased, metres; −1: not at all
	sum   [][3]float64
	depth []int32
	at    []int32 // joints of the triangle at work
	queue []uint32
}

// carries answers which joint takes a joint along, −1 none.
func (j *Joints) carries() []int {
	if j.Carried != nil {
		return j.Carried
	}
	return j.Parent
}

// depths by joint, in the tree of what takes what along; a ring ends.
func (j *Joints) depths() []int32 {
	up := j.carries()
	out := make([]int32, len(up))
	for i := range up {
		for q, n := up[i], 0; q >= 0 && n < len(up); q, n = up[q], n+1 {
			out[i]++
		}
	}
	return out
}

// find marks what is too steep and what lies around it; none: false.
func (s *steep) find(reach float64) bool {
	f, some := s.f, false
	for p := range s.far {
		s.far[p] = -1
	}
	for t := 0; t+2 < len(f.Triangles); t += 3 {
		c := f.Triangles[t : t+3]
		i := f.Of[c[0]]
		if i < 0 || s.b.Ways[i] == AsOne || s.b.Ways[i] == ByNone {
			continue
		}
		if lever, over := s.slope(c); over {
			some = true
			for _, p := range c {
				s.far[p] = max(s.far[p], reach*lever/easeMost)
			}
		}
	}
	if !some {
		return false
	}
	// Outwards along the edges, each place with the most that is left.
	around := f.around()
	s.queue = s.queue[:0]
	for p, r := range s.far {
		if r >= 0 {
			s.queue = append(s.queue, uint32(p))
		}
	}
	for len(s.queue) > 0 {
		p := s.queue[0]
		s.queue = s.queue[1:]
		a := space.At(f.Points, p)
		for _, q := range around.of(p) {
			if r := s.far[p] - space.At(f.Points, q).Sub(a).Len(); r > 0 && r > s.far[q]+1e-3*s.far[p] {
				s.far[q] = r
				s.queue = append(s.queue, q)
			}
		}
	}
	return true
}

// slope tells the longest lever at which a triangle's weights are too steep.
func (s *steep) slope(c []uint32) (lever float64, over bool) {
	f := s.f
	rows := s.b.Rows
	alike := true
	for k := range K {
		a, b, d := K*int(c[0])+k, K*int(c[1])+k, K*int(c[2])+k
		alike = alike && rows.Weight[a] == rows.Weight[b] && rows.Weight[a] == rows.Weight[d] && (rows.Weight[a] == 0 || rows.Joint[a] == rows.Joint[b] && rows.Joint[a] == rows.Joint[d])
	}
	if alike {
		return 0, false
	}
	p := space.At(f.Points, c[0])
	e, g := space.At(f.Points, c[1]).Sub(p), space.At(f.Points, c[2]).Sub(p)
	ee, eg, gg := e.Dot(e), e.Dot(g), g.Dot(g)
	square := ee*gg - eg*eg
	if !(square > 1e-8*ee*gg) {
		return 0, false // no area
	}
	middle := p.Add(e.Add(g).Mul(1. / 3))
	s.at = s.at[:0]
	put := func(j int32, x [3]float64) {
		for _, had := range s.at {
			if had == j {
				for k := range x {
					s.sum[j][k] += x[k]
				}
				return
			}
		}
		s.at = append(s.at, j)
		s.sum[j] = x
	}
	for corner, q := range c {
		for k := range K {
			if w := rows.Weight[K*int(q)+k]; w > 0 {
				var x [3]float64
				x[corner] = w
				put(rows.Joint[K*int(q)+k], x)
			}
		}
	}
	up := f.Joints.carries()
	for len(s.at) > 1 {
		deepest := 0
		for k, j := range s.at {
			if s.depth[j] > s.depth[s.at[deepest]] {
				deepest = k
			}
		}
		j := s.at[deepest]
		s.at[deepest] = s.at[len(s.at)-1]
		s.at = s.at[:len(s.at)-1]
		x := s.sum[j]
		u, v := x[1]-x[0], x[2]-x[0]
		if l := middle.Sub(f.Joints.At[j]).Len(); l > lever {
			if (gg*u*u-2*eg*u*v+ee*v*v)*l*l > easeMost*easeMost*square {
				lever, over = l, true
			}
		}
		if up[j] >= 0 {
			put(int32(up[j]), x)
		}
	}
	return lever, over
}

// fill gives the marked places what lies around them, evenly.
func (s *steep) fill() error {
	f := s.f
	var places []uint32
	number := s.local
	const none = math.MaxUint32
	for p := range number {
		number[p] = none
	}
	add := func(p uint32) {
		if number[p] == none {
			number[p] = uint32(len(places))
			places = append(places, p)
		}
	}
	var ends []uint32
	var weight []float64
	for e, w := range f.grid.Weight {
		a, b := f.grid.Ends[2*e], f.grid.Ends[2*e+1]
		if s.far[a] < 0 && s.far[b] < 0 || f.Of[a] < 0 || f.Of[b] < 0 {
			continue
		}
		add(a)
		add(b)
		ends, weight = append(ends, number[a], number[b]), append(weight, w)
	}
	sources, area := make([]Source, len(places)), make([]float64, len(places))
	for k, p := range places {
		x := &sources[k]
		for c := range K {
			if w := s.b.Rows.Weight[K*int(p)+c]; w > 0 {
				x.Joints, x.Parts = append(x.Joints, s.b.Rows.Joint[K*int(p)+c]), append(x.Parts, w)
			}
		}
		area[k], x.Heat = 1, easeHold
		if s.far[p] < 0 {
			x.Heat = easeRim
		}
	}
	if len(places) == 0 {
		return nil
	}
	for k, p := range places {
		if s.far[p] >= 0 {
			s.b.Rows.Clear(int(places[k]))
		}
	}
	err := Equilibrium(len(places), ends, weight, area, sources, s.look(0), func(joint int32, x []float64) {
		for k, p := range places {
			if s.far[p] >= 0 {
				s.b.Rows.Put(int(p), joint, x[k])
			}
		}
	})
	for _, p := range places {
		s.b.Rows.Whole(int(p))
	}
	return err
}

const (
	// easeHold holds a place to what it had, beside neighbours whose pull is about 1: next to
	// nothing, so that a shell without a rim has an answer.
	easeHold = 1e-4
	// easeRim is as good as fixed.
	easeRim = 1e6
)

// neighbours of places.
type neighbours struct{ from, list []uint32 }

func (n *neighbours) of(p uint32) []uint32 { return n.list[n.from[p]:n.from[p+1]] }

func (f *Figure) around() *neighbours {
	n := &neighbours{from: make([]uint32, len(f.Of)+1)}
	for _, p := range f.Triangles {
		n.from[p+1] += 2
	}
	for p := range f.Of {
		n.from[p+1] += n.from[p]
	}
	n.list = make([]uint32, len(f.Triangles)*2)
	at := make([]uint32, len(f.Of))
	for t := 0; t+2 < len(f.Triangles); t += 3 {
		for k := range 3 {
			p := f.Triangles[t+k]
			for _, q := range []uint32{f.Triangles[t+(k+1)%3], f.Triangles[t+(k+2)%3]} {
				n.list[n.from[p]+at[p]] = q
				at[p]++
			}
		}
	}
	return n
}
