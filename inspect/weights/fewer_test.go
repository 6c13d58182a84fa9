package weights

import (
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/space"
)

// Two joints on a line: the place between them that is nearest to a third one's is its
// foot on the line (closed form, projection on a segment).
func TestFewerIsTheFoot(t *testing.T) {
	for _, row := range []struct {
		name  string
		third space.Vec
		want  [2]float64 // parts of the two that stay
	}{
		{"above the middle", space.Vec{1, 3, 0}, [2]float64{.5, .5}},
		{"above a quarter", space.Vec{.5, 3, 0}, [2]float64{.75, .25}},
		{"beyond the end", space.Vec{5, 1, 0}, [2]float64{0, 1}},
	} {
		// The third weighs nearly all, so what is sought is its place; three poses alike.
		at := []space.Vec{{0, 0, 0}, {2, 0, 0}, row.third}
		holds := []Hold{{0, 1e-9}, {1, 1e-9}, {2, 1}}
		w := make([]float64, 3)
		gram := make([]float64, 9)
		for i := range 3 {
			for j := range 3 {
				gram[3*i+j] = at[i].Sub(row.third).Dot(at[j].Sub(row.third))
			}
		}
		fit(gram, 3, []int{0, 1}, w)
		for i := range 2 {
			if math.Abs(w[i]-row.want[i]) > 1e-6 {
				t.Errorf("%s: %v, want %v", row.name, w, row.want)
			}
		}
		if keep, shift := Fewer(holds, 3, [][]space.Vec{at}); shift > 1e-12 || math.Abs(keep[2]-1) > 1e-6 {
			t.Errorf("%s: none must go, yet %v, %v", row.name, keep, shift)
		}
	}
}

// A joint that always goes along with another is told by it: the two become one, without
// any shift, where the strongest four alone would lose a sixth.
func TestFewerJoinsTwins(t *testing.T) {
	row := []Hold{{0, .2}, {1, .18}, {2, .17}, {3, .16}, {4, .15}, {5, .14}}
	seen := make([][]space.Vec, 6)
	for p := range seen {
		seen[p] = make([]space.Vec, 6)
		for j := range 6 {
			seen[p][j] = space.Vec{1, 1, 1}
		}
		// 4 goes with 0, 5 with 1; every other pose moves one of the four.
		seen[p][p%4] = space.Vec{float64(p), 2, -1}
		if p%4 == 0 {
			seen[p][4] = seen[p][0]
		}
		if p%4 == 1 {
			seen[p][5] = seen[p][1]
		}
	}
	keep, shift := Fewer(row, 4, seen)
	want := [6]float64{.35, .32, .17, .16, 0, 0}
	for j, w := range want {
		got := keep[j]
		if j < 2 {
			got += keep[j+4]
		}
		if j > 3 {
			continue
		}
		if math.Abs(got-w) > 1e-6 {
			t.Errorf("joint %d keeps %.6f, want %.6f", j, got, w)
		}
	}
	if shift > 1e-7 {
		t.Errorf("shift %g", shift)
	}
}

// Never worse than the strongest ones made whole; weights are whole; and within a tenth of
// the best of all choices of four, tried one by one, in nine of ten vertices.
func TestFewerAgainstAll(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	near := 0
	const rounds = 200
	for range rounds {
		n := 5 + r.IntN(4)
		row := make([]Hold, n)
		for j := range row {
			row[j] = Hold{uint16(j), .05 + r.Float64()}
		}
		Sort(row)
		Whole(row)
		seen := make([][]space.Vec, 8)
		for p := range seen {
			for range row {
				seen[p] = append(seen[p], space.Vec{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()})
			}
		}
		keep, shift := Fewer(row, 4, seen)
		sum, count := 0.0, 0
		for _, w := range keep {
			sum += w
			if w > 0 {
				count++
			}
			if w < 0 {
				t.Fatal("negative weight", keep)
			}
		}
		if math.Abs(sum-1) > 1e-9 || count > 4 {
			t.Fatalf("sum %v of %d", sum, count)
		}
		off := make([][]space.Vec, len(seen))
		gram := make([]float64, n*n)
		for p := range seen {
			var whole space.Vec
			for j := range row {
				whole = whole.Add(seen[p][j].Mul(row[j].Weight))
			}
			for j := range row {
				off[p] = append(off[p], seen[p][j].Sub(whole))
			}
			for i := range n {
				for j := range n {
					gram[i*n+j] += off[p][i].Dot(off[p][j])
				}
			}
		}
		plain := make([]float64, n)
		four := 0.0
		for j := range 4 {
			four += row[j].Weight
		}
		for j := range 4 {
			plain[j] = row[j].Weight / four
		}
		if strongest := largest(plain, off); shift > strongest*(1+1e-9) {
			t.Errorf("shift %g, the strongest four have %g", shift, strongest)
		}
		best := math.Inf(1)
		w := make([]float64, n)
		for a := range n {
			for b := a + 1; b < n; b++ {
				for c := b + 1; c < n; c++ {
					for d := c + 1; d < n; d++ {
						fit(gram, n, []int{a, b, c, d}, w)
						best = min(best, largest(w, off))
					}
				}
			}
		}
		if shift <= 1.1*best {
			near++
		}
	}
	if near < rounds*17/20 {
		t.Errorf("within a tenth of the best choice of four at %d of %d vertices", near, rounds)
	}
	t.Logf("within a tenth of the best choice of four at %d of %d vertices", near, rounds)
}

