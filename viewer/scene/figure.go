package scene

import (
	"math"
	"slices"

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

// newFigure lays a figure out; p nil: as Sketch does. before is the same rig's figure as it
// was drawn until now, nil: none; where both draw the same vertices, what moves them is taken
// over, since of a large figure that is as much memory as the rig itself. look is called
// between parts, and its error ends the work. Only a figure that wears is drawn rightly.
func newFigure(r *rig.Rig, p *Prepared, b *Bends, before *figure, look func() error) (*figure, error) {
	if p == nil {
		p = Sketch(r)
	} else if p.onlyBox() {
		p = p.roughly(r)
	}
	f := &figure{prepared: p, bends: b}
	v := len(p.Source)
	if before != nil && slices.Equal(before.prepared.Surface, p.Surface) && slices.Equal(before.prepared.First, p.First) && slices.Equal(before.prepared.Source, p.Source) {
		f.rig, f.pose, f.deformers = before.rig, before.pose, before.deformers
		f.pos, f.normal, f.slope = before.pos, before.normal, before.slope
	} else {
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
			f.deformers = append(f.deformers, deform.NewDeformer(f.rig, part))
		}
	}
	f.static = raster.Figure{
		Mesh: raster.Mesh{
			Tri: p.Tri, Part: p.Part, Material: p.Material, Open: p.Open,
			Edge: p.Edge,
		},
		S: p.S, T: p.T, Bias: p.Bias,
	}
	if p.S == nil {
		f.slope = nil
	} else if f.slope == nil {
		f.slope = make([]float32, 3*v)
	}
	if len(p.Coarse.Tri) > 0 {
		if err := look(); err != nil {
			return nil, err
		}
		var coarse *figure
		if before != nil {
			coarse = before.coarse
		}
		var err error
		if f.coarse, err = newFigure(r, p.compact(), b, coarse, look); err != nil {
			return nil, err
		}
	}
	return f, nil
}

// wear has what moves the vertices carry this figure's normals; it may be another's until then.
func (f *figure) wear() {
	p := f.prepared
	for part, d := range f.deformers {
		d.Normals = p.Normal[3*p.First[part] : 3*p.end(part)]
	}
	if f.coarse != nil {
		f.coarse.wear()
	}
}

// some is newFigure of a few vertices: nothing to look up from.
func some(r *rig.Rig, p *Prepared, b *Bends) *figure {
	f, _ := newFigure(r, p, b, nil, func() error { return nil })
	f.wear()
	return f
}

// roughWelds is the most triangles that are welded for a sketch, about 0.1 s.
const roughWelds = 100000

// Sketch stands in until Prepare is done: no lines, and for a heavy figure the
// file's own vertices and normals, no welds, no edges.
func Sketch(r *rig.Rig) *Prepared {
	p := SketchForStage(r)
	if p.onlyBox() {
		p = p.roughly(r)
	}
	return p
}

// SketchForStage is Sketch without what the stage can take from the rig itself: of a heavy
// figure only the box crosses.
func SketchForStage(r *rig.Rig) *Prepared {
	triangles, parts := 0, drawn(r)
	for _, s := range parts {
		triangles += len(r.Meshes[r.Surfaces[s].Mesh].Triangles) / 3
	}
	p := &Prepared{}
	if triangles <= roughWelds {
		_, basis, _ := p.weld(r, parts, func(int) error { return nil })
		p.toMesh(basis, nil)
		return p
	}
	box, pose := geom.EmptyBox(), deform.NewPose(r)
	for _, s := range parts {
		at := make([]float32, len(r.Meshes[r.Surfaces[s].Mesh].Positions))
		deform.NewDeformer(r, s).Apply(pose, deform.Linear, at, nil, nil, nil)
		if own := geom.BoxOf(at); !own.IsEmpty() {
			box.Add(own.Min)
			box.Add(own.Max)
		}
	}
	p.Low, p.High = box.Min, box.Max
	return p
}

