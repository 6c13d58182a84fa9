package part

import (
	"math"
	"testing"

	"rigloupe/inspect/bind"
)

// sheet is a flat grid of n × n squares of a side, at a height.
func sheet(n int, side, height float64) (points []float32, triangles []uint32) {
	for i := range n + 1 {
		for j := range n + 1 {
			points = append(points, float32(float64(i)*side), float32(height), float32(float64(j)*side))
		}
	}
	at := func(i, j int) uint32 { return uint32(i*(n+1) + j) }
	for i := range n {
		for j := range n {
			triangles = append(triangles, at(i, j), at(i, j+1), at(i+1, j), at(i+1, j), at(i, j+1), at(i+1, j+1))
		}
	}
	return points, triangles
}

func weightOf(r *bind.Rows, v int, joint int32) (w float64) {
	for k := bind.K * v; k < bind.K*(v+1); k++ {
		if r.Joint[k] == joint {
			w += r.Weight[k]
		}
	}
	return w
}

const tight = 30 * math.Pi / 180

// Under a sheet lies another with weights that rise from one end to the other: each place
// takes them, also between the corners of what is under it and with its back to it.
func TestCarry(t *testing.T) {
	under, corners := sheet(10, .1, 0)
	rows := bind.NewRows(len(under) / 3)
	for v := range len(under) / 3 {
		rows.Put(v, 0, 1-float64(under[3*v]))
		rows.Put(v, 1, float64(under[3*v]))
	}
	o := NewOver(under, corners, nil)
	over, sides := sheet(7, .1, .03)
	for i := range over {
		if i%3 != 1 {
			over[i] += .13
		}
	}
	for turn := range 2 {
		if turn == 1 {
			for k := 0; k+2 < len(sides); k += 3 {
				sides[k], sides[k+1] = sides[k+1], sides[k]
			}
		}
		got, ways, err := o.Carry(rows, over, sides, Options{Near: .05, Facing: tight}, nil)
		if err != nil {
			t.Fatal(err)
		}
		for v := range ways {
			if ways[v] != Taken || math.Abs(weightOf(got, v, 1)-float64(over[3*v])) > 1e-6 {
				t.Fatalf("place %d: %v, %v, want %v", v, ways[v], weightOf(got, v, 1), over[3*v])
			}
		}
		// Joints that may not hold it do not.
		got, _, _ = o.Carry(rows, over, sides, Options{Near: .05, Facing: tight, May: []bool{true, false}}, nil)
		if weightOf(got, 30, 1) != 0 || weightOf(got, 30, 0) != 1 {
			t.Error("a joint that may not hold it does")
		}
	}
}

// Filled in over a flat sheet, weights that are straight round its rim are straight within:
// biharmonic functions hold a plane where two rings of places are known.
func TestFillStraight(t *testing.T) {
	const n = 20
	points, sides := sheet(n, .05, 0)
	c := &carrier{o: NewOver(points, sides, nil), rows: bind.NewRows(1), points: points, out: bind.NewRows(len(points) / 3), ways: make([]Way, len(points)/3)}
	filled := 0
	for v := range c.ways {
		if i, j := v/(n+1), v%(n+1); min(i, j, n-i, n-j) < 2 {
			c.ways[v] = Taken
			c.out.Put(v, 3, float64(points[3*v]))
			c.out.Put(v, 5, 1-float64(points[3*v]))
		}
	}
	if err := c.fill(sides, nil); err != nil {
		t.Fatal(err)
	}
	for v := range c.ways {
		if c.ways[v] == Filled {
			filled++
			if d := weightOf(c.out, v, 3) - float64(points[3*v]); math.Abs(d) > 1e-4 {
				t.Fatalf("place %d: off by %v", v, d)
			}
		}
	}
	if filled != (n-3)*(n-3) {
		t.Errorf("%d places are filled", filled)
	}
}

// A strip between two held ends is filled as a beam that is held there bends: 3x² − 2x³ where
// two rows are known at both ends, 0 and 1 (the closed form of a clamped beam; harmonic filling
// would be straight).
func TestFillBeam(t *testing.T) {
	const n = 40
	var points []float32
	var sides []uint32
	for i := range n + 1 {
		for j := range 3 {
			points = append(points, float32(i)/n, 0, float32(j)/n)
		}
	}
	for i := range n {
		for j := range 2 {
			a, b := uint32(3*i+j), uint32(3*i+3+j)
			sides = append(sides, a, a+1, b, b, a+1, b+1)
		}
	}
	c := &carrier{o: NewOver(points, sides, nil), rows: bind.NewRows(1), points: points, out: bind.NewRows(len(points) / 3), ways: make([]Way, len(points)/3)}
	for v := range c.ways {
		switch i := v / 3; {
		case i < 2:
			c.ways[v] = Taken
			c.out.Put(v, 0, 1)
		case i > n-2:
			c.ways[v] = Taken
			c.out.Put(v, 1, 1)
		}
	}
	if err := c.fill(sides, nil); err != nil {
		t.Fatal(err)
	}
	for v := range c.ways {
		// Between the inner known rows, half a row farther in for the slope of both.
		x := (float64(v/3) - 1 + .5) / (n - 2 + 1)
		if c.ways[v] == Filled {
			if w, want := weightOf(c.out, v, 1), x*x*(3-2*x); math.Abs(w-want) > .01 {
				t.Fatalf("row %d: %v, want %v", v/3, w, want)
			}
		}
	}
}

