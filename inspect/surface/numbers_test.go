package surface

import (
	"context"
	"math"
	"testing"

	"rigloupe/inspect/exam"
)

// Numbers that are no limit of a check, each on both sides, on rows of squares.

// quilt is one surface of rows of squares.
type quilt struct {
	p   []float32
	tri []uint32
}

// row adds squares of an edge in metres, upwards from y, between x and x + dx; shift moves
// the corners at x of each height.
func (q *quilt) row(x, dx, y, edge float64, squares int, shift func(j int) float64) {
	base := uint32(len(q.p) / 3)
	for j := range squares + 1 {
		at := x
		if shift != nil {
			at += shift(j)
		}
		h := float32(y + edge*float64(j))
		q.p = append(q.p, float32(at), h, 0, float32(x+dx), h, 0)
	}
	for j := range uint32(squares) {
		a, b, c, d := base+2*j, base+2*j+1, base+2*j+2, base+2*j+3
		if dx < 0 {
			q.tri = append(q.tri, a, c, b, b, c, d)
		} else {
			q.tri = append(q.tri, a, b, c, b, d, c)
		}
	}
}

func (q *quilt) facts(t *testing.T) *Facts {
	t.Helper()
	f, err := Measure(context.Background(), exam.New(bare(q.p, q.tri)))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// A surface is not ready where more than a hundredth of its open edges are a missed seam:
// 12 of 28 + 2·n + 2.
func TestSeamsOfAHundredth(t *testing.T) {
	for n, want := range map[int]bool{700: false, 400: true} {
		var q quilt
		q.row(0, -1, 0, 1, 6, nil)
		q.row(.1, 1, 0, 1, 6, nil)
		q.row(20, 1, 0, 1, n, nil)
		f := q.facts(t)
		if f.SeamEdges != 12 || f.Boundary != 30+2*n {
			t.Fatalf("%d of %d open edges meet", f.SeamEdges, f.Boundary)
		}
		if got := f.Ready.Verdict == "not-yet"; got != want {
			t.Errorf("12 of %d: %s", f.Boundary, f.Ready.Verdict)
		}
	}
}

// The distance to weld at closes what is off alike; one vertex five times as far off does
// not draw it out.
func TestSuggestedLeavesTheTailOpen(t *testing.T) {
	var q quilt
	q.row(0, -1, 0, 1, 300, nil)
	q.row(.01, 1, 0, 1, 300, func(j int) float64 {
		if j == 150 {
			return .04
		}
		return 0
	})
	f := q.facts(t)
	if f.Suggested == nil || *f.Suggested < .01 || *f.Suggested > .0111 {
		t.Errorf("suggested %v m, want 0.01 rounded up", f.Suggested)
	}
}

// It goes down where true edges are as short as the gaps: five in a hundred of them would
// be lost at the larger one.
func TestSuggestedSparesShortEdges(t *testing.T) {
	var q quilt
	q.row(0, -1, 0, 1, 100, nil)
	q.row(.01, 1, 0, 1, 100, func(j int) float64 {
		if j > 50 {
			return .02
		}
		return 0
	})
	q.row(5, .02, 0, .02, 10, nil)
	f := q.facts(t)
	if f.Suggested == nil || *f.Suggested < .01 || *f.Suggested > .0111 || f.Surfaces[0].Weld.Edges != 0 {
		t.Errorf("suggested %v m, %+v; want 0.01 rounded up, and no edge lost", f.Suggested, f.Surfaces[0].Weld)
	}
}

// The safe distance is a quarter of the 1st percentile of the edges' lengths: of equal
// ones a quarter of each; where 25 of 426 are a tenth as long, a quarter of those.
func TestSafeDistance(t *testing.T) {
	var even, mixed quilt
	even.row(0, 1, 0, 1, 100, nil)
	mixed.row(0, 1, 0, 1, 100, nil)
	mixed.row(5, .1, 0, .1, 6, nil)
	for _, row := range []struct {
		q    *quilt
		want float64
	}{{&even, .25}, {&mixed, .025}} {
		f := row.q.facts(t)
		if f.Safe == nil || math.Abs(*f.Safe/row.want-1) > 1e-5 {
			t.Errorf("safe %v m, want %g", f.Safe, row.want)
		}
	}
}

// A plate a hundredth as thick as it is wide is a body with an inside: its volume is
// 0.0034 of its area^1.5, far above what rounding leaves of a folded sheet.
func TestThinPlateFaces(t *testing.T) {
	p := []float32{}
	for i := range 8 {
		p = append(p, float32(i&1), .01*float32(i>>1&1), float32(i>>2))
	}
	var tri []uint32
	for _, q := range [6][4]uint32{{0, 4, 6, 2}, {1, 3, 7, 5}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 2, 3, 1}, {4, 5, 7, 6}} {
		tri = append(tri, q[0], q[1], q[2], q[0], q[2], q[3])
	}
	for name, row := range map[string]struct {
		tri  []uint32
		want int
	}{"outwards": {tri, 0}, "inwards": {inverted(tri), 1}} {
		q := quilt{p, row.tri}
		if f := q.facts(t); f.Ready.Verdict == "" || countInside(f) != row.want {
			t.Errorf("a plate that faces %s: %d shells inside out, want %d", name, countInside(f), row.want)
		}
	}
}

func countInside(f *Facts) (n int) {
	for i := range f.Pieces {
		if f.Pieces[i].InsideOut {
			n++
		}
	}
	return n
}

// What stands in the hole of a ring is not inside it: a ray from there meets the ring an
// even number of times, whichever way the ring lies.
func TestHoleOfARingIsOutside(t *testing.T) {
	for axis := range 3 {
		var q quilt
		const n, m = 24, 12
		for i := range n {
			for k := range m {
				a, b := 2*math.Pi*float64(i)/n, 2*math.Pi*float64(k)/m
				r := 1 + .3*math.Cos(b)
				c := [3]float64{}
				c[axis], c[(axis+1)%3], c[(axis+2)%3] = .3*math.Sin(b), r*math.Cos(a), r*math.Sin(a)
				q.p = append(q.p, float32(c[0]), float32(c[1]), float32(c[2]))
			}
		}
		for i := range uint32(n) {
			for k := range uint32(m) {
				a, b, c, d := i*m+k, (i+1)%n*m+k, i*m+(k+1)%m, (i+1)%n*m+(k+1)%m
				q.tri = append(q.tri, a, b, c, b, d, c)
			}
		}
		small := tetrahedra(1, true, nil).Meshes[0]
		for i := range small.Positions {
			small.Positions[i] *= .1
		}
		q.p, q.tri = with(q.p, q.tri, small.Positions, small.Triangles, false)
		f := q.facts(t)
		if len(f.Pieces) != 2 || !f.Pieces[0].Closed || f.Pieces[1].Inside != nil {
			t.Errorf("ring about axis %d: %d shells, the small one inside %v", axis, len(f.Pieces), f.Pieces[len(f.Pieces)-1].Inside)
		}
	}
}
