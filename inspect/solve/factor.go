package solve

import (
	"fmt"
	"math"
)

// Factors are P·A·Pᵀ = L·Lᵀ.
type Factors struct {
	n     int
	order []int32 // place in the order → place in the matrix
	start []int32 // n+1, into row and value: the columns of L below its diagonal
	row   []int32
	value []float64
	pivot []float64 // the diagonal of L
}

// MostEntries bounds the factors: 12 bytes each. A closed surface of a million places has
// about 45 million.
const MostEntries = 100_000_000

// NotPositive is the error where a matrix has a direction that nothing holds.
type NotPositive struct{ Place int }

func (e *NotPositive) Error() string {
	return fmt.Sprintf("the matrix is not positive definite at place %d", e.Place)
}

// TooLarge is the error where the factors would not fit.
type TooLarge struct{ Entries int64 }

func (e *TooLarge) Error() string {
	return fmt.Sprintf("the factors would hold %d numbers, %d are allowed", e.Entries, MostEntries)
}

// lookAfter is the work between two looks, multiplications.
const lookAfter = 1 << 22

// Factor factors a matrix. look, where given, is called now and then with how much is done
// (0 to 1); its error ends the work. Errors of the matrix are *NotPositive and *TooLarge.
//
// Row by row over the elimination tree (Liu 1986; Davis, Direct Methods for Sparse Linear
// Systems, 2006, §4.7): row i of L solves a triangular system whose pattern is what the
// tree reaches from the entries of A.
func Factor(a *Matrix, look func(done float64) error) (*Factors, error) {
	if look == nil {
		look = func(float64) error { return nil }
	}
	n := a.N
	f := &Factors{n: n, order: a.Order(), start: make([]int32, n+1), pivot: make([]float64, n)}
	at := make([]int32, n) // place in the matrix → in the order
	for i, v := range f.order {
		at[v] = int32(i)
	}
	if err := look(0); err != nil {
		return nil, err
	}
	t := &tree{parent: make([]int32, n), mark: make([]int32, n), path: make([]int32, n)}
	t.grow(a, f.order, at)
	// How long each column becomes, and what the whole costs.
	count := make([]int64, n)
	for i := range n {
		for _, j := range t.row(a, f.order, at, i) {
			count[j]++
		}
	}
	total, cost := int64(0), 0.0
	for i, c := range count {
		f.start[i] = int32(min(total, math.MaxInt32))
		total += c
		cost += float64(c) * float64(c)
	}
	if total > MostEntries {
		return nil, &TooLarge{total}
	}
	f.start[n] = int32(total)
	f.row, f.value = make([]int32, total), make([]float64, total)
	end := append([]int32(nil), f.start[:n]...)
	t.reset()
	x := make([]float64, n)
	spent, all := 0, 0.0
	for i := range n {
		v := f.order[i]
		pattern := t.row(a, f.order, at, i)
		for k := a.Start[v]; k < a.Start[v+1]; k++ {
			if j := at[a.To[k]]; int(j) < i {
				x[j] = a.Value[k]
			}
		}
		d := a.Diagonal[v]
		for _, j := range pattern {
			l := x[j] / f.pivot[j]
			x[j] = 0
			from, to := f.start[j], end[j]
			rows, values := f.row[from:to], f.value[from:to]
			for k, r := range rows {
				x[r] -= values[k] * l
			}
			spent += len(rows)
			d -= l * l
			f.row[to], f.value[to] = int32(i), l
			end[j] = to + 1
		}
		// Rounding alone may leave a whisker of the diagonal where it is not definite; an
		// endless one is no more than itself and is refused with it.
		if !(d > 1e-14*a.Diagonal[v]) {
			return nil, &NotPositive{int(v)}
		}
		f.pivot[i] = math.Sqrt(d)
		if spent += 16; spent > lookAfter {
			all += float64(spent)
			spent = 0
			if err := look(min(1, 2*all/(cost+1))); err != nil {
				return nil, err
			}
		}
	}
	return f, nil
}

// tree is the elimination tree: the parent of a column is the first row below its diagonal.
type tree struct {
	parent, mark, path []int32
}

func (t *tree) reset() {
	for i := range t.mark {
		t.mark[i] = -1
	}
}

// grow finds the tree with paths kept short (Liu 1986).
func (t *tree) grow(a *Matrix, order, at []int32) {
	up := t.path // borrowed: the shortened paths
	for i := range t.parent {
		t.parent[i], up[i] = -1, -1
	}
	for i, v := range order {
		for k := a.Start[v]; k < a.Start[v+1]; k++ {
			for j := at[a.To[k]]; j >= 0 && int(j) < i; {
				next := up[j]
				up[j] = int32(i)
				if next < 0 {
					t.parent[j] = int32(i)
				}
				j = next
			}
		}
	}
	t.path = make([]int32, len(up))
	t.reset()
}

// row answers the columns of L in row i, children before parents; valid until the next
// call. Rows must be asked in rising order after a reset.
func (t *tree) row(a *Matrix, order, at []int32, i int) []int32 {
	n := len(t.path)
	top := n
	t.mark[i] = int32(i)
	v := order[i]
	for k := a.Start[v]; k < a.Start[v+1]; k++ {
		j := at[a.To[k]]
		if int(j) > i {
			continue
		}
		length := 0
		for ; t.mark[j] != int32(i); j = t.parent[j] {
			t.path[length] = j
			length++
			t.mark[j] = int32(i)
		}
		for length > 0 {
			length--
			top--
			t.path[top] = t.path[length]
		}
	}
	return t.path[top:]
}
