package lamplighter

import (
	"bytes"
	"encoding/binary"
	"math"
	"slices"

	"github.com/qmuntal/gltf"

	"rigloupe/inspect/rig"
)

// GLB answers a variant as the bytes of a binary glTF 2.0 file.
func GLB(o Options) []byte { return Write(Build(o)) }

// Write answers a rig of this package, or a copy with faults planted, as the bytes
// of a binary glTF 2.0 file. It writes what the rig says, right or wrong: the place
// of every node, the weights as they are. Images and textures are left out.
func Write(r *rig.Rig) []byte {
	w := writer{doc: &gltf.Document{Asset: gltf.Asset{Version: "2.0", Generator: r.File.Generator}}}
	d := w.doc
	d.ExtensionsUsed, d.ExtensionsRequired = r.File.Used, r.File.Required
	declare(d, &r.Humanoid)
	if r.Shown >= 0 {
		d.Scene = gltf.Index(r.Shown)
	}
	for _, s := range r.Scenes {
		out := &gltf.Scene{Name: s.Name}
		for _, n := range s.Roots {
			out.Nodes = append(out.Nodes, int(n))
		}
		d.Scenes = append(d.Scenes, out)
	}
	for _, m := range r.Materials {
		c := m.Color
		d.Materials = append(d.Materials, &gltf.Material{Name: m.Name, DoubleSided: m.DoubleSided, PBRMetallicRoughness: &gltf.PBRMetallicRoughness{
			BaseColorFactor: &[4]float64{short(c[0]), short(c[1]), short(c[2]), short(c[3])}, MetallicFactor: gltf.Float(0), RoughnessFactor: gltf.Float(0.9),
		}})
	}
	for i := range r.Nodes {
		d.Nodes = append(d.Nodes, nodeOf(&r.Nodes[i]))
	}
	for i := range r.Meshes {
		d.Meshes = append(d.Meshes, w.mesh(&r.Meshes[i]))
	}
	for i := range r.Skins {
		d.Skins = append(d.Skins, w.skin(&r.Skins[i]))
	}
	for i := range r.Clips {
		d.Animations = append(d.Animations, w.clip(&r.Clips[i]))
	}
	for _, m := range r.Malformed {
		if m.Place == brokenAt { // as Break plants it
			d.Accessors[0].Max = d.Accessors[0].Max[:2]
		}
	}
	if len(w.data) > 0 {
		d.Buffers = []*gltf.Buffer{{ByteLength: len(w.data), Data: w.data}}
	}
	var out bytes.Buffer
	if err := gltf.NewEncoder(&out).Encode(d); err != nil {
		panic("lamplighter: " + err.Error()) // memory only, our own document: our own mistake
	}
	return out.Bytes()
}

// declare writes the map of bones of VRM 1.0, as far as the rig holds it.
func declare(d *gltf.Document, h *rig.Humanoid) {
	const name = "VRMC_vrm"
	if h.Version != "1" || len(h.Bones) == 0 {
		return
	}
	bones := map[string]map[string]int{}
	for role, n := range h.Bones {
		bones[role] = map[string]int{"node": int(n)}
	}
	d.Extensions = gltf.Extensions{name: map[string]any{"specVersion": "1.0", "humanoid": map[string]any{"humanBones": bones}}}
	if !slices.Contains(d.ExtensionsUsed, name) {
		d.ExtensionsUsed = append(slices.Clone(d.ExtensionsUsed), name)
	}
}

// writer gathers the one buffer.
type writer struct {
	doc  *gltf.Document
	data []byte
}

func nodeOf(n *rig.NodeData) *gltf.Node {
	out := &gltf.Node{Name: n.Name, Rotation: n.R, Scale: n.S, Translation: n.T}
	if n.HasMatrix {
		m := n.Matrix
		out.Rotation, out.Scale, out.Translation = gltf.DefaultRotation, gltf.DefaultScale, gltf.DefaultTranslation
		out.Matrix = [16]float64{m[0], m[4], m[8], 0, m[1], m[5], m[9], 0, m[2], m[6], m[10], 0, m[3], m[7], m[11], 1}
	}
	for _, c := range n.Children {
		out.Children = append(out.Children, int(c))
	}
	if n.Mesh >= 0 {
		out.Mesh = gltf.Index(int(n.Mesh))
	}
	if n.Skin >= 0 {
		out.Skin = gltf.Index(int(n.Skin))
	}
	for _, v := range n.Weights {
		out.Weights = append(out.Weights, float64(v))
	}
	return out
}

func (w *writer) mesh(m *rig.MeshData) *gltf.Mesh {
	out := &gltf.Mesh{Name: m.Name}
	for i := range m.Primitives {
		out.Primitives = append(out.Primitives, w.primitive(m, &m.Primitives[i]))
	}
	for _, v := range m.Morph {
		out.Weights = append(out.Weights, float64(v))
	}
	names := []string{}
	for _, t := range m.Targets {
		names = append(names, t.Name)
	}
	if len(names) > 0 {
		out.Extras = map[string]any{"targetNames": names}
	}
	return out
}

