package bends

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func TestTearAlong(t *testing.T) {
	// Eight joints along a tube, the seventh at x = ½ with bones of ¼: it may draw along
	// what lies within 1½ bones of its limb, which begins where it has half: at x = ½.
	creature := func() *rig.Rig { return worm(8, 80, 8) }
	hang := func(x float64, share float32) func(*rig.Rig) {
		return func(r *rig.Rig) {
			v := 8 * int(math.Round((x+1)*40))
			m := &r.Meshes[0]
			w := m.Weights[4*v : 4*v+4]
			w[0], w[1], w[2] = w[0]*(1-share), w[1]*(1-share), share
			m.Joints[4*v+2] = 6
		}
	}
	// The share at which a turn of 45° shifts the place at x = −0.9 by 1 % of the diagonal.
	just := .01 * math.Sqrt(4+2*.04) / (2 * math.Sin(22.5*math.Pi/180) * math.Hypot(1.4, .1))
	shin := func(count int, share float32) func(*rig.Rig) {
		return func(r *rig.Rig) { lamplighter.Drawn(count, share)(r) }
	}
	arm := lamplighter.Node("lowerArm_L")
	checktest.Run(t, tearAlong, Measure, []checktest.Row{
		{Name: "clean creature", Rig: creature},
		{Name: "far off, shifted by less than 1 %", Rig: creature, Plant: hang(-.9, float32(.99*just))},
		{Name: "by more", Rig: creature, Plant: hang(-.9, float32(1.01*just)),
			Want: []checktest.Want{{Grade: check.Flaw, Name: "vertices", Value: 1, Joints: []rig.Node{jointNode(creature(), 6)}, Vertices: []rig.Vertex{8 * 4}, Point: &space.Vec{-.9, .1, 0}, Near: 1e-6}}},
		{Name: "the same, limit moved", Rig: creature, Plant: hang(-.9, float32(1.01*just)), Limits: map[string]float64{"vertices": 1}},
		{Name: "within reach", Rig: creature, Plant: hang(.15, .3)},
		{Name: "just beyond", Rig: creature, Plant: hang(.1, .3),
			Want: []checktest.Want{{Grade: check.Flaw, Value: 1, Joints: []rig.Node{jointNode(creature(), 6)}, Vertices: []rig.Vertex{8 * 44}}}},
		{Name: "clean figure", Rig: clean},
		{Name: "shin on the forearm, shifted by less", Rig: clean, Plant: shin(6, .01)},
		{Name: "by more", Rig: clean, Plant: shin(6, .05), Want: []checktest.Want{{Grade: check.Flaw, Value: 6, Joints: nil}}},
		{Name: "one vertex", Rig: clean, Plant: shin(1, .3), Want: []checktest.Want{{Grade: check.Flaw, Value: 1}}},
	})
	r := clean()
	planted := lamplighter.Drawn(6, .3)(r)
	found, _ := checktest.Judge(t, &Station, r, nil)
	for _, f := range found {
		if f.ID != tearAlong.ID {
			continue
		}
		if len(f.Where.Spots) != 1 || len(f.Where.Spots[0].Vertices) != len(planted.Vertices) {
			t.Errorf("%v named, planted %v", f.Where.Spots, planted.Vertices)
		}
		if f.Where.Move == nil || f.Where.Joints[0] != arm {
			t.Errorf("named joints %v in the pose %v, planted %d", f.Where.Joints, f.Where.Move, arm)
		}
	}
}

// jointNode is the node of a skin's joint.
func jointNode(r *rig.Rig, joint int) rig.Node { return r.Skins[0].Joints[joint] }

// palm is a flat thing 2 m wide and 0.2 m thick over three joints that hang on nothing, as those
// of hands from a headset do. The one in the middle holds the upper side about it by .8 and
// the lower side opposite by .3, by .55 in one place.
func palm() *rig.Rig {
	r := tube(1, .1, 40, 96, true, even(0))
	k := &r.Skins[0]
	k.Joints, k.Bind = []rig.Node{0, 1, 2}, make([]rig.Affine, 3)
	for n := range 3 {
		d := &r.Nodes[n]
		d.Parent, d.Children, d.TRS.T = rig.None, nil, [3]float64{.7 * float64(n-1), 0, 0}
		d.Matrix = d.TRS.Affine()
	}
	r.SetOrder()
	for n, at := range r.RestWorld()[:3] {
		k.Bind[n], _ = at.Inverse()
	}
	m := &r.Meshes[0]
	m.Positions = append([]float32(nil), m.Positions...)
	for v := range m.Vertices() {
		p := m.Positions[3*v : 3*v+3]
		p[2] *= 10
		side, share := uint16(0), float32(0)
		if p[0] > 0 {
			side = 2
		}
		switch off := math.Hypot(float64(p[0]), float64(p[2])); {
		case p[1] > 0 && off < .3:
			share = .8
		case off < .2:
			share = .3
		}
		if v == 96*20+48 { // x = 0, opposite the middle of the upper side
			share = .55
		}
		copy(m.Joints[4*v:], []uint16{side, 1, 0, 0})
		copy(m.Weights[4*v:], []float32{1 - share, share, 0, 0})
	}
	m.Remeasure()
	return r
}

// A joint that no bone comes from or goes to moves both walls of what it lies in: the lower
// side is no patch dragged along, though it is 2 m away along the surface. A place far off is one.
func TestTearAlongThroughTheInside(t *testing.T) {
	far := func(x, z float64) func(*rig.Rig) {
		return func(r *rig.Rig) {
			m := &r.Meshes[0]
			best, least := 0, math.Inf(1)
			for v := range m.Vertices() {
				if d := math.Hypot(float64(m.Positions[3*v])-x, float64(m.Positions[3*v+2])-z); d < least && m.Positions[3*v+1] < 0 {
					best, least = v, d
				}
			}
			copy(m.Weights[4*best:], []float32{.7, .3, 0, 0})
		}
	}
	checktest.Run(t, tearAlong, Measure, []checktest.Row{
		{Name: "both walls", Rig: palm},
		{Name: "and one place far off", Rig: palm, Plant: far(-.75, .5), Want: []checktest.Want{{Grade: check.Flaw, Name: "vertices", Value: 1, Joints: []rig.Node{1}}}},
		{Name: "and one far off on the side it lies on", Rig: palm, Plant: far(0, .85), Want: []checktest.Want{{Grade: check.Flaw, Name: "vertices", Value: 1, Joints: []rig.Node{1}}}},
	})
}
