package skeleton

import (
	"math"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func isIdentity(m *rig.Affine) bool {
	for i := range m {
		if math.Abs(m[i]-rig.Identity[i]) > 1e-6 {
			return false
		}
	}
	return true
}

// heldBoxes are those of the vertices that each joint holds most of, as stored.
func (f *Facts) heldBoxes(t *tangle) []geom.Box {
	boxes := make([]geom.Box, len(t.skin.Joints))
	for i := range boxes {
		boxes[i] = geom.EmptyBox()
	}
	for _, s := range t.b.surfaces {
		m := &f.e.Rig.Meshes[f.e.Rig.Surfaces[s].Mesh]
		for v := range m.Vertices() {
			heavy, w := -1, float32(0)
			for i := v * m.K; i < (v+1)*m.K; i++ {
				if x := m.Weights[i]; x > w && int(m.Joints[i]) < len(boxes) {
					heavy, w = int(m.Joints[i]), x
				}
			}
			if x := m.Positions[3*v : 3*v+3]; heavy >= 0 {
				boxes[heavy].Add(space.Vec{float64(x[0]), float64(x[1]), float64(x[2])})
			}
		}
	}
	return boxes
}

// away is how far a point lies outside a box.
func away(b geom.Box, p space.Vec) float64 {
	s := 0.0
	for i := range p {
		d := max(b.Min[i]-p[i], p[i]-b.Max[i], 0)
		s += d * d
	}
	return math.Sqrt(s)
}

// astray tells that a joint with the identity was not bound at the stored origin: its
// vertices lie nearer to where it rests.
func (f *Facts) astray(t *tangle, j int) bool {
	box := f.heldBoxes(t)[j]
	back, ok := t.b.common.Inverse()
	if box.IsEmpty() || !ok {
		return false
	}
	return away(box, back.Point(t.world[t.skin.Joints[j]].Origin())) < away(box, space.Vec{})
}

// lostBinds finds a skin whose matrices are all the same though its joints rest in
// different places: either they were lost, or the surface is kept joint by joint, each
// part in the space of its joint (glTF 2.0, Skins: no matrices mean that they were
// applied beforehand). What holds a part stands near it: in the first case where it
// rests, in the second at the stored origin.
func (f *Facts) lostBinds(t *tangle) bool {
	first := &t.skin.Bind[t.list[0]]
	for _, k := range t.list {
		for i := range first {
			if !(math.Abs(t.skin.Bind[k][i]-first[i]) <= 1e-6*max(1, math.Abs(first[i]))) {
				return false
			}
		}
	}
	if len(t.off(&t.b.each[t.list[0]])) == 0 {
		return false // all rest in one place: nothing was lost
	}
	boxes := f.heldBoxes(t)
	origin := space.Vec{}
	if back, ok := first.Inverse(); ok {
		origin = back.Origin()
	}
	type guess struct {
		common rig.Affine
		far    float64
	}
	best := guess{far: math.Inf(1)}
	tries := []rig.Affine{rig.Identity}
	for _, s := range t.b.surfaces {
		tries = append(tries, t.world[f.e.Rig.Surfaces[s].Node])
	}
	for _, c := range tries[:min(len(tries), 8)] {
		back, ok := c.Inverse()
		if !ok {
			continue
		}
		far := 0.0
		for _, k := range t.list {
			if !boxes[k].IsEmpty() {
				far += away(boxes[k], back.Point(t.world[t.skin.Joints[k]].Origin()))
			}
		}
		if far < best.far {
			best = guess{c, far}
		}
	}
	far := 0.0
	for _, k := range t.list {
		if !boxes[k].IsEmpty() {
			far += away(boxes[k], origin)
		}
	}
	if far <= best.far {
		t.b.apart = true
		return true
	}
	t.b.common = best.common
	w := f.wrong(t, t.list)
	if w.What = bindIdentity; !t.skin.HasBind {
		w.What = bindMissing
	}
	f.BindWrong = append(f.BindWrong, w)
	return true
}
