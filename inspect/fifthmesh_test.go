package inspect

import (
	"math"
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

var fifthInWeights = []hidden{
	{"a patch of one end of the body on another", func(p *patient) []*wound {
		tips := p.grips(8, true)
		if len(tips) < 2 {
			return nil
		}
		world := p.e.RestWorld()
		a := tips[1%len(tips)]
		b := slices.MaxFunc(tips, func(x, y grip) int {
			o := world[a.node].Origin()
			return int(math.Copysign(1, world[x.node].Origin().Sub(o).Len()-world[y.node].Origin().Sub(o).Len()))
		})
		p.skin = a.surface
		to := slices.Index(p.bones().Joints, b.node)
		if to < 0 || a.node == b.node {
			return nil
		}
		v := p.patch(p.dominated(a.joint)[0], 3)
		p.share(v, to, .12)
		return one(p.on(flawAt("binding/stray-island", anything, 0, "binding/cross-body").at(v, b.node)))
	}},
	{"one place of an end half on the hips", func(p *patient) []*wound {
		_, own := p.tip(0)
		root := p.e.Roles().Node("hips")
		to := slices.Index(p.bones().Joints, root)
		if root < 0 || to < 0 {
			return nil
		}
		v := p.patch(own[len(own)/2], 1)
		p.share(v, to, .5)
		return one(p.on(flawAt("binding/stray-island", anything, 0, "bends/stretch", "motion/worst-frame").at(v, root).either("bends/tear-along")))
	}},
	{"sums 1.5 % short at the end of a body", func(p *patient) []*wound {
		if p.has("binding/sum-off") {
			return nil
		}
		_, own := p.tip(0)
		v := p.patch(own[0], 2)
		p.scaleWeights(v, .985)
		return one(p.on(flawAt("binding/sum-off", .015, .03).at(v)))
	}},
	{"one vertex with a sum of 1.6", func(p *patient) []*wound {
		if p.has("binding/sum-off") {
			return nil
		}
		_, own := p.tip(2)
		v := p.patch(own[len(own)-1], 1)
		p.scaleWeights(v, 1.6)
		return one(p.on(flawAt("binding/sum-off", .6, .02).at(v)))
	}},
	{"one place of an end bound to nothing", func(p *patient) []*wound {
		_, own := p.tip(1)
		v := p.patch(own[len(own)/3], 1)
		p.unbind(v)
		return one(p.on(stopAt("binding/unbound", float64(len(v)), 0).at(v)))
	}},
	{"a whole end bound to nothing", func(p *patient) []*wound {
		g, v := p.tip(3)
		if g.node < 0 {
			return nil
		}
		p.unbind(v)
		return one(p.on(stopAt("binding/unbound", float64(len(v)), 0).at(v)))
	}},
	{"a whole foot, hand or toe on the other side's joint", func(p *patient) []*wound {
		if p.has("binding/cross-body") {
			return nil
		}
		for _, g := range p.grips(8, true) {
			o := p.e.Roles().Of[g.node].Partner
			p.skin = g.surface
			if j := slices.Index(p.bones().Joints, o); o >= 0 && j >= 0 {
				v := p.dominated(g.joint)
				for _, x := range v {
					p.share([]rig.Vertex{x}, j, .9)
				}
				return one(p.on(flawAt("binding/cross-body", float64(len(v)), .15, "binding/stray-island", "skeleton/role-unheld", "binding/mirror-mismatch", "bends/stretch", "bends/turned-over", "motion/worst-frame", "binding/split-seam").at(nil, o)))
			}
		}
		return nil
	}},
	{"one copy of a seam at an end bound 5 % unlike", func(p *patient) []*wound {
		for k := range 6 {
			g, own := p.tip(k)
			if g.node < 0 {
				return nil
			}
			w, first := p.e.Weld(p.r.Surfaces[p.skin].Mesh), map[uint32]rig.Vertex{}
			for _, v := range own {
				u, ok := first[uint32(w.Of[v])]
				if !ok {
					first[uint32(w.Of[v])] = v
					continue
				}
				if o := p.other(v); o >= 0 {
					p.share([]rig.Vertex{v}, o, .05)
					return one(p.on(flawAt("binding/split-seam", anything, 0, "binding/stray-island", "bends/crack").at([]rig.Vertex{u, v})))
				}
			}
		}
		return nil
	}},
	{"six influences at an end", func(p *patient) []*wound {
		g, own := p.tip(2)
		if g.node < 0 || len(p.bones().Joints) < 6 || p.mesh().K > 8 {
			return nil
		}
		v := p.patch(own[0], 1)
		p.widen(8)
		m, k := p.mesh(), 0
		for _, x := range v {
			clear(m.Weights[m.K*int(x) : m.K*int(x+1)])
			clear(m.Joints[m.K*int(x) : m.K*int(x+1)])
		}
		for _, j := range p.near(v[0], len(p.bones().Joints)) { // those that hold something
			if k < 6 && slices.Contains(p.busy(), j) {
				for _, x := range v {
					m.Joints[m.K*int(x)+k], m.Weights[m.K*int(x)+k] = uint16(j), 1./6
				}
				k++
			}
		}
		if k < 6 {
			return nil
		}
		return one(p.on(noteAt("binding/many-influences", 6, 0, "binding/stray-island", "binding/cut-to-four", "binding/cross-body", "bends/stretch", "skeleton/off-centre").at(v)))
	}},
	{"part of a toe or finger on what stays behind", func(p *patient) []*wound {
		_, own := p.tip(0)
		// A joint that holds nothing, above the hips or beside the body.
		for j, n := range p.bones().Joints {
			idle := true
			for _, g := range append(p.grips(1, true), p.grips(1, false)...) {
				idle = idle && g.node != n
			}
			if idle && p.e.Roles().Of[n].Role == "" && (p.r.Nodes[n].Parent < 0 || len(p.r.Nodes[n].Children) == 0) && p.e.RestWorld()[n].Origin().Sub(space.At(p.e.RestPositions(p.skin), own[0])).Len() > .3*p.e.Diagonal() {
				v := p.patch(own[0], 4)
				p.share(v, j, .4)
				return one(p.on(flawAt("binding/stray-island", anything, 0, "bends/stretch", "motion/worst-frame", "binding/cross-body").at(v, n).either("bends/tear-along", "binding/mirror-mismatch", "binding/rough", "skeleton/off-centre")))
			}
		}
		return nil
	}},
	{"an index far beyond the skin with a tenth of a weight", func(p *patient) []*wound {
		g, own := p.tip(1)
		if g.node < 0 {
			return nil
		}
		v := p.patch(own[0], 1)
		p.share(v, len(p.bones().Joints)+200, .1)
		return one(p.on(stopAt("binding/bad-index", float64(len(v)), 0).at(v)))
	}},
	{"a weight of -0.05", func(p *patient) []*wound {
		g, own := p.tip(2)
		if g.node < 0 {
			return nil
		}
		v := p.patch(own[0], 1)
		m := p.floats()
		for _, x := range v {
			w := m.Weights[m.K*int(x) : m.K*int(x+1)]
			k := slices.Index(w, 0)
			if k < 0 {
				return nil
			}
			most := 0
			for i := range w {
				if w[i] > w[most] {
					most = i
				}
			}
			w[most] += .05
			m.Joints[m.K*int(x)+k], w[k] = uint16(p.other(x)), -.05
		}
		return one(p.on(stopAt("binding/bad-index", float64(len(v)), 0, "binding/sum-off").at(v)))
	}},
	{"the chest or back emptied", func(p *patient) []*wound { return p.emptied("chest", "upperChest", "spine") }},
	{"a hand emptied", func(p *patient) []*wound { return p.emptied("leftHand", "rightHand", "leftFoot") }},
	{"toes or a fingertip emptied", func(p *patient) []*wound {
		return p.emptied("leftToes", "leftThumbDistal", "leftIndexIntermediate", "rightRingDistal")
	}},
	{"the last of a tail or chain emptied", func(p *patient) []*wound {
		for _, g := range p.grips(20, true) {
			if p.e.Roles().Of[g.node].Role == "" && p.e.Roles().Of[g.node].Partner < 0 {
				return p.emptiedAt(g.node)
			}
		}
		return nil
	}},
}

// unbind takes all weights from vertices.
func (p *patient) unbind(list []rig.Vertex) {
	m := p.mesh()
	for _, v := range list {
		clear(m.Weights[m.K*int(v) : m.K*int(v+1)])
		clear(m.Joints[m.K*int(v) : m.K*int(v+1)])
	}
	resum(m)
}

// emptied hands all weights of the first of these roles that holds any to the joint above
// that holds some, else to the one below.
func (p *patient) emptied(roles ...string) []*wound {
	for _, role := range roles {
		n := p.e.Roles().Node(role)
		for _, g := range append(p.grips(8, true), p.grips(8, false)...) {
			if n >= 0 && g.node == n {
				return p.emptiedAt(n)
			}
		}
	}
	return nil
}

func (p *patient) emptiedAt(n rig.Node) []*wound {
	if p.has("skeleton/role-unheld") || p.has("binding/idle-joint") {
		return nil
	}
	var to rig.Node = rig.None
	held := map[rig.Node]bool{}
	for _, g := range append(p.grips(4, true), p.grips(4, false)...) {
		held[g.node] = true
	}
	if hips := p.e.Roles().Node("hips"); hips >= 0 {
		held[hips] = true
	}
	for up := p.r.Nodes[n].Parent; up >= 0 && to < 0; up = p.r.Nodes[up].Parent {
		if held[up] {
			to = up
		}
	}
	if to < 0 {
		return nil
	}
	for s := range p.r.Surfaces {
		if p.r.Surfaces[s].Skin < 0 {
			continue
		}
		q := *p
		q.skin = s
		j, up := slices.Index(q.bones().Joints, n), slices.Index(q.bones().Joints, to)
		if j < 0 || up < 0 {
			continue
		}
		m := q.floats()
		for v := range m.Vertices() {
			js, ws := m.Joints[m.K*v:m.K*(v+1)], m.Weights[m.K*v:m.K*(v+1)]
			first := -1
			for k := range js {
				if int(js[k]) == j && ws[k] > 0 {
					js[k] = uint16(up)
				}
				if int(js[k]) == up && ws[k] > 0 {
					if first < 0 {
						first = k
					} else {
						ws[first], ws[k], js[k] = ws[first]+ws[k], 0, 0
					}
				}
			}
		}
	}
	return one(noteAt("skeleton/role-unheld", anything, 0, "binding/mirror-mismatch", "bends/stretch", "bends/turned-over", "motion/worst-frame", "bends/collapse", "binding/stray-island").at(nil, n).either("binding/idle-joint"))
}

var fifthInShape = []hidden{
	{"one triangle gone at an end", func(p *patient) []*wound {
		g, own := p.tip(1)
		if g.node < 0 {
			return nil
		}
		m := p.mesh()
		corners := p.dropTriangle(own)
		if corners == nil {
			return nil
		}
		compact(m)
		return one(p.on(noteAt("surface/boundary-edges", anything, 0, "surface/unused-vertices", "surface/lopsided").at(nil)))
	}},
	{"a back to a triangle at an end", func(p *patient) []*wound {
		g, own := p.tip(2)
		t := p.triangleOf(own)
		if g.node < 0 || t < 0 {
			return nil
		}
		m := p.mesh()
		last := &m.Primitives[len(m.Primitives)-1]
		if int(m.Triangles[3*t]) < last.First {
			return nil
		}
		m.Triangles = append(m.Triangles, m.Triangles[3*t+1], m.Triangles[3*t], m.Triangles[3*t+2])
		last.TriCount++
		return one(p.on(flawAt("surface/branching-edges", 3, 0, "surface/mixed-winding")))
	}},
	{"one vertex drawn out by 3 % of the figure", func(p *patient) []*wound {
		if p.clean.Exam.Mirror().Doubt() != "" {
			return nil
		}
		g, own := p.tip(1)
		if g.node < 0 {
			return nil
		}
		v := p.patch(own[0], 1)
		m := p.mesh()
		far := .03 * p.e.Diagonal() * p.unit()
		for _, v := range v {
			m.Positions[3*v] += float32(far * .6)
			m.Positions[3*v+1] += float32(far * .6)
			m.Positions[3*v+2] += float32(far * .53)
		}
		m.Remeasure()
		return one(p.on(noteAt("surface/lopsided", anything, 0, "bends/stretch").at(v)))
	}},
	{"normals of an end turned in", func(p *patient) []*wound {
		g, own := p.tip(0)
		m := p.mesh()
		if g.node < 0 || m.Normals == nil || p.has("surface/bad-normals") || len(own) < 8 {
			return nil
		}
		for _, v := range own {
			for c := range 3 {
				m.Normals[3*int(v)+c] *= -1
			}
		}
		return one(p.on(noteAt("surface/bad-normals", anything, 0)))
	}},
	{"a closed piece turned inside out", func(p *patient) []*wound {
		for s := range p.r.Surfaces {
			if p.r.Surfaces[s].Skin < 0 || p.has("surface/inside-out") {
				continue
			}
			p.skin = s
			if tri := p.closedPiece(); tri != nil {
				m := p.mesh()
				for _, t := range tri {
					m.Triangles[3*t], m.Triangles[3*t+1] = m.Triangles[3*t+1], m.Triangles[3*t]
				}
				return one(p.on(flawAt("surface/inside-out", 1, 0, "surface/bad-normals")))
			}
		}
		return nil
	}},
	{"a triangle's edge drawn together at an end", func(p *patient) []*wound {
		if p.has("surface/slivers") {
			return nil
		}
		g, own := p.tip(0)
		t := p.triangleOf(own)
		if g.node < 0 || t < 0 {
			return nil
		}
		m, w := p.mesh(), p.e.Weld(p.r.Surfaces[p.skin].Mesh)
		a, b := m.Triangles[3*t], m.Triangles[3*t+1]
		for v := range m.Vertices() {
			if w.Of[v] == w.Of[a] {
				copy(m.Positions[3*v:3*v+3], m.Positions[3*b:3*b+3])
			}
		}
		return one(p.on(flawAt("surface/slivers", 2, .01, "binding/split-seam", "surface/branching-edges", "surface/lopsided")))
	}},
	{"a place far outside that nothing uses", func(p *patient) []*wound {
		if p.has("surface/unused-vertices") {
			return nil
		}
		p.tip(0)
		v := p.append(0, 10*p.e.Diagonal()*p.unit())
		p.mesh().Remeasure()
		return one(p.on(noteAt("surface/unused-vertices", 1, 0, "intake/bounds-off").at([]rig.Vertex{v})))
	}},
	{"a seam a fifth of a millimetre open", func(p *patient) []*wound {
		if p.has("surface/near-coincident") {
			return nil
		}
		v, _ := p.copies()
		if v < 0 {
			return nil
		}
		m := p.mesh()
		by := float32(.0002 / 1.7 * p.e.Height() * p.unit())
		m.Positions[3*v] += by * .6
		m.Positions[3*v+1] += by * .8
		return one(p.on(flawAt("surface/near-coincident", anything, 0).at([]rig.Vertex{v})))
	}},
	{"an end on one side a fifth larger", func(p *patient) []*wound {
		if p.clean.Exam.Mirror().Doubt() != "" || p.has("surface/lopsided") {
			return nil
		}
		for _, g := range p.grips(16, true) {
			if p.e.Roles().Of[g.node].Partner < 0 {
				continue
			}
			p.skin = g.surface
			m, own := p.mesh(), p.dominated(g.joint)
			var mid [3]float64
			for _, v := range own {
				for c := range 3 {
					mid[c] += float64(m.Positions[3*int(v)+c]) / float64(len(own))
				}
			}
			for _, v := range own {
				for c := range 3 {
					x := &m.Positions[3*int(v)+c]
					*x = float32(mid[c] + 1.2*(float64(*x)-mid[c]))
				}
			}
			m.Remeasure()
			return one(p.on(noteAt("surface/lopsided", anything, 0, "binding/split-seam", "skeleton/off-centre")))
		}
		return nil
	}},
	{"a bead beside the crown", func(p *patient) []*wound {
		g, own := p.tip(0)
		if g.node < 0 || p.has("surface/shells") {
			return nil
		}
		d := 2e-3 * p.e.Diagonal() * p.unit()
		a := own[0]
		b, c, e, f := p.append(a, 6*d), p.append(a, 6*d), p.append(a, 6*d), p.append(a, 6*d)
		m := p.mesh()
		m.Positions[3*c] += float32(d)
		m.Positions[3*e+1] += float32(d)
		m.Positions[3*f+2] += float32(d)
		m.Triangles = append(m.Triangles, uint32(b), uint32(e), uint32(c), uint32(b), uint32(c), uint32(f), uint32(b), uint32(f), uint32(e), uint32(c), uint32(e), uint32(f))
		m.Primitives[len(m.Primitives)-1].TriCount += 4
		return one(p.on(noteAt("surface/shells", anything, 0, "surface/lopsided")))
	}},
}

// triangleOf is a triangle with all corners among some vertices, −1.
func (p *patient) triangleOf(own []rig.Vertex) int {
	m := p.mesh()
	in := map[uint32]bool{}
	for _, v := range own {
		in[uint32(v)] = true
	}
	w := p.e.Weld(p.r.Surfaces[p.skin].Mesh)
	edges := map[[2]uint32]int{}
	at := func(t, k int) uint32 { return uint32(w.Of[m.Triangles[3*t+k%3]]) }
	for t := range len(m.Triangles) / 3 {
		for k := range 3 {
			edges[[2]uint32{at(t, k), at(t, k+1)}]++
		}
	}
	for t := range len(m.Triangles) / 3 {
		ok := true
		for k := range 3 {
			ok = ok && in[m.Triangles[3*t+k]] && at(t, k) != at(t, k+1) && edges[[2]uint32{at(t, k), at(t, k+1)}] == 1 && edges[[2]uint32{at(t, k+1), at(t, k)}] == 1
		}
		if ok {
			return t
		}
	}
	return -1
}

// dropTriangle takes one such out and answers its corners.
func (p *patient) dropTriangle(own []rig.Vertex) []uint32 {
	t := p.triangleOf(own)
	if t < 0 {
		return nil
	}
	m := p.mesh()
	gone := slices.Clone(m.Triangles[3*t : 3*t+3])
	for i := range m.Primitives {
		q := &m.Primitives[i]
		if t >= q.FirstTri && t < q.FirstTri+q.TriCount {
			copy(m.Triangles[3*t:], m.Triangles[3*(t+1):3*(q.FirstTri+q.TriCount)])
			q.TriCount--
			break
		}
	}
	return gone
}

// closedPiece are the triangles of a closed shell of 12 to a third of the surface's.
func (p *patient) closedPiece() (out []int) {
	m, w := p.mesh(), p.e.Weld(p.r.Surfaces[p.skin].Mesh)
	up := map[uint32]uint32{}
	var root func(uint32) uint32
	root = func(v uint32) uint32 {
		if u, ok := up[v]; ok && u != v {
			up[v] = root(u)
			return up[v]
		}
		return v
	}
	n := len(m.Triangles) / 3
	at := func(t, k int) uint32 { return uint32(w.Of[m.Triangles[3*t+k%3]]) }
	edges := map[[2]uint32]int{}
	for t := range n {
		for k := range 3 {
			up[root(at(t, k))] = root(at(t, k+1))
			edges[[2]uint32{at(t, k), at(t, k+1)}]++
		}
	}
	pieces, open := map[uint32][]int{}, map[uint32]bool{}
	for t := range n {
		r := root(at(t, 0))
		pieces[r] = append(pieces[r], t)
		for k := range 3 {
			if edges[[2]uint32{at(t, k), at(t, k+1)}] != 1 || edges[[2]uint32{at(t, k+1), at(t, k)}] != 1 {
				open[r] = true
			}
		}
	}
	for r, list := range pieces {
		if !open[r] && len(list) >= 12 && (out == nil || len(list) < len(out) || len(list) == len(out) && list[0] < out[0]) {
			out = list
		}
	}
	return out
}
