package mend

import (
	"fmt"
	"math"

	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// nodes writes the rest transforms.
func (s *scaler) nodes() error {
	for _, n := range s.r.Order {
		node := &s.r.Nodes[n]
		if s.above[n] {
			up := rig.Identity
			if node.Parent >= 0 {
				inv, ok := s.become[node.Parent].Inverse()
				if !ok {
					return s.w.Refuse("Node %q is scaled to nothing.", s.r.Nodes[node.Parent].Name)
				}
				up = inv
			}
			local := up.Mul(&s.become[n])
			if local != node.Matrix {
				s.w.Doc.SetTRS(int(n), local.Decompose())
			}
			continue
		}
		plain := node.HasMatrix && s.isJoint[n] && s.w.Values.Is("joints") && s.w.Doc.Clone().Movable(int(n)) == nil
		if s.g[n].nothing() && s.c[n] == (space.Vec{1, 1, 1}) && !plain {
			continue
		}
		if node.HasMatrix && !plain {
			g := s.g[n]
			left := rig.TRS{T: g.move, R: space.XYZW(g.turn), S: g.scale}
			l := left.Affine()
			right := rig.TRS{R: [4]float64{0, 0, 0, 1}, S: over(space.Vec{1, 1, 1}, s.c[n])}
			rt := right.Affine()
			l = l.Mul(&node.Matrix)
			s.w.Doc.SetMatrix(int(n), l.Mul(&rt))
			continue
		}
		s.w.Doc.SetTRS(int(n), tidy(s.local(n, node.TRS)))
	}
	return nil
}

// tidy takes a scale or a turn that is one but for rounding as that.
func tidy(t rig.TRS) rig.TRS {
	for c := range 3 {
		if math.Abs(t.S[c]-1) < evenSlack {
			t.S[c] = 1
		}
	}
	if space.Turned(space.FromXYZW(t.R)) < turnSlack {
		t.R = [4]float64{0, 0, 0, 1}
	}
	return t
}

// clips writes the keys of translations, rotations and scales.
func (s *scaler) clips() error {
	var edits []original.Edit
	clips := s.w.Doc.Root.Get("animations")
	for c := range clips.Len() {
		channels := clips.At(c).Get("channels")
		for i := range channels.Len() {
			n := channels.At(i).Get("target").Get("node").Int()
			if n < 0 || n >= len(s.r.Nodes) || s.above[n] {
				continue
			}
			path := channels.At(i).Get("target").Get("path").String()
			change := s.keys(rig.Node(n), path)
			if change == nil {
				continue
			}
			sampler := s.w.Doc.Sampler(c, i)
			at := fmt.Sprintf("/animations/%d/samplers/%d", c, sampler)
			use := s.w.Doc.UseAt(at + "/output")
			if use == nil {
				continue
			}
			a, err := s.w.Doc.Accessor(use.Index)
			if err != nil {
				return s.w.Refuse("Clip %d cannot be brought along: %v.", c, err)
			}
			v, err := a.Floats()
			if err != nil {
				return s.w.Refuse("Clip %d cannot be brought along: %v.", c, err)
			}
			if a.Width != width(path) {
				continue // read around: nobody plays it
			}
			cubic := s.w.Doc.Root.Resolve(at).Get("interpolation").String() == "CUBICSPLINE"
			for k := 0; k+a.Width <= len(v); k += a.Width {
				change(v[k:k+a.Width], cubic && k/a.Width%3 != 1)
			}
			edits = append(edits, original.Edit{Use: use, Array: a.Like(v, 0)})
		}
	}
	return s.w.Doc.RewriteAll(edits)
}

func width(path string) int {
	if path == "rotation" {
		return 4
	}
	return 3
}

// keys answers what one key of a channel becomes; tangent: its rate of change, which no
// shift touches. nil: nothing changes.
func (s *scaler) keys(n rig.Node, path string) func(v []float32, tangent bool) {
	g := s.g[n]
	put := func(v []float32, x ...float64) {
		for i := range v {
			v[i] = float32(x[i])
		}
	}
	switch {
	case path == "translation" && !g.nothing():
		return func(v []float32, tangent bool) {
			t := g.turn.Rotate(times(g.scale, space.At(v, 0)))
			if !tangent {
				t = t.Add(g.move)
			}
			put(v, t[:]...)
		}
	case path == "rotation" && (g.turn != space.Still() || g.scale[0] < 0 || g.scale[1] < 0 || g.scale[2] < 0):
		return func(v []float32, _ bool) {
			q := g.turn.Mul(mirrored(space.Quat{W: float64(v[3]), V: space.At(v, 0)}, g.scale))
			put(v, q.V[0], q.V[1], q.V[2], q.W)
		}
	case path == "scale" && over(g.scale, s.c[n]) != (space.Vec{1, 1, 1}):
		k := over(g.scale, s.c[n])
		return func(v []float32, _ bool) { x := times(k, space.At(v, 0)); put(v, x[:]...) }
	}
	return nil
}

// geometry writes positions, normals, tangents, morph targets, triangles and bind
// matrices.
func (s *scaler) geometry() error {
	var edits []original.Edit
	doc := s.w.Doc
	for m := range s.r.Meshes {
		k := s.k[m]
		if k == rig.Identity {
			continue
		}
		for p := range s.r.Meshes[m].Primitives {
			at := fmt.Sprintf("/meshes/%d/primitives/%d", m, p)
			more, err := s.primitive(doc, at, k)
			if err != nil {
				return err
			}
			edits = append(edits, more...)
		}
	}
	for i := range s.r.Skins {
		e, err := s.binds(doc, i)
		if err != nil {
			return err
		}
		edits = append(edits, e...)
	}
	if err := doc.RewriteAll(edits); err != nil {
		return err
	}
	for m := range s.r.Meshes {
		if s.k[m].Det() < 0 {
			if err := s.turnOver(m); err != nil {
				return err
			}
		}
	}
	return nil
}

// primitive lists the arrays of one primitive, carried by k.
func (s *scaler) primitive(doc *original.Document, at string, k rig.Affine) (edits []original.Edit, err error) {
	add := func(pointer string, change func(v []float32, w int)) {
		use := doc.UseAt(pointer)
		if use == nil || err != nil {
			return
		}
		a, e := doc.Accessor(use.Index)
		var v []float32
		if e == nil {
			v, e = a.Floats()
		}
		if e != nil {
			err = s.w.Refuse("%s cannot be brought along: %v.", pointer, e)
			return
		}
		for i := range v { // what is no number is seen as 0, and would spoil its neighbours
			if v[i]-v[i] != 0 {
				v[i] = 0
			}
		}
		for i := 0; i+a.Width <= len(v); i += a.Width {
			change(v[i:i+a.Width], a.Width)
		}
		edits = append(edits, original.Edit{Use: use, Array: a.Like(v, 0)})
	}
	put := func(v []float32, p space.Vec) { v[0], v[1], v[2] = float32(p[0]), float32(p[1]), float32(p[2]) }
	inverse, _ := k.Inverse()
	normal := rig.Affine{ // normals go by the inverse transpose
		inverse[0], inverse[4], inverse[8], 0,
		inverse[1], inverse[5], inverse[9], 0,
		inverse[2], inverse[6], inverse[10], 0,
	}
	turns := !(k == scaling(space.Vec{k[0], k[0], k[0]}) && k[0] > 0)
	add(at+"/attributes/POSITION", func(v []float32, _ int) { put(v, k.Point(space.At(v, 0))) })
	if turns {
		add(at+"/attributes/NORMAL", func(v []float32, _ int) {
			if u, ok := space.Unit(normal.Direction(space.At(v, 0))); ok {
				put(v, u)
			}
		})
		add(at+"/attributes/TANGENT", func(v []float32, w int) {
			if u, ok := space.Unit(k.Direction(space.At(v, 0))); ok {
				put(v, u)
			}
			if w == 4 && k.Det() < 0 {
				v[3] = -v[3]
			}
		})
	}
	targets := doc.Root.Resolve(at).Get("targets")
	size := math.Cbrt(math.Abs(k.Det()))
	for t := range targets.Len() {
		on := fmt.Sprintf("%s/targets/%d", at, t)
		add(on+"/POSITION", func(v []float32, _ int) { put(v, k.Direction(space.At(v, 0))) })
		if turns && (targets.At(t).Get("NORMAL") != nil || targets.At(t).Get("TANGENT") != nil) {
			if !similar(&k) {
				return nil, s.w.Refuse("The scale differs by axis and a morph target turns normals: their differences cannot be scaled so.")
			}
			turn := func(v []float32, _ int) { put(v, k.Direction(space.At(v, 0)).Mul(1/size)) }
			add(on+"/NORMAL", turn)
			add(on+"/TANGENT", turn)
		}
	}
	return edits, err
}

// similar tells a matrix that keeps shapes: even and without shear.
func similar(k *rig.Affine) bool {
	l := k.Scales()
	col := func(c int) space.Vec { return space.Vec{k[c], k[4+c], k[8+c]} }
	for _, p := range [][2]int{{0, 1}, {0, 2}, {1, 2}} {
		if math.Abs(col(p[0]).Dot(col(p[1]))) > 1e-5*l[p[0]]*l[p[1]] || math.Abs(l[p[0]]/l[p[1]]-1) > 1e-5 {
			return false
		}
	}
	return true
}

// binds answers the bind matrices of a skin: S(c)·B·K⁻¹.
func (s *scaler) binds(doc *original.Document, i int) ([]original.Edit, error) {
	skin := &s.r.Skins[i]
	k := rig.Identity
	for _, x := range s.r.Surfaces {
		if int(x.Skin) == i {
			k, _ = s.k[x.Mesh].Inverse()
			break
		}
	}
	changed := false
	out := make([]float32, 16*len(skin.Joints))
	for j, n := range skin.Joints {
		c := rig.Identity
		if n >= 0 && int(n) < len(s.r.Nodes) {
			c = scaling(s.c[n])
		}
		b := c.Mul(&skin.Bind[j])
		b = b.Mul(&k)
		row := [4]float64{0, 0, 0, 1}
		if skin.BindRow != nil {
			copy(row[:], skin.BindRow[4*j:4*j+4])
		}
		for r := range 3 {
			for col := range 4 {
				changed = changed || b[4*r+col] != skin.Bind[j][4*r+col]
				out[16*j+4*col+r] = float32(b[4*r+col])
			}
		}
		for col := range 4 {
			out[16*j+4*col+3] = float32(row[col])
		}
	}
	if !changed {
		return nil, nil
	}
	pointer := fmt.Sprintf("/skins/%d/inverseBindMatrices", i)
	if use := doc.UseAt(pointer); use != nil {
		if a, err := doc.Accessor(use.Index); err == nil && a.Count > len(skin.Joints) {
			if v, err := a.Floats(); err == nil {
				out = append(out, v[16*len(skin.Joints):]...) // matrices of no joint stay
			}
		}
		return []original.Edit{{Use: use, Array: original.Floats32("MAT4", out)}}, nil
	}
	a, err := doc.NewAccessor(original.Floats32("MAT4", out), false, false)
	if err != nil {
		return nil, s.w.Refuse("%v.", err)
	}
	doc.Object(original.Skins, i).Set("inverseBindMatrices", original.Whole(a))
	doc.Refresh(original.Skins, i)
	return nil, nil
}

// turnOver writes the triangles of a mesh the other way round.
func (s *scaler) turnOver(m int) error {
	data := &s.r.Meshes[m]
	var edits []original.Edit
	for p := range data.Primitives {
		d := &data.Primitives[p]
		if d.TriCount == 0 {
			continue
		}
		tri := make([]uint32, 0, 3*d.TriCount)
		for t := d.FirstTri; t < d.FirstTri+d.TriCount; t++ {
			v := data.Triangles[3*t : 3*t+3]
			tri = append(tri, v[0]-uint32(d.First), v[2]-uint32(d.First), v[1]-uint32(d.First))
		}
		o := s.w.Doc.Object(original.Meshes, m).Get("primitives").At(p)
		if mode := o.Get("mode"); mode != nil && mode.Int() != 4 {
			o.Set("mode", original.Whole(4))
		}
		if use := s.w.Doc.UseAt(fmt.Sprintf("/meshes/%d/primitives/%d/indices", m, p)); use != nil {
			a, err := s.w.Doc.Accessor(use.Index)
			if err != nil {
				return s.w.Refuse("The triangles of mesh %d cannot be turned over: %v.", m, err)
			}
			edits = append(edits, original.Edit{Use: use, Array: original.Uints32("SCALAR", a.Component, tri)})
			continue
		}
		a, err := s.w.Doc.NewAccessor(original.Uints32("SCALAR", original.Ushort, tri), false, false)
		if err != nil {
			return s.w.Refuse("%v.", err)
		}
		o.Set("indices", original.Whole(a))
		s.w.Doc.Refresh(original.Meshes, m)
	}
	return s.w.Doc.RewriteAll(edits)
}

// lengths scales what known extensions measure in a joint's space: colliders and hit
// radii of spring bones, the eyes' place before the head (VRM 0.x and 1.0).
func (s *scaler) lengths() {
	ext := s.w.Doc.Root.Get("extensions")
	of := func(node *original.Value) (space.Vec, bool) {
		n := node.Int()
		if n < 0 || n >= len(s.r.Nodes) || s.above[n] || s.c[n] == (space.Vec{1, 1, 1}) {
			return space.Vec{}, false
		}
		return s.c[n], true
	}
	length := func(o *original.Value, key string, c space.Vec) {
		if f, ok := o.Get(key).Float(); ok {
			o.Set(key, original.Number(f*math.Cbrt(math.Abs(c[0]*c[1]*c[2]))))
		}
	}
	vector := func(o *original.Value, key string, c space.Vec) {
		v := o.Get(key)
		if f := v.Floats(); len(f) == 3 {
			o.Set(key, original.Numbers(f[0]*c[0], f[1]*c[1], f[2]*c[2]))
		} else if v.IsObject() {
			for i, axis := range []string{"x", "y", "z"} {
				if f, ok := v.Get(axis).Float(); ok {
					v.Set(axis, original.Number(f*c[i]))
				}
			}
		}
	}
	one := ext.Get("VRMC_springBone")
	for i := range one.Get("colliders").Len() {
		x := one.Get("colliders").At(i)
		if c, ok := of(x.Get("node")); ok {
			for _, shape := range []string{"sphere", "capsule"} {
				o := x.Get("shape").Get(shape)
				vector(o, "offset", c)
				vector(o, "tail", c)
				length(o, "radius", c)
			}
		}
	}
	for i := range one.Get("springs").Len() {
		joints := one.Get("springs").At(i).Get("joints")
		for j := range joints.Len() {
			if c, ok := of(joints.At(j).Get("node")); ok {
				length(joints.At(j), "hitRadius", c)
			}
		}
	}
	vrm := ext.Get("VRMC_vrm")
	if c, ok := of(vrm.Get("humanoid").Get("humanBones").Get("head").Get("node")); ok {
		vector(vrm.Get("lookAt"), "offsetFromHeadBone", c)
	}
	zero := ext.Get("VRM")
	if c, ok := of(zero.Get("firstPerson").Get("firstPersonBone")); ok {
		vector(zero.Get("firstPerson"), "firstPersonBoneOffset", c)
	}
	groups := zero.Get("secondaryAnimation").Get("colliderGroups")
	for i := range groups.Len() {
		if c, ok := of(groups.At(i).Get("node")); ok {
			list := groups.At(i).Get("colliders")
			for k := range list.Len() {
				vector(list.At(k), "offset", c)
				length(list.At(k), "radius", c)
			}
		}
	}
	groups = zero.Get("secondaryAnimation").Get("boneGroups")
	for i := range groups.Len() {
		if c, ok := of(groups.At(i).Get("bones").At(0)); ok {
			length(groups.At(i), "hitRadius", c)
		}
	}
}
