package bind

import (
	"math"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Idle is why a joint is left out of a proposal.
type Idle uint8

const (
	Works   Idle = iota
	Outside      // it stands outside of the surface and so do its bones: a root on the floor, a handle
	Mark         // it stands at the end of the surface and only marks where the bone before it ends
	Control      // it and its fellows stand on the joints of a larger skeleton: they steer them
)

// idle finds the joints that hold nothing; stands tells, by shell, which joints stand in it.
func (f *Figure) idle(p *Proposal, stands [][]bool) {
	n := len(f.Joints.At)
	within, ends, mark := make([]bool, n), make([]bool, n), make([]bool, n)
	for j, at := range f.Joints.At {
		within[j] = space.Finite(at) && math.Abs(f.winding.At(at)) > .5
	}
	for _, b := range f.Bones {
		ends[b.Joint], mark[b.Joint] = b.End, b.End && b.Mark
	}
	works := func(j int) bool { return within[j] || p.Length[j] > 0 && !ends[j] }
	// What stands outside between two that work is part of their chain: a yoke, a tail's
	// root.
	above, below := make([]bool, n), make([]bool, n)
	for j := range n {
		for q, step := f.Joints.Parent[j], 0; q >= 0 && step < n; q, step = f.Joints.Parent[q], step+1 {
			above[j] = above[j] || works(q)
			below[q] = below[q] || works(j)
		}
	}
	for j := range n {
		if !works(j) && !(above[j] && below[j]) {
			p.Idle[j] = Outside
		}
	}
	f.marks(p, mark, stands)
	f.controls(p)
}

// marks finds joints at the ends of what they stand in: below a joint of the same shell, or
// alone on the guessed end of another's bone.
func (f *Figure) marks(p *Proposal, mark []bool, stands [][]bool) {
	together := func(a, b int) bool {
		for i := range stands {
			if stands[i][a] && stands[i][b] {
				return true
			}
		}
		return false
	}
	for i, b := range f.Bones {
		j := b.Joint
		q := f.Joints.Parent[j]
		switch {
		case q >= 0 && mark[j] && p.Idle[j] == Works && together(j, q):
			p.Idle[j] = Mark
		case q < 0 && b.End:
			for k, o := range f.Bones {
				if k != i && o.End && o.From != o.To && o.Distance(b.From) < markNear*o.To.Sub(o.From).Len() {
					p.Idle[j] = Mark
				}
			}
		}
	}
}

// markNear of a guessed bone's length beside it is still on it.
const markNear = 0.35

// controls finds skeletons beside the skeleton: joints that hang together through the inside
// of the surface, at least half of which stand where a joint of a larger such group stands.
func (f *Figure) controls(p *Proposal) {
	n := len(f.Joints.At)
	u := geom.NewUnion(n)
	for j, q := range f.Joints.Parent {
		if q < 0 || p.Idle[j] == Outside || p.Idle[q] == Outside {
			continue
		}
		way := Bone{From: f.Joints.At[q], To: f.Joints.At[j]}
		if way.share(func(x space.Vec) bool { return math.Abs(f.winding.At(x)) > .5 }) > .5 {
			u.Join(uint32(j), uint32(q))
		}
	}
	of, count := u.Numbered()
	// What is guessed at the ends of chains counts nothing here.
	real := make([]float64, n)
	for _, b := range f.Bones {
		if !b.End {
			real[b.Joint] = max(real[b.Joint], min(p.Length[b.Joint], b.To.Sub(b.From).Len()))
		}
	}
	size, all, on := make([]float64, count), make([]int, count), make([]int, count)
	places := make([]float32, 0, 3*n)
	for j, at := range f.Joints.At {
		size[of[j]] += real[j]
		places = append(places, float32(at[0]), float32(at[1]), float32(at[2]))
	}
	tree := geom.NewTree(places)
	same := float32(1e-6 * f.size * f.size)
	for j := range n {
		if p.Idle[j] == Outside {
			continue
		}
		all[of[j]]++
		tree.Within(places[3*j], places[3*j+1], places[3*j+2], same, func(k uint32) bool {
			if p.Idle[k] != Outside && of[k] != of[j] && size[of[k]] > size[of[j]] {
				on[of[j]]++
				return false
			}
			return true
		})
	}
	for j := range n {
		if g := of[j]; p.Idle[j] != Outside && on[g] > 0 && 2*on[g] >= all[g] {
			p.Idle[j] = Control
		}
	}
}
