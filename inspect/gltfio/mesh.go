package gltfio

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/qmuntal/gltf"

	"rigloupe/inspect/rig"
)

// parts are the checked columns of one primitive.
type parts struct {
	count          int // vertices
	position       column
	normal, uv     *column
	joints, weight []column
	indices        *column
	targets        []target
}

type target struct{ position, normal *column }

func (r *reader) meshes() error {
	r.rig.Meshes = make([]rig.MeshData, len(r.doc.Meshes))
	for i := range r.doc.Meshes {
		if err := r.mesh(i); err != nil {
			return err
		}
	}
	return nil
}

// mesh reads one mesh: first all columns are checked and counted, then the arrays
// are made at their full size and filled.
func (r *reader) mesh(i int) error {
	src, m := r.doc.Meshes[i], &r.rig.Meshes[i]
	m.Name = src.Name
	m.Primitives = make([]rig.PrimitiveData, len(src.Primitives))
	if len(src.Primitives) == 0 {
		r.bad(onMesh(i), place("meshes", i, "primitives"), "a mesh without a primitive")
	}
	columns := make([]parts, len(src.Primitives))
	total, sets, normals, uvs, targets := 0, 0, false, false, 0
	for p := range src.Primitives {
		where := fmt.Sprintf("%s, primitive %d", label("mesh", i, src.Name), p)
		if err := r.primitive(i, p, where, &columns[p], &m.Primitives[p]); err != nil {
			return err
		}
		total += columns[p].count
		sets = max(sets, len(columns[p].joints))
		normals = normals || columns[p].normal != nil
		uvs = uvs || columns[p].uv != nil
		targets = max(targets, len(columns[p].targets))
	}
	where := label("mesh", i, src.Name)
	m.K = 4 * sets
	if err := r.spend(total, 12+12+8+m.K*6); err != nil {
		return r.refuse(where, err)
	}
	m.Positions = make([]float32, 3*total)
	if normals {
		m.Normals = make([]float32, 3*total)
	}
	if uvs {
		m.UV = make([]float32, 2*total)
	}
	if sets > 0 {
		m.Joints, m.Weights = make([]uint16, m.K*total), make([]float32, m.K*total)
	}
	if err := r.targets(i, columns, total, targets); err != nil {
		return err
	}
	if src.Weights != nil {
		m.Morph = r.morphWeights(src.Weights, targets, onMesh(i), place("meshes", i, "weights"))
	} else if targets > 0 {
		m.Morph = make([]float32, targets)
	}
	first := 0
	for p := range columns {
		d := &m.Primitives[p]
		d.First, d.Count = first, columns[p].count
		r.vertices(i, p, &columns[p], d, m)
		d.FirstTri = len(m.Triangles) / 3
		if err := r.triangles(i, p, &columns[p], d, m); err != nil {
			return r.refuse(fmt.Sprintf("%s, primitive %d", where, p), err)
		}
		d.TriCount = len(m.Triangles)/3 - d.FirstTri
		first += d.Count
	}
	return nil
}

// modeCode is glTF's number of a mode.
var modeCode = [...]uint8{gltf.PrimitivePoints: 0, gltf.PrimitiveLines: 1, gltf.PrimitiveLineLoop: 2, gltf.PrimitiveLineStrip: 3,
	gltf.PrimitiveTriangles: 4, gltf.PrimitiveTriangleStrip: 5, gltf.PrimitiveTriangleFan: 6}

