package gltfio

import (
	"fmt"

	"github.com/qmuntal/gltf"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// parts are the checked columns of one primitive.
type parts struct {
	count          int  // vertices
	packed         bool // the shape came packed, and rounded
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
		err := r.primitive(i, p, where, &columns[p], &m.Primitives[p])
		if r.shaped = nil; err != nil {
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
	left, corners, err := r.undraco(mesh, i, where, at)
	if err != nil {
		return err
	}
	if c.packed = corners != nil; left {
		r.packed++
		return nil
	}
	c.position, err = r.column(position, vertexData, gltf.AccessorVec3)
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
			if err != nil {
				return r.refuse(fmt.Sprintf("%s, morph target %d, %s", where, t, name), err)
			}
			r.level(mesh, &col, c.count, at("targets", t, name))
			*to = &col
		}
	}
	if corners != nil { // a list of triangles, also where strips are meant
		c.indices, d.Mode = corners, modeCode[gltf.PrimitiveTriangles]
	} else if src.Indices != nil {
		col, err := r.column(*src.Indices, plainData, gltf.AccessorScalar)
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

// vertices fills one primitive's stretch of the mesh.
func (r *reader) vertices(mesh, i int, c *parts, d *rig.PrimitiveData, m *rig.MeshData) {
	if c.count == 0 {
		return
	}
	at := func(steps ...any) string { return place(append([]any{"meshes", mesh, "primitives", i}, steps...)...) }
	from, to := d.First, d.First+d.Count
	odd := func(n int, where string) {
		if n > 0 {
			r.bad(onMesh(mesh), where, "%s %s not finite; read as 0", say.Whole(n), say.Word(n, "number is", "numbers are"))
		}
	}
	p := m.Positions[3*from : 3*to]
	odd(c.position.floats(p, 3), at("attributes", "POSITION"))
	r.bounds(mesh, p, d, c.packed, at("attributes", "POSITION"))
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

// bounds takes the true extremes of the stored positions and compares the stated.
func (r *reader) bounds(mesh int, p []float32, d *rig.PrimitiveData, packed bool, where string) {
	lo, hi := extremes(p)
	for k := range 3 {
		d.TrueMin[k], d.TrueMax[k] = float64(lo[k]), float64(hi[k])
	}
	a := r.doc.Accessors[d.Array]
	if packed {
		d.Slack = roughest * float64(max(hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2]))
	}
	if d.HasBounds = r.stated(mesh, d.Array, lo, hi, float32(d.Slack), where); d.HasBounds {
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
// single precision (glTF 2.0, Accessors Bounds), and lets them be off by slack. It answers
// whether they are there.
func (r *reader) stated(mesh, accessor int, lo, hi [3]float32, slack float32, where string) bool {
	a := r.doc.Accessors[accessor]
	if len(a.Min) != 3 || len(a.Max) != 3 {
		r.bad(onMesh(mesh), where, "accessor %d states %d numbers as min and %d as max, 3 are wanted", accessor, len(a.Min), len(a.Max))
		return false
	}
	for k := range 3 {
		if !within(float32(a.Min[k]), lo[k], slack) || !within(float32(a.Max[k]), hi[k], slack) {
			r.bad(onMesh(mesh), where, "accessor %d states %s from %.6g to %.6g, its data reach from %.6g to %.6g", accessor, "xyz"[k:k+1], a.Min[k], a.Max[k], lo[k], hi[k])
			break
		}
	}
	return true
}

// within tells that two numbers are no farther apart than slack.
func within(a, b, slack float32) bool { return a == b || max(a-b, b-a) <= slack }
