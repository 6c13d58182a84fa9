package intake

import (
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Anchor is where something begins that a scale or a turn above it carries along:
// the topmost joint of a skin, or a node with an unskinned mesh.
type Anchor struct {
	Node rig.Node `json:"node"`
	Skin rig.Skin `json:"skin"` // −1: an unskinned mesh

	// Scale is the product of the local scales, axis by axis, from the scene root
	// down to Node itself.
	Scale [3]float64 `json:"scale"`
	// TurnDegrees is the rotation above Node (for a mesh that hangs on no joint,
	// with Node's own).
	TurnDegrees float64 `json:"turn_degrees"`
	Mirrored    bool    `json:"mirrored"` // an odd number of negative determinants on the way
	Shear       float64 `json:"shear"`    // largest |cos| between two axes there or below

	Scaled []rig.Node `json:"scaled_by" wire:"null"`    // nodes on the way that scale or mirror
	Turned []rig.Node `json:"turned_by" wire:"null"`    // nodes on the way with a rotation
	Both   []rig.Node `json:"meshes_alike" wire:"null"` // skinned mesh nodes under the same factor

	// OnScaledJoint: a mesh that hangs on a joint and gets its scale from joints alone, or
	// a joint that stands beside others and has a scale which they lack:
	// skeleton/scaled-joint tells it.
	OnScaledJoint bool `json:"on_scaled_joint"`
}

// mostListed nodes are listed of one anchor, the nearest first: in a sound file that is all.
const mostListed = 100

// anchors lists, skin by skin, the topmost joints of the skins that a surface
// uses, then the nodes of unskinned surfaces.
func anchors(e *exam.Exam, isJoint []bool, jointAbove []rig.Node) []Anchor {
	r := e.Rig
	d := newDown(r)
	out := []Anchor{}
	drawn := make([][]rig.Node, len(r.Skins)) // nodes of the shown surfaces, by skin
	for _, i := range e.Shown() {
		if s := r.Surfaces[i].Skin; s >= 0 {
			drawn[s] = append(drawn[s], r.Surfaces[i].Node)
		}
	}
	for k := range r.Skins {
		if len(drawn[k]) == 0 {
			continue
		}
		skinShear := 0.0
		for _, n := range r.Skins[k].Joints {
			skinShear = max(skinShear, shear(&e.RestWorld()[n]))
		}
		first := len(out)
		for _, n := range d.topmost(r.Skins[k].Joints) {
			a := d.anchor(n)
			a.Skin, a.Shear = rig.Skin(k), skinShear
			if jointAbove[n] >= 0 { // a part that hangs on a hand is turned as the hand is
				a.TurnDegrees, a.Turned = 0, nil
			}
			out = append(out, a)
		}
		// Joints side by side, as in a flat hand: what one of them has for itself alone is
		// a joint's scale, not one above the skeleton.
		plain := 0
		for i := first; i < len(out); i++ {
			if len(out[i].Scaled) == 0 {
				plain++
			}
		}
		var same factors
		for i, n := range drawn[k] {
			same.put(d.scale[n], i)
		}
		for i := first; i < len(out); i++ {
			out[i].OnScaledJoint = 2*plain > len(out)-first && slices.Equal(out[i].Scaled, []rig.Node{out[i].Node})
			for _, s := range same.alike(out[i].Scale, mostListed) {
				out[i].Both = append(out[i].Both, drawn[k][s])
			}
		}
	}
	for _, i := range e.Shown() {
		s := r.Surfaces[i]
		if s.Skin >= 0 {
			continue
		}
		a := d.anchor(s.Node)
		a.Skin = rig.None
		a.Shear = shear(&e.RestWorld()[s.Node])
		if isQuantised(&r.Meshes[s.Mesh]) {
			// The node's own scale belongs to the packing (KHR_mesh_quantization).
			a = d.anchor(r.Nodes[s.Node].Parent)
			a.Node, a.Skin = s.Node, rig.None
		}
		if jointAbove[s.Node] >= 0 {
			a.TurnDegrees, a.Turned = 0, nil // what hangs on a joint is turned as the joint is
			a.OnScaledJoint = len(a.Scaled) > 0 && !slices.ContainsFunc(a.Scaled, func(n rig.Node) bool { return !isJoint[n] })
		} else if turnOf(r, s.Node) > 0 {
			a.TurnDegrees, a.Turned = angle(d.turn[s.Node]), d.list(s.Node, d.turned)
		}
		out = append(out, a)
	}
	return out
}

// down is what the ways from the scene roots down to each node multiply to, worked out for
// all nodes at once, parents first.
type down struct {
	r        *rig.Rig
	scale    [][3]float64 // axis by axis
	turn     []space.Quat
	mirrored []bool
	scaled   []rig.Node // the nearest at or above a node that scales or mirrors, None
	turned   []rig.Node // the same of a rotation
	from, to []int32    // see rig.Rig.Spans

	steps int // nodes looked at, for tests
}

func newDown(r *rig.Rig) *down {
	n := len(r.Nodes)
	d := &down{r: r, scale: make([][3]float64, n), turn: make([]space.Quat, n), mirrored: make([]bool, n),
		scaled: make([]rig.Node, n), turned: make([]rig.Node, n)}
	for _, k := range r.Order {
		d.steps++
		d.scale[k], d.turn[k], d.scaled[k], d.turned[k] = [3]float64{1, 1, 1}, space.Still(), rig.None, rig.None
		if p := r.Nodes[k].Parent; p >= 0 {
			d.scale[k], d.turn[k], d.mirrored[k], d.scaled[k], d.turned[k] = d.scale[p], d.turn[p], d.mirrored[p], d.scaled[p], d.turned[p]
		}
		m := &r.Nodes[k].Matrix
		s := m.Scales()
		off := 0.0
		for c := range 3 {
			d.scale[k][c] *= finite(s[c])
			off = max(off, math.Abs(s[c]-1))
		}
		if m.Det() < 0 {
			d.mirrored[k] = !d.mirrored[k]
			off = 1
		}
		if off > 1e-4 {
			d.scaled[k] = k
		}
		if turnOf(r, k) > 0.1 {
			d.turned[k] = k
		}
		d.turn[k] = d.turn[k].Mul(space.FromXYZW(r.Nodes[k].R))
	}
	d.from, d.to = r.Spans()
	return d
}

// topmost are the joints of a list that stand below no other of it, in its order.
func (d *down) topmost(joints []rig.Node) (out []rig.Node) {
	sorted := slices.SortedFunc(slices.Values(joints), func(a, b rig.Node) int { return int(d.from[a] - d.from[b]) })
	top, end := map[rig.Node]bool{}, int32(-1)
	for _, n := range sorted {
		d.steps++
		if d.from[n] > end {
			top[n], end = true, d.to[n]
		}
	}
	for _, n := range joints {
		if top[n] {
			out = append(out, n)
		}
	}
	return out
}

// list are the nodes from n up that a chain of nearest ones names.
func (d *down) list(n rig.Node, nearest []rig.Node) (out []rig.Node) {
	for n >= 0 && len(out) < mostListed {
		d.steps++
		if n = nearest[n]; n >= 0 {
			out = append(out, n)
			n = d.r.Nodes[n].Parent
		}
	}
	return out
}

// anchor is what the way down to a node multiplies to; of none, nothing.
func (d *down) anchor(n rig.Node) Anchor {
	a := Anchor{Node: n, Scale: [3]float64{1, 1, 1}}
	if n < 0 {
		return a
	}
	a.Scale, a.Mirrored, a.Scaled = d.scale[n], d.mirrored[n], d.list(n, d.scaled)
	if p := d.r.Nodes[n].Parent; p >= 0 {
		a.TurnDegrees, a.Turned = angle(d.turn[p]), d.list(p, d.turned)
	}
	return a
}

func turnOf(r *rig.Rig, n rig.Node) float64 { return angle(space.FromXYZW(r.Nodes[n].R)) }

// angle is how far a rotation turns, degrees; 0 where it has no direction.
func angle(q space.Quat) float64 {
	u, ok := space.UnitQuat(q)
	if !ok {
		return 0
	}
	return mgl64.RadToDeg(space.Turned(u))
}

// shear is the largest |cos| between two columns of a matrix: 0 where the axes
// stand square.
func shear(a *rig.Affine) float64 {
	s := a.Scales()
	worst := 0.0
	for i := range 3 {
		for j := i + 1; j < 3; j++ {
			if l := s[i] * s[j]; l > 0 {
				worst = max(worst, math.Abs(a[i]*a[j]+a[4+i]*a[4+j]+a[8+i]*a[8+j])/l)
			}
		}
	}
	return finite(worst)
}
