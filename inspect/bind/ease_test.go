package bind

import (
	"math"
	"testing"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// drawnOut is how much an edge grows at most where one joint turns by 60° about any axis, worked
// out by linear blending alone: x + W (R − 1)(x − a), W what the joint and all that it takes
// along hold.
func drawnOut(f *Figure, r *Rows, up []int) (most float64) {
	n := len(f.Joints.At)
	for j := range n {
		along := make([]bool, n)
		for i := range n {
			for q, step := i, 0; q >= 0 && step <= n; q, step = up[q], step+1 {
				along[i] = along[i] || q == j
			}
		}
		for _, axis := range vecs(1, 0, 0, 0, 1, 0, 0, 0, 1) {
			turn := space.About(axis, math.Pi/3)
			to := func(p uint32) space.Vec {
				x, w := space.At(f.Points, p), 0.0
				for k := range K {
					if along[r.Joint[K*int(p)+k]] {
						w += r.Weight[K*int(p)+k]
					}
				}
				lever := x.Sub(f.Joints.At[j])
				return x.Add(turn.Rotate(lever).Sub(lever).Mul(w))
			}
			for t := 0; t+2 < len(f.Triangles); t += 3 {
				for k := range 3 {
					p, q := f.Triangles[t+k], f.Triangles[t+(k+1)%3]
					if was := space.At(f.Points, p).Sub(space.At(f.Points, q)).Len(); was > 0 {
						most = max(most, to(p).Sub(to(q)).Len()/was)
					}
				}
			}
		}
	}
	return most
}

// curtain is an apron 1 m wide and deep that hangs before two legs which begin at its top.
func curtain(sided bool) *Figure {
	var points []float32
	var triangles []uint32
	const n = 40
	for i := range n + 1 {
		for k := range n + 1 {
			points = append(points, float32(k)/n-.5, -float32(i)/n, .1)
			if i < n && k < n {
				a := uint32(i*(n+1) + k)
				triangles = append(triangles, a, a+n+1, a+1, a+1, a+n+1, a+n+2)
			}
		}
	}
	j := Joints{At: vecs(0, .1, 0, .2, 0, 0, .2, -1, 0, -.2, 0, 0, -.2, -1, 0), Parent: []int{-1, 0, 1, 0, 3}}
	if sided {
		j.Middle, j.Partner = &geom.Plane{Normal: space.Vec{1, 0, 0}}, []int{0, 3, 4, 1, 2}
	}
	return New(points, triangles, j, nil)
}

// An apron passes from one leg to the other over a stretch as long as a raised leg draws it far:
// no edge grows to more than four times its length (12 times without easing, measured), with
// sides and without. A worked bound: the apron's lower edge is 1 m from both hips, so from
// the whole of a weight to nothing it takes a third of a metre at least; the hips have what
// neither leg has.
func TestEaseApron(t *testing.T) {
	for _, sided := range []bool{false, true} {
		f := curtain(sided)
		b, err := f.Bind(Options{Narrow: Usual})
		if err != nil {
			t.Fatal(err)
		}
		if most := drawnOut(f, b.Rows, f.Joints.Parent); most > 4.2 || most < 3.2 {
			t.Errorf("sided %v: an edge grows %.2f-fold, want 4 at most, and not much less: then more is spread than must be", sided, most)
		}
		if !sided {
			continue
		}
		const n = 40
		for k := range n + 1 {
			p := n*(n+1) + k
			x := float64(f.Points[3*p])
			left, right := b.Rows.of(p, 1)+b.Rows.of(p, 2), b.Rows.of(p, 3)+b.Rows.of(p, 4)
			if left > .001+3*math.Abs(x)+.05 && x >= 0 || x > .03 && right > .01 {
				t.Errorf("at %.3f the left leg has %.2f, the right %.2f", x, left, right)
			}
			if math.Abs(left+right+b.Rows.of(p, 0)-1) > 1e-9 {
				t.Errorf("at %.3f all have %v", x, left+right+b.Rows.of(p, 0))
			}
		}
	}
}

// What a joint takes along when it turns does not tear off: an elbow of a chain passes as it did.
// Where the forearm hangs beside the upper arm, which turns alone then, it passes over a longer
// stretch, as far as the surface is drawn out.
func TestEaseFlatChain(t *testing.T) {
	var s shape
	s.add(arm(-.1, 2.6, .2))
	bound := func(carried []int) (*Figure, *Rows) {
		j := limb()
		j.Carried = carried
		f := New(s.points, s.triangles, j, nil)
		b, err := f.Bind(Options{Narrow: Usual, Parts: f.Propose()})
		if err != nil {
			t.Fatal(err)
		}
		return f, b.Rows
	}
	flat := []int{-1, -1, -1, -1}
	chain, hung := bound(nil)
	_, apart := bound(flat)
	if x := drawnOut(chain, hung, limb().Parent); x > 3 {
		t.Errorf("an elbow draws an edge out %.2f-fold", x)
	}
	if was, is := drawnOut(chain, hung, flat), drawnOut(chain, apart, flat); was < 5 || is > 4.2 {
		t.Errorf("turned alone, the upper arm draws an edge out %.2f-fold, %.2f-fold eased", was, is)
	}
	// Half way between two joints of the chain nothing is shared.
	shared := 0
	for v := range chain.Of {
		if x := float64(chain.Points[3*v]); math.Abs(x-.5) < .1 && hung.Weight[K*v] < .99 {
			shared++
		}
	}
	if shared > 0 {
		t.Errorf("%d places half way along the upper arm are shared", shared)
	}
}

// What both legs hold goes to the hips, worked by hand: of .6 and .3 in the middle .3 is held
// by both, so .6 goes; a tenth was there. Two hundredths of the figure's size beyond the middle
// all of the other side's goes, a hundredth beyond half of what is left.
func TestSidesShareWithTheMiddle(t *testing.T) {
	for _, row := range []struct{ x, own, other, wantOwn, wantOther, wantHips float64 }{
		{0, .6, .3, .3, 0, .7},
		{.02, .6, .3, .3, 0, .7},
		{.01, .3, .6, 0, .15, .85},
		{-.02, 0, .8, 0, .8, .2},
		{.01, 0, .8, 0, .4, .6},
	} {
		f := &Figure{Points: []float32{float32(row.x), 0, 0}, Of: []int32{0}, size: 1,
			Joints: Joints{At: vecs(0, 1, 0, 1, 0, 0, -1, 0, 0), Parent: []int{-1, 0, 0}, Partner: []int{0, 2, 1}, Middle: &geom.Plane{Normal: space.Vec{1, 0, 0}}}}
		b := &Bound{Rows: NewRows(1)}
		b.Rows.Put(0, 0, 1-row.own-row.other)
		b.Rows.Put(0, 1, row.own)
		b.Rows.Put(0, 2, row.other)
		f.sides(b)
		for j, want := range []float64{row.wantHips, row.wantOwn, row.wantOther} {
			if got := b.Rows.of(0, int32(j)); math.Abs(got-want) > 1e-6 {
				t.Errorf("%+v: joint %d has %v", row, j, got)
			}
		}
	}
}
