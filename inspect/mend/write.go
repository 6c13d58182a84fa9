package mend

import (
	"fmt"
	"math"
	"slices"

	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
)

// Write brings the document from w.Rig to a rig that was made of it: whatever differs is
// written, whatever is equal, bit by bit, keeps its bytes. It takes new names, transforms
// and parents of nodes, positions, normals, weights and morph targets of meshes, bind
// matrices, and channels that are changed, new or gone; nodes, meshes with their vertices
// and triangles, skins with their joints, and clips must be the same ones in the same
// number. maps, by mesh, nil: none, are 3×4 matrices a vertex that tangents turn by.
func (w *Work) Write(is *rig.Rig, maps [][]float32) error {
	was := w.Rig
	switch {
	case len(was.Nodes) != len(is.Nodes), len(was.Meshes) != len(is.Meshes), len(was.Skins) != len(is.Skins), len(was.Clips) != len(is.Clips):
		return fmt.Errorf("write: nodes, meshes, skins or clips are not the same ones")
	}
	x := &writer{w: w, doc: w.Doc, was: was, is: is}
	if err := x.nodes(); err != nil {
		return err
	}
	for m := range was.Meshes {
		var own []float32
		if m < len(maps) {
			own = maps[m]
		}
		if err := x.mesh(m, own); err != nil {
			return fmt.Errorf("mesh %d: %w", m, err)
		}
	}
	for i := range was.Skins {
		if err := x.skin(i); err != nil {
			return fmt.Errorf("skin %d: %w", i, err)
		}
	}
	for i := range was.Clips {
		if err := x.clip(i); err != nil {
			return fmt.Errorf("clip %d: %w", i, err)
		}
	}
	return w.Doc.RewriteAll(x.edits)
}

type writer struct {
	w       *Work
	doc     *original.Document
	was, is *rig.Rig
	edits   []original.Edit
}

func (x *writer) nodes() error {
	rehung := map[rig.Node]bool{}
	roots := false
	for n := range x.is.Nodes {
		a, b := &x.was.Nodes[n], &x.is.Nodes[n]
		if a.Name != b.Name {
			x.doc.Object(original.Nodes, n).Set("name", original.Text(b.Name))
		}
		switch {
		case b.HasMatrix && a.Matrix != b.Matrix:
			x.doc.SetMatrix(n, b.Matrix)
		case !b.HasMatrix && (a.HasMatrix || a.TRS != b.TRS):
			x.doc.SetTRS(n, b.TRS)
		}
		if a.Parent != b.Parent {
			roots = roots || a.Parent < 0 || b.Parent < 0
			rehung[a.Parent], rehung[b.Parent] = true, true
		}
	}
	for n := range rehung {
		if n < 0 {
			continue
		}
		o := x.doc.Object(original.Nodes, int(n))
		var kids []int
		for _, k := range x.is.Nodes[n].Children {
			kids = append(kids, int(k))
		}
		if len(kids) == 0 {
			o.Set("children", nil)
		} else {
			o.Set("children", original.Wholes(kids...))
		}
		x.doc.Refresh(original.Nodes, int(n))
	}
	if !roots {
		return nil
	}
	for i := range x.is.Scenes {
		o := x.doc.Object(original.Scenes, i)
		if o == nil || slices.Equal(x.was.Scenes[i].Roots, x.is.Scenes[i].Roots) {
			continue
		}
		var list []int
		for _, n := range x.is.Scenes[i].Roots {
			list = append(list, int(n))
		}
		o.Set("nodes", original.Wholes(list...))
		x.doc.Refresh(original.Scenes, i)
	}
	return nil
}

