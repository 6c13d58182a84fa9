package lamplighter

import (
	"math"
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func bendsFaults() []Fault {
	return []Fault{
		{ID: "bends/collapse", Name: "left elbow half and half over 18 cm", Grade: "flaw",
			Also:  []string{"binding/mirror-mismatch", "binding/rough", "bends/turned-over", "bends/stretch", "bends/twist-pinch"},
			Plant: Plateau(0.09)},
		{ID: "bends/twist-pinch", Name: "left hand reaches up to the middle of the forearm", Grade: "note",
			Also:  []string{"binding/mirror-mismatch", "bends/turned-over", "bends/stretch"},
			Plant: LongTwist},
		{ID: "bends/stretch", Name: "ten vertices of the left mitten on the chest", Grade: "flaw",
			Also:  []string{"binding/mirror-mismatch", "binding/rough", "binding/stray-island", "bends/turned-over", "bends/collapse"},
			Plant: Pinned(10)},
		{ID: "bends/turned-over", Name: "every third vertex of the left elbow on the wrong side of it", Grade: "flaw",
			Also:  []string{"bends/twist-pinch", "binding/mirror-mismatch", "binding/rough", "binding/stray-island", "bends/stretch", "bends/collapse"},
			Plant: Mixed(3)},
		{ID: "bends/crack", Name: "one vertex of the left forearm split, its twin half on the upper arm", Grade: "flaw",
			Also:  []string{"binding/split-seam", "binding/rough"},
			Plant: Crack(0.5)},
		{ID: "bends/tear-along", Name: "six vertices of the left shin on the left forearm", Grade: "flaw",
			Also:  []string{"binding/stray-island", "binding/rough", "bends/stretch", "bends/turned-over", "bends/collapse"},
			Plant: Drawn(6, 0.3)},
	}
}

// alongBone answers the vertices whose strongest joint is one of those given, and how
// far along the bone of the first each lies, metres.
func alongBone(r *rig.Rig, bone int, strongest ...uint16) (list []rig.Vertex, at []float64) {
	m := &r.Meshes[0]
	inv, _ := r.RestWorld()[bone].Inverse()
	for v := range m.Vertices() {
		w := m.Weights[m.K*v : m.K*v+m.K]
		best := 0
		for k := range w {
			if w[k] > w[best] {
				best = k
			}
		}
		if !slices.Contains(strongest, m.Joints[m.K*v+best]) {
			continue
		}
		p := m.Positions[3*v : 3*v+3]
		list = append(list, rig.Vertex(v))
		at = append(at, inv.Point(space.Vec{float64(p[0]), float64(p[1]), float64(p[2])})[1])
	}
	return list, at
}

// bindTo hangs a vertex on one or two joints, in steps that sum exactly; share is the
// second's.
func bindTo(m *rig.MeshData, v rig.Vertex, first, second uint16, share float64) {
	j, w := m.Joints[m.K*int(v):m.K*int(v+1)], m.Weights[m.K*int(v):m.K*int(v+1)]
	clear(j)
	clear(w)
	s := float32(math.Round(min(max(share, 0), 1)*whole)) / whole
	switch s {
	case 0:
		j[0], w[0] = first, 1
	case 1:
		j[0], w[0] = second, 1
	default:
		j[0], w[0], j[1], w[1] = first, 1-s, second, s
	}
}

// Plateau hangs the left arm half on the upper, half on the lower arm, so far on both
// sides of the elbow. Size: the share of its volume that a pipe loses which is half and
// half all along, bent to the end of the range: ½ sin²(150°/2); the ends of the stretch
// lose less.
func Plateau(reach float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		list, at := alongBone(r, lowerArmL, upperArmL, lowerArmL)
		var planted []rig.Vertex
		for i, v := range list {
			if math.Abs(at[i]) < reach {
				bindTo(&r.Meshes[0], v, upperArmL, lowerArmL, 0.5)
				planted = append(planted, v)
			}
		}
		return armFault(r, planted, "loss, at most", math.Pow(math.Sin(75*math.Pi/180), 2)/2, lowerArmL)
	}
}