// What faces nothing takes what is nearest; a place of no triangle does too; a shell with one
// place that faces it is filled from that; sums are 1.
func TestCarryElsewhere(t *testing.T) {
	under, corners := sheet(10, .1, 0)
	rows := bind.NewRows(len(under) / 3)
	for v := range len(under) / 3 {
		rows.Put(v, 2, 1)
	}
	o := NewOver(under, corners, nil)
	// A wall far over the sheet: at right angles to it.
	wall := []float32{.5, 3, 0, .5, 3, 1, .5, 4, 0, .2, .02, .2}
	got, ways, err := o.Carry(rows, wall, []uint32{0, 1, 2}, Options{Near: .05, Facing: tight}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for v := range ways {
		if ways[v] != Lies || weightOf(got, v, 2) != 1 {
			t.Errorf("place %d: %v %v", v, ways[v], weightOf(got, v, 2))
		}
	}
	// Under it is nothing that has weights.
	if _, ways, _ := o.Carry(bind.NewRows(len(under)/3), wall, []uint32{0, 1, 2}, Options{Near: .05, Facing: tight}, nil); ways[0] != None {
		t.Error(ways)
	}
}

// A piece that goes as one has one row, the mean of what its places lie on: half way between
// two joints, half of each.
func TestCarryAsOne(t *testing.T) {
	under, corners := sheet(10, .1, 0)
	rows := bind.NewRows(len(under) / 3)
	for v := range len(under) / 3 {
		rows.Put(v, 0, 1-float64(under[3*v]))
		rows.Put(v, 1, float64(under[3*v]))
	}
	over, sides := sheet(1, .4, .02)
	for v := range 4 {
		over[3*v] += .3
	}
	got, _, err := NewOver(under, corners, nil).Carry(rows, over, sides, Options{Near: .05, Facing: tight, Stiff: [][]uint32{{0, 1, 2, 3}}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for v := range 4 {
		if math.Abs(weightOf(got, v, 1)-.5) > 1e-6 {
			t.Errorf("place %d: %v", v, weightOf(got, v, 1))
		}
	}
}

// A place far from all that took weights takes what lies under it more freely, 12 cm off where
// 5 % of 1.41 m (7 cm) is near; 25 cm off it does not.
func TestCarryLonely(t *testing.T) {
	under, corners := sheet(10, .1, 0)
	rows := bind.NewRows(len(under) / 3)
	for v := range len(under) / 3 {
		rows.Put(v, 2, 1)
	}
	o := NewOver(under, corners, nil)
	for height, want := range map[float64]Way{.03: Taken, .12: Taken, .25: Lies} {
		over, sides := sheet(4, .1, height)
		_, ways, err := o.Carry(rows, over, sides, Options{Near: .05, Facing: tight}, nil)
		if err != nil || ways[12] != want {
			t.Errorf("%v m off: %v, %v", height, ways[12], err)
		}
	}
}

// Where three hundredths of the weight are of joints that may hold the part, nothing is taken; of
// a tenth, all.
func TestCarryHeld(t *testing.T) {
	under, corners := sheet(10, .1, 0)
	for share, want := range map[float64]Way{.03: None, .1: Taken} {
		rows := bind.NewRows(len(under) / 3)
		for v := range len(under) / 3 {
			rows.Put(v, 0, share)
			rows.Put(v, 1, 1-share)
		}
		over, sides := sheet(4, .1, .03)
		got, ways, err := NewOver(under, corners, nil).Carry(rows, over, sides, Options{Near: .05, Facing: tight, May: []bool{true, false}}, nil)
		if err != nil || ways[12] != want || want == Taken && weightOf(got, 12, 0) != 1 {
			t.Errorf("%v: %v, %v", share, ways[12], err)
		}
	}
}

// A sheet that rises from 3 cm to 12 cm: what is under 7 cm (5 % of 1.41 m) takes weights, what
// lies within 7 cm of that is filled in, what is farther looks wider and takes them, too.
func TestCarryRising(t *testing.T) {
	under, corners := sheet(10, .1, 0)
	rows := bind.NewRows(len(under) / 3)
	for v := range len(under) / 3 {
		rows.Put(v, 2, 1)
	}
	over, sides := sheet(20, .05, 0)
	for v := range len(over) / 3 {
		over[3*v+1] = .03 + .09*over[3*v]
	}
	_, ways, err := NewOver(under, corners, nil).Carry(rows, over, sides, Options{Near: .05, Facing: tight}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for row, want := range map[int]Way{2: Taken, 9: Taken, 10: Filled, 12: Taken, 20: Taken} {
		if v := 21*row + 10; ways[v] != want {
			t.Errorf("at %v m, %v high: %v, want %v", over[3*v], over[3*v+1], ways[v], want)
		}
	}
}
