package even

import (
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// The side that a fault of weights is on is never the one that is copied: a leak of a far
// joint, which is smooth, a patch of one, and a step where the other side blends.
func TestSounderWeights(t *testing.T) {
	arm := func(r *rig.Rig, side float64, f func(v int)) {
		m := &r.Meshes[0]
		for v := range m.Vertices() {
			if p := space.At(m.Positions, v); side*p[0] > 0.25 {
				f(v)
			}
		}
	}
	row := func(r *rig.Rig, v int) ([]uint16, []float32) {
		m := &r.Meshes[0]
		return m.Joints[v*m.K : (v+1)*m.K], m.Weights[v*m.K : (v+1)*m.K]
	}
	chest := uint16(0)
	for k, n := range lamplighter.Build(lamplighter.Options{}).Skins[0].Joints {
		if n == lamplighter.Node("chest") {
			chest = uint16(k)
		}
	}
	for name, spoil := range map[string]func(j []uint16, w []float32){
		"a leak": func(j []uint16, w []float32) {
			for k := range w {
				w[k] *= 0.75
			}
			j[3], w[3] = chest, w[3]+0.25
		},
		"all of it on the chest": func(j []uint16, w []float32) { clear(w); j[0], w[0] = chest, 1 },
		"stiff": func(j []uint16, w []float32) {
			clear(w[1:])
			w[0] = 1
		},
	} {
		for _, side := range []float64{1, -1} {
			r := lamplighter.Build(lamplighter.Options{})
			arm(r, side, func(v int) { spoil(row(r, v)) })
			e := exam.New(r)
			shape, _, err := ShapeOf(e, nil)
			if err != nil {
				t.Fatal(err)
			}
			want := Behind
			if shape.Plane.Side(space.Vec{side, 1, 0}) < 0 {
				want = To
			}
			if got := SounderWeights(e, shape, Pair(shape, Usual)); got != want {
				t.Errorf("%s on side %g: copied from %v, want %v", name, side, got, want)
			}
		}
	}
	e := exam.New(lamplighter.Build(lamplighter.Options{}))
	shape, _, _ := ShapeOf(e, nil)
	if got := SounderWeights(e, shape, Pair(shape, Usual)); got != Mean {
		t.Errorf("of an even figure %v is called the sounder", got)
	}
}
