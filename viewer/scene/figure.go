package scene

import (
	"math"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/viewer/raster"
)

// figure is the rig as it is drawn: one mesh a part with the drawn vertices only,
// so that the same deformers that examine the rig move the picture.
type figure struct {
	rig      *rig.Rig // nodes, skins and clips of the file; meshes and surfaces of the drawing
	prepared *Prepared

	static raster.Figure
	coarse *figure // fewer triangles over some of the vertices, for moving; nil: none
	values values

	deformers []*deform.Deformer // by part
	pose      *deform.Pose
	pos       []float32 // 3·V, world, as posed
	normal    []float32
	slope     []float32

	posed   bool // pos is that of clip, seconds, bend, method
	clip    rig.Clip
	seconds float64
	bend    Move
	method  deform.Method
	turned  bool // normal and slope are that of the same moment

	bends  *Bends
	strain [2]*strain // by method, against its own rest; made when a lens first asks for it
}

// newFigure lays a figure out; p nil: as Sketch does. look is called between parts,
// and its error ends the work.
func newFigure(r *rig.Rig, p *Prepared, b *Bends, look func() error) (*figure, error) {
	if p == nil {
		p = Sketch(r)
	}
	f := &figure{prepared: p, bends: b}
	v := len(p.Source)
	var err error
	if f.rig, err = drawingRig(r, p, look); err != nil {
		return nil, err
	}
	f.pose = deform.NewPose(f.rig)
	f.pos, f.normal = make([]float32, 3*v), make([]float32, 3*v)
	for part := range p.Surface {
		if err := look(); err != nil {
			return nil, err
		}
		d := deform.NewDeformer(f.rig, part)
		d.Normals = p.Normal[3*p.First[part] : 3*p.end(part)]
		f.deformers = append(f.deformers, d)
	}
	f.static = raster.Figure{
		Mesh: raster.Mesh{
			Tri: p.Tri, Part: p.Part, Material: p.Material, Open: p.Open,
			Edge: edges(p.EdgeEnds, p.EdgeKind, p.EdgeSharp),
		},
		S: p.S, T: p.T, Bias: p.Bias,
	}
	if p.S != nil {
		f.slope = make([]float32, 3*v)
	}
	if len(p.Coarse.Tri) > 0 {
		if err := look(); err != nil {
			return nil, err
		}
		if f.coarse, err = newFigure(r, p.compact(), b, look); err != nil {
			return nil, err
		}
	}
	return f, nil
}

// some is newFigure of a few vertices: nothing to look up from.
func some(r *rig.Rig, p *Prepared, b *Bends) *figure {
	f, _ := newFigure(r, p, b, func() error { return nil })
	return f
}

func edges(ends []uint32, kind, sharp []uint8) []raster.Edge {
	out := make([]raster.Edge, len(kind))
	for i := range out {
		out[i] = raster.Edge{
			A: ends[4*i], B: ends[4*i+1], T0: ends[4*i+2], T1: ends[4*i+3],
			Kind: raster.EdgeKind(kind[i]), Sharp: sharp[i],
		}
	}
	return out
}

// roughWelds is the most triangles that are welded for a sketch, about 0.1 s.
const roughWelds = 100000

// Sketch stands in until Prepare is done: no lines, and for a heavy figure the
// file's own vertices and normals, no welds, no edges.
func Sketch(r *rig.Rig) *Prepared {
	triangles, parts := 0, drawn(r)
	for _, s := range parts {
		triangles += len(r.Meshes[r.Surfaces[s].Mesh].Triangles) / 3
	}
	if triangles <= roughWelds {
		p := &Prepared{}
		_, basis, _ := p.weld(r, parts, func(int) error { return nil })
		p.toMesh(basis, nil)
		return p
	}
	return unwelded(r)
}

func unwelded(r *rig.Rig) *Prepared {
	p := &Prepared{}
	box, pose := geom.EmptyBox(), deform.NewPose(r)
	defer func() { p.Low, p.High = box.Min, box.Max }()
	for k, s := range drawn(r) {
		m := &r.Meshes[r.Surfaces[s].Mesh]
		base := uint32(len(p.Source))
		p.Surface, p.First = append(p.Surface, int32(s)), append(p.First, base)
		n := m.Vertices()
		for v := range n {
			p.Source = append(p.Source, uint32(v))
		}
		if len(m.Normals) == 3*n {
			p.Normal = append(p.Normal, m.Normals...)
		} else {
			p.Normal = append(p.Normal, plainNormals(m)...)
		}
		at := make([]float32, 3*n)
		deform.NewDeformer(r, s).Apply(pose, deform.Linear, at, nil, nil, nil)
		if own := geom.BoxOf(at); !own.IsEmpty() {
			box.Add(own.Min)
			box.Add(own.Max)
		}
		for t := 0; t+2 < len(m.Triangles); t += 3 {
			a, b, c := m.Triangles[t], m.Triangles[t+1], m.Triangles[t+2]
			if int(max(a, b, c)) >= n {
				continue
			}
			p.Tri = append(p.Tri, base+a, base+b, base+c)
			p.TriSource = append(p.TriSource, uint32(t/3))
			p.Part = append(p.Part, uint16(min(k, math.MaxUint16)))
			p.Material = append(p.Material, uint16(min(len(r.Materials), math.MaxUint16)))
			p.Open = append(p.Open, true)
		}
		for i := range m.Primitives {
			// Materials by primitive; triangles left out above are rare enough.
			if pr := &m.Primitives[i]; pr.Material >= 0 && pr.Material < len(r.Materials) {
				from := len(p.Material) - len(m.Triangles)/3
				for t := max(0, from+pr.FirstTri); t < min(len(p.Material), from+pr.FirstTri+pr.TriCount); t++ {
					p.Material[t] = uint16(min(pr.Material, math.MaxUint16))
				}
			}
		}
	}
	return p
}