// primitive checks all columns of one primitive and fills in what is known
// without reading them.
func (r *reader) primitive(mesh, i int, where string, c *parts, d *rig.PrimitiveData) error {
	src := r.doc.Meshes[mesh].Primitives[i]
	at := func(steps ...any) string { return place(append([]any{"meshes", mesh, "primitives", i}, steps...)...) }
	d.Material, d.Array = rig.None, rig.None
	c.targets = make([]target, len(src.Targets))
	d.Mode = modeCode[src.Mode]
	if mode, odd := r.doc.oddMode[[2]int{mesh, i}]; odd {
		r.bad(onMesh(mesh), at("mode"), "mode %d is none of glTF's (0 to 6); its vertices are read, no triangle is", mode)
		d.Mode = uint8(min(max(mode, 7), 255))
	}
	if src.Material != nil {
		if n := *src.Material; n < 0 || n >= len(r.rig.Materials) {
			r.bad(onMesh(mesh), at("material"), "material %d does not exist, there are %d; drawn plain", n, len(r.rig.Materials))
		} else {
			d.Material = n
		}
	}
	position, has := src.Attributes[gltf.POSITION]
	if !has {
		r.bad(onMesh(mesh), at("attributes"), "there is no POSITION, so the primitive has no shape")
		return nil
	}
	_, draco := src.Extensions["KHR_draco_mesh_compression"]
	if draco && position >= 0 && position < len(r.doc.Accessors) && r.doc.Accessors[position].BufferView == nil && r.doc.Accessors[position].Sparse == nil {
		r.packed++
		return nil
	}
	var err error
	c.position, err = r.column(position, vertexData, gltf.AccessorVec3)
	if errors.Is(err, errPacked) {
		r.packed++
		return nil
	}
	if err != nil {
		return r.refuse(where+", POSITION", err)
	}
	if c.position.component == gltf.ComponentUint {
		return r.refuse(where+", POSITION", faultf("accessor %d is UNSIGNED_INT, which no vertex attribute may be", position))
	}
	c.count = c.position.count
	d.Array = position
	d.PositionType, d.PositionNormalized = componentCode[c.position.component], c.position.normalized
	if d.PositionType != 5126 && !contains(r.rig.File.Used, "KHR_mesh_quantization") {
		r.bad(onMesh(mesh), at("attributes", "POSITION"), "%s positions need KHR_mesh_quantization, which extensionsUsed does not list; read all the same", componentName[c.position.component])
	}
	c.normal = r.soft(mesh, c.count, src.Attributes, gltf.NORMAL, at, gltf.AccessorVec3)
	c.uv = r.soft(mesh, c.count, src.Attributes, r.uvSet(d.Material), at, gltf.AccessorVec2)
	d.HasNormals, d.HasUV = c.normal != nil, c.uv != nil
	if err := r.influences(mesh, where, src.Attributes, c, d, at); err != nil {
		return err
	}
	for t, attributes := range src.Targets {
		out := &c.targets[t]
		for name, to := range map[string]**column{gltf.POSITION: &out.position, gltf.NORMAL: &out.normal} {
			a, has := attributes[name]
			if !has {
				continue
			}
			col, err := r.column(a, vertexData, gltf.AccessorVec3)
			if errors.Is(err, errPacked) {
				r.packed++
				continue
			}
			if err != nil {
				return r.refuse(fmt.Sprintf("%s, morph target %d, %s", where, t, name), err)
			}
			r.level(mesh, &col, c.count, at("targets", t, name))
			*to = &col
		}
	}
	if src.Indices != nil {
		col, err := r.column(*src.Indices, plainData, gltf.AccessorScalar)
		if errors.Is(err, errPacked) {
			r.packed++
			c.count = 0
			return nil
		}
		if err != nil {
			return r.refuse(where+", indices", err)
		}
		switch col.component {
		case gltf.ComponentUbyte, gltf.ComponentUshort, gltf.ComponentUint:
		default:
			return r.refuse(where+", indices", faultf("accessor %d is %s, an unsigned type is wanted", *src.Indices, componentName[col.component]))
		}
		c.indices = &col
	}
	return nil
}

func contains(list []string, s string) bool {
	for _, l := range list {
		if l == s {
			return true
		}
	}
	return false
}

// soft checks an attribute that a rig can do without: a bad one is left out.
func (r *reader) soft(mesh, count int, attributes map[string]int, name string, at func(...any) string, kind gltf.AccessorType) *column {
	a, has := attributes[name]
	if !has {
		return nil
	}
	col, err := r.column(a, vertexData, kind)
	if errors.Is(err, errPacked) {
		r.packed++
		return nil
	}
	if err == nil && col.component == gltf.ComponentUint {
		err = faultf("accessor %d is UNSIGNED_INT, which no vertex attribute may be", a)
	}
	if err != nil {
		r.bad(onMesh(mesh), at("attributes", name), "%s; left out", err)
		return nil
	}
	r.level(mesh, &col, count, at("attributes", name))
	return &col
}