func (x *writer) mesh(m int, maps []float32) error {
	a, b := &x.was.Meshes[m], &x.is.Meshes[m]
	if len(a.Positions) != len(b.Positions) || len(a.Triangles) != len(b.Triangles) || len(a.Targets) != len(b.Targets) {
		return fmt.Errorf("its vertices, triangles or targets are not the same ones")
	}
	for p := range a.Primitives {
		d := &a.Primitives[p]
		if d.Count == 0 {
			continue
		}
		at := fmt.Sprintf("/meshes/%d/primitives/%d", m, p)
		if err := x.rows(at+"/attributes/POSITION", d, a.Positions, b.Positions, 3); err != nil {
			return err
		}
		if d.HasNormals {
			if err := x.rows(at+"/attributes/NORMAL", d, a.Normals, b.Normals, 3); err != nil {
				return err
			}
		}
		for t := range a.Targets {
			on := fmt.Sprintf("%s/targets/%d", at, t)
			if err := x.rows(on+"/POSITION", d, a.Targets[t].Positions, b.Targets[t].Positions, 3); err != nil {
				return err
			}
			if err := x.rows(on+"/NORMAL", d, a.Targets[t].Normals, b.Targets[t].Normals, 3); err != nil {
				return err
			}
		}
		if err := x.influences(at, d, a, b); err != nil {
			return err
		}
		if maps != nil {
			if err := x.tangents(at, d, maps); err != nil {
				return err
			}
		}
	}
	return nil
}

func equalRow(a, b []float32) bool {
	for i := range a {
		if math.Float32bits(a[i]) != math.Float32bits(b[i]) {
			return false
		}
	}
	return true
}

// rows lists the accessor of one attribute where rows of it differ; the others keep the
// number that is stored.
func (x *writer) rows(pointer string, d *rig.PrimitiveData, was, is []float32, width int) error {
	if was == nil || is == nil {
		if was == nil && is != nil {
			return fmt.Errorf("%s is not there to be changed", pointer)
		}
		return nil
	}
	from, to := width*d.First, width*(d.First+d.Count)
	if equalRow(was[from:to], is[from:to]) {
		return nil
	}
	use := x.doc.UseAt(pointer)
	if use == nil {
		return fmt.Errorf("%s is not there to be changed", pointer)
	}
	a, err := x.doc.Accessor(use.Index)
	if err != nil {
		return err
	}
	v, err := a.Floats()
	if err != nil {
		return err
	}
	for i := from; i < to; i += width {
		if row := v[i-from:]; !equalRow(was[i:i+width], is[i:i+width]) {
			copy(row[:width], is[i:i+width])
		}
	}
	x.edits = append(x.edits, original.Edit{Use: use, Array: a.Like(v, 0)})
	return nil
}

// influences lists joints and weights of one primitive, all its sets together: integer
// weights are rounded so that they sum to the whole exactly.
func (x *writer) influences(at string, d *rig.PrimitiveData, a, b *rig.MeshData) error {
	if d.Sets == 0 || a.K == 0 {
		return nil
	}
	if b.K < a.K {
		return fmt.Errorf("%s has %d influences a vertex, %d are given", at, a.K, b.K)
	}
	n := 4 * d.Sets
	var changed []int
	for v := d.First; v < d.First+d.Count; v++ {
		if !slices.Equal(a.Joints[a.K*v:a.K*v+n], b.Joints[b.K*v:b.K*v+n]) || !equalRow(a.Weights[a.K*v:a.K*v+n], b.Weights[b.K*v:b.K*v+n]) {
			changed = append(changed, v)
		}
		for k := n; k < b.K; k++ {
			if b.Weights[b.K*v+k] != 0 {
				return fmt.Errorf("%s has room for %d influences a vertex, vertex %d has more", at, n, v-d.First)
			}
		}
	}
	if len(changed) == 0 {
		return nil
	}
	whole := make([]uint32, n)
	for set := range d.Sets {
		joints, weights := x.doc.UseAt(fmt.Sprintf("%s/attributes/JOINTS_%d", at, set)), x.doc.UseAt(fmt.Sprintf("%s/attributes/WEIGHTS_%d", at, set))
		if joints == nil || weights == nil {
			return fmt.Errorf("%s has no influence set %d", at, set)
		}
		aj, err := x.doc.Accessor(joints.Index)
		if err != nil {
			return err
		}
		j, err := aj.Uints()
		if err != nil {
			return err
		}
		aw, err := x.doc.Accessor(weights.Index)
		if err != nil {
			return err
		}
		full := map[int]uint32{original.Ubyte: 255, original.Ushort: 65535}[aw.Component]
		if full == 0 {
			v, err := aw.Floats()
			if err != nil {
				return err
			}
			for _, i := range changed {
				copy(v[4*(i-d.First):4*(i-d.First)+4], b.Weights[b.K*i+4*set:])
			}
			x.edits = append(x.edits, original.Edit{Use: weights, Array: original.Floats32("VEC4", v)})
		} else {
			v, err := aw.Uints()
			if err != nil {
				return err
			}
			for _, i := range changed {
				original.Weights(b.Weights[b.K*i:b.K*i+n], full, whole)
				copy(v[4*(i-d.First):4*(i-d.First)+4], whole[4*set:])
			}
			out := original.Uints32("VEC4", aw.Component, v)
			out.Normalized = true
			x.edits = append(x.edits, original.Edit{Use: weights, Array: out})
		}
		for _, i := range changed {
			for k := range 4 {
				to := uint32(b.Joints[b.K*i+4*set+k])
				if b.Weights[b.K*i+4*set+k] == 0 {
					to = 0 // glTF 2.0, Skins: joints without weight should be 0
				}
				j[4*(i-d.First)+k] = to
			}
		}
		x.edits = append(x.edits, original.Edit{Use: joints, Array: original.Uints32("VEC4", aj.Component, j)})
	}
	return nil
}

