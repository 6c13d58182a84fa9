package inspect

import (
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

var hiddenInBones = []hidden{
	{"a bind turned by 8°", func(p *patient) []*wound {
		if p.has("skeleton/bind-odd") {
			return nil
		}
		j := p.held(3)
		n := p.bones().Joints[j]
		p.rebind(j, about3(p.e.RestWorld()[n].Origin(), space.Vec{0, 0, 1}, 8, 1))
		return one(flawAt("skeleton/bind-odd", anything, 0).at(nil, n))
	}},
	{"a bind 10 % large", func(p *patient) []*wound {
		if p.has("skeleton/bind-odd") {
			return nil
		}
		j := p.held(4)
		n := p.bones().Joints[j]
		p.rebind(j, about3(p.e.RestWorld()[n].Origin(), space.Vec{0, 0, 1}, 0, 1.1))
		return one(flawAt("skeleton/bind-odd", anything, 0).at(nil, n))
	}},
	{"a bind that is flat", func(p *patient) []*wound {
		j := p.held(1)
		for c := range 4 {
			p.bones().Bind[j][4+c] = 0
		}
		return one(stopAt("skeleton/bind-odd", anything, 0, "surface/slivers", "surface/near-coincident").at(nil, p.bones().Joints[j]))
	}},
	{"binds of the two hands exchanged", func(p *patient) []*wound {
		a, ja := p.joint("leftHand", "leftFoot", "leftLowerArm", "leftLowerLeg")
		b, jb := p.joint("rightHand", "rightFoot", "rightLowerArm", "rightLowerLeg")
		if a < 0 || b < 0 {
			return nil
		}
		s := p.bones()
		s.Bind[ja], s.Bind[jb] = s.Bind[jb], s.Bind[ja]
		return one(flawAt("skeleton/bind-mixed", anything, 0).at(nil, a, b))
	}},
	{"binds of three joints in a ring", func(p *patient) []*wound {
		b := p.busy()
		if len(b) < 6 {
			return nil
		}
		s := p.bones()
		x, y, z := b[1], b[3], b[5]
		s.Bind[x], s.Bind[y], s.Bind[z] = s.Bind[y], s.Bind[z], s.Bind[x]
		return one(flawAt("skeleton/bind-mixed", anything, 0).at(nil, s.Joints[x], s.Joints[y], s.Joints[z]))
	}},
	{"an elbow or knee 12 % of its bone out of place", func(p *patient) []*wound {
		n, _ := p.joint("leftLowerArm", "leftLowerLeg", "rightLowerArm")
		if n < 0 || p.has("skeleton/uneven-pair") {
			return nil
		}
		world := p.e.RestWorld()
		kids := p.r.Nodes[n].Children
		if len(kids) == 0 {
			return nil
		}
		bone := world[kids[0]].Origin().Sub(world[n].Origin())
		p.moveJoint(n, bone.Mul(-.12))
		return one(flawAt("skeleton/uneven-pair", anything, 0, "skeleton/off-centre", "skeleton/proportions").at(nil, n))
	}},
	{"an elbow or knee out of the limb", func(p *patient) []*wound {
		n, _ := p.joint("rightLowerArm", "rightLowerLeg", "rightUpperLeg")
		if n < 0 || p.has("skeleton/off-centre") {
			return nil
		}
		p.moveJoint(n, space.Vec{0, 0, .07}.Mul(p.e.Diagonal()))
		return one(flawAt("skeleton/off-centre", anything, 0, "skeleton/uneven-pair", "skeleton/proportions", "skeleton/axes", "skeleton/rest-pose", "bends/collapse", "bends/turned-over", "bends/stretch", "motion/worst-frame").at(nil, n))
	}},
	{"a hand or foot on the root", func(p *patient) []*wound {
		n, _ := p.joint("leftHand", "leftFoot", "leftLowerLeg")
		root := p.e.Roles().Node("hips")
		if n < 0 || root < 0 || p.r.Nodes[n].Parent == root || p.has("skeleton/loose-chain") {
			return nil
		}
		p.hang(n, root)
		return one(flawAt("skeleton/loose-chain", anything, 0, "skeleton/axes", "skeleton/uneven-pair", "skeleton/off-centre", "motion/still-chain", "binding/cross-body", "binding/hangs-on").at(nil, n))
	}},
	{"names of a whole leg exchanged", func(p *patient) []*wound {
		return p.swapBelow("UpperLeg")
	}},
	{"names of a whole arm exchanged", func(p *patient) []*wound {
		return p.swapBelow("UpperArm")
	}},
	{"a joint scaled by 0.9", func(p *patient) []*wound {
		if p.has("skeleton/scaled-joint") {
			return nil
		}
		for _, j := range p.busy() {
			n := p.bones().Joints[j]
			if d := &p.r.Nodes[n]; !d.HasMatrix && len(d.Children) == 0 {
				d.S = [3]float64{.9, .9, .9}
				d.Matrix = d.TRS.Affine()
				return one(flawAt("skeleton/scaled-joint", .1, .01, "skeleton/bind-odd").at(nil, n))
			}
		}
		return nil
	}},
	{"a joint scaled flat", func(p *patient) []*wound {
		for _, j := range p.busy() {
			n := p.bones().Joints[j]
			if d := &p.r.Nodes[n]; !d.HasMatrix && len(d.Children) == 0 {
				d.S = [3]float64{1, 0, 1}
				d.Matrix = d.TRS.Affine()
				return one(stopAt("skeleton/scaled-joint", anything, 0, "skeleton/bind-odd", "surface/slivers", "surface/near-coincident", "intake/uneven-scale", "surface/lopsided", "binding/mirror-mismatch", "bends/collapse", "bends/turned-over", "motion/worst-frame").at(nil, n))
			}
		}
		return nil
	}},
	{"a joint that the skin lists twice", func(p *patient) []*wound {
		s := p.bones()
		j := p.held(2)
		s.Joints, s.Bind = append(s.Joints, s.Joints[j]), append(s.Bind, s.Bind[j])
		if s.BindRow != nil {
			s.BindRow = append(s.BindRow, s.BindRow[4*j:4*j+4]...)
		}
		return one(flawAt("binding/unplugged", 1, 0).at(nil, s.Joints[j]))
	}},
	{"a limb outside the scene", func(p *patient) []*wound {
		n, _ := p.joint("leftUpperLeg", "leftLowerLeg", "leftUpperArm")
		if n < 0 || len(p.r.Scenes) == 0 {
			return nil
		}
		p.hang(n, rig.None)
		s := &p.r.Scenes[max(0, p.r.Shown)]
		s.Roots = slices.DeleteFunc(s.Roots, func(r rig.Node) bool { return r == n })
		return one(stopAt("binding/unplugged", anything, 0, "skeleton/loose-chain", "skeleton/off-centre").at(nil, n))
	}},
	{"names alike but for capitals and dots", func(p *patient) []*wound {
		if p.has("skeleton/fragile-name") {
			return nil
		}
		b := p.busy()
		x, y := p.bones().Joints[b[0]], p.bones().Joints[b[1]]
		if p.r.Nodes[x].Name == "" {
			return nil
		}
		p.r.Nodes[y].Name = strings.ToUpper(p.r.Nodes[x].Name) + "."
		return one(flawAt("skeleton/fragile-name", anything, 0, "skeleton/loose-chain", "skeleton/lone-side", "skeleton/side-label", "motion/still-chain", "skeleton/role-unheld", "skeleton/uneven-pair", "skeleton/axes").at(nil, x, y))
	}},
	{"uneven scale above all", func(p *patient) []*wound {
		if p.has("intake/uneven-scale") || p.has("intake/unapplied-scale") {
			return nil
		}
		p.place(rig.Affine{0: 1, 5: 1.15, 10: 1})
		return one(stopAt("intake/uneven-scale", anything, 0, "intake/unapplied-scale", "skeleton/bind-odd", "intake/bounds-off", "intake/odd-height", "skeleton/scaled-joint", "skeleton/axes", "skeleton/uneven-pair", "binding/unplugged", "skeleton/proportions", "intake/ignored-placement"))
	}},
	{"lying on its back", func(p *patient) []*wound {
		if !p.e.Roles().IsFigure() || p.has("intake/unapplied-turn") {
			return nil
		}
		p.place(about3(space.Vec{}, space.Vec{1, 0, 0}, -90, 1))
		return one(flawAt("intake/unapplied-turn", anything, 0, "intake/bounds-off", "intake/off-ground", "intake/odd-height", "motion/under-ground", "motion/foot-skate", "intake/ignored-placement"))
	}},
	{"mirrored by a negative scale", func(p *patient) []*wound {
		if p.has("intake/uneven-scale") {
			return nil
		}
		p.place(rig.Affine{0: -1, 5: 1, 10: 1})
		return one(flawAt("intake/uneven-scale", anything, 0, "skeleton/side-label", "surface/inside-out", "intake/bounds-off", "skeleton/bind-odd", "skeleton/scaled-joint", "intake/unapplied-scale", "intake/ignored-placement"))
	}},
	{"five kilometres away", func(p *patient) []*wound {
		if !p.e.Roles().IsFigure() || p.has("intake/off-ground") {
			return nil
		}
		p.place(rig.Affine{0: 1, 3: 2000 * p.e.Height(), 5: 1, 10: 1})
		return one(flawAt("intake/off-ground", anything, 0, "intake/bounds-off", "surface/near-coincident", "intake/ignored-placement", "surface/slivers", "surface/lopsided", "surface/inside-out", "motion/under-ground"))
	}},
}

// swapBelow exchanges the names of the two sides from a joint down.
func (p *patient) swapBelow(bone string) []*wound {
	roles := p.e.Roles()
	a, b := roles.Node("left"+bone), roles.Node("right"+bone)
	if a < 0 || b < 0 || !sided(p.r.Nodes[a].Name) && !sided(p.r.Nodes[b].Name) {
		return nil
	}
	var all []rig.Node
	for len(p.r.Nodes) > 0 {
		all = append(all, a, b)
		p.r.Nodes[a].Name, p.r.Nodes[b].Name = p.r.Nodes[b].Name, p.r.Nodes[a].Name
		x, y := p.r.Nodes[a].Children, p.r.Nodes[b].Children
		if len(x) == 0 || len(y) == 0 || otherSide(p.r.Nodes[x[0]].Name) != p.r.Nodes[y[0]].Name {
			break
		}
		a, b = x[0], y[0]
	}
	return one(flawAt("skeleton/side-label", math.NaN(), 0, "skeleton/loose-chain", "skeleton/proportions", "skeleton/axes", "motion/still-chain").at(nil, all...))
}
