// Package rest gives a rig another rest pose: arms to T or A, straight elbows and knees,
// a moment of a clip. Moved writes the joints alone; Bound writes what is seen in the
// pose as well, by three ways of which each has a price, and Audit measures that price by
// playing both rigs. Rigs in, rigs out: nothing here reads or writes a file.
package rest

import (
	"fmt"
	"math"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Refused says, in words for a person, why a rest pose cannot be given.
type Refused struct{ Words string }

func (r *Refused) Error() string { return r.Words }

func refuse(format string, a ...any) error { return &Refused{fmt.Sprintf(format, a...)} }

// Pose is the rest pose that is wanted: the transform of every node, local. Nodes that it
// leaves alone have the numbers that the file has.
type Pose struct {
	r     *rig.Rig
	Local []rig.TRS
	World []rig.Affine // of all nodes in the pose
}

// Of starts from the rest pose that the rig has.
func Of(r *rig.Rig) *Pose {
	p := &Pose{r: r, Local: make([]rig.TRS, len(r.Nodes)), World: r.RestWorld()}
	for i := range r.Nodes {
		p.Local[i] = r.Nodes[i].TRS
	}
	return p
}

// Changed lists the nodes that the pose moves, in their order in the file.
func (p *Pose) Changed() (list []rig.Node) {
	for i := range p.Local {
		if p.Local[i] != p.r.Nodes[i].TRS {
			list = append(list, rig.Node(i))
		}
	}
	return list
}

// update works World out again. Nodes that the pose leaves alone keep their own matrix,
// sheared ones as well.
func (p *Pose) update() {
	local := make([]rig.Affine, len(p.Local))
	for i := range local {
		if local[i] = p.r.Nodes[i].Matrix; p.Local[i] != p.r.Nodes[i].TRS {
			local[i] = p.Local[i].Affine()
		}
	}
	p.r.World(local, p.World)
}

// square is how far a matrix may be from a rotation, per number: what float32 leaves of
// one that was multiplied a few times.
const square = 1e-5

// turn turns a node, and all that hangs on it, about its own place by a rotation of the
// world. It is refused where the node has no size or what is above it would shear it.
func (p *Pose) turn(n rig.Node, by space.Quat) error {
	if space.Turned(by) == 0 {
		return nil
	}
	node := &p.r.Nodes[n]
	if node.HasMatrix {
		if a := node.TRS.Affine(); !alike(&a, &node.Matrix) {
			return refuse("The matrix of %s shears it: no turn of it can be written.", name(p.r, n))
		}
	}
	spin := rig.TRS{R: space.XYZW(by), S: [3]float64{1, 1, 1}}
	local := spin.Affine()
	if up := node.Parent; up >= 0 {
		// A matrix above scales evenly, or the turn as seen from there is no turn.
		above := p.World[up]
		back, ok := above.Inverse()
		if !ok {
			return refuse("A joint above %s is scaled to nothing: it cannot be turned.", name(p.r, n))
		}
		local = local.Mul(&above)
		local = back.Mul(&local)
	}
	if !isTurn(&local) {
		return refuse("The joints above %s are scaled by axis: turning it would shear it. Apply the scale first.", name(p.r, n))
	}
	q := space.FromXYZW(local.Decompose().R).Mul(space.FromXYZW(p.Local[n].R))
	if q, ok := space.UnitQuat(q); ok {
		p.Local[n].R = space.XYZW(q)
	}
	p.update()
	return nil
}

// shift moves a node, and all that hangs on it, by a way of the world, metres.
func (p *Pose) shift(n rig.Node, way space.Vec) error {
	if up := p.r.Nodes[n].Parent; up >= 0 {
		above := p.World[up]
		back, ok := above.Inverse()
		if !ok {
			return refuse("A joint above %s is scaled to nothing: it cannot be moved.", name(p.r, n))
		}
		way = back.Direction(way)
	}
	for c := range way {
		p.Local[n].T[c] += way[c]
	}
	p.update()
	return nil
}

// Moment is the pose that a clip shows at a moment, in seconds. Morph weights are no part
// of it.
func Moment(r *rig.Rig, clip rig.Clip, seconds float64) (*Pose, error) {
	if clip < 0 || int(clip) >= len(r.Clips) {
		return nil, refuse("There is no clip %d: the file has %d.", clip, len(r.Clips))
	}
	p := Of(r)
	for i := range r.Clips[clip].Channels {
		c := &r.Clips[clip].Channels[i]
		var v [4]float64
		if c.Path == rig.Weights || c.Node < 0 || int(c.Node) >= len(p.Local) || !deform.Value(c, seconds, &v) {
			continue
		}
		switch t := &p.Local[c.Node]; c.Path {
		case rig.Translation:
			t.T = [3]float64(v[:3])
		case rig.Scale:
			t.S = [3]float64(v[:3])
		case rig.Rotation:
			t.R = v
		}
	}
	p.update()
	return p, nil
}

// Bind puts every joint that stands elsewhere to where it was bound: W′ = G·B⁻¹, with G
// what most joints of its skin agree on. The skin that names a joint first has the say.
func (p *Pose) Bind() error {
	want := map[rig.Node]rig.Affine{}
	for s := range p.r.Skins {
		g, ok := common(p.r, p.World, rig.Skin(s))
		if !ok {
			continue
		}
		for k, n := range p.r.Skins[s].Joints {
			if n < 0 || int(n) >= len(p.World) {
				continue
			}
			bind := bindOf(&p.r.Skins[s], k)
			back, ok := bind.Inverse()
			if _, has := want[n]; ok && !has {
				want[n] = g.Mul(&back)
			}
		}
	}
	for _, n := range p.r.Order {
		goal, ok := want[n]
		if !ok || alike(&goal, &p.World[n]) {
			continue
		}
		local := goal
		if up := p.r.Nodes[n].Parent; up >= 0 {
			back, ok := p.World[up].Inverse()
			if !ok {
				return refuse("A joint above %s is scaled to nothing: it cannot be put back to where it was bound.", name(p.r, n))
			}
			local = back.Mul(&goal)
		}
		t := local.Decompose()
		if again := t.Affine(); !alike(&again, &local) {
			return refuse("%s would be sheared where it was bound: no joint can be. Bind it anew where it stands.", name(p.r, n))
		}
		p.Local[n] = t
		p.update()
	}
	return nil
}

// alike tells that two matrices are one but for the last digits of float32.
func alike(a, b *rig.Affine) bool {
	size := 0.0
	for i := range a {
		size = max(size, math.Abs(b[i]))
	}
	for i := range a {
		if !(math.Abs(a[i]-b[i]) <= square*size) {
			return false
		}
	}
	return true
}

// isTurn tells that the 3×3 part turns and does nothing else.
func isTurn(a *rig.Affine) bool {
	for i := range 3 {
		for j := range 3 {
			dot := a[i]*a[j] + a[4+i]*a[4+j] + a[8+i]*a[8+j]
			if i == j {
				dot--
			}
			if !(math.Abs(dot) <= square) {
				return false
			}
		}
	}
	return a.Det() > 0
}

func name(r *rig.Rig, n rig.Node) string {
	if s := r.Nodes[n].Name; s != "" {
		return fmt.Sprintf("%q", s)
	}
	return fmt.Sprintf("node %d", n)
}