func TestRowAndStore(t *testing.T) {
	row := Row([]uint16{3, 5, 3, 7, 1}, []float32{.2, .3, .4, 0, -1}, nil)
	if len(row) != 2 || row[0] != (Hold{3, float64(float32(.2)) + float64(float32(.4))}) || row[1].Joint != 5 {
		t.Fatalf("%v", row)
	}
	joints, out := make([]uint16, 5), []float32{9, 9, 9, 9, 9}
	Store([]Hold{{1, .1}, {2, .5}, {3, .2}, {4, .3}, {5, .15}}, 4, joints, out)
	sum := 0.0
	for _, w := range out {
		sum += float64(w)
	}
	if joints[0] != 2 || joints[3] != 5 || out[4] != 0 || math.Abs(sum-1) > 6e-8 || math.Abs(float64(out[0])-.5/1.15) > 1e-7 {
		t.Errorf("%v %v, sum %v", joints, out, sum)
	}
}

// A strip of nine places: a patch in its middle is filled from both ends, along the edges,
// and softened inside alone.
func TestNearestAndSoften(t *testing.T) {
	var points []float32
	var triangles []uint32
	for x := range 9 {
		points = append(points, float32(x), 0, 0, float32(x), 1, 0)
	}
	for x := range uint32(8) {
		triangles = append(triangles, 2*x, 2*x+2, 2*x+1, 2*x+1, 2*x+2, 2*x+3)
	}
	w := NewWeb(points, triangles, nil)
	patch := []uint32{4, 5, 6, 7, 8, 9, 10, 11, 12, 13} // x 2 … 6
	from := w.Nearest(patch, func(p uint32) bool { return true })
	for i, p := range patch {
		if x := points[3*from[i]]; math.Abs(float64(x-points[3*p])) > 3 || p == 4 && from[i] != 2 || p == 13 && from[i] != 14 && from[i] != 15 {
			t.Errorf("place %d is filled from %d", p, from[i])
		}
	}
	side := func(p uint32) []Hold {
		if points[3*p] < 4 {
			return []Hold{{0, 1}}
		}
		return []Hold{{1, 1}}
	}
	rows := make([][]Hold, len(patch))
	for i, p := range patch {
		rows[i] = side(p)
	}
	w.Soften(patch, rows, side, 2)
	at := func(i int, joint uint16) float64 {
		for _, h := range rows[i] {
			if h.Joint == joint {
				return h.Weight
			}
		}
		return 0
	}
	for i := range rows {
		if math.Abs(Sum(rows[i])-1) > 1e-12 {
			t.Errorf("place %d sums to %v", patch[i], Sum(rows[i]))
		}
	}
	if a, b := at(2, 1), at(4, 1); !(a > 0 && a < b && b < 1) || at(0, 1) > .05 {
		t.Errorf("no ramp: %v", rows)
	}
	// On a shell of its own nothing is reached along edges: the nearest in space answers.
	lone := append(points, 20, 0, 0, 21, 0, 0, 20, 1, 0)
	w = NewWeb(lone, append(triangles, 18, 19, 20), nil)
	if from := w.Nearest([]uint32{18, 19, 20}, func(p uint32) bool { return p < 18 }); from[0] != 16 || from[2] != 17 {
		t.Errorf("from %v", from)
	}
	if from := w.Nearest([]uint32{0}, func(uint32) bool { return false }); from[0] != -1 {
		t.Errorf("no source, yet %v", from)
	}
}
