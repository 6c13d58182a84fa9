package bind

import (
	"cmp"
	"maps"
	"slices"

	"rigloupe/inspect/solve"
)

// Source is what warms a place: how strongly, and towards which joints.
type Source struct {
	Heat   float64 // H of its place, 1/m² or, with areas of 1, as it stands; 0: nothing
	Joints []int32
	Parts  []float64 // of 1, one a joint
}

// K is how many joints a place can have.
const K = 8

// Rows are the weights of places: K slots each, the strongest first, those that are empty 0.
type Rows struct {
	Joint  []int32
	Weight []float64
}

// NewRows has room for n places.
func NewRows(n int) *Rows {
	return &Rows{Joint: make([]int32, K*n), Weight: make([]float64, K*n)}
}

// Put keeps the strongest K of a place.
func (r *Rows) Put(place int, joint int32, w float64) {
	js, ws := r.Joint[K*place:K*place+K], r.Weight[K*place:K*place+K]
	k := K - 1
	if w <= ws[k] {
		return
	}
	for ; k > 0 && ws[k-1] < w; k-- {
		js[k], ws[k] = js[k-1], ws[k-1]
	}
	js[k], ws[k] = joint, w
}

// Sum is what a place weighs.
func (r *Rows) Sum(place int) (s float64) {
	for _, w := range r.Weight[K*place : K*place+K] {
		s += w
	}
	return s
}

// Clear takes all weights of a place.
func (r *Rows) Clear(place int) { clear(r.Weight[K*place : K*place+K]) }

// Sorted are the joints of a row by number, so that equal figures give equal bytes.
func Sorted(row map[int32]float64) []int32 { return slices.Sorted(maps.Keys(row)) }

// Whole divides a row by its sum; one without weight stays.
func (r *Rows) Whole(place int) {
	ws := r.Weight[K*place : K*place+K]
	if s := r.Sum(place); s > 0 {
		for k := range ws {
			ws[k] /= s
		}
	}
}

// Equilibrium solves (L + area·H) w = area·H p for every joint that a source names: the
// equilibrium of heat between places. ends (2·E) and weight (E) are L's, area one a place.
// Answers joints × places: by joint, in rising order, one number a place. At least one
// place must have heat. The sums are 1 since L has none over constants.
func Equilibrium(n int, ends []uint32, weight, area []float64, sources []Source, look func(done float64) error, each func(joint int32, w []float64)) error {
	diagonal := make([]float64, n)
	var joints []int32
	for i := range sources {
		s := &sources[i]
		diagonal[i] = area[i] * s.Heat
		if s.Heat > 0 {
			joints = append(joints, s.Joints...)
		}
	}
	slices.SortFunc(joints, func(a, b int32) int { return cmp.Compare(a, b) })
	joints = slices.Compact(joints)
	minus := make([]float64, len(weight))
	for e, w := range weight {
		if ends[2*e] == ends[2*e+1] {
			continue
		}
		minus[e] = -w
		diagonal[ends[2*e]] += w
		diagonal[ends[2*e+1]] += w
	}
	f, err := solve.Factor(solve.New(diagonal, ends, minus), look)
	if err != nil {
		return err
	}
	const block = 8
	b, column := make([]float64, block*n), make([]float64, n)
	at := map[int32]int{}
	for from := 0; from < len(joints); from += block {
		some := joints[from:min(from+block, len(joints))]
		clear(at)
		for c, j := range some {
			at[j] = c
		}
		clear(b)
		for i := range sources {
			s := &sources[i]
			if s.Heat == 0 {
				continue
			}
			for k, j := range s.Joints {
				if c, in := at[j]; in {
					b[block*i+c] += area[i] * s.Heat * s.Parts[k]
				}
			}
		}
		if err := f.Solve(b, block, nil); err != nil {
			return err
		}
		for c, j := range some {
			for i := range n {
				column[i] = b[block*i+c]
			}
			each(j, column)
		}
		if look != nil {
			if err := look(float64(from+len(some)) / float64(len(joints))); err != nil {
				return err
			}
		}
	}
	return nil
}
