package scene

import (
	"context"
	"errors"
	"math"
	"reflect"
	"slices"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/viewer/raster"
)

func kinds(p *Prepared) (smooth, crease, border int) {
	for i := range p.Edge {
		switch p.Edge[i].Kind {
		case raster.Smooth:
			smooth++
		case raster.Crease:
			crease++
		case raster.Border:
			border++
		}
	}
	return
}

// A cube has 12 edges of 90° and 6 diagonals, whether its vertices are shared or
// not; each corner is split into three by the creases.
func TestPrepareACube(t *testing.T) {
	for _, split := range []bool{false, true} {
		p := prepared(t, rigOf(box(split)))
		if s, c, b := kinds(p); s != 6 || c != 12 || b != 0 {
			t.Errorf("split %v: %d smooth, %d creases, %d borders; want 6, 12, 0", split, s, c, b)
		}
		if len(p.Source) != 24 || len(p.Tri) != 36 {
			t.Errorf("split %v: %d vertices, %d triangles; want 24, 12", split, len(p.Source), len(p.Tri)/3)
		}
		if slices.Contains(p.Open, true) {
			t.Errorf("split %v: a closed cube counts as open", split)
		}
		for v := range uint32(len(p.Source)) {
			n := space.At32(p.Normal, v)
			if m := max(abs(n[0]), abs(n[1]), abs(n[2])); m < .9999 {
				t.Errorf("split %v: vertex %d has normal %v, want a face's own", split, v, n)
			}
		}
		if p.Low != [3]float64{-.5, 0, -.5} || p.High != [3]float64{.5, 1, .5} {
			t.Errorf("split %v: box %v %v", split, p.Low, p.High)
		}
		if !slices.IsSorted(p.Source) {
			t.Errorf("split %v: sources do not rise", split)
		}
	}
}

func TestPrepareFindsBorders(t *testing.T) {
	m := box(true)
	m.Triangles = m.Triangles[:30] // one face less
	m.Primitives[0].TriCount = 10
	p := prepared(t, rigOf(m))
	if s, c, b := kinds(p); s != 5 || c != 8 || b != 4 {
		t.Errorf("%d smooth, %d creases, %d borders; want 5, 8, 4", s, c, b)
	}
	if slices.Contains(p.Open, false) {
		t.Error("an open cube counts as closed")
	}
}

// A file that splits one body into parts: where both end on the same edges, the
// surface goes on.
func TestPrepareJoinsParts(t *testing.T) {
	lid, rest := box(true), box(true)
	lid.Triangles = lid.Triangles[6:12] // the top
	lid.Primitives[0].TriCount = 2
	rest.Triangles = slices.Delete(slices.Clone(rest.Triangles), 6, 12)
	rest.Primitives[0].TriCount = 10
	p := prepared(t, rigOf(lid, rest))
	if s, c, b := kinds(p); s != 6 || c != 12 || b != 0 {
		t.Errorf("%d smooth, %d creases, %d borders; want 6, 12, 0", s, c, b)
	}
}

// A node that mirrors turns every triangle round (glTF 2.0, Instantiation): the
// outside must stay the front.
func TestPrepareMirroredNode(t *testing.T) {
	r := rigOf(box(true))
	r.Nodes[0].TRS.S = space.Vec{-1, 1, 1}
	r.Nodes[0].Matrix = r.Nodes[0].TRS.Affine()
	p := prepared(t, r)
	f := some(r, p, NewBends(r))
	st := still(8, 8)
	f.move(&st, true)
	for i := 0; i < len(p.Tri); i += 3 {
		a, b, c := space.At32(f.pos, p.Tri[i]), space.At32(f.pos, p.Tri[i+1]), space.At32(f.pos, p.Tri[i+2])
		n := space.Direction32(b.Sub(a).Cross(c.Sub(a)))
		middle := space.Vec32{(a[0] + b[0] + c[0]) / 3, (a[1]+b[1]+c[1])/3 - .5, (a[2] + b[2] + c[2]) / 3}
		if n.Dot(middle) < 0 {
			t.Errorf("triangle %d faces inward", i/3)
		}
		if got := space.At32(f.normal, p.Tri[i]); got.Dot(n) < .999 {
			t.Errorf("triangle %d: normal %v, want %v", i/3, got, n)
		}
	}
}

