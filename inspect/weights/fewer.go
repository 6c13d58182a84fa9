package weights

import (
	"math"

	"rigloupe/inspect/space"
)

// Fewer keeps at most most joints of a vertex so that it shifts least: seen holds, for each
// pose that is looked at, where each hold alone would carry the vertex, all of one length.
// Joints are chosen one by one, each the one with which the others, fitted anew by least
// squares to weights ≥ 0 that sum to 1, leave the least shift; that is held against the
// strongest ones, as they are made whole and fitted anew, and the way whose largest shift
// is the least is taken. The answer is by hold: 0 for one that is dropped. shift is the
// largest in any pose, in the unit of seen, against all holds made whole.
//
// The number of holds may be any; the work is poses × holds² + holds × most × 2^most.
func Fewer(row []Hold, most int, seen [][]space.Vec) (keep []float64, shift float64) {
	n := len(row)
	sum := Sum(row)
	// With weights that sum to 1 the shift is Σ w (seen − whole): the whole place goes out.
	off := make([][]space.Vec, len(seen))
	gram := make([]float64, n*n)
	for t, at := range seen {
		var whole space.Vec
		for j := range row {
			whole = whole.Add(at[j].Mul(row[j].Weight / sum))
		}
		off[t] = make([]space.Vec, n)
		for j := range row {
			off[t][j] = at[j].Sub(whole)
		}
		for i := range n {
			for j := range n {
				gram[i*n+j] += off[t][i].Dot(off[t][j])
			}
		}
	}
	strongest := make([]int, 0, most)
	plain := make([]float64, n)
	four := 0.0
	for j := range min(most, n) {
		strongest = append(strongest, j)
		four += row[j].Weight
	}
	for _, j := range strongest {
		plain[j] = row[j].Weight / four
	}
	best, least := plain, largest(plain, off)
	take := func(chosen []int) {
		w := make([]float64, n)
		fit(gram, n, chosen, w)
		if s := largest(w, off); s < least*(1-1e-9) {
			best, least = w, s
		}
	}
	take(strongest)
	var chosen []int
	w := make([]float64, n)
	for len(chosen) < min(most, n) {
		next, rest := -1, math.Inf(1)
		for j := range n {
			if contains(chosen, j) {
				continue
			}
			if e := fit(gram, n, append(chosen[:len(chosen):len(chosen)], j), w); e < rest*(1-1e-12) || next < 0 {
				next, rest = j, e
			}
		}
		chosen = append(chosen, next)
	}
	take(chosen)
	return best, least
}

func contains(list []int, x int) bool {
	for _, y := range list {
		if x == y {
			return true
		}
	}
	return false
}

// largest is the longest Σ w·off of any pose.
func largest(w []float64, off [][]space.Vec) (most float64) {
	for _, at := range off {
		var d space.Vec
		for j, x := range w {
			if x != 0 {
				d = d.Add(at[j].Mul(x))
			}
		}
		most = max(most, d.Len())
	}
	return most
}

// fit answers the least wᵀGw over weights ≥ 0 of the chosen that sum to 1, and writes them
// into w, 0 elsewhere. Each set of them that may be above 0 is solved by itself (G z = 1, w
// = z ÷ Σz, the condition of Lagrange), which is exact and cheap for a few.
func fit(gram []float64, n int, chosen []int, w []float64) (least float64) {
	least = math.Inf(1)
	k := len(chosen)
	best := make([]float64, k)
	scale := 0.0
	for _, j := range chosen {
		scale = max(scale, gram[j*n+j])
	}
	a := make([]float64, k*(k+1))
	for set := 1; set < 1<<k; set++ {
		var of []int
		for i := range k {
			if set>>i&1 == 1 {
				of = append(of, i)
			}
		}
		z, ok := solveOnes(gram, n, chosen, of, scale, a)
		if !ok {
			continue
		}
		sum, whole := 0.0, true
		for _, x := range z {
			sum += x
			whole = whole && x >= 0
		}
		if !whole || !(sum > 0) {
			continue
		}
		e := 0.0
		for i, p := range of {
			for j, q := range of {
				e += z[i] / sum * z[j] / sum * gram[chosen[p]*n+chosen[q]]
			}
		}
		if e < least {
			least = e
			clear(best)
			for i, p := range of {
				best[p] = z[i] / sum
			}
		}
	}
	clear(w)
	for i, j := range chosen {
		w[j] = best[i]
	}
	return least
}

// solveOnes solves G z = 1 for some of the chosen by elimination with pivots; a whisker of
// the scale on the diagonal keeps joints that move alike apart.
func solveOnes(gram []float64, n int, chosen, of []int, scale float64, a []float64) (z []float64, ok bool) {
	k := len(of)
	width := k + 1
	for i, p := range of {
		for j, q := range of {
			a[i*width+j] = gram[chosen[p]*n+chosen[q]]
		}
		a[i*width+i] += 1e-12*scale + 1e-300
		a[i*width+k] = 1
	}
	for c := range k {
		p := c
		for r := c + 1; r < k; r++ {
			if math.Abs(a[r*width+c]) > math.Abs(a[p*width+c]) {
				p = r
			}
		}
		if a[p*width+c] == 0 {
			return nil, false
		}
		for j := range width {
			a[c*width+j], a[p*width+j] = a[p*width+j], a[c*width+j]
		}
		for r := range k {
			if r == c {
				continue
			}
			f := a[r*width+c] / a[c*width+c]
			for j := c; j < width; j++ {
				a[r*width+j] -= f * a[c*width+j]
			}
		}
	}
	z = make([]float64, k)
	for i := range z {
		z[i] = a[i*width+k] / a[i*width+i]
	}
	return z, true
}
