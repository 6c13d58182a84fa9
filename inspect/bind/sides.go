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

// even gives places that stand opposite each other the mean of both, partners exchanged.
func (f *Figure) even(b *Bound) {
	j := &f.Joints
	if j.Middle == nil {
		return
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
		if q < int32(p) || opposite[q] != int32(p) || f.Of[q] < 0 {
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

// sides gives what joints hold beyond the middle to the joint that both sides hang on (the
// front of a coat to the hips, where the partner's pull would tear it): all of it from
// farSide on, nothing in the middle itself, so that no crease is made.
func (f *Figure) sides(b *Bound) {
	j := &f.Joints
	if j.Middle == nil {
		return
	}
	side := make([]float64, len(j.At))
	for i, k := range j.Partner {
		if k >= 0 && k != i {
			side[i] = j.Middle.Side(j.At[i]) - j.Middle.Side(j.At[k])
		}
	}
	common := j.common()
	for p := range f.Of {
		at := j.Middle.Side(space.At(f.Points, p))
		share := min(1, math.Abs(at)/(farSide*f.size))
		joints, weight := b.Rows.Joint[K*p:K*p+K], b.Rows.Weight[K*p:K*p+K]
		var row map[int32]float64
		for k, w := range weight {
			if w > 0 && side[joints[k]]*at < 0 {
				if row == nil {
					row = map[int32]float64{}
				}
				row[joints[k]] -= w * share
				if to := common[joints[k]]; to >= 0 {
					row[int32(to)] += w * share
				}
			}
		}
		if row == nil {
			continue
		}
		for k, w := range weight {
			if w > 0 {
				row[joints[k]] += w
			}
		}
		clear(weight)
		for _, i := range Sorted(row) {
			b.Rows.Put(p, i, row[i])
		}
	}
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