// plainNormals are the means of the triangles' normals, weighted by area.
func plainNormals(m *rig.MeshData) []float32 {
	out := make([]float32, len(m.Positions))
	n := uint32(m.Vertices())
	for t := 0; t+2 < len(m.Triangles); t += 3 {
		i, j, k := m.Triangles[t], m.Triangles[t+1], m.Triangles[t+2]
		if max(i, j, k) >= n {
			continue
		}
		a := space.At32(m.Positions, i)
		c := space.At32(m.Positions, j).Sub(a).Cross(space.At32(m.Positions, k).Sub(a))
		if !space.Finite32(c) {
			continue
		}
		for _, v := range [3]uint32{i, j, k} {
			out[3*v] += c[0]
			out[3*v+1] += c[1]
			out[3*v+2] += c[2]
		}
	}
	for v := range n {
		u := space.Direction32(space.At32(out, v))
		copy(out[3*v:], u[:])
	}
	return out
}

// drawingRig is r with one mesh a part that holds the drawn vertices in order.
// Nodes, skins and clips are shared.
func drawingRig(r *rig.Rig, p *Prepared, look func() error) (*rig.Rig, error) {
	d := *r
	d.Meshes = make([]rig.MeshData, len(p.Surface))
	d.Surfaces = make([]rig.Surface, len(p.Surface))
	d.Nodes = append([]rig.NodeData(nil), r.Nodes...)
	for i := range d.Nodes {
		d.Nodes[i].Mesh = rig.None
	}
	for part, s := range p.Surface {
		if err := look(); err != nil {
			return nil, err
		}
		sf := r.Surfaces[s]
		from := &r.Meshes[sf.Mesh]
		src := p.Source[p.First[part]:p.end(part)]
		to := &d.Meshes[part]
		to.Name, to.K, to.Morph = from.Name, from.K, from.Morph
		to.Positions = gather(from.Positions, src, 3)
		if from.K > 0 {
			to.Joints = gather(from.Joints, src, from.K)
			to.Weights = gather(from.Weights, src, from.K)
		}
		for i := range from.Targets {
			t := &from.Targets[i]
			// Displacements of normals belong to the file's normals, not to the
			// welded ones: left out, the shade then lags a little behind a morph.
			to.Targets = append(to.Targets, rig.Target{Name: t.Name, Positions: gather(t.Positions, src, 3)})
		}
		to.Primitives = runs(from, src)
		sf.Mesh = rig.Mesh(part)
		d.Surfaces[part] = sf
		d.Nodes[sf.Node].Mesh = rig.Mesh(part)
	}
	return &d, nil
}

// gather picks the entries of src, width numbers each; nil stays nil.
func gather[E uint16 | uint32 | float32](from []E, src []uint32, width int) []E {
	if from == nil {
		return nil
	}
	out := make([]E, 0, len(src)*width)
	for _, v := range src {
		i := int(v) * width
		if i+width > len(from) {
			out = append(out, make([]E, width)...)
			continue
		}
		out = append(out, from[i:i+width]...)
	}
	return out
}

// runs cuts the drawn vertices into primitives with and without joints, which is
// all that a deformer asks of them.
func runs(m *rig.MeshData, src []uint32) (out []rig.PrimitiveData) {
	sets := make([]int, m.Vertices())
	for i := range m.Primitives {
		pr := &m.Primitives[i]
		for v := pr.First; v < min(pr.First+pr.Count, len(sets)); v++ {
			sets[v] = pr.Sets
		}
	}
	for i, v := range src {
		if n := len(out); n > 0 && out[n-1].Sets == sets[v] {
			out[n-1].Count++
			continue
		}
		out = append(out, rig.PrimitiveData{First: i, Count: 1, Sets: sets[v], Material: rig.None})
	}
	return out
}

// move poses the figure. directions asks for normals and slopes too.
func (f *figure) move(st *State, directions bool) (moved bool) {
	if f.posed && f.clip == st.Clip && f.seconds == st.Seconds && f.bend == st.Move && f.method == st.Method && (f.turned || !directions) {
		return false
	}
	f.bends.Stand(f.pose, st)
	p := f.prepared
	for part, d := range f.deformers {
		a, b := 3*p.First[part], 3*p.end(part)
		var normal, in, out []float32
		if directions {
			normal = f.normal[a:b]
			if f.slope != nil {
				in, out = p.Slope[a:b], f.slope[a:b]
			}
		}
		d.Apply(f.pose, st.Method, f.pos[a:b], normal, in, out)
	}
	f.posed, f.clip, f.seconds, f.bend, f.method, f.turned = true, st.Clip, st.Seconds, st.Move, st.Method, directions
	return true
}

// vertex finds the drawn vertex of a mesh vertex of a surface; −1: not drawn.
func (f *figure) vertex(surface int, v rig.Vertex) int {
	p := f.prepared
	for part, s := range p.Surface {
		if int(s) != surface {
			continue
		}
		// Sources rise within a part.
		lo, hi := int(p.First[part]), int(p.end(part))
		for lo < hi {
			mid := (lo + hi) / 2
			if p.Source[mid] < uint32(v) {
				lo = mid + 1
			} else {
				hi = mid
			}
		}
		if lo < int(p.end(part)) && p.Source[lo] == uint32(v) {
			return lo
		}
	}
	return -1
}
