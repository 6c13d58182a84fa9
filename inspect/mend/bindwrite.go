package mend

import (
	"fmt"
	"math"
	"slices"

	"rigloupe/inspect/bind"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/weights"
)

// holdsOf are the weights of a place by the joints of a skin, at most four, none faint.
func (b *binder) holdsOf(place uint32, number map[int]uint16, out []weights.Hold) []weights.Hold {
	out = out[:0]
	for k := range bind.K {
		x := b.bound.Rows.Weight[bind.K*int(place)+k]
		if n, has := number[int(b.bound.Rows.Joint[bind.K*int(place)+k])]; has && x > 0 {
			out = append(out, weights.Hold{Joint: n, Weight: x})
		}
	}
	return fourOf(out)
}

// write stores weights: over those that are there, and in new arrays with a skin for
// surfaces that have none.
func (b *binder) write() error {
	w, r := b.w, b.w.Rig
	is := *r
	is.Meshes = slices.Clone(r.Meshes)
	maps := make([][]float32, len(r.Meshes))
	for _, i := range b.surfaces {
		if s := r.Surfaces[i]; s.Skin >= 0 && r.Meshes[s.Mesh].K > 0 {
			b.replace(i, &is)
		} else if s.Skin < 0 && b.placedAlone(i) {
			b.settle(i, &is, maps)
		}
	}
	if err := w.Write(&is, maps); err != nil {
		return err
	}
	for _, i := range b.surfaces {
		if err := b.add(i); err != nil {
			return err
		}
	}
	return nil
}

// numbers tells for every joint its place in a list of nodes.
func (b *binder) numbers(list []rig.Node) map[int]uint16 {
	out := map[int]uint16{}
	for k, n := range list {
		if j, is := b.joint[n]; is {
			if _, twice := out[j]; !twice {
				out[j] = uint16(k)
			}
		}
	}
	return out
}

// replace puts new weights in the place of those of a skinned surface.
func (b *binder) replace(surface int, is *rig.Rig) {
	s := b.w.Rig.Surfaces[surface]
	m := &is.Meshes[s.Mesh]
	m.Joints, m.Weights = slices.Clone(m.Joints), slices.Clone(m.Weights)
	number := b.numbers(b.w.Rig.Skins[s.Skin].Joints)
	sets := m.SetsOf()
	var row, was []weights.Hold
	for v, place := range b.place[surface] {
		if sets[v] == 0 || b.figure.Of[place] < 0 {
			continue
		}
		joints, stored := m.Joints[m.K*v:m.K*v+m.K], m.Weights[m.K*v:m.K*v+m.K]
		if row = b.holdsOf(place, number, row); len(row) == 0 {
			b.lost++
			continue
		}
		was = weights.Row(joints, stored, was)
		weights.Whole(was)
		b.changed += apartOf(was, row)
		b.anew++
		b.count(row)
		weights.Store(row, min(m.K, 4*int(sets[v])), joints, stored)
	}
}

func (b *binder) count(row []weights.Hold) {
	b.vertices++
	b.spread += len(row)
}

// apartOf is the L1 distance of two rows.
func apartOf(a, b []weights.Hold) (d float64) {
	of := func(row []weights.Hold, joint uint16) float64 {
		for _, h := range row {
			if h.Joint == joint {
				return h.Weight
			}
		}
		return 0
	}
	for _, h := range a {
		d += math.Abs(h.Weight - of(b, h.Joint))
	}
	for _, h := range b {
		if of(a, h.Joint) == 0 {
			d += h.Weight
		}
	}
	return d
}