// LongTwist lets the weights of the left forearm pass to the hand from a third to two
// thirds of the bone. Size: the width left half way of a half turn: nothing.
func LongTwist(r *rig.Rig) Planted {
	list, at := alongBone(r, lowerArmL, lowerArmL, handL)
	var planted []rig.Vertex
	for i, v := range list {
		if s := at[i] / lowerArmLength; s > 1./3 {
			bindTo(&r.Meshes[0], v, lowerArmL, handL, (s-1./3)*3)
			if math.Abs(s-0.5) < 0.07 {
				planted = append(planted, v)
			}
		}
	}
	return armFault(r, planted, "width left", 0, lowerArmL)
}

// Pinned hangs the count vertices nearest to the left palm on the chest alone: they
// stay when the arm turns. Size: count.
func Pinned(count int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		q := r.RestWorld()[handL].Point(space.Vec{0, 0.08, 0})
		list := nearest(r, q[0], q[1], q[2], count)
		for _, v := range list {
			bindTo(&r.Meshes[0], v, chest, chest, 0)
		}
		return armFault(r, list, "vertices", float64(count))
	}
}

// Mixed hangs every so-many-th vertex within 9 cm of the left elbow wholly on the arm
// beyond it. Size: how many.
func Mixed(every int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		list, at := alongBone(r, lowerArmL, upperArmL, lowerArmL)
		var planted []rig.Vertex
		near := 0
		for i, v := range list {
			if math.Abs(at[i]) >= 0.09 {
				continue
			}
			if near++; near%every != 0 {
				continue
			}
			if at[i] < 0 {
				bindTo(&r.Meshes[0], v, lowerArmL, lowerArmL, 0)
			} else {
				bindTo(&r.Meshes[0], v, upperArmL, upperArmL, 0)
			}
			planted = append(planted, v)
		}
		return armFault(r, planted, "vertices", float64(len(planted)), lowerArmL)
	}
}

// Crack splits one vertex of the left forearm and hangs its twin on the upper arm by a
// share. Size: how far the two part at the end of the elbow's range, as a share of the
// diagonal: share·2·sin(150°/2) times the distance from the axis.
func Crack(share float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		p := SplitSeam(float32(share))(r)
		m := &r.Meshes[0]
		inv, _ := r.RestWorld()[lowerArmL].Inverse()
		q := inv.Point(space.Vec{float64(m.Positions[3*p.Vertices[0]]), float64(m.Positions[3*p.Vertices[0]+1]), float64(m.Positions[3*p.Vertices[0]+2])})
		// The elbow bends forward: its axis lies across bone and front, the frame's x.
		far := math.Hypot(q[1], q[2])
		p.Nodes = []rig.Node{lowerArmL}
		p.Measure, p.Unit = "gap", "× diagonal"
		p.Size = share * 2 * math.Sin(75*math.Pi/180) * far / diagonal(m)
		return p
	}
}

// Drawn lays a share of the left forearm on vertices of the left shin, as Stray does.
// Size: count.
func Drawn(count int, share float32) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		p := Stray(count, share)(r)
		p.Measure, p.Size = "vertices", float64(count)
		return p
	}
}

// armFault fills in what a fault of the arm did.
func armFault(r *rig.Rig, list []rig.Vertex, measure string, size float64, nodes ...rig.Node) Planted {
	slices.Sort(list)
	p := at(r, list)
	p.Nodes, p.Measure, p.Size = nodes, measure, size
	return p
}

// diagonal of the box of all vertices.
func diagonal(m *rig.MeshData) float64 {
	square := 0.0
	for k := range 3 {
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := k; i < len(m.Positions); i += 3 {
			lo, hi = min(lo, float64(m.Positions[i])), max(hi, float64(m.Positions[i]))
		}
		square += (hi - lo) * (hi - lo)
	}
	return math.Sqrt(square)
}