// level brings a column to the vertices of its primitive: what is too much is not
// read, what is missing stays 0.
func (r *reader) level(mesh int, c *column, count int, where string) {
	if c.count != count {
		r.bad(onMesh(mesh), where, "%d elements for %d vertices; %s", c.count, count, map[bool]string{true: "the rest is ignored", false: "the others are 0"}[c.count > count])
		c.count = min(c.count, count)
	}
}

// influences finds the sets of joints and weights.
func (r *reader) influences(mesh int, where string, attributes map[string]int, c *parts, d *rig.PrimitiveData, at func(...any) string) error {
	for name := range attributes {
		if strings.HasPrefix(name, "JOINTS_") {
			d.JointSets++
		} else if strings.HasPrefix(name, "WEIGHTS_") {
			d.WeightSets++
		}
	}
	for s := 0; ; s++ {
		joints, hasJoints := attributes[fmt.Sprintf("JOINTS_%d", s)]
		weights, hasWeights := attributes[fmt.Sprintf("WEIGHTS_%d", s)]
		if !hasJoints || !hasWeights {
			break
		}
		j, err := r.column(joints, vertexData, gltf.AccessorVec4)
		if err == nil && j.component == gltf.ComponentFloat {
			r.bad(onMesh(mesh), at("attributes", fmt.Sprintf("JOINTS_%d", s)), "joint places are FLOAT, UNSIGNED_BYTE or UNSIGNED_SHORT is wanted; read as whole numbers")
		} else if err == nil && j.component != gltf.ComponentUbyte && j.component != gltf.ComponentUshort {
			r.bad(onMesh(mesh), at("attributes", fmt.Sprintf("JOINTS_%d", s)), "joint places are %s, UNSIGNED_BYTE or UNSIGNED_SHORT is wanted; read all the same", componentName[j.component])
		}
		if errors.Is(err, errPacked) {
			r.packed++
			break
		}
		if err != nil {
			return r.refuse(fmt.Sprintf("%s, JOINTS_%d", where, s), err)
		}
		w, err := r.column(weights, vertexData, gltf.AccessorVec4)
		if err == nil {
			switch w.component {
			case gltf.ComponentFloat, gltf.ComponentUbyte, gltf.ComponentUshort:
			default:
				err = faultf("accessor %d is %s; FLOAT, UNSIGNED_BYTE or UNSIGNED_SHORT is wanted", weights, componentName[w.component])
			}
		}
		if errors.Is(err, errPacked) {
			r.packed++
			break
		}
		if err != nil {
			return r.refuse(fmt.Sprintf("%s, WEIGHTS_%d", where, s), err)
		}
		if w.component != gltf.ComponentFloat && !w.normalized {
			r.bad(onMesh(mesh), at("attributes", fmt.Sprintf("WEIGHTS_%d", s)), "whole-number weights must be normalised; read as normalised")
		}
		r.level(mesh, &j, c.count, at("attributes", fmt.Sprintf("JOINTS_%d", s)))
		r.level(mesh, &w, c.count, at("attributes", fmt.Sprintf("WEIGHTS_%d", s)))
		c.joints, c.weight = append(c.joints, j), append(c.weight, w)
		if s == 0 {
			d.JointType, d.WeightType = componentCode[j.component], componentCode[w.component]
		}
	}
	d.Sets = len(c.joints)
	if d.Sets != d.JointSets || d.Sets != d.WeightSets {
		r.bad(onMesh(mesh), at("attributes"), "%d sets of joints and %d of weights, counted from 0 in pairs; %d are read", d.JointSets, d.WeightSets, d.Sets)
	}
	return nil
}