// tangents turns them by the 3×3 part of a matrix a vertex; their sign stays.
func (x *writer) tangents(at string, d *rig.PrimitiveData, maps []float32) error {
	use := x.doc.UseAt(at + "/attributes/TANGENT")
	if use == nil {
		return nil
	}
	a, err := x.doc.Accessor(use.Index)
	if err != nil {
		return err
	}
	v, err := a.Floats()
	if err != nil {
		return err
	}
	identity := []float32{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0}
	for i := range min(a.Count, d.Count) {
		m, t := maps[12*(d.First+i):12*(d.First+i)+12], v[a.Width*i:]
		if equalRow(m[:3], identity[:3]) && equalRow(m[4:7], identity[4:7]) && equalRow(m[8:11], identity[8:11]) {
			continue
		}
		var to [3]float64
		size := 0.0
		for r := range 3 {
			for c := range 3 {
				to[r] += float64(m[4*r+c]) * float64(t[c])
			}
			size += to[r] * to[r]
		}
		if size = math.Sqrt(size); size > 0 && !math.IsInf(size, 0) {
			for r := range 3 {
				t[r] = float32(to[r] / size)
			}
		}
	}
	x.edits = append(x.edits, original.Edit{Use: use, Array: a.Like(v, 1.0/127)})
	return nil
}

func (x *writer) skin(i int) error {
	a, b := &x.was.Skins[i], &x.is.Skins[i]
	if !slices.Equal(a.Joints, b.Joints) {
		return fmt.Errorf("its joints are not the same ones")
	}
	rows := a.BindRow != nil && b.BindRow == nil // last rows that were wrong become 0 0 0 1
	if slices.Equal(a.Bind, b.Bind) && !rows {
		return nil
	}
	out := make([]float32, 16*len(b.Joints))
	for j, m := range b.Bind {
		for r := range 3 {
			for c := range 4 {
				out[16*j+4*c+r] = float32(m[4*r+c])
			}
		}
		out[16*j+15] = 1
	}
	use := x.doc.UseAt(fmt.Sprintf("/skins/%d/inverseBindMatrices", i))
	if use == nil {
		to, err := x.doc.NewAccessor(original.Floats32("MAT4", out), false, false)
		if err != nil {
			return err
		}
		x.doc.Object(original.Skins, i).Set("inverseBindMatrices", original.Whole(to))
		x.doc.Refresh(original.Skins, i)
		return nil
	}
	if acc, err := x.doc.Accessor(use.Index); err == nil {
		if v, err := acc.Floats(); err == nil {
			for j := range b.Joints { // what is as it was keeps its bytes
				if a.Bind[j] == b.Bind[j] && 16*j+16 <= len(v) && !rows {
					copy(out[16*j:16*j+16], v[16*j:])
				}
			}
			if len(v) > len(out) {
				out = append(out, v[len(out):]...)
			}
		}
	}
	x.edits = append(x.edits, original.Edit{Use: use, Array: original.Floats32("MAT4", out)})
	return nil
}

