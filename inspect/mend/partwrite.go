package mend

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/bind"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// packedMesh tells a mesh with a primitive whose vertices an extension holds.
func packedMesh(d *original.Document, mesh, primitives int) bool {
	for i := range primitives {
		o := d.Root.Resolve(primitiveAt(mesh, i))
		if o.Get("extensions").Get("KHR_draco_mesh_compression") != nil {
			return true
		}
		for _, k := range o.Get("attributes").Keys() {
			a := d.Object(original.Accessors, o.Get("attributes").Get(k).Int())
			v := d.Object(original.Views, a.Get("bufferView").Int()).Get("extensions")
			if v.Get("EXT_meshopt_compression") != nil || v.Get("KHR_meshopt_compression") != nil {
				return true
			}
		}
	}
	return false
}

// write puts joints, meshes, materials and pictures into the document.
func (p *parter) write() error {
	w := p.w
	for k, n := range map[original.Kind]int{original.Nodes: len(p.pieces) + len(p.lacks), original.Meshes: len(p.pieces), original.Skins: 1} {
		if err := w.Doc.Room(k, n); err != nil {
			return w.Refuse("%s.", sentence(err))
		}
	}
	scene := max(w.Doc.Root.Get("scene").Int(), 0)
	if w.Doc.Object(original.Scenes, scene) == nil {
		return w.Refuse("The file has no scene to put it into.")
	}
	nodes, err := p.hang(scene)
	if err != nil {
		return err
	}
	skin := -1
	var number map[int32]uint16
	if p.weight != nil {
		if skin, number, err = p.skin(nodes); err != nil {
			return err
		}
	}
	g := w.Doc.Graft(p.b.Doc)
	for _, x := range p.pieces {
		s := p.b.Rig.Surfaces[x.surface]
		mesh, err := p.mesh(x, g, number)
		if err != nil {
			return err
		}
		node := original.Object("name", original.Text(p.name(surfaceName(p.b.Rig, x.surface))), "mesh", original.Whole(mesh))
		if skin >= 0 {
			node.Set("skin", original.Whole(skin))
		}
		if morph := p.b.Doc.Object(original.Nodes, int(s.Node)).Get("weights"); morph != nil {
			node.Set("weights", original.Parse(morph.Bytes()))
		}
		p.root(scene, w.Doc.Add(original.Nodes, node))
	}
	if left := g.Left(); len(left) > 0 {
		w.Leave("Of its materials what the extensions %s say stays behind: they may name things by number.", strings.Join(left, ", "))
	}
	return nil
}

// root hangs a node into the shown scene itself.
func (p *parter) root(scene, node int) {
	o := p.w.Doc.Object(original.Scenes, scene)
	if o.Get("nodes") == nil {
		o.Set("nodes", original.List())
	}
	o.Get("nodes").Append(original.Whole(node))
	p.w.Doc.Refresh(original.Scenes, scene)
}

// name is one that no node of the figure has.
func (p *parter) name(wish string) string {
	taken := func(s string) bool {
		for i := range p.w.Doc.Count(original.Nodes) {
			if p.w.Doc.Object(original.Nodes, i).Get("name").String() == s {
				return true
			}
		}
		return false
	}
	name := wish
	for i := 2; taken(name); i++ {
		name = fmt.Sprintf("%s %d", wish, i)
	}
	return name
}

