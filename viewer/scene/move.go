package scene

import (
	"math"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
)

// Bends are the moves of the bend set: the axes and ranges that the station Bends
// measures, from the same function.
type Bends struct {
	rig   *rig.Rig
	roles *anatomy.Roles
	rest  []rig.Affine
	turns []anatomy.Turn
	known bool
}

// NewBends reads the roles of a rig; the moves are worked out when first asked for.
func NewBends(r *rig.Rig) *Bends {
	rest := r.RestWorld()
	return &Bends{rig: r, rest: rest, roles: anatomy.Find(r, rest)}
}

func (b *Bends) all() []anatomy.Turn {
	if !b.known {
		b.turns, b.known = b.roles.BendSet(b.rig, b.rest, anatomy.SkinJoints(b.rig)), true
	}
	return b.turns
}

// Of are the moves of one joint, with their ranges; none of a node that no skin has
// as a joint, and of hips.
func (b *Bends) Of(n rig.Node) (out []anatomy.Turn) {
	for _, t := range b.all() {
		if t.Joint == n {
			out = append(out, t)
		}
	}
	return out
}

// Turn is the turn of a move; false: the joint has no such axis, or the move no axis.
func (b *Bends) Turn(m Move) (anatomy.Turn, bool) {
	if m.Axis != "" {
		for _, t := range b.all() {
			if t.Joint == m.Joint && t.Axis == m.Axis {
				return t, true
			}
		}
	}
	return anatomy.Turn{}, false
}

// Stand takes a pose to what the state shows: a move, a moment of a clip, or rest. A
// move that there is not leaves rest.
func (b *Bends) Stand(p *deform.Pose, st *State) {
	switch {
	case st.Move.Axis != "":
		p.Rest()
		if t, ok := b.Turn(st.Move); ok && !math.IsNaN(st.Move.Degrees) && !math.IsInf(st.Move.Degrees, 0) {
			m := t.Rotation(b.rest[t.Joint].Origin(), st.Move.Degrees)
			p.Turn(t.Joint, &m)
		}
	case st.Clip >= 0 && int(st.Clip) < len(b.rig.Clips):
		p.Sample(st.Clip, st.Seconds)
	default:
		p.Rest()
	}
}