// vertices fills one primitive's stretch of the mesh.
func (r *reader) vertices(mesh, i int, c *parts, d *rig.PrimitiveData, m *rig.MeshData) {
	if c.count == 0 {
		return
	}
	at := func(steps ...any) string { return place(append([]any{"meshes", mesh, "primitives", i}, steps...)...) }
	from, to := d.First, d.First+d.Count
	odd := func(n int, where string) {
		if n > 0 {
			r.bad(onMesh(mesh), where, "%d %s not finite; read as 0", n, plural(n, "number is", "numbers are"))
		}
	}
	p := m.Positions[3*from : 3*to]
	odd(c.position.floats(p, 3), at("attributes", "POSITION"))
	r.bounds(mesh, p, d, at("attributes", "POSITION"))
	if c.position.normalized {
		normalise(c.position.component, p, 3, 3)
	}
	if c.normal != nil {
		n := m.Normals[3*from : 3*to]
		odd(c.normal.floats(n, 3), at("attributes", "NORMAL"))
		normalise(c.normal.component, n, 3, 3)
	}
	if c.uv != nil {
		uv := m.UV[2*from : 2*to]
		odd(c.uv.floats(uv, 2), at("attributes", "TEXCOORD"))
		if c.uv.normalized {
			normalise(c.uv.component, uv, 2, 2)
		}
	}
	r.bind(mesh, c, d, m, at)
}

// bind fills joints and weights of one primitive.
func (r *reader) bind(mesh int, c *parts, d *rig.PrimitiveData, m *rig.MeshData, at func(...any) string) {
	if len(c.joints) == 0 {
		return
	}
	k := m.K
	from, to := d.First*k, (d.First+d.Count)*k
	weights, joints := m.Weights[from:to], m.Joints[from:to]
	whole := true
	for s := range c.weight {
		w := &c.weight[s]
		whole = whole && w.component != gltf.ComponentFloat
		if w.floats(weights[4*s:], k) > 0 {
			n := r.unsound(w, d.First, m)
			r.bad(onMesh(mesh), at("attributes", fmt.Sprintf("WEIGHTS_%d", s)), "%d %s with a weight that is not finite; read as 0", n, plural(n, "vertex", "vertices"))
		}
	}
	if whole { // the standard wants these sums exact, so they are taken before rounding
		d.WeightSums = make([]uint32, d.Count)
		for v := range d.WeightSums {
			sum := float32(0)
			for _, w := range weights[v*k : v*k+k] {
				sum += w
			}
			d.WeightSums[v] = uint32(sum)
		}
	}
	for s := range c.weight {
		normalise(c.weight[s].component, weights[4*s:], k, 4)
	}
	for s := range c.joints {
		r.joints(mesh, s, &c.joints[s], joints[4*s:], k, at)
	}
}

// unsound lists the vertices whose weight in w is not finite.
func (r *reader) unsound(w *column, first int, m *rig.MeshData) (n int) {
	row := make([]float32, 4)
	one := *w
	one.count, one.patch = 1, patch{}
	look := func(v int, data []byte) {
		if convert(w.component, data, w.stride, 1, 4, row, 4) > 0 {
			m.NonFinite = append(m.NonFinite, rig.Vertex(first+v))
			n++
		}
	}
	for v := range w.count {
		if w.data != nil {
			look(v, w.data[v*w.stride:])
		}
	}
	for k := range w.patch.count {
		if v := w.patch.index(k); v < w.count {
			look(v, w.patch.values[16*k:])
		}
	}
	return n
}

// joints writes joint places as they stand, right or wrong: the check for places
// outside the skin is not the reader's.
func (r *reader) joints(mesh, set int, c *column, out []uint16, step int, at func(...any) string) {
	if c.component == gltf.ComponentFloat {
		row := make([]float32, 4*c.count)
		c.floats(row, 4)
		for i, f := range row {
			out[i/4*step+i%4] = uint16(min(max(f, 0), math.MaxUint16))
		}
		return
	}
	raw := make([]uint32, 4*c.count)
	c.whole(raw, 4)
	beyond := 0
	for i, j := range raw {
		if j > math.MaxUint16 {
			j = math.MaxUint16
			beyond++
		}
		out[i/4*step+i%4] = uint16(j)
	}
	if beyond > 0 {
		r.bad(onMesh(mesh), at("attributes", fmt.Sprintf("JOINTS_%d", set)), "%d joint places are beyond 65535; kept as 65535", beyond)
	}
}

// bounds takes the true extremes of the stored positions and compares the stated.
func (r *reader) bounds(mesh int, p []float32, d *rig.PrimitiveData, where string) {
	lo, hi := extremes(p)
	for k := range 3 {
		d.TrueMin[k], d.TrueMax[k] = float64(lo[k]), float64(hi[k])
	}
	a := r.doc.Accessors[d.Array]
	if d.HasBounds = r.stated(mesh, d.Array, lo, hi, where); d.HasBounds {
		copy(d.Min[:], a.Min)
		copy(d.Max[:], a.Max)
	}
}