func (w *writer) primitive(m *rig.MeshData, p *rig.PrimitiveData) *gltf.Primitive {
	a, b := p.First, p.First+p.Count
	out := &gltf.Primitive{Attributes: gltf.PrimitiveAttributes{}}
	at := w.positions(m.Positions[3*a:3*b], p)
	if p.HasBounds {
		w.doc.Accessors[at].Min, w.doc.Accessors[at].Max = p.Min[:], p.Max[:]
	}
	out.Attributes[gltf.POSITION] = at
	if p.HasNormals && m.Normals != nil {
		out.Attributes[gltf.NORMAL] = w.floats(m.Normals[3*a:3*b], gltf.AccessorVec3, gltf.TargetArrayBuffer)
	}
	if p.HasUV && m.UV != nil {
		out.Attributes[gltf.TEXCOORD_0] = w.floats(m.UV[2*a:2*b], gltf.AccessorVec2, gltf.TargetArrayBuffer)
	}
	for s := range p.Sets {
		suffix := string(rune('0' + s))
		out.Attributes["JOINTS_"+suffix] = w.joints(m, p, s)
		out.Attributes["WEIGHTS_"+suffix] = w.weights(m, p, s)
	}
	tri := m.Triangles[3*p.FirstTri : 3*(p.FirstTri+p.TriCount)]
	if len(tri) > 0 {
		out.Indices = gltf.Index(w.indices(tri, uint32(a), p.Count))
	}
	for _, t := range m.Targets {
		attributes := gltf.PrimitiveAttributes{}
		if t.Positions != nil {
			d := t.Positions[3*a : 3*b]
			i := w.floats(d, gltf.AccessorVec3, gltf.TargetArrayBuffer)
			w.doc.Accessors[i].Min, w.doc.Accessors[i].Max = bounds(d, 3)
			attributes[gltf.POSITION] = i
		}
		if t.Normals != nil {
			attributes[gltf.NORMAL] = w.floats(t.Normals[3*a:3*b], gltf.AccessorVec3, gltf.TargetArrayBuffer)
		}
		out.Targets = append(out.Targets, attributes)
	}
	if p.Material >= 0 && p.Material < len(w.doc.Materials) {
		out.Material = gltf.Index(p.Material)
	}
	return out
}

// positions are written as the primitive says: floats, or 16-bit whole numbers that stand
// for a range of −1 to 1 (KHR_mesh_quantization), each at a multiple of four bytes.
func (w *writer) positions(v []float32, p *rig.PrimitiveData) int {
	if p.PositionType != 5122 || !p.PositionNormalized {
		return w.floats(v, gltf.AccessorVec3, gltf.TargetArrayBuffer)
	}
	start := w.pad()
	for i, x := range v {
		w.data = binary.LittleEndian.AppendUint16(w.data, uint16(int16(math.Round(float64(x)*32767))))
		if i%3 == 2 {
			w.data = append(w.data, 0, 0)
		}
	}
	at := w.accessor(start, gltf.ComponentShort, gltf.AccessorVec3, len(v)/3, gltf.TargetArrayBuffer)
	w.doc.Accessors[at].Normalized = true
	w.doc.BufferViews[len(w.doc.BufferViews)-1].ByteStride = 8
	return at
}

func (w *writer) joints(m *rig.MeshData, p *rig.PrimitiveData, set int) int {
	bytes := p.JointType == 5121
	start := w.pad()
	for v := p.First; v < p.First+p.Count; v++ {
		for _, j := range m.Joints[v*m.K+4*set : v*m.K+4*set+4] {
			if bytes {
				w.data = append(w.data, byte(j))
			} else {
				w.data = binary.LittleEndian.AppendUint16(w.data, j)
			}
		}
	}
	c := gltf.ComponentUshort
	if bytes {
		c = gltf.ComponentUbyte
	}
	return w.accessor(start, c, gltf.AccessorVec4, p.Count, gltf.TargetArrayBuffer)
}

func (w *writer) weights(m *rig.MeshData, p *rig.PrimitiveData, set int) int {
	start := w.pad()
	c := gltf.ComponentFloat
	for v := p.First; v < p.First+p.Count; v++ {
		for _, x := range m.Weights[v*m.K+4*set : v*m.K+4*set+4] {
			switch p.WeightType {
			case 5121:
				w.data, c = append(w.data, byte(math.Round(float64(x)*255))), gltf.ComponentUbyte
			case 5123:
				w.data, c = binary.LittleEndian.AppendUint16(w.data, uint16(math.Round(float64(x)*65535))), gltf.ComponentUshort
			default:
				w.data = binary.LittleEndian.AppendUint32(w.data, math.Float32bits(x))
			}
		}
	}
	i := w.accessor(start, c, gltf.AccessorVec4, p.Count, gltf.TargetArrayBuffer)
	w.doc.Accessors[i].Normalized = c != gltf.ComponentFloat
	return i
}

