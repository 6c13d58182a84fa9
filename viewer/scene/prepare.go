package scene

import (
	"context"
	"math"
	"slices"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/viewer/raster"
)

// Prepared is what drawing needs beyond the rig: worked out once a file, in the
// worker. V drawn vertices, T triangles, E edges, all parts in one index space.
// All fields are flat, so that it can cross to the stage.
type Prepared struct {
	Surface []int32  // by part: place in Rig.Surfaces; surfaces out of the default scene are left out
	First   []uint32 // by part: its first drawn vertex
	Source  []uint32 // V: vertex of its surface's mesh

	Normal []float32 // 3·V, mesh space: welded, split along creases only
	Slope  []float32 // 3·V, mesh space, so that the rest matrix carries it to the gradient of S
	S      []float32 // V: the engraving coordinate, metres, positive; nil: draw no lines
	T      []float32 // V: tilted copy of S
	Bias   []float32 // V: openness and swelling

	Tri       []uint32 // 3·T
	TriSource []uint32 // T: triangle of the surface's mesh
	Part      []uint16 // T
	Material  []uint16 // T: place in Rig.Materials; one past the last: none
	Open      []bool   // T: its shell has a border

	Edge []raster.Edge // E

	Coarse Coarse // empty when the figure is light enough

	Low, High space.Vec // box at rest over what is drawn, world metres; Low > High: nothing is drawn
}

// Coarse is the figure in fewer triangles over the same vertices, drawn while
// something moves.
type Coarse struct {
	Tri       []uint32
	TriSource []uint32 // triangle of Prepared it stands for
	Part      []uint16
	Material  []uint16
	Open      []bool
	Edge      []raster.Edge
	Used      []uint32
}

// openings is how many directions openness is looked at from.
const openings = 40

// stepsOfPart is how often welding one part looks up.
const stepsOfPart = 6

// Prepare works out welds, creases, edges, the engraving and openness. It is the
// slow part: about 0.2 s for 20,000 triangles in the browser, seconds for a
// million. tick is called between steps with what is done of how much; it may be
// nil, and its error ends the work.
func Prepare(ctx context.Context, r *rig.Rig, tick func(done, total int) error) (*Prepared, error) {
	p, shade, err := Engrave(ctx, r, tick)
	if err != nil {
		return nil, err
	}
	if err := shade(ctx); err != nil {
		return nil, err
	}
	return p, nil
}

// Engrave is Prepare without openness: the figure as if every place of it lay open. shade
// does the rest, which is most of the work, in its own time, and goes on telling tick.
func Engrave(ctx context.Context, r *rig.Rig, tick func(done, total int) error) (p *Prepared, shade func(context.Context) error, err error) {
	parts := drawn(r)
	total := stepsOfPart*len(parts) + openings + 10
	done := 0
	step := func(n int) error {
		done += n
		if tick != nil {
			if err := tick(done, total); err != nil {
				return err
			}
		}
		return ctx.Err()
	}
	p = &Prepared{}
	wd, bases, err := p.weld(r, parts, step)
	if err != nil {
		return nil, nil, err
	}
	if len(p.Source) == 0 {
		return p, func(later context.Context) error { ctx = later; return step(openings + 10) }, nil
	}
	p.coarsen(wd.place)
	if err := step(2); err != nil {
		return nil, nil, err
	}
	slope, err := p.engrave(r, wd, &geom.Watch{Look: func() error { return step(0) }})
	if err != nil {
		return nil, nil, err
	}
	if err := step(7); err != nil {
		return nil, nil, err
	}
	pos, normal := wd.place, slices.Clone(p.Normal)
	p.toMesh(bases, slope)
	return p, func(later context.Context) error {
		ctx = later
		open, err := openness(p, pos, normal, step)
		if err != nil {
			return err
		}
		for v := range p.Bias {
			p.Bias[v] -= .45 * (1 - open[v])
		}
		return step(1)
	}, nil
}

// weld joins the parts and finds their edges, creases and normals (those in world
// space at rest). bases has, by part, the rest matrices of its mesh's vertices, 9·V.
func (p *Prepared) weld(r *rig.Rig, parts []int, step func(int) error) (wd *welder, bases [][]float32, err error) {
	wd = &welder{out: p}
	pose := deform.NewPose(r)
	p.reserve(r, parts)
	for k, s := range parts {
		raw := restPart(r, pose, s)
		p.Surface = append(p.Surface, int32(s))
		if err := wd.add(uint16(min(k, math.MaxUint16)), raw, func() error { return step(1) }); err != nil {
			return nil, nil, err
		}
		bases = append(bases, raw.basis)
		if err := step(1); err != nil {
			return nil, nil, err
		}
	}
	wd.joinBorders()
	box := geom.BoxOf(wd.place)
	p.Low, p.High = box.Min, box.Max
	return wd, bases, nil
}

// reserve makes room for all triangles at once: lists of millions that grow bit by
// bit stand in memory twice.
func (p *Prepared) reserve(r *rig.Rig, parts []int) {
	triangles := 0
	for _, s := range parts {
		triangles += len(r.Meshes[r.Surfaces[s].Mesh].Triangles) / 3
	}
	p.Tri, p.TriSource = make([]uint32, 0, 3*triangles), make([]uint32, 0, triangles)
	p.Part, p.Material = make([]uint16, 0, triangles), make([]uint16, 0, triangles)
	p.Open = make([]bool, 0, triangles)
}

// drawn lists the surfaces that are shown, at most ceiling.Surfaces.
func drawn(r *rig.Rig) []int { return largest(r, everyDrawn(r)) }

