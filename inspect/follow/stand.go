package follow

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// draw finds where every link points in the clip without any swing. Against the pose of the
// clip, not against the link above: where each was drawn to the one above, a stiff chain would
// whip itself up link by link.
func (r *runner) draw() {
	for i := range r.Links {
		w := &r.pose.World[r.Links[i].Joint]
		if drawn, ok := space.Plain(w.Point(r.Links[i].Tail).Sub(w.Origin())).Unit(); ok {
			r.drawn[i] = drawn
		}
	}
}

// swing is one step of all trees, whose roots went to the places of the pose at hand.
func (r *runner) swing() {
	for k, t := range r.trees {
		root := &r.Links[t.links[0]]
		head := space.Plain(r.pose.World[root.Joint].Origin())
		speed := head.Sub(r.head[k]).Mul(1 / r.dt)
		pace := space.XYZ{}
		if !r.fresh {
			pace = speed.Sub(r.speed[k]).Mul(1 / r.dt)
		}
		r.head[k], r.speed[k] = head, speed
		parent := r.e.Rig.Nodes[root.Joint].Parent
		own := func(v space.XYZ) space.XYZ {
			d := r.inRest[t.links[0]].Direction(v.Vec())
			if parent >= 0 {
				d = r.pose.World[parent].Direction(d)
			}
			if to, ok := space.Plain(d).Unit(); ok {
				return to.Mul(v.Len())
			}
			return v
		}
		for a, i := range t.links {
			r.fields[a] = t.field(a, r.gravity, r.drawn[i], r.Links[i].rest, pace, own)
		}
		parts := t.parts()
		for range parts {
			t.step(r.links, r.fields, r.dt/float64(parts))
		}
	}
}

// stand turns the joints so that every link points along its direction, parents first, and out
// of the body.
func (r *runner) stand(seconds float64) error {
	for _, n := range r.path {
		parent := rig.Identity
		if p := r.e.Rig.Nodes[n].Parent; p >= 0 {
			parent = r.pose.World[p]
			if r.onPath[p] {
				parent = r.world[p]
			}
		}
		w := parent.Mul(&r.pose.Local[n])
		i := r.at[n]
		if i >= 0 {
			r.hung[i] = parent
		}
		if i < 0 || r.Links[i].Length == 0 {
			r.world[n] = w
			continue
		}
		head := space.Plain(w.Origin())
		if why, ok := hindered(&parent, head); !ok {
			return &Unturnable{n, why}
		}
		r.body.keepOut(i, &r.links[i], head, r.Links[i].Length, seconds)
		r.out.Widest = max(r.out.Widest, angle(r.links[i].u, r.drawn[i]))
		r.place(i, &w, &parent, seconds)
	}
	return nil
}

// place turns a joint so that its link points along its direction: the least turn from how it
// would hang stiffly on what is above, so nothing twists up over time.
func (r *runner) place(i int, drawn, parent *rig.Affine, seconds float64) {
	l, x := &r.Links[i], &r.links[i]
	q := space.TurnBetween(space.Plain(drawn.Point(l.Tail).Sub(drawn.Origin())), x.u)
	turned := rig.TRS{R: [4]float64{q.X, q.Y, q.Z, q.W}, S: [3]float64{1, 1, 1}}
	m := turned.Affine()
	w := m.Mul(drawn)
	at := drawn.Origin()
	w[3], w[7], w[11] = at[0], at[1], at[2]
	r.world[l.Joint] = w

	own := r.e.Rig.Nodes[l.Joint].TRS.R
	rest := space.Turn{X: own[0], Y: own[1], Z: own[2], W: own[3]}
	if t := r.track[i]; t != nil {
		if s, ok := t.Turn(seconds); ok {
			rest = s
		}
	}
	// The same turn as what the joint hangs on sees it; a mirror there turns it the other way.
	v := space.XYZ{
		X: parent[0]*q.X + parent[4]*q.Y + parent[8]*q.Z,
		Y: parent[1]*q.X + parent[5]*q.Y + parent[9]*q.Z,
		Z: parent[2]*q.X + parent[6]*q.Y + parent[10]*q.Z,
	}
	size := math.Sqrt(q.X*q.X + q.Y*q.Y + q.Z*q.Z)
	if unit, ok := v.Unit(); ok {
		v = unit.Mul(size)
	}
	if parent.Det() < 0 {
		v = v.Mul(-1)
	}
	local, _ := space.Turn{X: v.X, Y: v.Y, Z: v.Z, W: q.W}.Mul(rest).Unit()
	r.turn[i] = local
}

// evenWithin is how far the axes of a scale may differ, or be off square, and count as even.
const evenWithin = 1e-3

// hindered tells whether a joint whose head is at a place can be turned below a matrix: it must
// scale all directions alike and keep right angles.
func hindered(a *rig.Affine, head space.XYZ) (why Hindrance, ok bool) {
	s := a.Scales()
	mean := (s[0] + s[1] + s[2]) / 3
	switch {
	case mean-mean != 0 || !space.Finite(head.Vec()):
		return NoNumber, false
	case !(mean > 0):
		return Flat, false
	}
	for c := range 3 {
		d := (c + 1) % 3
		dot := a[c]*a[d] + a[4+c]*a[4+d] + a[8+c]*a[8+d]
		if math.Abs(s[c]/mean-1) > evenWithin || math.Abs(dot) > evenWithin*mean*mean {
			return Sheared, false
		}
	}
	return 0, true
}
