package deform

import "rigloupe/inspect/rig"

// Turn carries a node, and everything that hangs on it, by a matrix of world space:
// what one move of the bend set does to the pose at hand. World is changed; Local
// stays as it was, so Update takes the move back.
func (p *Pose) Turn(n rig.Node, m *rig.Affine) {
	if n < 0 || int(n) >= len(p.World) {
		return
	}
	if len(p.below) != len(p.World) {
		p.below = make([]bool, len(p.World))
	}
	for _, i := range p.Rig.Order { // parents come first
		q := p.Rig.Nodes[i].Parent
		p.below[i] = i == n || q >= 0 && p.below[q]
		if p.below[i] {
			p.World[i] = m.Mul(&p.World[i])
		}
	}
}

// Turns answers how far each vertex of the surface is turned from rest: 4·V, a
// quaternion x y z w, not of unit length: the joints' turns (World·rest⁻¹, polar
// decomposition) blended by the weights, which are made whole. rest is the rig's
// RestWorld. A vertex without influence, or of a joint that has no place, has no turn.
func (d *Deformer) Turns(p *Pose, rest []rig.Affine, out []float32) {
	turn := d.turns[:0]
	add := func(n rig.Node) {
		q := [4]float32{3: 1}
		if n >= 0 && int(n) < len(p.World) && p.World[n] != rest[n] {
			if back, ok := rest[n].Inverse(); ok {
				a := p.World[n].Mul(&back)
				real, _, _ := Apart(&a)
				for i := range q {
					q[i] = float32(real[i])
				}
			}
		}
		turn = append(turn, q)
	}
	if d.skin != nil {
		for _, n := range d.skin.Joints {
			add(n)
		}
	}
	if d.ownNode {
		add(d.surface.Node)
	}
	d.turns = turn
	for _, r := range d.rigid {
		for _, v := range d.whole[r.from:r.to] {
			copy(out[4*v:4*v+4], turn[r.palette][:])
		}
	}
	for i := range d.blends {
		b := &d.blends[i]
		c := b.count
		for k, v := range b.vertex {
			q, sum := [4]float32{}, float32(0)
			for e := k * c; e < k*c+c; e++ {
				t, w := &turn[b.joints[e]], b.weights[e]
				pivot := &turn[b.joints[k*c]]
				sum += w
				if t[0]*pivot[0]+t[1]*pivot[1]+t[2]*pivot[2]+t[3]*pivot[3] < 0 {
					w = -w // q and −q are one turn: the one on the strongest joint's side
				}
				for x := range q {
					q[x] += w * t[x]
				}
			}
			if sum != 0 {
				for x := range q {
					q[x] /= sum
				}
			} else {
				q = [4]float32{3: 1}
			}
			copy(out[4*v:4*v+4], q[:])
		}
	}
}
