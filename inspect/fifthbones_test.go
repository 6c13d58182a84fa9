package inspect

import (
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// bindOff turns, shifts (in diagonals) and scales the bind of an end or of a joint between.
func bindOff(k int, tips bool, degrees, shift, scale float64, axis space.Vec, size, off float64) func(p *patient) []*wound {
	return func(p *patient) []*wound {
		if p.has("skeleton/bind-odd") {
			return nil
		}
		list := p.grips(8, tips)
		if len(list) == 0 {
			return nil
		}
		g := list[k%len(list)]
		p.skin = g.surface
		for s := range p.r.Skins { // a joint of several skins is bound alike in all
			q := *p
			for i := range p.r.Surfaces {
				if int(p.r.Surfaces[i].Skin) == s {
					q.skin = i
				}
			}
			if j := slices.Index(p.r.Skins[s].Joints, g.node); j >= 0 && int(p.r.Surfaces[q.skin].Skin) == s {
				m := about3(p.e.RestWorld()[g.node].Origin(), axis, degrees, scale)
				m[7] += shift * p.e.Diagonal()
				q.rebind(j, m)
			}
		}
		return one(p.on(flawAt("skeleton/bind-odd", size, off).at(nil, g.node).any()))
	}
}

// partnered is the k-th joint of limbs, hands or feet that has a partner and a joint above.
func (p *patient) partnered(parts ...string) rig.Node {
	for _, part := range parts {
		if n := p.e.Roles().Node("left" + part); n >= 0 && p.e.Roles().Of[n].Partner >= 0 && p.r.Nodes[n].Parent >= 0 {
			return n
		}
	}
	for _, g := range append(p.grips(8, true), p.grips(8, false)...) {
		if o := p.e.Roles().Of[g.node].Partner; o >= 0 && p.r.Nodes[g.node].Parent >= 0 {
			return g.node
		}
	}
	return rig.None
}

var fifthInBones = []hidden{
	{"an end bound 3° off", bindOff(0, true, 3, 0, 1, space.Vec{0, 1, 0}, 3, .05)},
	{"an end bound 1.5 % of the figure aside", bindOff(2, true, 0, .015, 1, space.Vec{0, 1, 0}, .015, .1)},
	{"a joint between bound 6° off", bindOff(1, false, 6, 0, 1, space.Vec{1, 0, 0}, 6, .05)},
	{"an end bound 6 % large", bindOff(3, true, 0, 0, 1.06, space.Vec{1, 0, 0}, anything, 0)},
	{"binds of two neighbouring ends exchanged", func(p *patient) []*wound {
		tips := p.grips(8, true)
		world := p.e.RestWorld()
		var a, b grip
		best := math.Inf(1)
		for i, x := range tips {
			for _, y := range tips[:i] {
				if d := world[x.node].Origin().Sub(world[y.node].Origin()).Len(); x.node != y.node && d < best && d > .01*p.e.Diagonal() {
					a, b, best = x, y, d
				}
			}
		}
		if math.IsInf(best, 1) {
			return nil
		}
		for s := range p.r.Skins {
			i, k := slices.Index(p.r.Skins[s].Joints, a.node), slices.Index(p.r.Skins[s].Joints, b.node)
			if i >= 0 && k >= 0 {
				bind := p.r.Skins[s].Bind
				bind[i], bind[k] = bind[k], bind[i]
			}
		}
		return one(flawAt("skeleton/bind-mixed", anything, 0).at(nil, a.node, b.node))
	}},
	{"rest left in the pose of a clip", func(p *patient) []*wound {
		if len(p.r.Clips) == 0 || p.has("skeleton/bind-odd") {
			return nil
		}
		c := &p.r.Clips[0]
		for i := range p.r.Clips {
			if n := strings.ToLower(p.r.Clips[i].Name); strings.Contains(n, "walk") {
				c = &p.r.Clips[i]
				break
			}
		}
		at := c.Start + .3*(c.Seconds-c.Start)
		for i := range c.Channels {
			ch := &c.Channels[i]
			d := &p.r.Nodes[ch.Node]
			if d.HasMatrix || ch.Node < 0 || ch.Path == rig.Weights {
				continue
			}
			track, ok := deform.NewTrack(ch)
			if !ok {
				continue
			}
			switch ch.Path {
			case rig.Rotation:
				if q, ok := track.Rotation(at); ok {
					d.R = space.XYZW(q)
				}
			case rig.Translation:
				d.T = [3]float64(track.Vector(at))
			}
			d.Matrix = d.TRS.Affine()
		}
		return one(noteAt("skeleton/bind-odd", anything, 0))
	}},
	{"one joint of the rest turned by 12°, bound as before", func(p *patient) []*wound {
		if p.has("skeleton/bind-odd") {
			return nil
		}
		mids := p.grips(8, false)
		if len(mids) == 0 {
			return nil
		}
		g := mids[0]
		d := &p.r.Nodes[g.node]
		if d.HasMatrix {
			return nil
		}
		q, _ := space.UnitQuat(space.FromXYZW(d.R))
		d.R = space.XYZW(space.Mul(q, space.About(space.Vec{1, 0, 0}, 12*math.Pi/180)))
		d.Matrix = d.TRS.Affine()
		return one(noteAt("skeleton/bind-odd", anything, 0).at(nil, g.node))
	}},
	{"a joint scaled along one axis", func(p *patient) []*wound {
		if p.has("skeleton/scaled-joint") {
			return nil
		}
		for _, g := range p.grips(8, true) {
			if d := &p.r.Nodes[g.node]; !d.HasMatrix {
				d.S[1] *= 1.07
				d.Matrix = d.TRS.Affine()
				p.skin = g.surface
				return one(p.on(flawAt("skeleton/scaled-joint", .07, .02, "skeleton/bind-odd").at(nil, g.node)))
			}
		}
		return nil
	}},
	{"an ankle, wrist or knuckle 4 % of the figure out of place", func(p *patient) []*wound {
		for _, g := range append(p.grips(8, false), p.grips(8, true)...) {
			if up := p.jointAbove(g.node); (up >= 0 || g.count < 60) && !p.has("skeleton/off-centre") && !p.has("skeleton/uneven-pair") {
				p.skin = g.surface
				var mid space.Vec // of what it holds: the bone goes that way
				own := p.dominated(g.joint)
				for _, v := range own {
					mid = mid.Add(space.At(p.e.RestPositions(p.skin), v).Mul(1 / float64(len(own))))
				}
				bone := mid.Sub(p.e.RestWorld()[g.node].Origin())
				aside := bone.Cross(space.Vec{0, 1, 0})
				if aside.Len() < .3*bone.Len() {
					aside = bone.Cross(space.Vec{1, 0, 0})
				}
				p.moveJoint(g.node, aside.Normalize().Mul(.04*p.e.Diagonal()))
				return one(noteAt("skeleton/off-centre", anything, 0, "skeleton/axes", "skeleton/proportions", "skeleton/rest-pose", "bends/collapse", "bends/stretch", "bends/turned-over", "motion/worst-frame").at(nil, g.node).either("skeleton/uneven-pair"))
			}
		}
		return nil
	}},
	{"a hand or foot joint 10 % of its bone too near", func(p *patient) []*wound {
		n := p.partnered("Foot", "Hand")
		if n < 0 || p.has("skeleton/uneven-pair") {
			return nil
		}
		up := p.jointAbove(n)
		if up < 0 {
			return nil
		}
		w := p.e.RestWorld()
		p.moveJoint(n, w[up].Origin().Sub(w[n].Origin()).Mul(.1))
		return one(flawAt("skeleton/uneven-pair", anything, 0, "skeleton/off-centre", "skeleton/proportions").at(nil, n)) // in shares of its own bone
	}},
	{"an end hung on another limb", func(p *patient) []*wound {
		if p.has("skeleton/loose-chain") {
			return nil
		}
		tips := p.grips(8, true)
		world := p.e.RestWorld()
		for _, g := range tips {
			up := p.jointAbove(g.node)
			if up < 0 {
				continue
			}
			far, at := 0.0, rig.Node(rig.None)
			for _, o := range tips {
				if d := world[o.node].Origin().Sub(world[g.node].Origin()).Len(); d > far && o.node != g.node && !p.below(o.node, g.node) {
					far, at = d, o.node
				}
			}
			if at < 0 {
				continue
			}
			p.hang(g.node, at)
			told := flawAt
			if p.placed(g.node) {
				told = noteAt
			}
			return one(told("skeleton/loose-chain", anything, 0, "motion/still-chain", "skeleton/axes", "skeleton/uneven-pair", "skeleton/off-centre", "motion/worst-frame", "motion/stretched-bone").at(nil, g.node))
		}
		return nil
	}},
	{"two joints at one place", func(p *patient) []*wound {
		if p.has("skeleton/zero-length") {
			return nil
		}
		for _, g := range p.grips(8, true) {
			if up := p.jointAbove(g.node); up >= 0 && p.r.Nodes[g.node].Parent == up {
				w := p.e.RestWorld()
				p.moveJoint(g.node, w[up].Origin().Sub(w[g.node].Origin()))
				return one(noteAt("skeleton/zero-length", anything, 0, "skeleton/off-centre", "skeleton/uneven-pair", "skeleton/axes", "skeleton/proportions", "bends/collapse", "bends/stretch", "bends/turned-over", "skeleton/rest-pose").at(nil, g.node))
			}
		}
		return nil
	}},
	{"names of two toes, hands or fingers exchanged", func(p *patient) []*wound {
		for _, g := range append(p.grips(4, true), p.grips(4, false)...) {
			if o := p.e.Roles().Of[g.node].Partner; o >= 0 && sidedName(p.r.Nodes[g.node].Name) {
				p.r.Nodes[g.node].Name, p.r.Nodes[o].Name = p.r.Nodes[o].Name, p.r.Nodes[g.node].Name
				return one(flawAt("skeleton/side-label", anything, 0).at(nil, g.node, o))
			}
		}
		return nil
	}},
	{"two ends named alike but for capitals", func(p *patient) []*wound {
		tips := p.grips(4, true)
		if len(tips) < 2 || p.has("skeleton/fragile-name") {
			return nil
		}
		a, b := tips[0].node, rig.Node(rig.None)
		for _, g := range tips {
			if g.node != a {
				b = g.node
			}
		}
		if b < 0 || p.r.Nodes[a].Name == "" || strings.ToUpper(p.r.Nodes[a].Name) == p.r.Nodes[a].Name {
			return nil
		}
		p.r.Nodes[b].Name = strings.ToUpper(p.r.Nodes[a].Name)
		return one(flawAt("skeleton/fragile-name", anything, 0, "skeleton/loose-chain", "skeleton/lone-side", "skeleton/side-label").at(nil, a, b))
	}},
	{"an end that the skin lists twice", func(p *patient) []*wound {
		g, _ := p.tip(1)
		if g.node < 0 {
			return nil
		}
		s := p.bones()
		s.Joints, s.Bind = append(slices.Clone(s.Joints), g.node), append(slices.Clone(s.Bind), s.Bind[g.joint])
		if s.BindRow != nil {
			s.BindRow = append(slices.Clone(s.BindRow), s.BindRow[4*g.joint:4*g.joint+4]...)
		}
		return one(flawAt("binding/unplugged", anything, 0).at(nil, g.node))
	}},
	{"sunk by 4 % of the height", func(p *patient) []*wound {
		if !p.e.Roles().IsFigure() || p.has("intake/off-ground") || p.has("intake/unapplied-turn") {
			return nil
		}
		p.place(rig.Affine{0: 1, 5: 1, 7: -.04 * p.e.Height(), 10: 1})
		return one(noteAt("intake/off-ground", .04, .15, "motion/under-ground").any())
	}},
	{"wider than it is high by 3 %", func(p *patient) []*wound {
		if p.has("intake/uneven-scale") || p.has("intake/unapplied-scale") {
			return nil
		}
		p.place(rig.Affine{0: 1.03, 5: 1, 10: 1})
		return one(flawAt("intake/uneven-scale", 1.03, .01, "intake/unapplied-scale", "skeleton/scaled-joint", "skeleton/bind-odd").any())
	}},
	{"faces backwards", func(p *patient) []*wound {
		if p.has("intake/facing") || p.has("intake/unapplied-turn") || p.e.Roles().Node("leftToes") < 0 {
			return nil
		}
		turnAll(p.r, turnedBy(0, 180, 0))
		return one(noteAt("intake/facing", 180, .05))
	}},
	{"everything a hundredth", func(p *patient) []*wound {
		if p.has("intake/odd-height") || !p.e.Roles().IsFigure() {
			return nil
		}
		scaleAll(p.r, .01)
		return one(flawAt("intake/odd-height", anything, 0))
	}},
}

// sidedName tells that a name says one side and would read as the other's.
func sidedName(name string) bool { return otherSide(name) != name }

// below tells that a node hangs below another.
func (p *patient) below(n, top rig.Node) bool {
	for ; n >= 0; n = p.r.Nodes[n].Parent {
		if n == top {
			return true
		}
	}
	return false
}