func (w *writer) indices(tri []uint32, first uint32, vertices int) int {
	start := w.pad()
	c := gltf.ComponentUint
	if vertices < 65535 {
		c = gltf.ComponentUshort
	}
	for _, v := range tri {
		if c == gltf.ComponentUshort {
			w.data = binary.LittleEndian.AppendUint16(w.data, uint16(v-first))
		} else {
			w.data = binary.LittleEndian.AppendUint32(w.data, v-first)
		}
	}
	return w.accessor(start, c, gltf.AccessorScalar, len(tri), gltf.TargetElementArrayBuffer)
}

func (w *writer) skin(s *rig.SkinData) *gltf.Skin {
	out := &gltf.Skin{Name: s.Name}
	for _, n := range s.Joints {
		out.Joints = append(out.Joints, int(n))
	}
	if s.Skeleton >= 0 {
		out.Skeleton = gltf.Index(int(s.Skeleton))
	}
	if !s.HasBind {
		return out
	}
	cells := make([]float32, 0, 16*len(s.Bind))
	for i := range s.Bind {
		m, row := &s.Bind[i], [4]float64{0, 0, 0, 1}
		if s.BindRow != nil {
			copy(row[:], s.BindRow[4*i:])
		}
		for c := range 4 {
			cells = append(cells, float32(m[c]), float32(m[4+c]), float32(m[8+c]), float32(row[c]))
		}
	}
	out.InverseBindMatrices = gltf.Index(w.floats(cells, gltf.AccessorMat4, gltf.TargetNone))
	return out
}

// clip shares one accessor between channels that share their times.
func (w *writer) clip(c *rig.ClipData) *gltf.Animation {
	out := &gltf.Animation{Name: c.Name}
	var seen [][]float32
	var at []int
	for i := range c.Channels {
		ch := &c.Channels[i]
		input := -1
		for k, t := range seen {
			if len(t) > 0 && len(t) == len(ch.Times) && &t[0] == &ch.Times[0] {
				input = at[k]
			}
		}
		if input < 0 {
			input = w.floats(ch.Times, gltf.AccessorScalar, gltf.TargetNone)
			w.doc.Accessors[input].Min, w.doc.Accessors[input].Max = bounds(ch.Times, 1)
			seen, at = append(seen, ch.Times), append(at, input)
		}
		t := [...]gltf.AccessorType{gltf.AccessorVec3, gltf.AccessorVec4, gltf.AccessorVec3, gltf.AccessorScalar}[ch.Path]
		out.Samplers = append(out.Samplers, &gltf.AnimationSampler{
			Input: input, Output: w.floats(ch.Values, t, gltf.TargetNone),
			Interpolation: [...]gltf.Interpolation{gltf.InterpolationLinear, gltf.InterpolationStep, gltf.InterpolationCubicSpline}[ch.Interpolation],
		})
		out.Channels = append(out.Channels, &gltf.AnimationChannel{Sampler: i, Target: gltf.AnimationChannelTarget{
			Node: gltf.Index(int(ch.Node)), Path: [...]gltf.TRSProperty{gltf.TRSTranslation, gltf.TRSRotation, gltf.TRSScale, gltf.TRSWeights}[ch.Path],
		}})
	}
	return out
}

func (w *writer) floats(v []float32, t gltf.AccessorType, target gltf.Target) int {
	start := w.pad()
	for _, x := range v {
		w.data = binary.LittleEndian.AppendUint32(w.data, math.Float32bits(x))
	}
	return w.accessor(start, gltf.ComponentFloat, t, len(v)/t.Components(), target)
}

// pad fills the buffer to a multiple of four bytes and answers its length.
func (w *writer) pad() int {
	for len(w.data)%4 != 0 {
		w.data = append(w.data, 0)
	}
	return len(w.data)
}

func (w *writer) accessor(start int, c gltf.ComponentType, t gltf.AccessorType, count int, target gltf.Target) int {
	w.doc.BufferViews = append(w.doc.BufferViews, &gltf.BufferView{ByteOffset: start, ByteLength: len(w.data) - start, Target: target})
	w.doc.Accessors = append(w.doc.Accessors, &gltf.Accessor{BufferView: gltf.Index(len(w.doc.BufferViews) - 1), ComponentType: c, Type: t, Count: count})
	return len(w.doc.Accessors) - 1
}

func bounds(v []float32, width int) (lo, hi []float64) {
	for k := range width {
		a, b := math.Inf(1), math.Inf(-1)
		for i := k; i < len(v); i += width {
			a, b = min(a, float64(v[i])), max(b, float64(v[i]))
		}
		lo, hi = append(lo, a), append(hi, b)
	}
	return lo, hi
}

// short is a float32 as the decimal number a person would write.
func short(v float32) float64 { return math.Round(float64(v)*1e6) / 1e6 }
