package binding

import (
	"testing"

	"rigloupe/inspect/rig"
)

// twin adds a second vertex in the place of vertex v, with its own weights.
func twin(v int, weights ...float32) func(*rig.Rig) {
	return func(r *rig.Rig) {
		m := &r.Meshes[0]
		m.Positions = append(m.Positions, m.Positions[3*v:3*v+3]...)
		m.Joints = append(m.Joints, make([]uint16, m.K)...)
		m.Weights = append(m.Weights, make([]float32, m.K)...)
		m.Primitives[0].Count++
		weigh(m.Vertices()-1, weights...)(r)
	}
}

func TestSplitSeam(t *testing.T) {
	for _, row := range []struct {
		name  string
		plant func(*rig.Rig)
		want  int
	}{
		{"none", func(*rig.Rig) {}, 0},
		{"alike", twin(10, .5, .5), 0},
		{"just under", twin(10, .5049, .4951), 0},
		{"just over", twin(10, .5051, .4949), 2},
		{"three, one of them apart", both(twin(10, .5, .5), twin(10, .4, .6)), 3},
		// Each within 0.01 of the first, the two others 0.016 from each other.
		{"apart from each other alone", both(twin(10, .504, .496), twin(10, .496, .504)), 3},
		{"the same in another order", func(r *rig.Rig) {
			twin(10, 0, 0)(r)
			m := &r.Meshes[0]
			copy(m.Joints[88:], []uint16{1, 0, 0, 0})
			copy(m.Weights[88:], []float32{.5, .5, 0, 0})
		}, 0},
	} {
		r := ladder()
		row.plant(r)
		if got := measured(t, r).SplitSeam; got != row.want {
			t.Errorf("%s: %d vertices, want %d", row.name, got, row.want)
		}
	}
}
