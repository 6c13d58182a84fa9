package rest

import (
	"math"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Arms holds both upper arms out to the sides, so many degrees below level: 0 is a
// T-pose, 45 an A-pose. Each is turned the short way, so that it keeps its own twist, and
// the rest of the arm goes along; with straight the forearm is laid in line with it. An
// arm that is not recognised stays.
func (p *Pose) Arms(roles *anatomy.Roles, below float64, straight bool) error {
	left, up, _, framed := roles.Frame()
	if !framed {
		return refuse("No body was recognised: where its sides are cannot be told.")
	}
	sin, cos := math.Sincos(below * math.Pi / 180)
	found := false
	for _, side := range []string{"left", "right"} {
		s, e := roles.Node(side+"UpperArm"), roles.Node(side+"LowerArm")
		if s < 0 || e < 0 || !p.hangsOn(e, s) {
			continue
		}
		out := left
		if side == "right" {
			out = left.Mul(-1)
		}
		if err := p.point(s, e, out.Mul(cos).Sub(up.Mul(sin))); err != nil {
			return err
		}
		found = true
	}
	if !found {
		return refuse("No arms were recognised.")
	}
	if straight {
		return p.Elbows(roles)
	}
	return nil
}

// Elbows lays both forearms in line with the upper arms as they are.
func (p *Pose) Elbows(roles *anatomy.Roles) error {
	found := false
	for _, side := range []string{"left", "right"} {
		s, e, w := roles.Node(side+"UpperArm"), roles.Node(side+"LowerArm"), roles.Node(side+"Hand")
		if s < 0 || e < 0 || w < 0 || !p.hangsOn(e, s) || !p.hangsOn(w, e) {
			continue
		}
		if err := p.point(e, w, p.way(s, e)); err != nil {
			return err
		}
		found = true
	}
	if !found {
		return refuse("No arms were recognised.")
	}
	return nil
}

// Knees bends both knees to the front by so many degrees, 0 is straight. Each ankle stays
// on its line from the hip, the feet keep their turn, and the hips are lifted or lowered
// so that the ankles stay on average as high as they were.
func (p *Pose) Knees(roles *anatomy.Roles, bend float64) error {
	_, up, front, framed := roles.Frame()
	if !framed {
		return refuse("No body was recognised: where its front is cannot be told.")
	}
	drop, legs := 0.0, 0.0
	hips := roles.Node("hips")
	for _, side := range []string{"left", "right"} {
		h, k, a := roles.Node(side+"UpperLeg"), roles.Node(side+"LowerLeg"), roles.Node(side+"Foot")
		if h < 0 || k < 0 || a < 0 || !p.hangsOn(k, h) || !p.hangsOn(a, k) {
			continue
		}
		line, ok := space.Unit(p.way(h, a))
		ahead, ok2 := space.Unit(space.Level(front, line))
		thigh, shank := p.way(h, k).Len(), p.way(k, a).Len()
		if !ok || !ok2 || !(thigh > 0) || !(shank > 0) {
			continue
		}
		// The triangle of hip, knee and ankle with the bend outside at the knee: the law
		// of cosines gives its long side, the law of sines the angle at the hip.
		sin, cos := math.Sincos(bend * math.Pi / 180)
		reach := math.Sqrt(thigh*thigh + shank*shank + 2*thigh*shank*cos)
		s := shank * sin / reach
		was, foot := p.World[a], p.World[a].Origin()
		if err := p.point(h, k, line.Mul(math.Sqrt(max(0, 1-s*s))).Add(ahead.Mul(s))); err != nil {
			return err
		}
		hip := p.World[h].Origin()
		if err := p.point(k, a, hip.Add(line.Mul(reach)).Sub(p.World[k].Origin())); err != nil {
			return err
		}
		if err := p.turnBack(a, &was); err != nil {
			return err
		}
		drop += foot.Sub(p.World[a].Origin()).Dot(up)
		legs++
	}
	if legs == 0 {
		return refuse("No legs were recognised.")
	}
	if hips < 0 {
		return nil
	}
	return p.shift(hips, up.Mul(drop/legs))
}

// point turns a joint the short way until the one below it lies in a direction.
func (p *Pose) point(from, to rig.Node, dir space.Vec) error {
	way := p.way(from, to)
	if !(way.Len() > 0) || !space.Finite(way) {
		return refuse("%s and %s stand in one place: no direction of the bone can be told.", name(p.r, from), name(p.r, to))
	}
	return p.turn(from, space.Between(way, dir))
}

// turnBack gives a node the turn in the world that it had.
func (p *Pose) turnBack(n rig.Node, was *rig.Affine) error {
	back, ok := p.World[n].Inverse()
	if !ok {
		return refuse("%s is scaled to nothing: it cannot be turned.", name(p.r, n))
	}
	d := was.Mul(&back)
	return p.turn(n, space.FromXYZW(d.Decompose().R))
}

func (p *Pose) way(from, to rig.Node) space.Vec {
	return p.World[to].Origin().Sub(p.World[from].Origin())
}

func (p *Pose) hangsOn(n, on rig.Node) bool {
	for n = p.r.Nodes[n].Parent; n >= 0; n = p.r.Nodes[n].Parent {
		if n == on {
			return true
		}
	}
	return false
}
