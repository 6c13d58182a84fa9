package deform

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
)

// Written is the skinning sum of one vertex, written out with its numbers
// (glTF 2.0, Skins: place = Σ weight·(joint matrix · position)). Places are world,
// metres, float64; the rest as stored.
type Written struct {
	Surface  int        `json:"surface"`
	Vertex   rig.Vertex `json:"vertex"` // within the mesh
	Position mgl64.Vec3 `json:"position"`
	Morphed  bool       `json:"morphed"` // morph targets are in Position already

	// Terms are the influences in the order stored, those of weight 0 or without a
	// joint left out. A vertex that follows its node has one term, of the node.
	Terms     []Term     `json:"terms"`
	WeightSum float64    `json:"weight_sum"`
	Rest      mgl64.Vec3 `json:"rest"`   // the linear sum with all nodes at rest
	Spread    float64    `json:"spread"` // metres: largest distance between two terms' Alone
	Stored    mgl64.Vec3 `json:"stored"` // the linear sum, weights as stored
	Place     mgl64.Vec3 `json:"place"`  // by the method asked for

	Whole     Other `json:"whole"`      // weights made whole
	Strongest Other `json:"strongest"`  // the four strongest alone, made whole
	FirstFour Other `json:"first_four"` // the first four stored alone, made whole
	Dual      Other `json:"dual"`       // blended by dual quaternions, all influences
}

// Term is what one joint adds.
type Term struct {
	Joint  rig.Node   `json:"node"`
	Slot   int        `json:"slot"` // place among the vertex's influences
	Weight float64    `json:"weight"`
	Matrix rig.Affine `json:"matrix"` // joint's world · inverse bind, rows of a 3×4
	Alone  mgl64.Vec3 `json:"alone"`  // where this joint alone would put the vertex
	Adds   mgl64.Vec3 `json:"adds"`   // Weight · Alone
	Total  mgl64.Vec3 `json:"total"`  // after this term

	// Stands is Total with the weight that is still to come counted at Rest: what
	// the vertex does while the terms are added one by one. Where the weights sum to
	// 1 it ends in Stored, whatever the origin.
	Stands mgl64.Vec3 `json:"stands"`
}

// Other is where the vertex would be by another rule.
type Other struct {
	Place mgl64.Vec3 `json:"place"`
	Shift float64    `json:"shift_m"` // from Stored, metres
	Kept  int        `json:"influences"`
}

// Sum writes out the sum of one vertex at a pose; false when the rig has no such
// vertex. Place equals what Deformer.Apply answers with the same method, to the
// rounding of float32.
func Sum(r *rig.Rig, p *Pose, surface int, vertex rig.Vertex, m Method) (*Written, bool) {
	if surface < 0 || surface >= len(r.Surfaces) {
		return nil, false
	}
	s := r.Surfaces[surface]
	mesh := &r.Meshes[s.Mesh]
	if vertex < 0 || int(vertex) >= mesh.Vertices() {
		return nil, false
	}
	w := &Written{Surface: surface, Vertex: vertex, Terms: []Term{}}
	w.position(mesh, p.MorphWeights(s.Node))
	w.terms(r, p, s)
	for i := range w.Terms {
		t := &w.Terms[i]
		t.Alone = t.Matrix.Point(w.Position)
		t.Adds = t.Alone.Mul(t.Weight)
		w.Stored = w.Stored.Add(t.Adds)
		t.Total = w.Stored
		w.WeightSum += t.Weight
		for k := range i {
			w.Spread = max(w.Spread, t.Alone.Sub(w.Terms[k].Alone).Len())
		}
	}
	w.rest(r, s)
	order := w.byStrength()
	w.Whole = w.kept(order)
	w.Strongest = w.kept(order[:min(4, len(order))])
	var first []int
	for i := range w.Terms {
		if w.Terms[i].Slot < 4 {
			first = append(first, i)
		}
	}
	w.FirstFour = w.kept(first)
	w.Dual = w.other(w.dual(order), len(order))
	if w.Place = w.Stored; m == Dual {
		w.Place = w.Dual.Place
	}
	return w, true
}

