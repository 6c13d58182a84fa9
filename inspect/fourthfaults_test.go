package inspect

import (
	"slices"
	"testing"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// A fourth set of faults in real figures: other places and other sizes than the three
// before, on both sides of where those lay, each in a figure written in one of five
// further guises, most of them two at once.

var fourthGuises = []guise{
	{"triangles in another order", shuffleTriangles, nil, nil},
	{"in five primitives and few bits", func(r *rig.Rig) { splitAll(r, 5); packAll(r) }, nil, nil},
	{"nodes and joints in another order, below a node", func(r *rig.Rig) { shuffleNodes(r); shuffleSkins(r); under(r, false) }, nil, nil},
	{"turned by 291°, padded to twelve slots", func(r *rig.Rig) { turnAll(r, turnedBy(0, 291, 0)); slots(r, 12, true) }, nil, nil},
	{"nameless mirror image, triangles in another order", func(r *rig.Rig) {
		mirrorAll(r)
		nameAll(r, func(int) string { return "" })
		shuffleTriangles(r)
	}, nil, byName},
}

// shuffleTriangles lists the triangles of each primitive from the last to the first, each
// from its second corner.
func shuffleTriangles(r *rig.Rig) {
	for i := range r.Meshes {
		m := &r.Meshes[i]
		old := slices.Clone(m.Triangles)
		for _, p := range m.Primitives {
			for t := range p.TriCount {
				from, to := 3*(p.FirstTri+t), 3*(p.FirstTri+p.TriCount-1-t)
				m.Triangles[to], m.Triangles[to+1], m.Triangles[to+2] = old[from+1], old[from+2], old[from]
			}
		}
	}
}

// keyOff turns one key of a dense channel, at a share of the clip.
func keyOff(degrees, at float64) func(p *patient) []*wound {
	return func(p *patient) []*wound {
		if p.has("motion/stray-key") {
			return nil
		}
		c, ch := p.dense(18)
		if ch == nil {
			return nil
		}
		turn(ch, int(at*float64(len(ch.Times))), degrees)
		return one(flawAt("motion/stray-key", degrees, .25, "motion/jump", "motion/long-way").in(c).at(nil, ch.Node))
	}
}

// sumsOff makes the weights of so many vertices short of one, or over it.
func sumsOff(held, vertices int, by float32, grade func(string, float64, float64, ...string) *wound) func(p *patient) []*wound {
	return func(p *patient) []*wound {
		if p.has("binding/sum-off") {
			return nil
		}
		v := p.patch(p.dominated(p.held(held))[0], vertices)
		p.scaleWeights(v, by)
		size := 1 - float64(by)
		return one(grade("binding/sum-off", max(size, -size), .05).at(v))
	}
}

// misbound turns and scales the bind matrix of a joint.
func misbound(held int, degrees, scale float64, axis space.Vec) func(p *patient) []*wound {
	return func(p *patient) []*wound {
		if p.has("skeleton/bind-odd") {
			return nil
		}
		j := p.held(held)
		n := p.bones().Joints[j]
		p.rebind(j, about3(p.e.RestWorld()[n].Origin(), axis, degrees, scale))
		return one(flawAt("skeleton/bind-odd", anything, 0).at(nil, n))
	}
}

// rescaled gives a leaf joint a scale.
func rescaled(by float64) func(p *patient) []*wound {
	return func(p *patient) []*wound {
		if p.has("skeleton/scaled-joint") {
			return nil
		}
		for _, j := range p.busy() {
			n := p.bones().Joints[j]
			if d := &p.r.Nodes[n]; !d.HasMatrix && len(d.Children) == 0 {
				d.S = [3]float64{by, by, by}
				d.Matrix = d.TRS.Affine()
				return one(flawAt("skeleton/scaled-joint", max(by-1, 1-by), .01, "skeleton/bind-odd").at(nil, n))
			}
		}
		return nil
	}
}

var fourthFaults = []hidden{
	{"sums of 0.9 at the busiest joint but three", sumsOff(3, 9, .9, flawAt)},
	{"sums of 1.04 at the busiest joint but one", sumsOff(1, 6, 1.04, flawAt)},
	{"sums 0.08 % over, under the limit", sumsOff(2, 8, 1.0008, noteAt)},
	{"three vertices and more bound to nothing", func(p *patient) []*wound {
		v := p.patch(p.dominated(p.held(2))[0], 3)
		m := p.mesh()
		for _, v := range v {
			clear(m.Weights[m.K*int(v) : m.K*int(v+1)])
		}
		resum(m)
		return one(stopAt("binding/unbound", float64(len(v)), 0).at(v))
	}},
	{"seven influences", func(p *patient) []*wound {
		if len(p.bones().Joints) < 7 {
			return nil
		}
		v := p.patch(p.dominated(p.held(2))[0], 4)
		p.widen(16)
		p.spread(v, 7)
		return one(noteAt("binding/many-influences", 7, 0, "binding/stray-island", "binding/cut-to-four", "binding/cross-body", "binding/mirror-mismatch").at(v))
	}},
	{"normals of nothing on a larger patch", func(p *patient) []*wound {
		m := p.mesh()
		if p.has("surface/bad-normals") || m.Normals == nil {
			return nil
		}
		v := p.patch(p.dominated(p.held(1))[0], 20)
		for _, v := range v {
			clear(m.Normals[3*v : 3*v+3])
		}
		return one(noteAt("surface/bad-normals", float64(len(v)), 0))
	}},
	{"seven vertices left over", func(p *patient) []*wound {
		if p.has("surface/unused-vertices") {
			return nil
		}
		for i := range 7 {
			p.append(rig.Vertex(3*i), 0)
		}
		return one(noteAt("surface/unused-vertices", 7, 0, "surface/doubled-vertices", "surface/lopsided"))
	}},
	{"two triangles twice", func(p *patient) []*wound {
		m := p.mesh()
		i := p.innerTriangle()
		last := &m.Primitives[len(m.Primitives)-1]
		m.Triangles = append(m.Triangles, m.Triangles[3*i:3*i+3]...)
		m.Triangles = append(m.Triangles, m.Triangles[3*i:3*i+3]...)
		last.TriCount += 2
		return one(flawAt("surface/branching-edges", 3, 0, "surface/mixed-winding"))
	}},
	{"a bind turned by 4°", misbound(3, 4, 1, space.Vec{1, 0, 0})},
	{"a bind turned by 30°", misbound(2, 30, 1, space.Vec{0, 1, 0})},
	{"a bind 20 % small", misbound(3, 0, .8, space.Vec{0, 0, 1})},
	{"a joint scaled by 1.25", rescaled(1.25)},
	{"a joint scaled by 0.98", rescaled(.98)},
	{"binds of the two thighs or upper arms exchanged", func(p *patient) []*wound {
		a, ja := p.joint("leftUpperLeg", "leftUpperArm")
		b, jb := p.joint("rightUpperLeg", "rightUpperArm")
		if a < 0 || b < 0 {
			return nil
		}
		s := p.bones()
		s.Bind[ja], s.Bind[jb] = s.Bind[jb], s.Bind[ja]
		return one(flawAt("skeleton/bind-mixed", anything, 0).at(nil, a, b))
	}},
	{"a key 60° off", keyOff(60, .6)},
	{"a key 35° off", keyOff(35, .25)},
	{"a rotation key 2 % too short", func(p *patient) []*wound {
		if p.has("motion/off-unit") {
			return nil
		}
		c, ch := p.dense(6)
		if ch == nil {
			return nil
		}
		for i := range 4 {
			ch.Values[16+i] *= .98
		}
		return one(flawAt("motion/off-unit", .02, .1).in(c).at(nil, ch.Node))
	}},
	{"a thigh or neck that grows by 10 %", func(p *patient) []*wound { return p.grow(1.1, .1) }},
	{"a thigh or neck that shrinks by 30 %", func(p *patient) []*wound { return p.grow(.7, .3) }},
	{"a swelling of 12 % at another joint", func(p *patient) []*wound {
		if len(p.r.Clips) == 0 || p.has("motion/scale-keys") {
			return nil
		}
		n := p.bones().Joints[p.held(1)]
		clip := &p.r.Clips[0]
		clip.Channels = slices.DeleteFunc(clip.Channels, func(c rig.Channel) bool { return c.Node == n && c.Path == rig.Scale })
		a, b := float32(clip.Start), float32(clip.Seconds)
		clip.Channels = append(clip.Channels, rig.Channel{Node: n, Path: rig.Scale, Width: 3, Times: []float32{a, (a + b) / 2, b}, Values: []float32{1, 1, 1, 1.12, 1.12, 1.12, 1, 1, 1}})
		return one(noteAt("motion/scale-keys", 1, 0, "motion/worst-frame", "motion/under-ground", "motion/foot-skate").at(nil, n))
	}},
}

func TestFourthFaultsInRealFigures(t *testing.T) {
	allTold(t, fourthFaults, fourthGuises, 2, nil, [2]int{60, 18})
}
