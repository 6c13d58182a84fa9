package binding

import (
	"math"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// bones are the joints of all skins and how they hang together, other nodes
// between them left out.
type bones struct {
	isJoint  []bool       // one a node
	above    []rig.Node   // nearest joint above, None; one a node, joint or not
	children [][]rig.Node // nearest joints below a joint, in node order
	below    []int        // joints anywhere below
	main     []rig.Node   // main child of a joint, None at ends
}

// findBones chooses as the main child of a joint the one with most joints below
// it; the farther away where they are equal, then the first.
func findBones(e *exam.Exam) *bones {
	n := len(e.Rig.Nodes)
	b := &bones{isJoint: make([]bool, n), above: make([]rig.Node, n), children: make([][]rig.Node, n), below: make([]int, n), main: make([]rig.Node, n)}
	for s := range e.Rig.Skins {
		for _, j := range e.Rig.Skins[s].Joints {
			b.isJoint[j] = true
		}
	}
	for i := range b.above {
		b.above[i], b.main[i] = rig.None, rig.None
	}
	for _, i := range e.Rig.Order {
		if p := e.Rig.Nodes[i].Parent; p >= 0 {
			b.above[i] = b.above[p]
			if b.isJoint[p] {
				b.above[i] = p
			}
		}
	}
	for i := range n {
		if a := b.above[i]; b.isJoint[i] && a >= 0 {
			b.children[a] = append(b.children[a], rig.Node(i))
		}
	}
	for i := len(e.Rig.Order) - 1; i >= 0; i-- {
		j := e.Rig.Order[i]
		if a := b.above[j]; b.isJoint[j] && a >= 0 {
			b.below[a] += b.below[j] + 1
		}
	}
	world := e.RestWorld()
	for j := range n {
		far := 0.0
		for _, c := range b.children[j] {
			d := world[c].Origin().Sub(world[j].Origin()).Len()
			if m := b.main[j]; m < 0 || b.below[c] > b.below[m] || b.below[c] == b.below[m] && d > far*(1+1e-9) {
				b.main[j], far = c, d
			}
		}
	}
	return b
}

// measureReach finds how far from its bone each joint's influence goes, over one
// surface: from the stretch between the joint and its main child; from the joint
// itself at an end.
func measureReach(e *exam.Exam, surface int, b *bones, k *Skin) {
	m := &e.Rig.Meshes[e.Rig.Surfaces[surface].Mesh]
	if m.K == 0 {
		return
	}
	// Relative to the middle of the surface: float32 has no digits to spare.
	middle := e.Box().Center()
	world := e.RestWorld()
	type bone struct{ x, y, z, dx, dy, dz, per, square float32 }
	bone32 := make([]bone, len(k.Joints))
	for j := range bone32 {
		n := k.Joints[j].Node
		o := world[n].Origin()
		s := bone{x: float32(o[0] - middle[0]), y: float32(o[1] - middle[1]), z: float32(o[2] - middle[2]), square: -1}
		if c := b.main[n]; c >= 0 {
			d := world[c].Origin().Sub(o)
			s.dx, s.dy, s.dz = float32(d[0]), float32(d[1]), float32(d[2])
			if l := d.Dot(d); l > 0 {
				s.per = float32(1 / l)
			}
		}
		bone32[j] = s
	}
	rest := e.RestPositions(surface)
	mx, my, mz := float32(middle[0]), float32(middle[1]), float32(middle[2])
	for v := range m.Vertices() {
		x, y, z := rest[3*v]-mx, rest[3*v+1]-my, rest[3*v+2]-mz
		for i, end := v*m.K, v*m.K+m.K; i < end; i++ {
			j := int(m.Joints[i])
			if !(m.Weights[i] > 0) || j >= len(bone32) {
				continue
			}
			s := &bone32[j]
			px, py, pz := x-s.x, y-s.y, z-s.z
			t := (px*s.dx + py*s.dy + pz*s.dz) * s.per
			if t < 0 {
				t = 0
			} else if t > 1 {
				t = 1
			}
			px, py, pz = px-t*s.dx, py-t*s.dy, pz-t*s.dz
			if d := px*px + py*py + pz*pz; d > s.square {
				s.square = d
			}
		}
	}
	for j := range bone32 {
		if d := math.Sqrt(float64(bone32[j].square)); d > k.Joints[j].Reach && !math.IsInf(d, 0) {
			k.Joints[j].Reach = d
		}
	}
}
