package part

import (
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// ball is a closed ball of rings, around a middle.
func ball(middle space.Vec, radius float64, rings int) (points []float32, triangles []uint32) {
	round := 2 * rings
	at := func(i, j int) uint32 {
		switch i {
		case 0:
			return 0
		case rings:
			return uint32(1 + (rings-1)*round)
		}
		return uint32(1 + (i-1)*round + j%round)
	}
	put := func(p space.Vec) {
		p = p.Mul(radius).Add(middle)
		points = append(points, float32(p[0]), float32(p[1]), float32(p[2]))
	}
	put(space.Vec{0, 1, 0})
	for i := 1; i < rings; i++ {
		for j := range round {
			a, b := math.Pi*float64(i)/float64(rings), 2*math.Pi*float64(j)/float64(round)
			put(space.Vec{math.Sin(a) * math.Sin(b), math.Cos(a), math.Sin(a) * math.Cos(b)})
		}
	}
	put(space.Vec{0, -1, 0})
	for i := range rings {
		for j := range round {
			if i > 0 {
				triangles = append(triangles, at(i, j), at(i+1, j), at(i, j+1))
			}
			if i < rings-1 {
				triangles = append(triangles, at(i, j+1), at(i+1, j), at(i+1, j+1))
			}
		}
	}
	return points, triangles
}

// crossings is a winding number by another way: how often rays in random directions leave the
// surface, less how often they enter it, on the mean (the surface's solid angle is that mean).
func crossings(points []float32, triangles []uint32, p space.Vec, rays int, rnd *rand.Rand) float64 {
	sum := 0
	for range rays {
		d := space.Direction(space.Vec{rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()})
		for t := 0; t+2 < len(triangles); t += 3 {
			// Möller and Trumbore 1997.
			a, b, c := space.At(points, triangles[t]), space.At(points, triangles[t+1]), space.At(points, triangles[t+2])
			e, f := b.Sub(a), c.Sub(a)
			h := d.Cross(f)
			det := e.Dot(h)
			if det == 0 {
				continue
			}
			s := p.Sub(a)
			u := s.Dot(h) / det
			q := s.Cross(e)
			if v := d.Dot(q) / det; u < 0 || v < 0 || u+v > 1 || f.Dot(q)/det < 0 {
				continue
			}
			if det > 0 {
				sum-- // against the normal: it enters
			} else {
				sum++
			}
		}
	}
	return float64(sum) / float64(rays)
}

// far is the distance to a triangle by trying all of its points on a fine grid and its edges.
func far(p, a, b, c space.Vec) float64 {
	least := math.Inf(1)
	const n = 24
	for i := range n + 1 {
		for j := range n + 1 - i {
			q := a.Add(b.Sub(a).Mul(float64(i) / n)).Add(c.Sub(a).Mul(float64(j) / n))
			least = min(least, p.Sub(q).Len())
		}
	}
	return least
}

// Fields against other ways to the same numbers: distances by trying points of every triangle,
// the inside by rays; a ball, one with its top cut off, and two that cross.
func TestFields(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	whole, sides := ball(space.Vec{}, 1, 5)
	second, more := ball(space.Vec{1.2, 0, 0}, 1, 5)
	for i := range more {
		more[i] += uint32(len(whole) / 3)
	}
	for name, s := range rounds.Named(map[string]struct {
		points    []float32
		triangles []uint32
	}{"ball": {whole, sides}, "open": {whole, sides[3*10:]}, "crossing": {append(append([]float32{}, whole...), second...), append(append([]uint32{}, sides...), more...)}}, 3) {
		o := NewOver(s.points, s.triangles, nil)
		var at []float32
		for range 24 {
			at = append(at, float32(1.3*rnd.NormFloat64()), float32(rnd.NormFloat64()), float32(rnd.NormFloat64()))
		}
		at = append(at, 0, 0, 0)
		gap, inside := o.Fields(at)
		for v := range gap {
			p := space.At(at, v)
			least := math.Inf(1)
			for k := 0; k+2 < len(s.triangles); k += 3 {
				least = min(least, far(p, space.At(s.points, s.triangles[k]), space.At(s.points, s.triangles[k+1]), space.At(s.points, s.triangles[k+2])))
			}
			if d := least - math.Abs(float64(gap[v])); d < -1e-6 || d > .03 { // the grid's own step
				t.Errorf("%s at %v: %v off, by trying %v", name, p, gap[v], least)
			}
			w := math.Abs(crossings(s.points, s.triangles, p, 1500, rnd))
			if math.Abs(w-float64(inside[v])) > .05 { // four deviations of 1500 rays
				t.Errorf("%s at %v: inside %v, by rays %v", name, p, inside[v], w)
			}
			if (gap[v] < 0) != (inside[v] > .5) {
				t.Errorf("%s at %v: gap %v, inside %v", name, p, gap[v], inside[v])
			}
		}
	}
	if gap, inside := NewOver(nil, nil, nil).Fields([]float32{1, 2, 3}); gap[0] != 0 || inside[0] != 0 {
		t.Error(gap, inside)
	}
}

// The deepest place equals that of all places tried one by one; a ball wound inside out counts
// alike. Known: the middle of a ball lies its radius deep, to what its flat sides take off.
func TestDeepest(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 8))
	points, triangles := ball(space.Vec{}, 1, 12)
	var at []float32
	for range 300 {
		at = append(at, float32(rnd.NormFloat64()), float32(rnd.NormFloat64()), float32(rnd.NormFloat64()))
	}
	for turn := range 2 {
		if turn == 1 {
			for t := 0; t+2 < len(triangles); t += 3 {
				triangles[t], triangles[t+1] = triangles[t+1], triangles[t]
			}
		}
		o := NewOver(points, triangles, nil)
		gap, _ := o.Fields(at)
		worst := 0
		for v := range gap {
			if gap[v] < gap[worst] {
				worst = v
			}
		}
		place, depth := o.Deepest(at)
		if place != worst || math.Abs(depth+float64(gap[worst])) > 1e-6 {
			t.Errorf("place %d, %v deep; one by one %d, %v", place, depth, worst, gap[worst])
		}
	}
	o := NewOver(points, triangles, nil)
	if place, depth := o.Deepest([]float32{0, 0, 0, 0, .5, 0}); place != 0 || depth < .96 || depth > 1 {
		t.Error(place, depth)
	}
	if place, depth := o.Deepest([]float32{0, 1.5, 0}); place != -1 || depth != 0 {
		t.Error(place, depth)
	}
}

