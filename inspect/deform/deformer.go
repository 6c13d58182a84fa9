package deform

import (
	"slices"

	"rigloupe/inspect/rig"
)

// Method is how several joints share one vertex.
type Method uint8

const (
	Linear Method = iota // a weighted sum of the joint matrices (glTF 2.0, Skins)
	Dual                 // a weighted sum of dual quaternions (Kavan et al. 2008)
)

// Deformer carries one surface, again and again. It keeps its scratch, so Apply
// allocates nothing after the first call. Weights are used as stored, never made
// whole: where they sum to less than 1 the vertex falls towards the world's
// origin, as the standard's formula says.
//
// Influences that cannot be used are left out: zero or non-finite weights, and
// joints that the skin does not have. Vertices of a primitive without joints
// follow their node.
type Deformer struct {
	// Normals stands in for the mesh's own normals when set: 3·V.
	Normals []float32

	r       *rig.Rig
	surface rig.Surface
	mesh    *rig.MeshData
	skin    *rig.SkinData // nil: all follow the node

	ownNode bool // some vertices follow the node

	// Vertices that follow one matrix entirely, grouped by that matrix.
	rigid []run
	whole []uint32 // vertices of the runs, in order

	// Vertices of one influence whose weight is not 1, and of more influences, by
	// count; the strongest influence first, stable otherwise.
	blends []blend

	palette [][12]float32 // by joint; the node's own matrix last when ownNode
	dual    palettes
	pos     []float32 // morphed, when there are targets at work
	normals []float32
	job     job
	turns   [][4]float32 // by place in the palette, of Turns
}

// run is a stretch of whole that one matrix moves.
type run struct{ palette, from, to int }

// blend holds all vertices of one influence count.
type blend struct {
	count   int
	vertex  []uint32
	joints  []uint32 // count a vertex, places in the palette
	weights []float32
}

// NewDeformer sorts the vertices of r.Surfaces[surface]. The rig must not change
// its influences afterwards.
func NewDeformer(r *rig.Rig, surface int) *Deformer {
	s := r.Surfaces[surface]
	d := &Deformer{r: r, surface: s, mesh: &r.Meshes[s.Mesh]}
	if s.Skin >= 0 && int(s.Skin) < len(r.Skins) && d.mesh.K > 0 {
		d.skin = &r.Skins[s.Skin]
	}
	d.group()
	return d
}

// group fills rigid, whole and blends: one pass to count, one to fill.
func (d *Deformer) group() {
	v := d.mesh.Vertices()
	if d.skin == nil {
		d.whole = make([]uint32, v)
		for i := range d.whole {
			d.whole[i] = uint32(i)
		}
		d.rigid, d.ownNode = []run{{0, 0, v}}, true
		return
	}
	joints, k := len(d.skin.Joints), d.mesh.K
	follows := d.unjointed()
	d.ownNode = follows != nil
	kind := make([]uint16, v) // influences used; 0 with by[i] ≥ 0 is whole
	by := make([]int32, v)    // the one matrix that moves it, -1: a blend
	perMatrix := make([]int, joints+2)
	perCount := make([]int, k+1)
	for i := range v {
		by[i] = -1
		if follows != nil && follows[i] {
			by[i] = int32(joints)
			perMatrix[joints]++
			continue
		}
		used, last, lone := 0, 0, float32(0)
		for s := i * k; s < i*k+k; s++ {
			if w := d.mesh.Weights[s]; usable(w) && int(d.mesh.Joints[s]) < joints {
				used, last, lone = used+1, int(d.mesh.Joints[s]), w
			}
		}
		if used == 1 && lone == 1 {
			by[i] = int32(last)
			perMatrix[last]++
			continue
		}
		kind[i] = uint16(used)
		perCount[used]++
	}

	start := make([]int, joints+1)
	at := 0
	for m := range start {
		start[m] = at
		if n := perMatrix[m]; n > 0 {
			d.rigid = append(d.rigid, run{m, at, at + n})
			at += n
		}
	}
	d.whole = make([]uint32, at)
	place := make([]int, k+1) // in blends
	for c, n := range perCount {
		if n == 0 {
			continue
		}
		place[c] = len(d.blends)
		d.blends = append(d.blends, blend{
			count: c, vertex: make([]uint32, 0, n),
			joints: make([]uint32, 0, n*c), weights: make([]float32, 0, n*c),
		})
	}
	for i := range v {
		if m := by[i]; m >= 0 {
			d.whole[start[m]] = uint32(i)
			start[m]++
			continue
		}
		b := &d.blends[place[kind[i]]]
		b.vertex = append(b.vertex, uint32(i))
		from := len(b.weights)
		for s := i * k; s < i*k+k; s++ {
			w := d.mesh.Weights[s]
			if !usable(w) || int(d.mesh.Joints[s]) >= joints {
				continue
			}
			// Insert so that the strongest stays first: it is the pivot of Dual.
			b.weights, b.joints = append(b.weights, 0), append(b.joints, 0)
			j := len(b.weights) - 1
			for ; j > from && b.weights[j-1] < w; j-- {
				b.weights[j], b.joints[j] = b.weights[j-1], b.joints[j-1]
			}
			b.weights[j], b.joints[j] = w, uint32(d.mesh.Joints[s])
		}
	}
}