// hang puts the joints that come along into the file and answers the nodes of all joints.
// Each stands where it was laid, turned as it was there, scaled as what it hangs on.
func (p *parter) hang(scene int) ([]int, error) {
	w := p.w
	nodes := make([]int, len(p.nodes), len(p.nodes)+len(p.lacks))
	world := make([]rig.Affine, len(p.nodes), len(p.nodes)+len(p.lacks))
	for j, n := range p.nodes {
		nodes[j], world[j] = int(n), w.Exam.RestWorld()[n]
	}
	theirs := p.other.RestWorld()
	for _, n := range p.lacks {
		was := theirs[n]
		t := was.Decompose()
		at := p.laid.Point(was.Origin())
		is := rig.TRS{T: [3]float64(at), R: space.XYZW(space.Mul(p.laid.Turn, space.FromXYZW(t.R))), S: [3]float64{1, 1, 1}}
		j, hangs := p.hangsOn(n)
		parent := rig.Identity
		if hangs {
			parent = world[j]
			scale := parent.Scale()
			is.S = [3]float64{scale, scale, scale}
		}
		want := is.Affine()
		own, shear, ok := local(&parent, &want)
		if !ok || shear > 1e-5 {
			return nil, w.Refuse("The scale above %s differs by axis: nothing can be hung there. Bring to scale first.", w.Exam.NodeName(p.nodes[min(j, len(p.nodes)-1)]))
		}
		o := original.Object("name", original.Text(p.name(p.b.Rig.Nodes[n].Name)))
		node := w.Doc.Add(original.Nodes, o)
		w.Doc.SetTRS(node, own)
		if hangs {
			on := w.Doc.Object(original.Nodes, nodes[j])
			if on.Get("children") == nil {
				on.Set("children", original.List())
			}
			on.Get("children").Append(original.Whole(node))
			w.Doc.Refresh(original.Nodes, nodes[j])
		} else {
			p.root(scene, node)
		}
		l := own.Affine()
		nodes, world = append(nodes, node), append(world, parent.Mul(&l))
	}
	p.world = world
	return nodes, nil
}

// skin makes one of the joints that hold the part, as they stand at rest.
func (p *parter) skin(nodes []int) (skin int, number map[int32]uint16, err error) {
	w := p.w
	used := make([]bool, len(nodes))
	for g := range len(p.points) / 3 {
		for k := bind.K * g; k < bind.K*(g+1); k++ {
			used[p.weight.Joint[k]] = used[p.weight.Joint[k]] || p.weight.Weight[k] > 0
		}
	}
	number = map[int32]uint16{}
	var joints []int
	var out []float32
	for j, node := range nodes {
		if !used[j] {
			continue
		}
		inverse, ok := p.world[j].Inverse()
		if !ok {
			return 0, nil, w.Refuse("The joint %s is scaled to nothing: nothing can be bound to it.", w.Exam.NodeName(rig.Node(node)))
		}
		if len(joints) > 65535 {
			return 0, nil, w.Refuse("More than 65,535 joints hold it.")
		}
		number[int32(j)] = uint16(len(joints))
		joints = append(joints, node)
		for c := range 4 {
			out = append(out, float32(inverse[c]), float32(inverse[4+c]), float32(inverse[8+c]), 0)
		}
		out[len(out)-1] = 1
	}
	if len(joints) == 0 {
		return 0, nil, w.Refuse("Nothing under it has weights that it could take.")
	}
	matrices, err := w.Doc.NewAccessor(original.Floats32("MAT4", out), false, false)
	if err != nil {
		return 0, nil, w.Refuse("%s.", sentence(err))
	}
	return w.Doc.Add(original.Skins, original.Object("inverseBindMatrices", original.Whole(matrices), "joints", original.Wholes(joints...))), number, nil
}

