package follow

import (
	"math"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// played is how often a second players step springs: the numbers of VRMC_springBone mean
// something at a rate alone, since its reference step adds stiffness and gravity times dt and
// keeps a share of the speed, once a frame.
const played = 60.0

// Springs are runs of links with the dials as numbers of VRMC_springBone 1.0 for players that
// step 60 times a second, damped so many times as much as the dials say. A run goes down to the end of the chain; each branch beside it is one
// more. The last link of each needs a node at its tail to swing.
//
// The reference step moves a tail by dt·(stiffness along the drawn direction + gravityPower
// down) and keeps 1 − dragForce of the last move: an acceleration A is A·dt of power. Gravity is
// that of the world for every link, whatever hangs below: else a head that speeds up would tilt
// its link by more than it hangs back. A link
// that the one above leads at an angle a is at rest at b where
// stiffness·sin(b − a) = gravityPower·cos b.
func (c *Chains) Springs(d Dials, damped float64) (out [][]rig.SpringJoint) {
	drag := make([]float64, len(c.Links))
	for _, t := range c.trees(d) {
		for _, i := range t.links {
			drag[i] = t.drag * damped
		}
	}
	in := make([]int, len(c.Links)) // place in out of the run that a link is in
	led := make([]bool, len(c.Links))
	for i := range c.Links {
		l := &c.Links[i]
		up := c.swingsOn(i)
		if l.Length == 0 {
			continue
		}
		if up >= 0 && !led[up] {
			led[up], in[i] = true, in[up]
		} else {
			in[i] = len(out)
			out = append(out, nil)
		}
		const weight = StandardGravity / played
		j := rig.SpringJoint{Node: l.Joint, Radius: l.Radius, GravityDir: [3]float64{0, -1, 0}, Drag: 1 - math.Exp2(-drag[i]/played*math.Log2E)}
		if d.Sag < Free {
			above := 0.0
			if up >= 0 {
				above = sagOf(d.Sag, c.Links[up].Along)
			}
			own := sagOf(d.Sag, l.Along)
			// A link that hardly sinks below the one above is as stiff as one that does by a tenth of a degree.
			j.Stiffness = weight * math.Cos(own*math.Pi/180) / math.Sin(max(own-above, .1)*math.Pi/180)
		}
		if d.Sag >= Free || !d.AsDrawn {
			j.GravityPower = weight * d.Gravity
		}
		for _, x := range []*float64{&j.Radius, &j.Stiffness, &j.GravityPower, &j.Drag} {
			*x = short(*x)
		}
		out[in[i]] = append(out[in[i]], j)
	}
	return out
}

// short is a number to four digits: more would say that a player meets them.
func short(x float64) float64 {
	if !(x > 0) {
		return 0
	}
	k := math.Pow(10, 3-math.Floor(math.Log10(x)))
	return math.Round(x*k) / k
}

// Clear tells for every capsule whether no link of a run touches it at rest: one that does would
// be pushed out of where it is drawn.
func (c *Chains) Clear(capsules []Capsule, run []rig.SpringJoint) []bool {
	b := c.newBody(capsules)
	out := make([]bool, len(capsules))
	world := c.e.RestWorld()
	for k := range capsules {
		out[k] = true
		for _, j := range run {
			l := &c.Links[c.at[j.Node]]
			tail := space.Plain(world[l.Joint].Point(l.Tail))
			_, _, _, far := nearest(tail, tail, b.a[k], b.b[k])
			out[k] = out[k] && far > capsules[k].Radius+l.Radius
		}
	}
	return out
}

// springStep is one step of the reference of VRMC_springBone 1.0 (SpringBone Algorithm): the
// tail of a link a step later. head is where the link hangs now, drawn its direction as the link
// above leads it.
func springStep(tail, before, head, drawn space.XYZ, length float64, j *rig.SpringJoint, dt float64) space.XYZ {
	down := space.XYZ{X: j.GravityDir[0], Y: j.GravityDir[1], Z: j.GravityDir[2]}
	next := tail.Add(tail.Sub(before).Mul(1 - j.Drag)).Add(drawn.Mul(dt * j.Stiffness)).Add(down.Mul(dt * j.GravityPower))
	if to, ok := next.Sub(head).Unit(); ok {
		return head.Add(to.Mul(length))
	}
	return tail
}

// PlaySprings is what a player makes of springs in a clip: the reference step, 60 times a second,
// from the first pose on, colliders left out. Speeds are those in the space of a node, center,
// or in the world where that is None. each is told the tails, by link, at every step. The answer
// is how far, in radians, a link gets from its drawn direction.
func (c *Chains) PlaySprings(clip rig.Clip, center rig.Node, runs [][]rig.SpringJoint, each func(tails []space.XYZ)) (widest float64) {
	n := len(c.Links)
	joint, tail, before, led := make([]*rig.SpringJoint, n), make([]space.XYZ, n), make([]space.XYZ, n), make([]space.Turn, n)
	for r := range runs {
		for k := range runs[r] {
			joint[c.at[runs[r][k].Node]] = &runs[r][k]
		}
	}
	p := deform.NewPose(c.e.Rig)
	was := rig.Identity
	data := &c.e.Rig.Clips[clip]
	for k := range int((data.Seconds-data.Start)*played) + 1 {
		p.Sample(clip, data.Start+float64(k)/played)
		if center >= 0 {
			now := p.World[center]
			if back, ok := was.Inverse(); ok && k > 0 {
				along := now.Mul(&back)
				for i := range tail {
					tail[i], before[i] = space.Plain(along.Point(tail[i].Vec())), space.Plain(along.Point(before[i].Vec()))
				}
			}
			was = now
		}
		for i := range c.Links {
			l, j := &c.Links[i], joint[i]
			w := &p.World[l.Joint]
			head := space.Plain(w.Origin())
			drawn, ok := space.Plain(w.Point(l.Tail)).Sub(head).Unit()
			if j == nil || !ok {
				continue
			}
			turn, posed := space.Turn{W: 1}, drawn
			if up := c.swingsOn(i); up >= 0 {
				head, turn = tail[up], led[up]
				drawn = turn.Rotate(drawn)
			}
			if k == 0 {
				tail[i], before[i] = head.Add(drawn.Mul(l.Length)), head.Add(drawn.Mul(l.Length))
			}
			next := springStep(tail[i], before[i], head, drawn, l.Length, j, 1/played)
			before[i], tail[i] = tail[i], next
			led[i] = space.TurnBetween(drawn, next.Sub(head)).Mul(turn)
			widest = max(widest, angle(posed, next.Sub(head)))
		}
		if each != nil {
			each(tail)
		}
	}
	return widest
}
