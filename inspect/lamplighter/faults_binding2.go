package lamplighter

import (
	"math"
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func bindingFaults2() []Fault {
	return []Fault{
		{ID: "binding/stray-island", Name: "six vertices of the left shin on the left forearm", Grade: "flaw",
			Also: []string{"binding/rough"}, Plant: Stray(6, 0.3)},
		{ID: "binding/cross-body", Name: "twelve vertices of the right shin on the left thigh", Grade: "flaw",
			Also: []string{"binding/rough", "binding/stray-island"}, Plant: CrossOver(12, 0.2)},
		{ID: "binding/split-seam", Name: "one vertex of the left forearm split, its twin on the upper arm", Grade: "flaw",
			Also: []string{"binding/rough"}, Plant: SplitSeam(0.5)},
		{ID: "binding/rough", Name: "one vertex of the chest on the spine alone", Grade: "note",
			Also: []string{"binding/stray-island"}, Plant: Speck},
		{ID: "binding/rigid", Name: "a button on the chest, bound to it alone", Grade: "note", Plant: Button},
		{ID: "binding/hangs-on", Name: "a badge on the chest that hangs on nothing", Grade: "flaw", Plant: Badge(false)},
		{ID: "binding/hangs-on", Name: "a badge that hangs on the chest", Grade: "note", Plant: Badge(true)},
		{ID: "binding/cut-to-four", Name: "30 vertices of the belly evenly on six joints", Grade: "flaw",
			Also:  []string{"binding/many-influences", "binding/stray-island", "binding/cross-body", "binding/rough", "binding/mirror-mismatch"},
			Plant: Crowd(30, 6)},
		{ID: "binding/unplugged", Name: "left toes outside the scene", Grade: "stop",
			Also: []string{"binding/mirror-mismatch"}, Plant: Unscene},
		{ID: "binding/unplugged", Name: "20 vertices of the left hand that name its joint twice", Grade: "flaw", Plant: Double(20)},
		{ID: "binding/unplugged", Name: "20 vertices of the left hand with a joint at weight 0", Grade: "note", Plant: Pad(20)},
	}
}

// lay gives a share of a vertex's weight to one more joint, in steps that keep the
// sum exact; the weakest influence makes room.
func lay(m *rig.MeshData, v rig.Vertex, joint uint16, share float32) {
	j, w := m.Joints[m.K*int(v):m.K*int(v+1)], m.Weights[m.K*int(v):m.K*int(v+1)]
	d := float32(math.Floor(float64(share)*whole)) / whole
	weakest, strong := 0, 0
	for k := range w {
		if w[k] < w[weakest] {
			weakest = k
		}
		if w[k] > w[strong] {
			strong = k
		}
	}
	rest := w[weakest]
	w[weakest] = 0
	w[strong] += rest
	w[strong] -= d
	j[weakest], w[weakest] = joint, d
}

// Stray lays a share of the left forearm on the count vertices nearest to the middle
// of the left shin. Size: 1 patch.
func Stray(count int, share float32) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		p := at(r, nearest(r, 0.1, 0.3, 0.06, count))
		for _, v := range p.Vertices {
			lay(&r.Meshes[0], v, lowerArmL, share)
		}
		p.Nodes = []rig.Node{lowerArmL}
		p.Measure, p.Size = "patches", 1
		return p
	}
}

// CrossOver lays a share of the left thigh on the count vertices nearest to the
// outside of the right shin. Size: count.
func CrossOver(count int, share float32) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		p := at(r, nearest(r, -0.17, 0.3, 0, count))
		for _, v := range p.Vertices {
			lay(&r.Meshes[0], v, upperLegL, share)
		}
		p.Nodes = []rig.Node{upperLegL}
		p.Measure, p.Size = "vertices", float64(count)
		return p
	}
}