// onlyBox tells that all but the box is to be taken from the rig; a figure of which nothing is
// drawn has no box.
func (p *Prepared) onlyBox() bool { return len(p.Source) == 0 && p.Low[0] <= p.High[0] }

// roughly is the rig as it is drawn unwelded, in the box of p. What the file has as it is
// drawn is not copied.
func (p *Prepared) roughly(r *rig.Rig) *Prepared {
	parts := drawn(r)
	vertices, triangles := 0, 0
	for _, s := range parts {
		m := &r.Meshes[r.Surfaces[s].Mesh]
		vertices, triangles = vertices+m.Vertices(), triangles+len(m.Triangles)/3
	}
	p = &Prepared{
		Low: p.Low, High: p.High,
		Source: make([]uint32, 0, vertices), TriSource: make([]uint32, 0, triangles),
		Part: make([]uint16, 0, triangles), Material: make([]uint16, 0, triangles), Open: make([]bool, triangles),
	}
	for k, s := range parts {
		m := &r.Meshes[r.Surfaces[s].Mesh]
		base := uint32(len(p.Source))
		p.Surface, p.First = append(p.Surface, int32(s)), append(p.First, base)
		n := m.Vertices()
		for v := range n {
			p.Source = append(p.Source, uint32(v))
		}
		normals := m.Normals
		if len(normals) != 3*n {
			normals = plainNormals(m)
		}
		whole := len(m.Triangles) - len(m.Triangles)%3
		if len(parts) == 1 && (whole == 0 || int(slices.Max(m.Triangles[:whole])) < n) {
			p.Normal, p.Tri = normals, m.Triangles[:whole]
		} else {
			p.Normal = append(slices.Grow(p.Normal, 3*(vertices-int(base))), normals...)
		}
		copied := p.Tri == nil || base > 0
		if copied && base == 0 {
			p.Tri = make([]uint32, 0, 3*triangles)
		}
		first := len(p.TriSource)
		for t := 0; t+2 < len(m.Triangles); t += 3 {
			a, b, c := m.Triangles[t], m.Triangles[t+1], m.Triangles[t+2]
			if int(max(a, b, c)) >= n {
				continue
			}
			if copied {
				p.Tri = append(p.Tri, base+a, base+b, base+c)
			}
			p.TriSource = append(p.TriSource, uint32(t/3))
			p.Part = append(p.Part, uint16(min(k, math.MaxUint16)))
			p.Material = append(p.Material, uint16(min(len(r.Materials), math.MaxUint16)))
		}
		for i := range m.Primitives {
			// Materials by primitive; triangles left out above are rare enough.
			if pr := &m.Primitives[i]; pr.Material >= 0 && pr.Material < len(r.Materials) {
				for t := max(0, first+pr.FirstTri); t < min(len(p.Material), first+pr.FirstTri+pr.TriCount); t++ {
					p.Material[t] = uint16(min(pr.Material, math.MaxUint16))
				}
			}
		}
	}
	p.Open = p.Open[:len(p.TriSource)]
	for t := range p.Open {
		p.Open[t] = true
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

// drawingRig is r with one mesh a part that holds the drawn vertices in order. Nodes, skins
// and clips are shared, and a mesh of which every vertex is drawn once, as in the file.
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
		if asStored(src, from.Vertices()) {
			to.Positions, to.Joints, to.Weights = from.Positions, from.Joints, from.Weights
		} else {
			to.Positions = gather(from.Positions, src, 3)
			if from.K > 0 {
				to.Joints = gather(from.Joints, src, from.K)
				to.Weights = gather(from.Weights, src, from.K)
			}
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

// asStored tells that src names each of n vertices once, in their order.
func asStored(src []uint32, n int) bool {
	if len(src) != n {
		return false
	}
	for i, v := range src {
		if int(v) != i {
			return false
		}
	}
	return true
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
