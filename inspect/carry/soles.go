package carry

import (
	"math"

	"rigloupe/inspect/gait"
	"rigloupe/inspect/space"
)

// When soles are set level (common practice, no source): those that stand tilted by less than
// leastTilt degrees stand level to the eye; by more than mostTilt they are no soles that stand
// but toes; and of fewer than leastLooks moments in which a foot stands no median is taken.
const (
	leastTilt  = 2
	mostTilt   = 60
	leastLooks = 10
)

// soles sets the feet of a target level where the source stands. A capture's rest pose
// is all its angles at zero and says nothing of how its feet lie on the floor: what they
// turn since rest, laid over soles that are level at rest, tilts them into the floor.
// The mean tilt over all stands is taken off foot and toes. It tells whether frames are
// to be worked out anew. Rest poses of other files stand on their soles.
func (r *Result) soles() (again bool) {
	p := r.plan
	if p.m.S.Rig.File.Kind != "bvh" || p.m.T.Rig.File.Kind == "bvh" {
		return false
	}
	// Where one foot is on its toes all through, its own ankle's level is no guide to where
	// a whole sole is down: the lower of both feet's is.
	flat := math.Inf(1)
	for _, l := range r.feet {
		var high []float64
		for f, at := range l.srcA {
			if l.state[f] != inAir {
				high = append(high, at.Dot(p.srcUp)-l.ledBy(p, f))
			}
		}
		if h := space.Percentile(high, lowMoment); h < flat {
			flat = h
		}
	}
	for _, l := range r.feet {
		for _, part := range []struct {
			drive int
			turns []quat
		}{{l.ankle, l.wC}, {l.toes, l.wT}} {
			if part.drive < 0 {
				continue
			}
			d := &p.drive[part.drive]
			rest := p.dstRest[d.node]
			var sum vec
			looks := 0
			for f, w := range part.turns {
				if l.state[f] == onAnkle && l.srcA[f].Dot(p.srcUp)-l.ledBy(p, f) < flat+gait.Near*p.size.src { // the whole sole is down
					sum = sum.Add(w.Mul(rest.Back()).Back().Rotate(p.dstUp))
					looks++
				}
			}
			mean, ok := sum.Unit()
			if !ok || looks < leastLooks {
				continue
			}
			tilt := space.TurnBetween(p.dstUp, mean)
			if degrees := tilt.Angle() * 180 / math.Pi; degrees < leastTilt || degrees > mostTilt {
				continue
			}
			d.after = d.after.Mul(rest.Back().Mul(tilt).Mul(rest))
			d.bone.src, d.bone.dst = -1, -1 // no longer promised
			again = true
		}
	}
	if again {
		r.remark("the source's rest pose does not show how its feet lie on the floor: where they stand, the soles were set level")
	}
	return again
}
