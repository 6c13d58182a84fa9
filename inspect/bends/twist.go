package bends

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/check"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Twist is a half turn along one bone: either its joint or the one at its end turns by
// 180° about it, whichever leaves less of the width.
type Twist struct {
	Joint      rig.Node `json:"joint"`        // whose bone it is
	End        rig.Node `json:"end"`          // where it ends
	Turned     rig.Node `json:"turned"`       // the one of the two that was turned
	Radius     *float64 `json:"radius_ratio"` // smallest over the middle third, linear; nil: no closed section bends
	RadiusDual *float64 `json:"radius_ratio_dual"`
	At         float64  `json:"at"` // where on the bone, 0 … 1

	Axis   mgl64.Vec3 `json:"axis"` // unit, from the joint to the end
	zoneAt *group
	point  space.Vec
	extent float64
}

// thirds are the places on a bone, from its joint, that a half turn is measured at:
// over the middle third.
var thirds = [...]float64{1. / 3, 7. / 18, 8. / 18, 0.5, 10. / 18, 11. / 18, 2. / 3}

// halfTurns measures the half turns that the zone's joint takes part in: about its own
// bone, and about the bone that ends in it.
func (w *work) halfTurns(z *zone) {
	bones := w.f.bones
	if bones.end[z.joint] >= 0 {
		w.halfTurn(z, z.joint)
	}
	if p := bones.above[z.joint]; p >= 0 && bones.end[p] == z.joint {
		w.halfTurn(z, p)
	}
}

// halfTurn turns the zone's joint about the bone of joint j.
func (w *work) halfTurn(z *zone, j rig.Node) {
	bones, b := w.f.bones, w.f.body
	end := bones.end[j]
	from, to := b.world[j].Origin(), b.world[end].Origin()
	t := w.twist[j]
	if t == nil {
		t = &Twist{Joint: j, End: end, Turned: j}
		if bones.above[end] == j {
			t.Turned = min(j, end)
		}
		w.twist[j] = t
	}
	axis := to.Sub(from)
	var rings []ring
	var at []float64
	for _, k := range thirds {
		if r, ok := z.section(from.Add(axis.Mul(k)), axis); ok {
			rings, at = append(rings, r), append(at, k)
		}
	}
	if len(rings) == 0 {
		return // stiff there: nothing is pinched
	}
	axis = axis.Normalize()
	turn := z.turn(axis, 180)
	z.carry(turn, deform.Linear)
	least, which := math.Inf(1), 0
	for i := range rings {
		if n, _ := z.narrowest(&rings[i], turn); n < least {
			least, which = n, i
		}
	}
	// Of two alike the one that stands first in the file.
	if t.Radius != nil && !(least < *t.Radius || least == *t.Radius && z.joint < t.Turned) {
		return
	}
	z.carry(turn, deform.Dual)
	dual := math.Inf(1)
	for i := range rings {
		if n, _ := z.narrowest(&rings[i], turn); n == n {
			dual = min(dual, n)
		}
	}
	t.Axis = axis
	t.Radius, t.RadiusDual, t.Turned, t.At = ratio(least), ratio(dual), z.joint, at[which]
	t.point = from.Add(axis.Mul(at[which]))
	t.extent = math.Sqrt(rings[which].area / math.Pi)
	var vertices []uint32
	for _, c := range rings[which].points {
		vertices = append(vertices, c.a, c.b)
	}
	t.zoneAt = b.spots(vertices)
}

// pose is the half turn as a move of the bend set: the turn of its joint that goes about
// the bone within 20°. nil: the set has none, as of fingers, which only bend.
func (f *Facts) pose(t *Twist) (m *check.Move) {
	best := math.Cos(20 * math.Pi / 180)
	if f.turnsOf == nil {
		f.turnsOf = map[rig.Node][]int{}
		for i := range f.Turns {
			f.turnsOf[f.Turns[i].Joint] = append(f.turnsOf[f.Turns[i].Joint], i)
		}
	}
	for _, i := range f.turnsOf[t.Turned] {
		u := &f.Turns[i]
		if d := math.Abs(t.Axis.Dot(u.Dir)); d > best {
			// Half a turn is the same either way.
			best, m = d, &check.Move{Joint: u.Joint, Axis: u.Axis, Degrees: 180}
		}
	}
	return m
}
