package inspect

import (
	"math"
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

var hiddenInWeights = []hidden{
	{"sums of 1.25 at the least busy joint", func(p *patient) []*wound {
		if p.has("binding/sum-off") {
			return nil
		}
		v := p.patch(p.dominated(p.held(0))[0], 5)
		p.scaleWeights(v, 1.25)
		return one(flawAt("binding/sum-off", .25, .02).at(v))
	}},
	{"sums 0.2 % short, over the limit", func(p *patient) []*wound {
		if p.has("binding/sum-off") {
			return nil
		}
		v := p.patch(p.dominated(p.held(2))[1], 7)
		p.scaleWeights(v, .998)
		return one(flawAt("binding/sum-off", .002, .05).at(v))
	}},
	{"sums 0.05 % short, under the limit", func(p *patient) []*wound {
		if p.has("binding/sum-off") {
			return nil
		}
		v := p.patch(p.dominated(p.held(2))[1], 7)
		p.scaleWeights(v, .9995)
		return one(noteAt("binding/sum-off", .0005, .05).at(v))
	}},
	{"a negative weight", func(p *patient) []*wound {
		v := p.patch(p.dominated(p.held(1))[0], 2)
		m := p.floats()
		for _, v := range v {
			w := m.Weights[m.K*int(v) : m.K*int(v+1)]
			k := slices.Index(w, 0)
			if k < 0 {
				return nil
			}
			m.Joints[m.K*int(v)+k] = uint16(p.other(v))
			w[k] = -.2
			for i := range w {
				if w[i] > .5 {
					w[i] += .2
				}
			}
		}
		return one(stopAt("binding/bad-index", float64(len(v)), 0, "binding/sum-off").at(v))
	}},
	{"a weight that is no number", func(p *patient) []*wound {
		v := p.dominated(p.held(1))[0]
		m := p.floats()
		m.NonFinite = append(m.NonFinite, v)
		m.Weights[m.K*int(v)] = 0
		return one(stopAt("binding/bad-index", 1, 0, "binding/sum-off", "binding/unbound", "binding/split-seam").at([]rig.Vertex{v}))
	}},
	{"one vertex bound to nothing", func(p *patient) []*wound {
		v := p.patch(p.dominated(p.held(0))[0], 1)
		m := p.mesh()
		for _, v := range v {
			clear(m.Weights[m.K*int(v) : m.K*int(v+1)])
		}
		resum(m)
		return one(stopAt("binding/unbound", float64(len(v)), 0).at(v))
	}},
	{"nine influences", func(p *patient) []*wound {
		if len(p.bones().Joints) < 9 {
			return nil
		}
		v := p.patch(p.dominated(p.held(1))[0], 3)
		p.widen(12)
		p.spread(v, 9)
		return one(flawAt("binding/many-influences", 9, 0, "binding/stray-island", "binding/cut-to-four", "binding/cross-body").at(v))
	}},
	{"five influences", func(p *patient) []*wound {
		v := p.patch(p.dominated(p.held(1))[0], 3)
		p.widen(8)
		p.spread(v, 5)
		return one(noteAt("binding/many-influences", 5, 0, "binding/stray-island", "binding/cut-to-four", "binding/cross-body").at(v))
	}},
	{"one joint twice in a vertex", func(p *patient) []*wound {
		v := p.patch(p.dominated(p.held(1))[0], 2)
		m := p.floats()
		for _, v := range v {
			w, j := m.Weights[m.K*int(v):m.K*int(v+1)], m.Joints[m.K*int(v):m.K*int(v+1)]
			k := slices.Index(w, 0)
			if k < 1 {
				return nil
			}
			j[k], w[k], w[0] = j[0], w[0]/2, w[0]/2
		}
		return one(flawAt("binding/unplugged", float64(len(v)), 0))
	}},
	{"a patch of the second busiest joint on the fourth", func(p *patient) []*wound {
		b := p.busy()
		if len(b) < 5 || p.has("binding/stray-island") {
			return nil
		}
		s, world := p.bones(), p.e.RestWorld()
		from := b[1]
		to := slices.MaxFunc(b, func(a, c int) int { // the busy joint that is farthest away
			o := world[s.Joints[from]].Origin()
			x, y := world[s.Joints[a]].Origin().Sub(o).Len(), world[s.Joints[c]].Origin().Sub(o).Len()
			return int(math.Copysign(1, x-y))
		})
		if world[s.Joints[from]].Origin().Sub(world[s.Joints[to]].Origin()).Len() < .25*p.e.Diagonal() {
			return nil // two bones' lengths make a patch a stray one
		}
		v := p.patch(p.dominated(from)[len(p.dominated(from))/2], 6)
		p.share(v, to, .15)
		return one(flawAt("binding/stray-island", anything, 0, "binding/cross-body").at(v, s.Joints[to]))
	}},
	{"a patch wholly on the head", func(p *patient) []*wound {
		n, j := p.joint("head")
		_, from := p.joint("leftFoot", "leftLowerLeg", "rightLowerLeg")
		if j < 0 || from < 0 {
			return nil
		}
		v := p.patch(p.dominated(from)[0], 8)
		m := p.floats()
		for _, v := range v {
			clear(m.Weights[m.K*int(v) : m.K*int(v+1)])
			clear(m.Joints[m.K*int(v) : m.K*int(v+1)])
			m.Joints[m.K*int(v)], m.Weights[m.K*int(v)] = uint16(j), 1
		}
		return one(flawAt("binding/stray-island", anything, 0, "bends/stretch", "bends/turned-over", "motion/worst-frame", "binding/mirror-mismatch").at(v, n))
	}},
	{"two at once: nothing on one limb, the other side on another", func(p *patient) []*wound {
		a, ja := p.joint("leftLowerArm", "leftHand", "leftLowerLeg")
		b, jb := p.joint("rightLowerArm", "rightHand", "rightLowerLeg")
		_, far := p.joint("rightLowerLeg", "rightFoot", "rightUpperLeg", "head")
		if a < 0 || b < 0 || far < 0 || p.has("binding/cross-body") {
			return nil
		}
		v := p.patch(p.dominated(ja)[2], 4)
		u := p.patch(p.dominated(far)[0], 5)
		p.share(v, jb, .4)
		m := p.mesh()
		for _, v := range u {
			clear(m.Weights[m.K*int(v) : m.K*int(v+1)])
		}
		return []*wound{flawAt("binding/cross-body", float64(len(v)), 0, "binding/stray-island").at(v, b), stopAt("binding/unbound", float64(len(u)), 0).at(u)}
	}},
	{"a seam bound a little unlike", func(p *patient) []*wound {
		v, u := p.copies()
		if v < 0 || p.other(v) < 0 {
			return nil
		}
		p.share([]rig.Vertex{v}, p.other(v), .02)
		return one(flawAt("binding/split-seam", anything, 0, "binding/stray-island").at([]rig.Vertex{min(u, v)}))
	}},
	{"a limb's weights given to the joint above, on one side", func(p *patient) []*wound {
		n, j := p.joint("leftLowerArm", "leftLowerLeg")
		if n < 0 || p.clean.Exam.Mirror().Doubt() != "" || p.has("binding/mirror-mismatch") {
			return nil
		}
		up := slices.Index(p.bones().Joints, p.r.Nodes[n].Parent)
		if up < 0 {
			return nil
		}
		var v []rig.Vertex
		m := p.floats()
		all := 0
		for i, s := range p.r.Surfaces {
			if s.Skin >= 0 && s.Mesh != p.r.Surfaces[p.skin].Mesh {
				all += p.r.Meshes[p.r.Surfaces[i].Mesh].Vertices()
			}
		}
		for _, x := range p.dominated(j) {
			for k := m.K * int(x); k < m.K*int(x+1); k++ {
				if int(m.Joints[k]) == j && !slices.Contains(m.Joints[m.K*int(x):m.K*int(x+1)], uint16(up)) {
					m.Joints[k] = uint16(up)
					v = append(v, x)
				}
			}
		}
		if len(v) < (all+m.Vertices())/80 {
			return nil
		}
		return one(flawAt("binding/mirror-mismatch", anything, 0, "binding/stray-island", "binding/split-seam", "binding/rough", "bends/stretch", "bends/turned-over", "skeleton/role-unheld").at(nil, n, p.r.Nodes[n].Parent))
	}},
	{"faint weights everywhere", func(p *patient) []*wound {
		if p.has("binding/faint") {
			return nil
		}
		m := p.floats()
		n, all := 0, 0
		for v := range m.Vertices() {
			w, j := m.Weights[m.K*v:m.K*(v+1)], m.Joints[m.K*v:m.K*(v+1)]
			k := slices.Index(w, 0)
			for i := range w {
				if w[i] > 0 {
					all++
				}
			}
			o := p.other(rig.Vertex(v))
			if k < 1 || v%2 == 0 || o < 0 || slices.Contains(j[:k], uint16(o)) {
				continue
			}
			best := 0
			for i := range w {
				if w[i] > w[best] {
					best = i
				}
			}
			w[best] -= .004
			j[k], w[k] = uint16(o), .004
			n, all = n+1, all+1
		}
		for i, s := range p.r.Surfaces {
			if o := &p.r.Meshes[s.Mesh]; i != p.skin && s.Skin >= 0 {
				for _, w := range o.Weights {
					if w > 0 {
						all++
					}
				}
			}
		}
		if 19*n < all { // the limit is one in twenty
			return nil
		}
		return one(noteAt("binding/faint", anything, 0, "binding/split-seam", "binding/stray-island", "bends/crack"))
	}},
}

var hiddenInShape = []hidden{
	{"a hole of one corner's triangles", func(p *patient) []*wound {
		_, _, c := p.inner()
		m, weld := p.mesh(), p.e.Weld(p.r.Surfaces[p.skin].Mesh)
		n := 0
		for i := range m.Primitives {
			q := &m.Primitives[i]
			var kept []uint32
			for t := q.FirstTri; t < q.FirstTri+q.TriCount; t++ {
				tri := m.Triangles[3*t : 3*t+3]
				if slices.ContainsFunc(tri, func(v uint32) bool { return weld.Of[v] == weld.Of[c] }) {
					n++
					continue
				}
				kept = append(kept, tri...)
			}
			for len(kept) < 3*q.TriCount { // the others' places stay: filled with the last again would double it
				q.TriCount--
			}
			copy(m.Triangles[3*q.FirstTri:], kept)
		}
		compact(m)
		return one(noteAt("surface/boundary-edges", 1, 0, "surface/unused-vertices", "surface/lopsided", "binding/mirror-mismatch"))
	}},
	{"vertices at a seam a hair apart", func(p *patient) []*wound {
		if p.has("surface/near-coincident") {
			return nil
		}
		v, _ := p.copies()
		if v < 0 {
			return nil
		}
		m := p.mesh()
		m.Positions[3*v+1] += float32(3e-6 * p.e.Diagonal() * p.unit())
		return one(flawAt("surface/near-coincident", anything, 0, "binding/split-seam"))
	}},
	{"six normals in a hundred turned in", func(p *patient) []*wound {
		if p.has("surface/bad-normals") || p.mesh().Normals == nil {
			return nil
		}
		all := 0
		for _, s := range p.r.Surfaces {
			all += p.r.Meshes[s.Mesh].Vertices()
		}
		m := p.mesh()
		for v := range min(all*6/100, m.Vertices()) {
			for c := range 3 {
				m.Normals[3*v+c] *= -1
			}
		}
		return one(flawAt("surface/bad-normals", anything, 0))
	}},
	{"triangle twice", func(p *patient) []*wound {
		m := p.mesh()
		i := p.innerTriangle()
		last := &m.Primitives[len(m.Primitives)-1]
		m.Triangles = append(m.Triangles, m.Triangles[3*i:3*i+3]...)
		last.TriCount++
		return one(flawAt("surface/branching-edges", 3, 0, "surface/mixed-winding"))
	}},
	{"a crumb", func(p *patient) []*wound {
		a, _, _ := p.inner()
		d := 1e-4 * p.e.Diagonal()
		b, c, e := p.append(a, d), p.append(a, 2*d), p.append(a, 3*d)
		m := p.mesh()
		m.Positions[3*c] += float32(d)
		m.Positions[3*e+1] += float32(4 * d)
		f := p.append(a, 1.5*d)
		m.Positions[3*f+2] += float32(3 * d)
		m.Triangles = append(m.Triangles, uint32(b), uint32(c), uint32(e), uint32(c), uint32(b), uint32(f), uint32(e), uint32(f), uint32(b), uint32(f), uint32(e), uint32(c))
		m.Primitives[len(m.Primitives)-1].TriCount += 4
		return one(noteAt("surface/shells", anything, 0, "surface/inside-out", "surface/lopsided"))
	}},
	{"a limb drawn out on one side", func(p *patient) []*wound {
		n, j := p.joint("leftFoot", "leftLowerLeg", "leftHand", "leftLowerArm")
		if n < 0 || p.clean.Exam.Mirror().Doubt() != "" || p.has("surface/lopsided") {
			return nil
		}
		m := p.mesh()
		own := p.dominated(j)
		if len(own) < m.Vertices()/50 {
			return nil
		}
		for _, v := range own {
			m.Positions[3*v+2] += float32(.04 * p.e.Diagonal() * p.unit())
		}
		return one(flawAt("surface/lopsided", anything, 0, "binding/mirror-mismatch", "surface/slivers", "binding/split-seam", "surface/near-coincident", "bends/stretch", "bends/turned-over", "skeleton/off-centre"))
	}},
}

// compact drops what the primitives no longer name.
func compact(m *rig.MeshData) {
	var out []uint32
	for i := range m.Primitives {
		q := &m.Primitives[i]
		tri := m.Triangles[3*q.FirstTri : 3*(q.FirstTri+q.TriCount)]
		q.FirstTri = len(out) / 3
		out = append(out, tri...)
	}
	m.Triangles = out
}

// unit is how long one metre is in the stored numbers of the mesh.
func (p *patient) unit() float64 {
	m, rest := p.mesh(), p.e.RestPositions(p.skin)
	a, b := 0, 0
	for v := range m.Vertices() {
		if space.At(m.Positions, v).Sub(space.At(m.Positions, a)).Len() > space.At(m.Positions, b).Sub(space.At(m.Positions, a)).Len() {
			b = v
		}
	}
	return space.At(m.Positions, a).Sub(space.At(m.Positions, b)).Len() / space.At(rest, a).Sub(space.At(rest, b)).Len()
}

// scaleWeights multiplies all weights of some vertices.
func (p *patient) scaleWeights(vertices []rig.Vertex, by float32) {
	m := p.floats()
	for _, v := range vertices {
		for k := m.K * int(v); k < m.K*int(v+1); k++ {
			m.Weights[k] *= by
		}
	}
}