// everyDrawn lists those in the default scene and with at least one triangle.
func everyDrawn(r *rig.Rig) (out []int) {
	shown := r.IsShown()
	for i, s := range r.Surfaces {
		if s.Mesh >= 0 && int(s.Mesh) < len(r.Meshes) && shown[s.Node] && len(r.Meshes[s.Mesh].Triangles) > 0 {
			out = append(out, i)
		}
	}
	return out
}

// restPart carries one surface to the world at rest, and with it the three axes
// of its mesh's space: the columns of each vertex's blended matrix.
func restPart(r *rig.Rig, pose *deform.Pose, surface int) *rawPart {
	m := &r.Meshes[r.Surfaces[surface].Mesh]
	n := m.Vertices()
	d := deform.NewDeformer(r, surface)
	part := &rawPart{
		surface: surface, key: m.Positions, pos: make([]float32, 3*n), tri: m.Triangles,
		basis: make([]float32, 9*n), material: make([]uint16, len(m.Triangles)/3),
	}
	if len(m.Normals) == 3*n {
		part.normal = m.Normals
	}
	in, out := make([]float32, 3*n), make([]float32, 3*n)
	for axis := range 3 {
		for v := range n {
			in[3*v], in[3*v+1], in[3*v+2] = 0, 0, 0
			in[3*v+axis] = 1
		}
		d.Apply(pose, deform.Linear, part.pos, nil, in, out)
		for v := range n {
			copy(part.basis[9*v+3*axis:9*v+3*axis+3], out[3*v:3*v+3])
		}
	}
	for i := range m.Primitives {
		pr := &m.Primitives[i]
		mat := pr.Material
		if mat < 0 || mat >= len(r.Materials) {
			mat = len(r.Materials)
		}
		for t := pr.FirstTri; t < pr.FirstTri+pr.TriCount && t < len(part.material); t++ {
			part.material[t] = uint16(min(mat, math.MaxUint16))
		}
	}
	return part
}

// toMesh takes normals and slopes from the world at rest back to mesh space: a
// normal by the transpose (the matrix carries it by its inverse transpose), a
// slope by the inverse.
func (p *Prepared) toMesh(bases [][]float32, slope []float32) {
	p.Slope = slope
	part := 0
	for v := range uint32(len(p.Source)) {
		for v >= p.end(part) {
			part++
		}
		b := bases[part][9*p.Source[v] : 9*p.Source[v]+9]
		x, y, z := space.Vec32{b[0], b[1], b[2]}, space.Vec32{b[3], b[4], b[5]}, space.Vec32{b[6], b[7], b[8]}
		n := space.At32(p.Normal, v)
		if m := space.Direction32(space.Vec32{x.Dot(n), y.Dot(n), z.Dot(n)}); m != (space.Vec32{}) {
			n = m
		}
		copy(p.Normal[3*v:], n[:])
		if slope == nil {
			continue
		}
		// Rows of the inverse are the cross products of the columns by the volume.
		g := space.At32(slope, v)
		yz, zx, xy := y.Cross(z), z.Cross(x), x.Cross(y)
		k := 1 / x.Dot(yz)
		h := space.Vec32{yz.Dot(g) * k, zx.Dot(g) * k, xy.Dot(g) * k}
		if !space.Finite32(h) {
			h = space.Vec32{}
		}
		copy(slope[3*v:], h[:])
	}
}

// engrave sets S, T and Bias, of that the swelling, and answers the slope of S (3·V, world, at rest).
func (p *Prepared) engrave(r *rig.Rig, wd *welder, watch *geom.Watch) ([]float32, error) {
	pos := wd.place
	size := float32(p.High[1] - p.Low[1])
	if wide := float32(geom.Box{Min: p.Low, Max: p.High}.Diagonal()); !(size > .2*wide) {
		size = wide // an animal or a lying figure: lines go by its length
	}
	if !(size > 0) {
		size = 1
	}
	p.S = make([]float32, len(p.Source))
	goal := make([]float32, 3*len(p.Source))
	p.carry(r, pos, size, goal)
	geom.EvenField(pos, p.Tri, wd.weld, wd.welds, goal, p.S, watch)
	if err := watch.Err(); err != nil {
		return nil, err
	}
	low := slices.Min(p.S)
	p.T, p.Bias = make([]float32, len(p.S)), make([]float32, len(p.S))
	for v := range p.S {
		p.S[v] += .05*size - low // positive everywhere, so cutting off digits rounds down
		x := space.Vec32{pos[3*v] - float32(p.Low[0]), pos[3*v+1] - float32(p.Low[1]), pos[3*v+2] - float32(p.Low[2])}
		// Tilted slices: across the limb towards front and side.
		p.T[v] = p.S[v]*.55 + .75*(x[0]+x[2]) + size
		// The hand's unsteadiness: slow, a few per cent.
		x = x.Mul(1 / size)
		p.Bias[v] = .035*sin(31*x[0]+17*x[1]-23*x[2]) + .03*sin(-19*x[0]+47*x[1]+29*x[2])
	}
	return geom.FieldSlope(pos, p.Tri, p.Normal, p.S), nil
}

func sin(x float32) float32 { return float32(math.Sin(float64(x))) }

// jointNode is the node of one joint of a skin, None when either is missing.
func jointNode(r *rig.Rig, skin *rig.SkinData, joint int) rig.Node {
	if joint < len(skin.Joints) {
		if n := skin.Joints[joint]; n >= 0 && int(n) < len(r.Nodes) {
			return n
		}
	}
	return rig.None
}

// end is one past the last drawn vertex of a part.
func (p *Prepared) end(part int) uint32 {
	if part+1 < len(p.First) {
		return p.First[part+1]
	}
	return uint32(len(p.Source))
}