func extremes(p []float32) (lo, hi [3]float32) {
	lo = [3]float32{p[0], p[1], p[2]}
	hi = lo
	for i := 0; i+2 < len(p); i += 3 {
		for k := range 3 {
			lo[k], hi[k] = min(lo[k], p[i+k]), max(hi[k], p[i+k])
		}
	}
	return lo, hi
}

// stated compares an accessor's min and max with the true ones, both rounded to
// single precision (glTF 2.0, Accessors Bounds). It answers whether they are there.
func (r *reader) stated(mesh, accessor int, lo, hi [3]float32, where string) bool {
	a := r.doc.Accessors[accessor]
	if len(a.Min) != 3 || len(a.Max) != 3 {
		r.bad(onMesh(mesh), where, "accessor %d states %d numbers as min and %d as max, 3 are wanted", accessor, len(a.Min), len(a.Max))
		return false
	}
	for k := range 3 {
		if float32(a.Min[k]) != lo[k] || float32(a.Max[k]) != hi[k] {
			r.bad(onMesh(mesh), where, "accessor %d states %s from %g to %g, its data reach from %g to %g", accessor, "xyz"[k:k+1], a.Min[k], a.Max[k], lo[k], hi[k])
			break
		}
	}
	return true
}

// targets reads the morph targets of all primitives of a mesh.
func (r *reader) targets(mesh int, columns []parts, total, count int) error {
	m := &r.rig.Meshes[mesh]
	if count == 0 {
		return nil
	}
	names := targetNames(r.doc.Meshes[mesh])
	if len(names) > 0 && len(names) != count {
		r.bad(onMesh(mesh), place("meshes", mesh, "extras", "targetNames"), "%d names for %d morph targets", len(names), count)
	}
	m.Targets = make([]rig.Target, count)
	for t := range m.Targets {
		if t < len(names) {
			m.Targets[t].Name = names[t]
		}
	}
	first := 0
	for p := range columns {
		c := &columns[p]
		if c.count > 0 && len(c.targets) != count {
			r.bad(onMesh(mesh), place("meshes", mesh, "primitives", p, "targets"), "%d morph targets, another primitive has %d; the others do not move it", len(c.targets), count)
		}
		for t := range c.targets {
			for _, part := range []struct {
				name string
				c    *column
				to   *[]float32
			}{{gltf.POSITION, c.targets[t].position, &m.Targets[t].Positions}, {gltf.NORMAL, c.targets[t].normal, &m.Targets[t].Normals}} {
				if part.c == nil || c.count == 0 {
					continue
				}
				if *part.to == nil {
					if err := r.spend(total, 12); err != nil {
						return r.refuse(fmt.Sprintf("%s, morph target %d", label("mesh", mesh, m.Name), t), err)
					}
					*part.to = make([]float32, 3*total)
				}
				out := (*part.to)[3*first : 3*(first+c.count)]
				if n := part.c.floats(out, 3); n > 0 {
					r.bad(onMesh(mesh), place("meshes", mesh, "primitives", p, "targets", t, part.name), "%d numbers are not finite; read as 0", n)
				}
				if part.name == gltf.POSITION {
					lo, hi := extremes(out)
					r.stated(mesh, part.c.accessor, lo, hi, place("meshes", mesh, "primitives", p, "targets", t, part.name))
				}
				if part.c.normalized {
					normalise(part.c.component, out, 3, 3)
				}
			}
		}
		first += c.count
	}
	return nil
}

// targetNames are common practice in extras (glTF 2.0, Morph Targets, note).
func targetNames(m *gltf.Mesh) []string {
	extras := []any{m.Extras}
	for _, p := range m.Primitives {
		extras = append(extras, p.Extras)
	}
	for _, e := range extras {
		table, _ := e.(map[string]any)
		list, _ := table["targetNames"].([]any)
		if len(list) == 0 {
			continue
		}
		names := make([]string, len(list))
		for i, n := range list {
			names[i], _ = n.(string)
		}
		return names
	}
	return nil
}