// SplitSeam gives one triangle a vertex of its own where it had one of the left
// forearm, with a share of its weight on the upper arm. Size: 2 vertices in one place.
func SplitSeam(share float32) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		m := &r.Meshes[0]
		q := r.RestWorld()[lowerArmL].Point(space.Vec{0, 0.15, 0.05})
		v := nearest(r, q[0], q[1], q[2], 1)[0]
		twin := appendVertex(m, v)
		m.Triangles[slices.Index(m.Triangles, uint32(v))] = uint32(twin)
		k := m.K * int(twin)
		clear(m.Joints[k : k+m.K])
		clear(m.Weights[k : k+m.K])
		m.Joints[k], m.Weights[k] = lowerArmL, 1-share
		m.Joints[k+1], m.Weights[k+1] = upperArmL, share
		p := at(r, []rig.Vertex{v, twin})
		p.Measure, p.Size = "vertices", 2
		return p
	}
}

// appendVertex copies a vertex to the end of the mesh, into its last primitive.
func appendVertex(m *rig.MeshData, v rig.Vertex) rig.Vertex {
	twin := rig.Vertex(m.Vertices())
	again := func(s []float32, n int) []float32 {
		if s == nil {
			return nil
		}
		return append(s, s[n*int(v):n*int(v+1)]...)
	}
	m.Positions, m.Normals, m.UV = again(m.Positions, 3), again(m.Normals, 3), again(m.UV, 2)
	m.Weights = again(m.Weights, m.K)
	m.Joints = append(m.Joints, m.Joints[m.K*int(v):m.K*int(v+1)]...)
	q := &m.Primitives[len(m.Primitives)-1]
	q.Count++
	if q.WeightSums != nil {
		q.WeightSums = append(q.WeightSums, q.WeightSums[int(v)-q.First])
	}
	return twin
}

// Speck hands one vertex of the chest, in the midst of those bound to it alone, to
// the spine. Size: the edges around it.
func Speck(r *rig.Rig) Planted {
	m := &r.Meshes[0]
	alone := func(v uint32) bool {
		return m.Joints[m.K*int(v)] == chest && m.Weights[m.K*int(v)] == 1
	}
	best, found := rig.Vertex(0), false
	for _, v := range nearest(r, 0, 1.38, 0.14, 4000) {
		around, _ := ring(m, uint32(v))
		if alone(uint32(v)) && !slices.ContainsFunc(around, func(u uint32) bool {
			second, _ := ring(m, u)
			return !alone(u) || slices.ContainsFunc(second, func(x uint32) bool { return !alone(x) })
		}) {
			best, found = v, true
			break
		}
	}
	if !found {
		return aboutNodes(chest)
	}
	m.Joints[m.K*int(best)] = spine
	_, edges := ring(m, uint32(best))
	p := at(r, []rig.Vertex{best})
	p.Measure, p.Size = "edges", float64(edges)
	return p
}

// ring lists the neighbours of a vertex of a closed surface.
func ring(m *rig.MeshData, v uint32) (around []uint32, edges int) {
	for t := 0; t < len(m.Triangles); t += 3 {
		for k := range 3 {
			if m.Triangles[t+k] == v {
				for _, u := range []uint32{m.Triangles[t+(k+1)%3], m.Triangles[t+(k+2)%3]} {
					if !slices.Contains(around, u) {
						around = append(around, u)
					}
				}
			}
		}
	}
	return around, len(around)
}