// The slope of S is handed over in mesh space; carried back at rest it must be the
// gradient of S along the surface: S grows along an edge as the slope says.
func TestSlopeComesBack(t *testing.T) {
	r, p := lamp(t, lamplighter.A)
	f := some(r, p, NewBends(r))
	st := still(8, 8)
	f.move(&st, true)
	var off, all float64
	for i := 0; i < len(p.Tri); i += 3 {
		for c := range 3 {
			a, b := p.Tri[i+c], p.Tri[i+(c+1)%3]
			d := space.At32(f.pos, b).Sub(space.At32(f.pos, a))
			g := space.Vec32{
				f.slope[3*a] + f.slope[3*b], f.slope[3*a+1] + f.slope[3*b+1], f.slope[3*a+2] + f.slope[3*b+2],
			}.Mul(

				.5)

			off += math.Abs(float64(g.Dot(d) - (p.S[b] - p.S[a])))
			all += math.Abs(float64(p.S[b] - p.S[a]))
		}
	}
	if off > .12*all {
		t.Errorf("slopes miss the steps of S by %.1f %% on average, allowed 12 %%", 100*off/all)
	}
	for v := range uint32(len(p.Source)) {
		if l := space.At32(f.slope, v).Len(); !(l < 3) {
			t.Fatalf("vertex %d: slope of %g m a metre", v, l)
		}
	}
}

func TestPrepareTicksAndStops(t *testing.T) {
	r, _ := lamp(t, lamplighter.T)
	last, whole := 0, 0
	if _, err := Prepare(context.Background(), r, func(done, total int) error {
		if done < last || done > total {
			t.Errorf("%d of %d after %d", done, total, last)
		}
		last, whole = done, total
		return nil
	}); err != nil || last != whole {
		t.Errorf("ended at %d of %d, error %v", last, whole, err)
	}
	stop := errors.New("enough")
	if p, err := Prepare(context.Background(), r, func(done, _ int) error {
		if done > 5 {
			return stop
		}
		return nil
	}); err != stop || p != nil {
		t.Errorf("told to stop, it answered %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Prepare(ctx, r, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled, it answered %v", err)
	}
}

// TestEngraveThenShade: the figure is engraved as if every place lay open; what shade adds
// touches nothing but the openness in Bias, .45 for a place that nothing sees.
func TestEngraveThenShade(t *testing.T) {
	r, _ := lamp(t, lamplighter.T)
	p, shade, err := Engrave(t.Context(), r, nil)
	if err != nil {
		t.Fatal(err)
	}
	before := *p
	before.Bias = slices.Clone(p.Bias)
	before.Normal, before.Slope, before.S = slices.Clone(p.Normal), slices.Clone(p.Slope), slices.Clone(p.S)
	for v, b := range before.Bias { // swelling alone
		if !(b >= -.0651 && b <= .0651) {
			t.Fatalf("vertex %d: %g before anything is known to lie shut in", v, b)
		}
	}
	if err := shade(t.Context()); err != nil {
		t.Fatal(err)
	}
	shut := 0
	for v := range p.Bias {
		d := before.Bias[v] - p.Bias[v]
		if !(d >= -1e-6 && d <= .45+1e-6) {
			t.Fatalf("vertex %d: shut in by %g of .45", v, d)
		}
		if d > .2 {
			shut++
		}
	}
	if share := float64(shut) / float64(len(p.Bias)); share < .02 || share > .9 {
		t.Errorf("%.2f of the places lie more shut in than open", share)
	}
	after := *p
	after.Bias, before.Bias = nil, nil
	if !reflect.DeepEqual(before, after) {
		t.Error("shading changes more than that")
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, shade, err = Engrave(t.Context(), r, nil)
	if err != nil || !errors.Is(shade(ctx), context.Canceled) {
		t.Error("stopped, it shades on")
	}
}

func TestPrepareLeavesOutWhatIsNotShown(t *testing.T) {
	r := rigOf(box(true), box(true))
	r.Scenes, r.Shown = []rig.Scene{{Roots: []rig.Node{1}}}, 0
	if p := prepared(t, r); len(p.Surface) != 1 || p.Surface[0] != 1 {
		t.Errorf("drawn surfaces %v, want 1", p.Surface)
	}
}
