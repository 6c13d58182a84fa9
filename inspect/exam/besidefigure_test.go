package exam

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// slab is a box without joints that stands on y, metres.
func slab(x, y, z, wide, high, deep float64) *rig.Rig {
	r := &rig.Rig{Shown: 0}
	m := rig.MeshData{Name: "slab"}
	for i := range 8 {
		m.Positions = append(m.Positions, float32(x+wide*(float64(i&1)-.5)), float32(y+high*float64(i>>1&1)), float32(z+deep*(float64(i>>2)-.5)))
	}
	for _, q := range [6][4]uint32{{0, 4, 6, 2}, {1, 3, 7, 5}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 2, 3, 1}, {4, 5, 7, 6}} {
		m.Triangles = append(m.Triangles, q[0], q[1], q[2], q[0], q[2], q[3])
	}
	m.Primitives = []rig.PrimitiveData{{Count: 8, TriCount: 12, Material: rig.None, Mode: 4, PositionType: 5126}}
	m.Remeasure()
	n := rig.NodeData{Name: "slab", Parent: rig.None, Mesh: 0, Skin: rig.None, Matrix: rig.Identity, TRS: rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}}
	r.Nodes, r.Meshes = []rig.NodeData{n}, []rig.MeshData{m}
	r.Surfaces = []rig.Surface{{Node: 0, Mesh: 0, Skin: rig.None}}
	r.Scenes = []rig.Scene{{Roots: []rig.Node{0}}}
	r.SetOrder()
	return r
}

// bare is a person without joints on y.
func bare(y float64) *rig.Rig {
	return menagerie.Person(menagerie.Options{Unbound: true, At: space.Vec{0, y, 0}})
}

// What a figure without joints wears is its body, what it holds or stands on is not: worked
// for one 1.76 m high whose box is 1.76 m wide. A quarter of its height is .44 m, a fiftieth
// .035 m.
func TestWorn(t *testing.T) {
	for _, row := range []struct {
		name string
		with *rig.Rig
		gear int
	}{
		{"a pack that ends .4 m behind it", slab(0, 1, -.36, .3, .4, .4), 0},
		{"one that ends .8 m behind it", slab(0, 1, -.56, .3, .4, .8), 1},
		{"a bag before the middle", slab(0, 1, .3, .2, .2, .2), 0},
		{"a bag on one hip", slab(.25, .9, 0, .2, .2, .2), 1},
		{"a bag on either hip", menagerie.Merge(slab(.25, .9, 0, .2, .2, .2), slab(-.25, .9, 0, .2, .2, .2)), 0},
		{"skates up to the knee", menagerie.Merge(slab(.1, -.1, 0, .1, .5, .3), slab(-.1, -.1, 0, .1, .5, .3)), 0},
		{"a plinth", slab(0, -.3, 0, 1, .3, 1), 1},
		{"a spear in one hand", slab(.8, 0, .03, .03, 2.2, .03), 1},
	} {
		e := New(menagerie.Merge(bare(0), row.with))
		if got := len(e.Gear()); got != row.gear {
			t.Errorf("%s: %d surfaces are gear, want %d", row.name, got, row.gear)
		}
		if !e.IsBody(0) {
			t.Errorf("%s: the person is no body", row.name)
		}
		if h := e.Height(); row.gear > 0 && math.Abs(h-1.765) > .01 {
			t.Errorf("%s: %.3f m high", row.name, h)
		}
	}
}

// Tolerances of a figure among things are shares of its own size, those of a thing of the
// thing's: a slab of .3 × .4 × 1.2 m has a diagonal of 1.3 m.
func TestSizeAmongThings(t *testing.T) {
	e := New(menagerie.Merge(bare(0), slab(50, 0, 0, .3, .4, 1.2)))
	alone := New(bare(0)).Size()
	if got := e.SizeOf(0); math.Abs(got-alone) > 1e-6 {
		t.Errorf("the person: %.6f m beside a thing 50 m away, %.6f m alone", got, alone)
	}
	if got := e.SizeOf(1); math.Abs(got-1.3) > 1e-6 {
		t.Errorf("the thing: %.6f m, want 1.3", got)
	}
	if e = New(menagerie.Merge(bare(0), bare(0))); e.SizeOf(0) != e.Size() {
		t.Error("where no thing stands beside, the size is that of all")
	}
}

// Round limbs are alike front and back as well: the sides of a person with a tail whose
// numbers are rounded to 1/65535 of the longest side are left and right all the same.
func TestPlaneOfRoundedLimbs(t *testing.T) {
	for _, r := range []*rig.Rig{menagerie.Tailed(menagerie.Options{}), menagerie.Tailed(menagerie.Options{Unbound: true})} {
		m := &r.Meshes[0]
		var low, high [3]float64
		for k, x := range m.Positions {
			if k < 3 {
				low[k], high[k] = float64(x), float64(x)
			}
			low[k%3], high[k%3] = min(low[k%3], float64(x)), max(high[k%3], float64(x))
		}
		step := max(high[0]-low[0], high[1]-low[1], high[2]-low[2]) / 65535
		for k, x := range m.Positions {
			m.Positions[k] = float32(low[k%3] + step*math.Round((float64(x)-low[k%3])/step))
		}
		m.Remeasure()
		if got := New(r).Mirror(); math.Abs(got.Normal[0]) < .999 || got.UnmatchedShare > .01 {
			t.Errorf("plane across %v, %.1f %% without a partner", got.Normal, 100*got.UnmatchedShare)
		}
	}
}

// Of more than 64 things that stand apart, or more than 48 of a hundred triangles, nobody is
// sought, and the document says so; what is lower than a quarter of the highest is not counted.
func TestStandingUnsought(t *testing.T) {
	// Each slab is drawn so many times over in its own place: twelve triangles each.
	row := func(n, over int, high float64) *rig.Rig {
		var all []*rig.Rig
		for i := range n {
			s := slab(3*float64(i)+3, 0, 0, .01, high, 1) // thin: quick to look at
			m := &s.Meshes[0]
			one := slices.Clone(m.Triangles)
			for range over - 1 {
				m.Triangles = append(m.Triangles, one...)
			}
			m.Primitives[0].TriCount = len(m.Triangles) / 3
			all = append(all, s)
		}
		return menagerie.Merge(append(all, bare(0))...)
	}
	for _, x := range []struct {
		n    int
		over int
		high float64
		said bool
	}{{63, 1, 1, false}, {64, 1, 1, true}, {300, 1, .4, false}, {47, 9, 1, false}, {48, 9, 1, true}, {48, 8, 1, false}} {
		e := New(row(x.n, x.over, x.high))
		if got := e.Unsought() != ""; got != x.said {
			t.Errorf("%d of %d triangles, %g m: %q", x.n, 12*x.over, x.high, e.Unsought())
		}
		if got := e.Height() < 1.5 || len(e.Gear()) == x.n; got != !x.said {
			t.Errorf("%d of %g m: %d surfaces are gear", x.n, x.high, len(e.Gear()))
		}
	}
}
