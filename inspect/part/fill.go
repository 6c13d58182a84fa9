package part

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/bind"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/solve"
	"rigloupe/inspect/space"
)

// fill gives weights to the places that took none, shell by shell.
func (c *carrier) fill(triangles []uint32, watch *geom.Watch) error {
	n := len(c.ways)
	edges := geom.FindEdges(triangles, n, watch)
	shells := geom.FindShells(c.points, triangles, edges, watch)
	of := make([]int32, n) // place → shell, −1: no triangle uses it
	for v := range of {
		of[v] = -1
	}
	for t, s := range shells.Of {
		if s >= 0 {
			for _, v := range triangles[3*t : 3*t+3] {
				of[v] = s
			}
		}
	}
	taken := make([]bool, len(shells.List))
	for v, s := range of {
		if s >= 0 && c.ways[v] == Taken {
			taken[s] = true
		}
	}
	for v, s := range of {
		if c.ways[v] == Taken || s >= 0 && taken[s] || !space.Finite(space.At(c.points, v)) {
			continue
		}
		// Nothing of its shell is known: it goes with what is nearest.
		if hit, ok := c.o.surface.Closest(space.At(c.points, v), math.Inf(1)); ok && c.take(v, &hit) {
			c.ways[v] = Lies
		}
	}
	l := geom.NewLaplacian(c.points, triangles, edges, watch)
	if err := watch.Err(); err != nil {
		return err
	}
	number := make([]int32, n) // place → unknown, −1: known, −2: neither
	var unknown []int
	for v, s := range of {
		switch {
		case c.ways[v] != None:
			number[v] = -1
		case s >= 0 && taken[s] && space.Finite(space.At(c.points, v)):
			number[v] = int32(len(unknown))
			unknown = append(unknown, v)
		default:
			number[v] = -2
		}
	}
	if len(unknown) == 0 {
		return nil
	}
	return c.biharmonic(l, number, unknown)
}

// drawn is how much a place draws on a known one.
type drawn struct {
	unknown, known int32
	by             float64
}

// biharmonic solves min Σ (Lw)²/area with what is known held. What nothing known holds to
// a Laplacian's last digits is held by harmonic ones, a millionth as strong.
func (c *carrier) biharmonic(l *geom.Laplacian, number []int32, unknown []int) error {
	f, draws, err := c.system(l, number, len(unknown))
	if err != nil {
		return err
	}
	if err := c.solve(f, draws, unknown); err != nil {
		return err
	}
	for _, v := range unknown {
		if c.out.Whole(v); c.out.Sum(v) > 0 {
			c.ways[v] = Filled
		}
	}
	return nil
}

// near is a neighbour and the weight of the edge to it.
type near struct {
	to int32
	w  float64
}

// neighbours are the edges of a Laplacian by place: those of v stand from start[v] to
// start[v+1].
func neighbours(l *geom.Laplacian, places int) (start []int32, around []near) {
	start = make([]int32, places+1)
	for _, v := range l.Ends {
		start[v+1]++
	}
	for v := range places {
		start[v+1] += start[v]
	}
	around = make([]near, len(l.Ends))
	at := slices.Clone(start[:places])
	for e, w := range l.Weight {
		a, b := l.Ends[2*e], l.Ends[2*e+1]
		around[at[a]], around[at[b]] = near{int32(b), w}, near{int32(a), w}
		at[a]++
		at[b]++
	}
	return start, around
}

// system factors the squared Laplacian over what is unknown (number[v] ≥ 0), and answers
// what each draws on places that are known (number[v] = −1), by unknown in rising order.
func (c *carrier) system(l *geom.Laplacian, number []int32, unknown int) (*solve.Factors, []drawn, error) {
	start, around := neighbours(l, len(number))
	// A corner of triangles without area has none: it must not weigh without bound.
	mean := 0.0
	for _, a := range l.Area {
		mean += a / float64(len(number))
	}
	diagonal := make([]float64, unknown)
	var ends []uint32
	var values []float64
	var draws []drawn
	put := func(i, j int32, x float64) { // x stands at i, j of the whole matrix
		a, b := number[i], number[j]
		switch {
		case a >= 0 && b >= 0 && i == j:
			diagonal[a] += x
		case a >= 0 && b >= 0 && a < b:
			ends, values = append(ends, uint32(a), uint32(b)), append(values, x)
		case a >= 0 && b == -1:
			draws = append(draws, drawn{a, j, -x})
		}
	}
	var row []near
	for v := range number {
		row = append(row[:0], near{int32(v), 0})
		for _, x := range around[start[v]:start[v+1]] {
			if x.to == int32(v) {
				continue
			}
			row[0].w += x.w
			row = append(row, near{x.to, -x.w})
		}
		if !slices.ContainsFunc(row, func(x near) bool { return number[x.to] >= 0 }) {
			continue
		}
		area := max(l.Area[v], 1e-6*mean)
		for _, x := range row {
			for _, y := range row {
				put(x.to, y.to, x.w*y.w/area)
			}
			put(int32(v), x.to, faintly*x.w/mean)
		}
	}
	f, err := solve.Factor(solve.New(diagonal, ends, values), c.opt.Look)
	slices.SortStableFunc(draws, func(x, y drawn) int { return cmp.Compare(x.unknown, y.unknown) })
	return f, draws, err
}

// solve fills the weights of unknown places, some joints at a time.
func (c *carrier) solve(f *solve.Factors, draws []drawn, unknown []int) error {
	joints := map[int32]float64{}
	for _, d := range draws {
		for i := bind.K * int(d.known); i < bind.K*int(d.known+1); i++ {
			if c.out.Weight[i] > 0 {
				joints[c.out.Joint[i]] = 1
			}
		}
	}
	const block = 8 // right sides that are solved together: those of so many joints
	list := bind.Sorted(joints)
	b := make([]float64, block*len(unknown))
	column := map[int32]int{}
	for from := 0; from < len(list); from += block {
		some := list[from:min(from+block, len(list))]
		clear(column)
		for k, j := range some {
			column[j] = k
		}
		clear(b)
		for _, d := range draws {
			for i := bind.K * int(d.known); i < bind.K*int(d.known+1); i++ {
				if k, in := column[c.out.Joint[i]]; in && c.out.Weight[i] > 0 {
					b[block*int(d.unknown)+k] += d.by * c.out.Weight[i]
				}
			}
		}
		if err := f.Solve(b, block, nil); err != nil {
			return err
		}
		for u, v := range unknown {
			for k, j := range some {
				if x := b[block*u+k]; x > leastFilled {
					c.out.Put(v, j, x)
				}
			}
		}
		if c.opt.Look != nil {
			if err := c.opt.Look(float64(from+len(some)) / float64(len(list))); err != nil {
				return err
			}
		}
	}
	return nil
}

const (
	// faintly is how strongly the harmonic part holds beside the biharmonic one.
	faintly = 1e-6
	// leastFilled of a filled weight is none: the biharmonic overshoots by a little.
	leastFilled = 1e-3
)