// rest works out where the vertex stands when nothing is moved, and from there where
// it stands after each term.
func (w *Written) rest(r *rig.Rig, s rig.Surface) {
	still := &Written{Vertex: w.Vertex}
	p := NewPose(r)
	still.position(&r.Meshes[s.Mesh], p.MorphWeights(s.Node))
	still.terms(r, p, s)
	for i := range still.Terms {
		t := &still.Terms[i]
		w.Rest = w.Rest.Add(t.Matrix.Point(still.Position).Mul(t.Weight))
	}
	left := 1.0
	for i := range w.Terms {
		left -= w.Terms[i].Weight
		w.Terms[i].Stands = w.Terms[i].Total.Add(w.Rest.Mul(left))
	}
}

// position is the vertex in the mesh's own space, morph targets added.
func (w *Written) position(mesh *rig.MeshData, weights []float32) {
	k := 3 * int(w.Vertex)
	q := [3]float32(mesh.Positions[k : k+3])
	for i, x := range weights {
		if x == 0 || i >= len(mesh.Targets) || len(mesh.Targets[i].Positions) < len(mesh.Positions) {
			continue
		}
		w.Morphed = true
		for c := range q {
			q[c] += x * mesh.Targets[i].Positions[k+c]
		}
	}
	w.Position = mgl64.Vec3{float64(q[0]), float64(q[1]), float64(q[2])}
}

// terms lists the influences that count, as Deformer takes them.
func (w *Written) terms(r *rig.Rig, p *Pose, s rig.Surface) {
	mesh, v := &r.Meshes[s.Mesh], int(w.Vertex)
	follows := s.Skin < 0 || int(s.Skin) >= len(r.Skins) || mesh.K == 0
	for i := range mesh.Primitives {
		if q := &mesh.Primitives[i]; v >= q.First && v < q.First+q.Count && q.Sets == 0 {
			follows = true
		}
	}
	if follows {
		w.Terms = append(w.Terms, Term{Joint: s.Node, Weight: 1, Matrix: p.World[s.Node]})
		return
	}
	skin := &r.Skins[s.Skin]
	for i := range mesh.K {
		x, j := mesh.Weights[v*mesh.K+i], int(mesh.Joints[v*mesh.K+i])
		if usable(x) && j < len(skin.Joints) {
			w.Terms = append(w.Terms, Term{Joint: skin.Joints[j], Slot: i, Weight: float64(x), Matrix: p.joint(skin, j)})
		}
	}
}

// byStrength orders the terms, the strongest first, stable otherwise.
func (w *Written) byStrength() []int {
	order := make([]int, len(w.Terms))
	for i := range order {
		j := i
		for ; j > 0 && w.Terms[order[j-1]].Weight < w.Terms[i].Weight; j-- {
			order[j] = order[j-1]
		}
		order[j] = i
	}
	return order
}

// kept is the sum over some terms, divided by their weight. Where that is 0 nothing
// can be made whole, and the sum stays as it is.
func (w *Written) kept(terms []int) Other {
	var sum mgl64.Vec3
	weight := 0.0
	for _, i := range terms {
		sum, weight = sum.Add(w.Terms[i].Adds), weight+w.Terms[i].Weight
	}
	if weight != 0 {
		sum = sum.Mul(1 / weight)
	}
	return w.other(sum, len(terms))
}

func (w *Written) other(place mgl64.Vec3, kept int) Other {
	return Other{Place: place, Shift: place.Sub(w.Stored).Len(), Kept: kept}
}

// dual runs the one vertex through the same blend as a whole surface.
func (w *Written) dual(order []int) mgl64.Vec3 {
	if len(order) == 0 || len(order) == 1 && w.Terms[0].Weight == 1 {
		return w.Stored
	}
	b := blend{count: len(order), vertex: []uint32{0}}
	var pal [][12]float32
	for k, i := range order {
		pal = append(pal, w.Terms[i].Matrix.Float32())
		b.joints, b.weights = append(b.joints, uint32(k)), append(b.weights, float32(w.Terms[i].Weight))
	}
	var parts palettes
	parts.fill(pal)
	j := &job{pal: pal, src: []float32{float32(w.Position[0]), float32(w.Position[1]), float32(w.Position[2])}, pos: make([]float32, 3)}
	j.dual(&b, &parts)
	out := mgl64.Vec3{float64(j.pos[0]), float64(j.pos[1]), float64(j.pos[2])}
	for _, x := range out {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return w.Stored
		}
	}
	return out
}