// add writes weights for primitives of a surface that have none, and gives its node a skin.
func (b *binder) add(surface int) error {
	w, s := b.w, b.w.Rig.Surfaces[surface]
	m := &w.Rig.Meshes[s.Mesh]
	list := b.nodes
	if s.Skin >= 0 {
		list = w.Rig.Skins[s.Skin].Joints
	}
	number := b.numbers(list)
	for p := range m.Primitives {
		d := &m.Primitives[p]
		if d.Sets > 0 && s.Skin >= 0 || d.Count == 0 {
			continue
		}
		o := w.Doc.Root.Resolve(primitiveAt(int(s.Mesh), p)).Get("attributes")
		for set := 0; ; set++ { // stray arrays of influences without a skin go
			a, c := fmt.Sprintf("JOINTS_%d", set), fmt.Sprintf("WEIGHTS_%d", set)
			if o.Get(a) == nil && o.Get(c) == nil {
				break
			}
			o.Set(a, nil)
			o.Set(c, nil)
		}
		err := putInfluences(w.Doc, o, d.Count, len(list), func(v int, row []weights.Hold) []weights.Hold {
			place := b.place[surface][d.First+v]
			row = b.holdsOf(place, number, row)
			if b.figure.Of[place] < 0 || len(row) == 0 {
				return row[:0] // no triangle shows it
			}
			b.count(row)
			return row
		})
		if err != nil {
			return w.Refuse("%s.", sentence(err))
		}
		w.Doc.Refresh(original.Meshes, int(s.Mesh))
	}
	if s.Skin >= 0 {
		return nil
	}
	k, err := b.skin(s.Node)
	if err != nil {
		return err
	}
	w.Doc.Object(original.Nodes, int(s.Node)).Set("skin", original.Whole(k))
	w.Doc.Refresh(original.Nodes, int(s.Node))
	return nil
}

// bindSlack is how far, of the figure's size, a bind matrix may be off.
const bindSlack = 1e-6

// skin answers one whose joints are the skeleton in this order and that leaves a surface
// under a node where it is: one of the file's own where there is such a one.
func (b *binder) skin(node rig.Node) (int, error) {
	w := b.w
	world := w.Exam.RestWorld()
	of := world[node]
	if b.settled[node] {
		of = rig.Identity
	}
	want := make([]rig.Affine, len(b.nodes))
	for j, n := range b.nodes {
		inverse, ok := world[n].Inverse()
		if !ok {
			return 0, w.Refuse("The joint %s is scaled to nothing: nothing can be bound to it.", w.Exam.NodeName(n))
		}
		want[j] = inverse.Mul(&of)
	}
	size := max(w.Exam.Size(), 1e-9)
	for k := range w.Rig.Skins {
		s := &w.Rig.Skins[k]
		if !slices.Equal(s.Joints, b.nodes) || s.BindRow != nil {
			continue
		}
		same := true
		for j := range want {
			have := rig.Identity
			if s.HasBind {
				have = s.Bind[j]
			}
			for c := range want[j] {
				scale := 1.0
				if c%4 == 3 {
					scale = size
				}
				same = same && math.Abs(want[j][c]-have[c]) <= bindSlack*scale
			}
		}
		if same {
			return k, nil
		}
	}
	out := make([]float32, 0, 16*len(want))
	for _, m := range want {
		for c := range 4 {
			out = append(out, float32(m[c]), float32(m[4+c]), float32(m[8+c]), 0)
		}
		out[len(out)-1] = 1
	}
	// Surfaces under nodes that stand alike share one skin.
	for k := len(w.Rig.Skins); k < w.Doc.Count(original.Skins); k++ {
		if a, err := w.Doc.Accessor(w.Doc.Object(original.Skins, k).Get("inverseBindMatrices").Int()); err == nil {
			if v, err := a.Floats(); err == nil && slices.Equal(v, out) {
				return k, nil
			}
		}
	}
	if err := w.Doc.Room(original.Skins, 1); err != nil {
		return 0, w.Refuse("%s.", sentence(err))
	}
	matrices, err := w.Doc.NewAccessor(original.Floats32("MAT4", out), false, false)
	if err != nil {
		return 0, w.Refuse("%s.", sentence(err))
	}
	var joints []int
	for _, n := range b.nodes {
		joints = append(joints, int(n))
	}
	return w.Doc.Add(original.Skins, original.Object("inverseBindMatrices", original.Whole(matrices), "joints", original.Wholes(joints...))), nil
}