// usable leaves out zero, infinite and undefined weights; negative ones count.
func usable(w float32) bool { return w != 0 && w-w == 0 }

// unjointed marks the vertices whose primitive has no joints; nil: none.
func (d *Deformer) unjointed() []bool {
	prims := d.mesh.Primitives
	if !slices.ContainsFunc(prims, func(p rig.PrimitiveData) bool { return p.Sets == 0 }) {
		return nil
	}
	out := make([]bool, d.mesh.Vertices())
	for i := range prims {
		if p := &prims[i]; p.Sets == 0 {
			for v := p.First; v < p.First+p.Count; v++ {
				out[v] = true
			}
		}
	}
	return out
}

// Apply carries the surface to a pose.
//
// pos takes 3·V world positions in metres. normals, when not nil, takes 3·V unit
// normals, world space (0 0 0 where the mesh has none or the vertex collapses).
// extraIn (3·V directions in the mesh's space, nil: none) goes to extraOut, turned
// by each vertex's blended 3×3 and left at that length.
//
// Linear normals are turned by the blended matrix where every joint only turns and
// scales evenly, else by its inverse transpose. Neither knows how weights change
// along the surface, so on a bend they are what renderers show, not the true
// normals of the bent triangles.
func (d *Deformer) Apply(p *Pose, m Method, pos, normals []float32, extraIn, extraOut []float32) {
	src, nsrc := d.morph(p, normals != nil)
	if normals != nil && nsrc == nil {
		clear(normals)
		normals = nil
	}
	if extraIn == nil || extraOut == nil {
		extraIn, extraOut = nil, nil
	}
	d.fill(p)
	job := &d.job
	job.pal, job.src, job.nsrc = d.palette, src, nsrc
	job.pos, job.normals, job.extraIn, job.extraOut = pos, normals, extraIn, extraOut
	job.even = normals != nil && even(d.palette)
	job.whole(d.rigid, d.whole)
	if m == Dual && len(d.blends) > 0 {
		d.dual.fill(d.palette)
		for i := range d.blends {
			job.dual(&d.blends[i], &d.dual)
		}
		return
	}
	for i := range d.blends {
		job.linear(&d.blends[i])
	}
}

// fill works the palette out: the skin's joints, then the node itself where it is
// wanted.
func (d *Deformer) fill(p *Pose) {
	d.palette = d.palette[:0]
	if d.skin != nil {
		for j := range d.skin.Joints {
			m := p.joint(d.skin, j)
			d.palette = append(d.palette, m.Float32())
		}
	}
	if d.ownNode {
		d.palette = append(d.palette, p.World[d.surface.Node].Float32())
	}
}

// RestSurface answers the rest positions of one surface: 3·V, world, metres.
func RestSurface(r *rig.Rig, surface int) []float32 {
	out := make([]float32, len(r.Meshes[r.Surfaces[surface].Mesh].Positions))
	NewDeformer(r, surface).Apply(NewPose(r), Linear, out, nil, nil, nil)
	return out
}