// Button adds a closed shell of four vertices in front of the chest, bound to it
// alone. Size: 1.
func Button(r *rig.Rig) Planted {
	m := &r.Meshes[0]
	q := nearest(r, 0, 1.35, 0.3, 1)[0]
	x, y, z := m.Positions[3*q], m.Positions[3*q+1], m.Positions[3*q+2]
	var list []rig.Vertex
	for _, d := range [][3]float32{{-0.01, 0, 0.02}, {0.01, 0, 0.02}, {0, 0.015, 0.02}, {0, 0.005, 0.035}} {
		v := appendVertex(m, q)
		m.Positions[3*v], m.Positions[3*v+1], m.Positions[3*v+2] = x+d[0], y+d[1], z+d[2]
		k := m.K * int(v)
		clear(m.Joints[k : k+m.K])
		clear(m.Weights[k : k+m.K])
		m.Joints[k], m.Weights[k] = chest, 1
		list = append(list, v)
	}
	a := uint32(list[0])
	m.Triangles = append(m.Triangles, a, a+2, a+1, a, a+1, a+3, a+1, a+2, a+3, a+2, a, a+3)
	m.Primitives[len(m.Primitives)-1].TriCount += 4
	rebound(m)
	p := aboutNodes(chest)
	p.Measure, p.Size = "shells", 1
	return p
}

// Badge adds a small plate without a skin, 5 mm in front of the chest: under the
// chest, or under nothing. Size: 1 surface.
func Badge(hung bool) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		m := &r.Meshes[0]
		q := nearest(r, 0, 1.35, 0.3, 1)[0]
		place := space.Vec{float64(m.Positions[3*q]), float64(m.Positions[3*q+1]), float64(m.Positions[3*q+2]) + 0.005}
		parent := rig.Node(rig.None)
		if hung {
			parent = chest
			inv, _ := r.RestWorld()[chest].Inverse()
			place = inv.Point(place)
		}
		n := addNode(r, "badge", parent, rig.TRS{T: place})
		plate := rig.MeshData{
			Name:       "badge",
			Positions:  []float32{0, 0, 0, 0.02, 0, 0, 0, 0.02, 0, 0.01, 0.01, 0.02},
			Triangles:  []uint32{0, 2, 1, 0, 1, 3, 1, 2, 3, 2, 0, 3},
			Primitives: []rig.PrimitiveData{{Count: 4, TriCount: 4, Material: rig.None, Array: -1, Mode: 4, PositionType: 5126, HasBounds: true}},
		}
		rebound(&plate)
		r.Nodes[n].Mesh = rig.Mesh(len(r.Meshes))
		r.Meshes = append(r.Meshes, plate)
		r.Surfaces = append(r.Surfaces, rig.Surface{Node: n, Mesh: r.Nodes[n].Mesh, Skin: rig.None})
		p := aboutNodes(n)
		p.Measure, p.Size = "surfaces", 1
		return p
	}
}

// Unscene takes the toes of the left foot out of the tree, and so out of the scene.
// Size: 1 joint.
func Unscene(r *rig.Rig) Planted {
	n := &r.Nodes[toesL]
	w := r.RestWorld()[toesL]
	r.Nodes[n.Parent].Children = slices.DeleteFunc(r.Nodes[n.Parent].Children, func(c rig.Node) bool { return c == toesL })
	n.Parent = rig.None
	set(r, toesL, w.Decompose())
	r.SetOrder()
	p := aboutNodes(toesL)
	p.Measure, p.Size = "joints", 1
	return p
}

// Double splits the strongest weight of the count vertices nearest to the left palm
// in two, on the same joint. Size: count.
func Double(count int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted { return palm(r, count, 0.5) }
}

// Pad names the strongest joint once more, at weight 0. Size: count.
func Pad(count int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted { return palm(r, count, 0) }
}

func palm(r *rig.Rig, count int, share float32) Planted {
	q := r.RestWorld()[handL].Point(space.Vec{0, 0.08, 0})
	p := at(r, nearest(r, q[0], q[1], q[2], count))
	m := &r.Meshes[0]
	for _, v := range p.Vertices {
		j, w := m.Joints[m.K*int(v):m.K*int(v+1)], m.Weights[m.K*int(v):m.K*int(v+1)]
		free := slices.Index(w, 0)
		if free < 0 {
			continue
		}
		j[free], w[free] = j[0], w[0]*share
		w[0] -= w[free]
	}
	p.Measure, p.Size = "vertices", float64(count)
	return p
}