// clip writes the channels of one clip that differ. The reader leaves out channels that
// move nothing or something twice: the first of a node and path is the one it read.
func (x *writer) clip(i int) error {
	a, b := &x.was.Clips[i], &x.is.Clips[i]
	o := x.doc.Object(original.Clips, i)
	if a.Name != b.Name {
		o.Set("name", original.Text(b.Name))
	}
	type key struct {
		node rig.Node
		path rig.Path
	}
	list := o.Get("channels")
	place := func(k key) int {
		for c := range list.Len() {
			t := list.At(c).Get("target")
			if t.Get("node").Int() == int(k.node) && t.Get("path").String() == k.path.String() {
				return c
			}
		}
		return -1
	}
	old := map[key]*rig.Channel{}
	for c := range a.Channels {
		old[key{a.Channels[c].Node, a.Channels[c].Path}] = &a.Channels[c]
	}
	var fresh []*rig.Channel
	for c := range b.Channels {
		n := &b.Channels[c]
		k := key{n.Node, n.Path}
		was := old[k]
		delete(old, k)
		switch {
		case was == nil:
			fresh = append(fresh, n)
		case was.Interpolation == n.Interpolation && slices.Equal(was.Times, n.Times) && slices.Equal(was.Values, n.Values):
		default:
			if err := x.channel(i, place(k), was, n); err != nil {
				return err
			}
		}
	}
	gone := map[int]bool{}
	for k := range old {
		gone[place(k)] = true
	}
	if len(gone) > 0 {
		list.Delete(func(c int) bool { return gone[c] })
		x.doc.Refresh(original.Clips, i)
	}
	inputs := map[*float32]int{}
	for _, n := range fresh {
		if err := x.doc.Movable(int(n.Node)); err != nil {
			return err
		}
		in, known := inputs[&n.Times[0]]
		if !known {
			var err error
			if in, err = x.doc.NewAccessor(original.Floats32("SCALAR", n.Times), true, false); err != nil {
				return err
			}
			inputs[&n.Times[0]] = in
		}
		out, err := x.doc.NewAccessor(original.Floats32(keyType(n), n.Values), false, false)
		if err != nil {
			return err
		}
		samplers := o.Get("samplers")
		samplers.Append(original.Object("input", original.Whole(in), "output", original.Whole(out), "interpolation", original.Text(interpolation(n))))
		o.Get("channels").Append(original.Object("sampler", original.Whole(samplers.Len()-1),
			"target", original.Object("node", original.Whole(int(n.Node)), "path", original.Text(n.Path.String()))))
	}
	if len(fresh) > 0 {
		x.doc.Refresh(original.Clips, i)
	}
	return nil
}

// channel writes one that is there with other keys.
func (x *writer) channel(clip, at int, was, is *rig.Channel) error {
	if at < 0 {
		return fmt.Errorf("the %v of node %d is moved by no channel of the file", is.Path, is.Node)
	}
	s := x.doc.Sampler(clip, at)
	on := fmt.Sprintf("/animations/%d/samplers/%d", clip, s)
	if was.Interpolation != is.Interpolation {
		x.doc.Root.Resolve(on).Set("interpolation", original.Text(interpolation(is)))
	}
	if !slices.Equal(was.Times, is.Times) {
		x.edits = append(x.edits, original.Edit{Use: x.doc.UseAt(on + "/input"), Array: original.Floats32("SCALAR", is.Times)})
	}
	if !slices.Equal(was.Values, is.Values) {
		use := x.doc.UseAt(on + "/output")
		a, err := x.doc.Accessor(use.Index)
		if err != nil {
			return err
		}
		x.edits = append(x.edits, original.Edit{Use: use, Array: a.Like(is.Values, 0)})
	}
	return nil
}

func keyType(c *rig.Channel) string {
	switch c.Path {
	case rig.Rotation:
		return "VEC4"
	case rig.Weights:
		return "SCALAR"
	}
	return "VEC3"
}

func interpolation(c *rig.Channel) string {
	return [...]string{"LINEAR", "STEP", "CUBICSPLINE"}[c.Interpolation]
}
