package carry

import (
	"math"
	"slices"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// beyondBy is how far a joint must pass its range to be told of: ranges of healthy
// adults differ by about as much from survey to survey.
const beyondBy = 10

// ranges holds every driven joint with a role against its range of motion.
type ranges struct {
	p     *plan
	bends []bend
	looks int
}

// bend is one joint: what it turns against the joint above it is parted into the
// twist about its bone and the swing of the bone, whose rotation vector has a part
// about each of the other axes.
type bend struct {
	joint, above rig.Node // above: None at the top
	role         string
	turns        []anatomy.Turn
	twist        int // place in turns, −1
	worst        []Beyond
	count        []int
	over         []float64
}

func newRanges(p *plan) *ranges {
	r := &ranges{p: p}
	t := p.m.T
	var joints []rig.Node
	for i := range p.drive {
		if p.drive[i].pair.Role != "" {
			joints = append(joints, p.drive[i].node)
		}
	}
	for _, turn := range t.Roles.BendSet(t.Rig, t.Rest, joints) {
		role := t.Roles.Of[turn.Joint].Role
		if role == "" || turn.Axis != "flexion" && turn.Axis != "abduction" && turn.Axis != "rotation" {
			continue
		}
		n := len(r.bends)
		if n == 0 || r.bends[n-1].joint != turn.Joint {
			b := bend{joint: turn.Joint, above: rig.None, role: role, twist: -1}
			if d := &p.drive[p.place[turn.Joint]]; d.hang >= 0 {
				b.above = p.drive[d.hang].node
			} else if d.from >= 0 {
				b.above = p.drive[d.from].node
			}
			r.bends = append(r.bends, b)
			n++
		}
		b := &r.bends[n-1]
		if turn.Axis == "rotation" {
			b.twist = len(b.turns)
		}
		b.turns, b.count, b.over = append(b.turns, turn), append(b.count, 0), append(b.over, 0)
		b.worst = append(b.worst, Beyond{Joint: Joint{turn.Joint, rig.Name(t.Name(turn.Joint))}, Role: role, Axis: turn.Axis, Source: turn.Source})
	}
	return r
}

// look holds one moment against the ranges.
func (r *ranges) look(pose *deform.Pose, t float64) {
	r.looks++
	since := func(n rig.Node) quat { // rest: in the world
		w := pose.World[n].Decompose()
		rest := r.p.m.T.Rest[n].Decompose()
		return stored(w.R).Mul(stored(rest.R).Back())
	}
	for i := range r.bends {
		b := &r.bends[i]
		turn := since(b.joint)
		if b.above >= 0 {
			turn = since(b.above).Back().Mul(turn)
		}
		angles := b.angles(turn)
		for k := range b.turns {
			// From the anatomical zero: a straight knee has 0°, however bent it is at rest.
			a, limit := wrapped((angles[k]+b.turns[k].Rest)*math.Pi/180), b.turns[k].To
			over := a - limit
			if low := b.turns[k].From; low-a > over {
				limit, over = low, low-a
			}
			if over <= beyondBy {
				continue
			}
			b.count[k]++
			if over > b.over[k] {
				w := &b.worst[k]
				w.Degrees, w.Limit, w.Time, b.over[k] = a, limit, t, over
			}
		}
	}
}

// angles parts a turn since rest among the joint's axes, in degrees.
func (b *bend) angles(q quat) []float64 {
	out := make([]float64, len(b.turns))
	swing := q
	if b.twist >= 0 {
		axis := space.Plain(b.turns[b.twist].Dir)
		twist := quat{W: q.W}
		along := xyz(q.X, q.Y, q.Z).Dot(axis)
		twist.X, twist.Y, twist.Z = axis.X*along, axis.Y*along, axis.Z*along
		if twist.X*twist.X+twist.Y*twist.Y+twist.Z*twist.Z+twist.W*twist.W > 1e-12 {
			twist = unit(twist)
			swing = q.Mul(twist.Back())
			out[b.twist] = wrapped(2 * math.Atan2(along, q.W))
		}
	}
	// The rotation vector of the swing.
	v := xyz(swing.X, swing.Y, swing.Z)
	if l := v.Len(); l > 1e-12 {
		v = v.Mul(wrapped(2*math.Atan2(l, swing.W)) / l)
	}
	for k := range b.turns {
		if k != b.twist {
			out[k] = v.Dot(space.Plain(b.turns[k].Dir))
		}
	}
	return out
}

// wrapped is an angle in radians as degrees from −180 to 180.
func wrapped(a float64) float64 {
	d := a * 180 / math.Pi
	for d > 180 {
		d -= 360
	}
	for d < -180 {
		d += 360
	}
	return d
}

// beyond lists what passed its range, the farthest first.
func (r *ranges) beyond() []Beyond {
	out := []Beyond{}
	for i := range r.bends {
		b := &r.bends[i]
		for k, w := range b.worst {
			if b.count[k] > 0 {
				w.Share = float64(b.count[k]) / float64(r.looks)
				out = append(out, w)
			}
		}
	}
	over := func(b *Beyond) float64 { return math.Abs(b.Degrees - b.Limit) }
	slices.SortStableFunc(out, func(a, b Beyond) int {
		switch x, y := over(&a), over(&b); {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	return out
}