// What lies under the surface by a little comes out and stands off it by the share stated;
// what lies deeper than allowed stays, to the bit, as does what lies outside.
func TestOut(t *testing.T) {
	points, triangles := ball(space.Vec{}, 1, 24)
	o := NewOver(points, triangles, nil)
	at := []float32{.97, 0, 0, 0, .5, 0, 0, 0, 1.2}
	moved, left := o.Out(at, .05)
	if !moved[0] || moved[1] || moved[2] || left != 1 || at[4] != .5 || at[8] != 1.2 {
		t.Fatal(moved, left, at)
	}
	gap, _ := o.Fields(at)
	// 0.0005 of the diagonal of a box of side 2, √12 = 3.4641 m.
	if math.Abs(float64(gap[0])-.0017320) > 1e-5 {
		t.Errorf("it stands %v off", gap[0])
	}
	at = []float32{.97, 0, 0}
	if moved, left := o.Out(at, .02); moved[0] || left != 1 {
		t.Error("it came out by more than is allowed")
	}
}

// A cap over the upper part of a ball covers what lies well under it and nothing near its rim
// or below; what lies nearer than asked is not covered.
func TestCovered(t *testing.T) {
	points, triangles := ball(space.Vec{}, 1, 24)
	cap, sides := ball(space.Vec{}, 1.05, 24)
	var kept []uint32
	for k := 0; k+2 < len(sides); k += 3 {
		if cap[3*sides[k]+1] > .01 {
			kept = append(kept, sides[k:k+3]...)
		}
	}
	o := NewOver(points, triangles, nil)
	count := 0
	for v, c := range o.Covered(cap, kept, .02) {
		y := points[3*v+1]
		if c {
			count++
		}
		if c && y < .05 || !c && y > .3 {
			t.Errorf("at height %v: covered %v", y, c)
		}
	}
	if count == 0 {
		t.Error("nothing is covered")
	}
	for v, c := range o.Covered(cap, kept, .07) {
		if c {
			t.Fatalf("place %d is covered by what is too near", v)
		}
	}
	// A coin over the top hides what is straight under it from above and from nowhere else.
	coin := []float32{-.02, 1.05, -.02, .02, 1.05, -.02, 0, 1.05, .03}
	for v, c := range o.Covered(coin, []uint32{0, 1, 2}, .02) {
		if c {
			t.Fatalf("place %d is covered by a coin over it", v)
		}
	}
	far, _ := ball(space.Vec{}, 1.6, 24) // 0.6 m off, over 0.08 of 3.46 m
	for v, c := range o.Covered(far, sides, .02) {
		if c {
			t.Fatalf("place %d is covered by what is far off", v)
		}
	}
}

// An open half ball goes round a place on its axis by (1 + h/√(1+h²))/2, h of its radius above
// the rim's plane towards the pole (the solid angle of a cone: any handbook). Half parts inside
// from outside: a little above the plane is inside, a little below is not, and the deepest is
// looked for among what is inside.
func TestHalfIsInside(t *testing.T) {
	points, triangles := ball(space.Vec{}, 1, 24)
	var upper []uint32
	for k := 0; k < len(triangles); k += 3 {
		if sum := points[3*triangles[k]+1] + points[3*triangles[k+1]+1] + points[3*triangles[k+2]+1]; sum > 0 {
			upper = append(upper, triangles[k:k+3]...)
		}
	}
	o := NewOver(points, upper, nil)
	for _, h := range []float64{-.5, -.2, -.08, .08, .2, .5} {
		want := (1 + h/math.Hypot(1, h)) / 2
		gap, inside := o.Fields([]float32{0, float32(h), 0})
		if math.Abs(float64(inside[0])-want) > .02 || (gap[0] < 0) != (h > 0) {
			t.Errorf("%v above the plane: round it %.3f times, want %.3f; gap %.3f", h, inside[0], want, gap[0])
		}
		if place, depth := o.Deepest([]float32{0, float32(h), 0}); (place == 0) != (h > 0) || h > 0 && math.Abs(depth-float64(-gap[0])) > 1e-6 {
			t.Errorf("%v above the plane: place %d, %.3f deep", h, place, depth)
		}
		if moved, _ := o.Out([]float32{0, float32(h), 0}, 2); moved[0] != (h > 0) {
			t.Errorf("%v above the plane: moved out %v", h, moved[0])
		}
	}
}
