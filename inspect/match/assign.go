package match

import "math"

// assign finds the one-to-one assignment of rows to columns with the greatest sum.
// gain is rows×cols, row by row; what is not above zero stays unassigned. The answer
// holds a column a row, −1: none. Hungarian method with potentials, O(rows²·cols)
// (Kuhn 1955, Munkres 1957; in the form of shortest augmenting paths, Jonker and
// Volgenant 1987).
func assign(gain []float64, rows, cols int) []int {
	out := make([]int, rows)
	if rows > cols { // the method wants no more rows than columns
		turned := make([]float64, len(gain))
		for i := range rows {
			for j := range cols {
				turned[j*rows+i] = gain[i*cols+j]
			}
		}
		for i := range out {
			out[i] = -1
		}
		for j, i := range assign(turned, cols, rows) {
			if i >= 0 {
				out[i] = j
			}
		}
		return out
	}
	cost := func(i, j int) float64 { return -max(0, gain[(i-1)*cols+j-1]) }
	u, v := make([]float64, rows+1), make([]float64, cols+1)
	taken, way := make([]int, cols+1), make([]int, cols+1) // row of a column, from 1
	least, used := make([]float64, cols+1), make([]bool, cols+1)
	for i := 1; i <= rows; i++ {
		taken[0] = i
		j := 0
		for k := range least {
			least[k], used[k] = math.Inf(1), false
		}
		for {
			used[j] = true
			row, step, next := taken[j], math.Inf(1), 0
			for k := 1; k <= cols; k++ {
				if used[k] {
					continue
				}
				if c := cost(row, k) - u[row] - v[k]; c < least[k] {
					least[k], way[k] = c, j
				}
				if least[k] < step {
					step, next = least[k], k
				}
			}
			for k := 0; k <= cols; k++ {
				if used[k] {
					u[taken[k]] += step
					v[k] -= step
				} else {
					least[k] -= step
				}
			}
			if j = next; taken[j] == 0 {
				break
			}
		}
		for j > 0 {
			taken[j] = taken[way[j]]
			j = way[j]
		}
	}
	for i := range out {
		out[i] = -1
	}
	for j := 1; j <= cols; j++ {
		if i := taken[j]; i > 0 && gain[(i-1)*cols+j-1] > 0 {
			out[i-1] = j - 1
		}
	}
	return out
}

// total is the sum that an assignment gains.
func total(gain []float64, cols int, of []int) (sum float64) {
	for i, j := range of {
		if j >= 0 {
			sum += gain[i*cols+j]
		}
	}
	return sum
}

// mostTries is how many assignments are worked out before the best consistent one is
// taken, mended by dropping the weaker pair of each conflict.
const mostTries = 60

// consistent is the best assignment in which no two pairs cross: conflict names the
// rows of which one must give way (none: no conflict). It branches on the first
// conflict, best first, so that the first consistent one is the optimum.
func consistent(gain []float64, rows, cols int, conflict func(of []int) (rows []int)) []int {
	type ban struct{ row, col int }
	type state struct {
		of   []int
		sum  float64
		bans []ban
	}
	solve := func(bans []ban) state {
		g := append([]float64(nil), gain...)
		for _, b := range bans {
			g[b.row*cols+b.col] = 0
		}
		of := assign(g, rows, cols)
		return state{of, total(g, cols, of), bans}
	}
	open := []state{solve(nil)}
	for tries := 1; len(open) > 0 && tries < mostTries; {
		best := 0
		for i := range open {
			if open[i].sum > open[best].sum {
				best = i
			}
		}
		s := open[best]
		crossed := conflict(s.of)
		if len(crossed) == 0 {
			return s.of
		}
		open = append(open[:best], open[best+1:]...)
		for _, row := range crossed {
			bans := append(append([]ban(nil), s.bans...), ban{row, s.of[row]})
			open = append(open, solve(bans))
			tries++
		}
	}
	// Too many crossings to try all ways: from the best one, drop what gains least.
	best := 0
	for i := range open {
		if open[i].sum > open[best].sum {
			best = i
		}
	}
	of := open[best].of
	for {
		crossed := conflict(of)
		if len(crossed) == 0 {
			return of
		}
		least := crossed[0]
		for _, row := range crossed[1:] {
			if gain[row*cols+of[row]] < gain[least*cols+of[least]] {
				least = row
			}
		}
		of[least] = -1
	}
}
