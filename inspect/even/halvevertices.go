package even

import (
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// vertices works out what the new vertices hold.
func (x *building) vertices() error {
	x.room()
	for i, m := range x.out.From {
		flat := x.onPlane(uint32(i)) // a mirror image that lies there is like what it is of
		plain := m.A == m.B && !m.Mirrored && !flat
		if x.out.Weights != nil {
			if err := x.influences(i, m, plain); err != nil {
				return err
			}
		}
		if plain {
			x.same(i, m.A)
			continue
		}
		c, err := x.crossingOf(i, m, flat)
		if err != nil {
			return err
		}
		both := c.back.Mul(&c.turn)
		lin := both.Float32()
		copy(x.out.Maps[12*i:], lin[:])
		goal, morph := x.morphs(c)
		x.position(c, goal, morph)
		if x.out.Normals != nil {
			x.normals(c)
		}
	}
	return nil
}

// room makes the lists that the primitive has.
func (x *building) room() {
	data, prim, n := x.data, &x.data.Primitives[x.out.Primitive], len(x.out.From)
	x.out.Positions, x.out.Maps = make([]float32, 3*n), make([]float32, 12*n)
	if prim.HasNormals && data.Normals != nil {
		x.out.Normals = make([]float32, 3*n)
	}
	if x.h.e.Rig.Surfaces[x.surface].Skin >= 0 && prim.Sets > 0 {
		x.out.Joints, x.out.Weights = make([]uint16, data.K*n), make([]float32, data.K*n)
	}
	x.out.Targets = make([]rig.Target, len(data.Targets))
	for t := range data.Targets {
		if data.Targets[t].Positions != nil {
			x.out.Targets[t].Positions = make([]float32, 3*n)
		}
		if data.Targets[t].Normals != nil && x.out.Normals != nil {
			x.out.Targets[t].Normals = make([]float32, 3*n)
		}
	}
}

// same takes a vertex over, to the bit.
func (x *building) same(i int, v int32) {
	lin := rig.Identity.Float32()
	copy(x.out.Maps[12*i:], lin[:])
	take := func(to, from []float32) {
		if to != nil {
			copy(to[3*i:3*i+3], from[3*v:3*v+3])
		}
	}
	take(x.out.Positions, x.data.Positions)
	take(x.out.Normals, x.data.Normals)
	for t := range x.out.Targets {
		take(x.out.Targets[t].Positions, x.data.Targets[t].Positions)
		take(x.out.Targets[t].Normals, x.data.Targets[t].Normals)
	}
}

// crossing is how one new vertex goes from the mesh to the world and back.
type crossing struct {
	i    int
	m    Made
	flat bool // it lies on the plane

	was, is rig.Affine // mesh → world, by the weights it comes from, and by those it will have
	back    rig.Affine // world → mesh, by the latter
	turn    rig.Affine // was, mirrored where the vertex is an image
}

func (x *building) crossingOf(i int, m Made, flat bool) (*crossing, error) {
	a, r := x.h.a, x.h.e.Rig
	c := &crossing{i: i, m: m, flat: flat, was: a.matrix(r, x.surface, m.A)}
	if m.A != m.B {
		b := a.matrix(r, x.surface, m.B)
		for k := range c.was {
			c.was[k] += m.Share * (b[k] - c.was[k])
		}
	}
	c.is = c.was
	if x.out.Weights != nil {
		c.is = x.matrix(i)
	}
	ok := false
	if c.back, ok = c.is.Inverse(); !ok {
		return nil, refuse("A vertex of the mesh %q cannot be mirrored: no joint holds it, or the matrix that binds it is flat. Clean the weights and the bind first.", x.data.Name)
	}
	c.turn = c.was
	if m.Mirrored && !flat {
		reflect := rig.Affine(x.h.out.Shape.Plane.Matrix())
		c.turn = reflect.Mul(&c.was)
	}
	return c, nil
}

// blend is what the vertex has of a list of three a vertex.
func (c *crossing) blend(v []float32) space.Vec {
	p := space.At(v, int(c.m.A))
	if c.m.A != c.m.B {
		p = p.Mul(1 - c.m.Share).Add(space.At(v, int(c.m.B)).Mul(c.m.Share))
	}
	return p
}

func (c *crossing) put(v []float32, p space.Vec) {
	for k := range 3 {
		v[3*c.i+k] = float32(p[k])
	}
}

// morphs writes how far each target moves the vertex. goal is where it stands, mesh, with
// the morph weights at rest; morph is what these add once it is written.
func (x *building) morphs(c *crossing) (goal, morph space.Vec) {
	weights := x.data.Morph
	if w := x.h.e.Rig.Nodes[x.h.e.Rig.Surfaces[x.surface].Node].Weights; w != nil {
		weights = w
	}
	goal = c.blend(x.data.Positions)
	for t := range x.data.Targets {
		to := x.out.Targets[t].Positions
		if to == nil {
			continue
		}
		d := c.was.Direction(c.blend(x.data.Targets[t].Positions))
		other := x.h.a.flip(c.was.Direction(c.blend(x.data.Targets[x.mate(t)].Positions)))
		if c.flat {
			d = d.Add(other).Mul(0.5)
		} else if c.m.Mirrored {
			d = other
		}
		d = c.back.Direction(d)
		c.put(to, d)
		if t < len(weights) && weights[t] != 0 {
			morph = morph.Add(d.Mul(float64(weights[t])))
			goal = goal.Add(c.blend(x.data.Targets[t].Positions).Mul(float64(weights[t])))
		}
	}
	return goal, morph
}

// position writes where the vertex stands. One place has one answer, whatever its stored
// copies round to.
func (x *building) position(c *crossing, goal, morph space.Vec) {
	key := placeKey{x.point[c.m.A], x.point[c.m.B], c.m.Mirrored && !c.flat}
	at, known := x.h.placed[key]
	if !known {
		goal = c.turn.Point(goal)
		if c.flat {
			goal = x.h.out.Shape.Plane.Foot(goal)
		}
		p := c.back.Point(goal).Sub(morph)
		at = [3]float32{float32(p[0]), float32(p[1]), float32(p[2])}
		x.h.placed[key] = at
	}
	copy(x.out.Positions[3*c.i:3*c.i+3], at[:])
}

// normals writes the vertex's normal and how each target turns it.
func (x *building) normals(c *crossing) {
	normal, ok := x.normal(c.m)
	if !ok {
		normal = space.Vec{0, 1, 0}
	}
	switch {
	case c.m.Mirrored:
		normal = x.h.a.flip(normal)
	case c.flat && x.image[uint32(c.i)] == uint32(c.i):
		normal = space.Level(normal, space.Vec(x.h.out.Shape.Plane.Normal))
	}
	if u, ok := space.Unit(across(&c.is, normal)); ok {
		c.put(x.out.Normals, u)
	}
	for t := range x.out.Targets {
		to := x.out.Targets[t].Normals
		if to == nil {
			continue
		}
		d := c.was.Direction(c.blend(x.data.Targets[t].Normals))
		if u := x.mate(t); c.m.Mirrored && x.data.Targets[u].Normals != nil {
			d = x.h.a.flip(c.was.Direction(c.blend(x.data.Targets[u].Normals)))
		}
		c.put(to, c.back.Direction(d))
	}
}
