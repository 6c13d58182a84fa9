package solve

// Matrix is symmetric, N by N: a diagonal, and for each row its other entries by rising
// column, both halves.
type Matrix struct {
	N        int
	Diagonal []float64
	Start    []int32 // N+1
	To       []int32
	Value    []float64
}

// New makes a matrix of its diagonal, which it keeps, and entries beside it: ends (2·E) are
// their two places, in any order, values (E) the number that stands at both (i, j) and
// (j, i). Entries at one place add up; what has two equal ends adds to the diagonal.
func New(diagonal []float64, ends []uint32, values []float64) *Matrix {
	n := len(diagonal)
	a := &Matrix{N: n, Diagonal: diagonal, Start: make([]int32, n+1)}
	for e := range values {
		if i, j := ends[2*e], ends[2*e+1]; i != j {
			a.Start[i+1]++
			a.Start[j+1]++
		} else {
			diagonal[i] += values[e]
		}
	}
	for i := range n {
		a.Start[i+1] += a.Start[i]
	}
	to, value := make([]int32, a.Start[n]), make([]float64, a.Start[n])
	at := append([]int32(nil), a.Start[:n]...)
	put := func(i, j uint32, v float64) {
		to[at[i]], value[at[i]] = int32(j), v
		at[i]++
	}
	for e, v := range values {
		if i, j := ends[2*e], ends[2*e+1]; i != j {
			put(i, j, v)
			put(j, i, v)
		}
	}
	// The transpose of a symmetric matrix is itself, its columns in rising order: one more
	// pass sorts all rows.
	a.To, a.Value = make([]int32, len(to)), make([]float64, len(to))
	copy(at, a.Start[:n])
	for i := range n {
		for k := a.Start[i]; k < a.Start[i+1]; k++ {
			j := to[k]
			a.To[at[j]], a.Value[at[j]] = int32(i), value[k]
			at[j]++
		}
	}
	a.join()
	return a
}

// join adds up what stands at one place.
func (a *Matrix) join() {
	w := int32(0)
	from := a.Start[0]
	for i := range a.N {
		to := a.Start[i+1]
		first := w
		for k := from; k < to; k++ {
			if w > first && a.To[w-1] == a.To[k] {
				a.Value[w-1] += a.Value[k]
				continue
			}
			a.To[w], a.Value[w] = a.To[k], a.Value[k]
			w++
		}
		from, a.Start[i+1] = to, w
	}
	a.To, a.Value = a.To[:w], a.Value[:w]
}
