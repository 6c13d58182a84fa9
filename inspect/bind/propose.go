package bind

import (
	"math"
	"slices"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Proposal says which joints may hold which shell, from the surface and the skeleton alone.
// A person may change it before binding.
type Proposal struct {
	May    [][]bool  // by shell, then by joint
	On     []int     // by shell: that on which it lies, where no bone runs in it; −1: joints hold it
	Idle   []Idle    // by joint: why it holds nothing
	Length []float64 // by joint: how far the bone runs of which most is inside one shell, metres
}

const (
	samples = 16 // points of a bone that are asked whether they are inside
	// heldShare of the most that a joint's bones have in any shell, so that it may hold
	// another too: a leg in a trouser has all in both, a shoulder in a chest a part.
	heldShare = 0.75
	// leastInside of a bone's length must run in one shell: what comes through the air, from
	// a root on the floor, only ends there.
	leastInside = 0.3
)

// Propose looks where the bones run. A shell may be held by the joints whose bones run in it
// nearly as far as in any other; if there is none of those, by the joint with the longest
// stretch inside, or, where that shell is a hinge about it, the joint above; where no bone
// runs, by what the shell that it lies on is held.
func (f *Figure) Propose() *Proposal {
	n, m := len(f.Joints.At), len(f.Shells)
	p := &Proposal{May: make([][]bool, m), On: make([]int, m), Idle: make([]Idle, n), Length: make([]float64, n)}
	inside, stands := f.lengths()
	for j := range n {
		for i := range m {
			p.Length[j] = max(p.Length[j], inside[i][j])
		}
	}
	f.idle(p, stands)
	works := slices.Contains(p.Idle, Works)
	for i := range m {
		p.May[i], p.On[i] = make([]bool, n), -1
		if !works { // nothing is inside of anything: the nearest must do
			for j := range n {
				p.May[i][j] = true
			}
			continue
		}
		best, some := -1, false
		for j := range n {
			if p.Idle[j] != Works || inside[i][j] == 0 {
				continue
			}
			if best < 0 || inside[i][j] > inside[i][best] {
				best = j
			}
			if inside[i][j] >= heldShare*p.Length[j] {
				p.May[i][j], some = true, true
			}
		}
		switch {
		case best < 0:
			p.On[i] = i // the shell it lies on is to be found
		case !some:
			p.May[i][f.hinge(p, inside[i], stands[i], best)] = true
		}
	}
	f.between(p)
	f.lieOn(p)
	return p
}

// hinge answers the joint above one whose own place is in a shell that both their bones only
// reach into: a socket belongs to the part above.
func (f *Figure) hinge(p *Proposal, inside []float64, stands []bool, j int) int {
	if q := f.Joints.Parent[j]; q >= 0 && stands[j] && p.Idle[q] == Works && 2*inside[q] > inside[j] {
		return q
	}
	return j
}

// lengths tells for every shell how far each joint's longest bone runs inside of it, metres, and
// whether the joint itself stands in it.
func (f *Figure) lengths() (inside [][]float64, stands [][]bool) {
	m := len(f.Shells)
	inside, stands = make([][]float64, m), make([][]bool, m)
	most := make([]float64, len(f.Bones))
	share := make([][]float64, m)
	var triangles []uint32
	for i := range f.Shells {
		inside[i], stands[i], share[i] = make([]float64, len(f.Joints.At)), make([]bool, len(f.Joints.At)), make([]float64, len(f.Bones))
		s := &f.Shells[i]
		var w *geom.Windings
		in := func(p space.Vec) bool {
			if !s.Box.Holds(p) {
				return false
			}
			if w == nil {
				triangles = f.triangles(i, nil)
				w = geom.NewWindings(f.Points, triangles, f.watch)
			}
			return math.Abs(w.At(p)) > .5
		}
		for j, at := range f.Joints.At {
			stands[i][j] = in(at)
		}
		for b := range f.Bones {
			share[i][b] = f.Bones[b].share(in)
			most[b] = max(most[b], share[i][b])
		}
	}
	for b := range f.Bones {
		if most[b] < leastInside {
			continue
		}
		length := max(f.Bones[b].To.Sub(f.Bones[b].From).Len(), 1e-3*f.size) // points count a little
		for i := range f.Shells {
			j := f.Bones[b].Joint
			inside[i][j] = max(inside[i][j], length*share[i][b])
		}
	}
	return inside, stands
}

// share of a bone for which something holds.
func (b *Bone) share(holds func(space.Vec) bool) float64 {
	count := 0
	for k := range samples {
		if holds(b.From.Add(b.To.Sub(b.From).Mul((float64(k) + .5) / samples))) {
			count++
		}
	}
	return float64(count) / samples
}

// between lets joints that work without a bone inside hold what those beside them hold.
func (f *Figure) between(p *Proposal) {
	for j := range f.Joints.At {
		if p.Idle[j] != Works || p.Length[j] > 0 {
			continue
		}
		for _, may := range p.May {
			for k, q := range f.Joints.Parent {
				if may[k] && (q == j || f.Joints.Parent[j] == k) {
					may[j] = true
				}
			}
		}
	}
}

// lieOn finds for shells without a bone that on which they lie: of those with bones the one
// nearest to most of their places.
func (f *Figure) lieOn(p *Proposal) {
	var hosts, guests []int
	for i := range f.Shells {
		if p.On[i] >= 0 {
			guests = append(guests, i)
		} else {
			hosts = append(hosts, i)
		}
	}
	if len(guests) == 0 || len(hosts) == 0 {
		return
	}
	surface, _, host := f.surfaceOf(hosts)
	votes := make([]float64, len(f.Shells))
	for _, i := range guests {
		clear(votes)
		for _, v := range f.Shells[i].Places {
			if hit, ok := surface.Closest(space.At(f.Points, v), math.Inf(1)); ok {
				votes[host[hit.Triangle]] += 1 / (hit.Distance + 1e-3*f.size)
			}
		}
		p.On[i] = hosts[0]
		for _, h := range hosts {
			if votes[h] > votes[p.On[i]] {
				p.On[i] = h
			}
		}
	}
}