// mesh writes one piece.
func (p *parter) mesh(x *piece, g *original.Graft, number map[int32]uint16) (int, error) {
	w, from := p.w, p.b.Doc
	s := p.b.Rig.Surfaces[x.surface]
	m := &p.b.Rig.Meshes[s.Mesh]
	old := from.Object(original.Meshes, int(s.Mesh))
	out := original.Object()
	for _, k := range []string{"name", "weights", "extras"} {
		if v := old.Get(k); v != nil {
			out.Set(k, original.Parse(v.Bytes()))
		}
	}
	list := original.List()
	same := map[string]*original.Value{} // primitives that name the same arrays share them again
	for i := range m.Primitives {
		d := &m.Primitives[i]
		o := old.Get("primitives").At(i)
		if d.Count == 0 || d.TriCount == 0 {
			w.Leave("Points and lines of %q stay behind.", surfaceName(p.b.Rig, x.surface))
			continue
		}
		key := string(o.Get("attributes").Bytes())
		if targets := o.Get("targets"); targets != nil {
			key += string(targets.Bytes())
		}
		made := same[key]
		if made == nil {
			var err error
			if made, err = p.attributes(x, d, o, number); err != nil {
				return 0, w.Refuse("%s.", sentence(err))
			}
			same[key] = made
		}
		next := made.Clone()
		if u := o.Get("indices"); u != nil {
			a, err := from.Accessor(u.Int())
			if err != nil {
				return 0, w.Refuse("%s.", sentence(err))
			}
			v, err := a.Uints()
			if err != nil {
				return 0, w.Refuse("%s.", sentence(err))
			}
			to, err := w.Doc.NewAccessor(original.Uints32("SCALAR", a.Component, v), false, false)
			if err != nil {
				return 0, w.Refuse("%s.", sentence(err))
			}
			next.Set("indices", original.Whole(to))
		}
		if v := o.Get("mode"); v != nil {
			next.Set("mode", original.Whole(v.Int()))
		}
		if v := o.Get("material"); v != nil {
			to, err := g.Take(original.Materials, v.Int())
			if err != nil {
				return 0, w.Refuse("%s.", sentence(err))
			}
			next.Set("material", original.Whole(to))
		}
		list.Append(next)
	}
	out.Set("primitives", list)
	return w.Doc.Add(original.Meshes, out), nil
}

// hide takes out the triangles of the body that the part covers all over.
func (p *parter) hide() error {
	w, r := p.w, p.w.Rig
	deep, _ := w.Values.Number("hide")
	if deep == 0 {
		return nil
	}
	covered := p.over.Covered(p.points, p.corner, deep*w.Exam.Height())
	uses := map[rig.Mesh]int{}
	for _, s := range r.Surfaces {
		uses[s.Mesh]++
	}
	var edits []original.Edit
	at := 0
	for _, i := range p.sources {
		s := r.Surfaces[i]
		m := &r.Meshes[s.Mesh]
		hidden := covered[at : at+m.Vertices()]
		at += m.Vertices()
		if !slices.Contains(hidden, true) {
			continue
		}
		if uses[s.Mesh] > 1 || packedMesh(w.Doc, int(s.Mesh), len(m.Primitives)) {
			w.Leave("The triangles of %s cannot be taken out: they are packed, or shown elsewhere, too.", w.Exam.SurfaceName(i))
			continue
		}
		for q := range m.Primitives {
			d := &m.Primitives[q]
			list := make([]uint32, 0, 3*d.TriCount)
			for t := d.FirstTri; t < d.FirstTri+d.TriCount; t++ {
				c := m.Triangles[3*t : 3*t+3]
				if hidden[c[0]] && hidden[c[1]] && hidden[c[2]] {
					continue
				}
				for _, v := range c {
					list = append(list, v-uint32(d.First))
				}
			}
			gone := d.TriCount - len(list)/3
			if gone == 0 {
				continue
			}
			if len(list) == 0 { // an accessor has one element at least (glTF 2.0, Accessors)
				w.Leave("One primitive of %s is covered whole: it stays, since a primitive cannot be empty.", w.Exam.SurfaceName(i))
				continue
			}
			p.hidden += gone
			o := w.Doc.Root.Resolve(primitiveAt(int(s.Mesh), q))
			if mode := o.Get("mode"); mode != nil && mode.Int() != 4 {
				o.Set("mode", original.Whole(4))
			}
			if u := w.Doc.UseAt(primitiveAt(int(s.Mesh), q) + "/indices"); u != nil {
				a, err := w.Doc.Accessor(u.Index)
				if err != nil {
					return w.Refuse("%s.", sentence(err))
				}
				edits = append(edits, original.Edit{Use: u, Array: original.Uints32("SCALAR", a.Component, list)})
				continue
			}
			kind := original.Ushort
			if slices.Max(list) >= math.MaxUint16 {
				kind = original.Uint
			}
			to, err := w.Doc.NewAccessor(original.Uints32("SCALAR", kind, list), false, false)
			if err != nil {
				return w.Refuse("%s.", sentence(err))
			}
			o.Set("indices", original.Whole(to))
			w.Doc.Refresh(original.Meshes, int(s.Mesh))
		}
	}
	return w.Doc.RewriteAll(edits)
}
