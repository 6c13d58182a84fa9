package bind

import (
	"math"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// farSide of the diagonal beyond the middle, nothing hangs on a joint of the other side any
// more.
const farSide = 0.02

// imageShare of the diagonal beside a place's mirror image, another is still its partner.
const imageShare = 1e-3

// images answers for every place the one opposite, itself in the middle, −1 none; nil: there are
// no sides.
func (f *Figure) images() []int32 {
	j := &f.Joints
	if j.Middle == nil {
		return nil
	}
	tree := geom.NewTree(f.Points)
	opposite := make([]int32, len(f.Of))
	limit := float32(imageShare * imageShare * f.size * f.size)
	for p := range f.Of {
		opposite[p] = -1
		if f.Of[p] >= 0 {
			q := j.Middle.Reflect(space.At(f.Points, p))
			opposite[p], _ = tree.Nearest(float32(q[0]), float32(q[1]), float32(q[2]), limit)
		}
	}
	for p, q := range opposite {
		if q >= 0 && (int(q) != p && opposite[q] != int32(p) || f.Of[q] < 0) {
			opposite[p] = -1
		}
	}
	return opposite
}

// even gives places that stand opposite each other the mean of both, partners exchanged.
func (f *Figure) even(b *Bound, opposite []int32) {
	j := &f.Joints
	for p, q := range opposite {
		if q < int32(p) {
			continue
		}
		row := map[int32]float64{}
		for k := range K {
			if w := b.Rows.Weight[K*p+k]; w > 0 {
				row[b.Rows.Joint[K*p+k]] += w / 2
			}
			if w := b.Rows.Weight[K*int(q)+k]; w > 0 {
				row[int32(j.Partner[b.Rows.Joint[K*int(q)+k]])] += w / 2
			}
		}
		clear(b.Rows.Weight[K*p : K*p+K])
		clear(b.Rows.Weight[K*int(q) : K*int(q)+K])
		for _, i := range Sorted(row) {
			b.Rows.Put(p, i, row[i])
			if int(q) != p {
				b.Rows.Put(int(q), int32(j.Partner[i]), row[i])
			}
		}
	}
}

// sides gives what joints of both sides hold of one place, and what a joint holds beyond the
// middle, to the joint that both sides hang on: the front of a coat between two legs goes with
// the hips, where the pull of both would tear it. Beyond the middle it is all of it from
// farSide on and nothing in the middle itself, so that no crease is made.
func (f *Figure) sides(b *Bound) {
	j := &f.Joints
	if j.Middle == nil {
		return
	}
	side := make([]int8, len(j.At)) // 1 before the middle, −1 behind
	for i, k := range j.Partner {
		if k >= 0 && k != i {
			switch d := j.Middle.Side(j.At[i]) - j.Middle.Side(j.At[k]); {
			case d > 0:
				side[i] = 1
			case d < 0:
				side[i] = -1
			}
		}
	}
	common := j.common()
	for p := range f.Of {
		joints, weight := b.Rows.Joint[K*p:K*p+K], b.Rows.Weight[K*p:K*p+K]
		before, behind := 0.0, 0.0
		for k, w := range weight {
			switch side[joints[k]] {
			case 1:
				before += w
			case -1:
				behind += w
			}
		}
		if before == 0 && behind == 0 {
			continue
		}
		at := j.Middle.Side(space.At(f.Points, p))
		beyond := min(1, math.Abs(at)/(farSide*f.size))
		both := min(before, behind)
		share := [3]float64{0: shareOf(both, behind), 2: shareOf(both, before)} // by side + 1, that goes
		if at > 0 {
			share[0] += (1 - share[0]) * beyond
		} else {
			share[2] += (1 - share[2]) * beyond
		}
		row := map[int32]float64{}
		for k, w := range weight {
			if w <= 0 {
				continue
			}
			i := joints[k]
			gone := w * share[side[i]+1]
			row[i] += w - gone
			if to := common[i]; gone > 0 && to >= 0 {
				row[int32(to)] += gone
			}
		}
		clear(weight)
		for _, i := range Sorted(row) {
			b.Rows.Put(p, i, row[i])
		}
	}
}

// shareOf is a part of a whole, 0 where there is none.
func shareOf(part, whole float64) float64 {
	if whole == 0 {
		return 0
	}
	return part / whole
}

// common answers for each joint with a partner the nearest joint above both, −1 none.
func (j *Joints) common() []int {
	out := make([]int, len(j.At))
	above := make([]bool, len(j.At))
	for i, k := range j.Partner {
		out[i] = -1
		if k < 0 || k == i {
			continue
		}
		clear(above)
		for q, n := j.Parent[i], 0; q >= 0 && n < len(j.At); q, n = j.Parent[q], n+1 {
			above[q] = true
		}
		for q, n := j.Parent[k], 0; q >= 0 && n < len(j.At); q, n = j.Parent[q], n+1 {
			if above[q] {
				out[i] = q
				break
			}
		}
	}
	return out
}
