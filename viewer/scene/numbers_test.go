package scene

import (
	"math"
	"testing"

	"rigloupe/inspect/space"
)

// Numbers that are no limit of a check: each on both sides.

// A scale up to 999.5 mm is written in millimetres, from there on in metres: what is
// rounded to three figures is never "1000 mm".
func TestUnitsOfAScale(t *testing.T) {
	for high, want := range map[float64]string{.9994: "mm", .9996: "m", .9994e-3: "µm", .9996e-3: "mm"} {
		f := &Field{Unit: "m", Values: [][]float32{{0, float32(high)}}, High: high}
		if got := f.legend().Unit; got != want {
			t.Errorf("up to %g m: %s, want %s", high, got, want)
		}
	}
}

// A factor has three figures.
func TestFactor(t *testing.T) {
	for v, want := range map[float64]string{1: "1.00", 9.994: "9.99", 9.996: "10.0", 25.04: "25.0"} {
		if got := factor(v); got != want {
			t.Errorf("%g is written %s, want %s", v, got, want)
		}
	}
}

// sRGB from linear light (IEC 61966-2-1): 12.92·x up to 0.0031308, a power beyond. 0.5 is
// 188 of 255, 0.002 is 6.6, 0.18, the grey card, 118.
func TestEncodedIsSRGB(t *testing.T) {
	for linear, want := range map[float32]uint32{0: 0, .002: 7, .0031308: 10, .01: 25, .18: 118, .5: 188, 1: 255} {
		if got := encoded([4]float32{linear, linear, linear, 1}) & 255; got != want {
			t.Errorf("linear %g is %d, want %d", linear, got, want)
		}
	}
}

// A joint is meant by a click up to 8 pixels from its middle.
func TestRingReach(t *testing.T) {
	r, p := lamp(t, 0)
	s := New(r, p, nil)
	st := still(640, 480)
	st.Bones = true
	st.Camera = s.View(&st, 0)
	s.Draw(&st)
	// The end of a chain: no other joint is near.
	for i := range s.views[0].bones {
		m := &s.views[0].bones[i]
		alone := m.OK && m.Show
		for k := range s.views[0].bones {
			o := &s.views[0].bones[k]
			alone = alone && (k == i || math.Hypot(float64(o.X-m.X), float64(o.Y-m.Y)) > 30)
		}
		if !alone {
			continue
		}
		at := func(d float32) bool {
			h := s.Pick(int(m.X+d), int(m.Y))
			return h.Kind == OnJoint && h.Node == s.bones.nodes[i]
		}
		if !at(0) || !at(6) || at(10) {
			t.Errorf("joint %d: met at 0, 6 and 10 pixels: %v %v %v, want yes, yes, no", i, at(0), at(6), at(10))
		}
		return
	}
	t.Fatal("no joint stands alone")
}

// A point hangs on a joint within 0.4 % of the figure's size, on a vertex within a tenth.
func TestWhatAPointHangsOn(t *testing.T) {
	r, p := lamp(t, 0)
	s := New(r, p, nil)
	st := still(320, 240)
	st.Camera = s.View(&st, 0)
	s.Draw(&st)
	rest := r.RestWorld()
	head := nodeNamed(t, r, "head")
	size := s.floor.box.Size()
	whole := max(size[0], size[1], size[2])
	at := rest[head].Origin()
	off := func(share float64) held { return s.holdOf(space.Vec{at[0], at[1] + share*whole, at[2]}, rest) }
	if h := off(.003); h.node != head || h.surface >= 0 {
		t.Errorf("0.3 %% off a joint: node %d, surface %d", h.node, h.surface)
	}
	if h := off(.006); h.surface < 0 {
		t.Errorf("0.6 %% off a joint inside the head: node %d, surface %d, want a vertex", h.node, h.surface)
	}
	top := space.Vec{at[0], s.floor.box.Max[1], at[2]}
	if h := s.holdOf(space.Vec{top[0], top[1] + .07*whole, top[2]}, rest); h.surface < 0 {
		t.Errorf("7 %% above the figure: node %d, surface %d, want a vertex", h.node, h.surface)
	}
	if h := s.holdOf(space.Vec{top[0], top[1] + .2*whole, top[2]}, rest); h.surface >= 0 {
		t.Errorf("a fifth above the figure: node %d, surface %d, want no vertex", h.node, h.surface)
	}
}
