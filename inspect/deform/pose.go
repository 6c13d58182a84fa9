// Package deform moves a rig: it samples clips, works out where every node stands
// at a moment, and carries surfaces along by morph targets, linear blend skinning
// or dual quaternions.
//
// Nodes are worked out in float64, vertices in float32. Vectors are columns.
// World space is glTF's: metres, right-handed, +Y up.
package deform

import "rigloupe/inspect/rig"

// Pose is one moment of a rig: the transform of every node and the morph weights.
// It keeps its scratch, so moving it again allocates nothing. Not for two
// goroutines at once.
type Pose struct {
	Rig   *rig.Rig
	Local []rig.Affine // by node; after changing one by hand call Update
	World []rig.Affine // by node
	Morph [][]float32  // by node: morph weights at this moment; nil: the rest weights

	trs     []rig.TRS   // by node, valid where touched
	touched []bool      // nodes the clip at hand moves
	list    []rig.Node  // the touched ones
	morph   [][]float32 // by node: memory for Morph
	last    []int       // by channel of the clip at hand: key last found, a hint
	below   []bool      // by node, of Turn: hangs on the turned one
}

// NewPose stands the rig at rest.
func NewPose(r *rig.Rig) *Pose {
	n := len(r.Nodes)
	p := &Pose{
		Rig: r, Local: make([]rig.Affine, n), World: make([]rig.Affine, n), Morph: make([][]float32, n),
		trs: make([]rig.TRS, n), touched: make([]bool, n), list: make([]rig.Node, 0, n), morph: make([][]float32, n),
	}
	for _, s := range r.Surfaces {
		if t := len(r.Meshes[s.Mesh].Targets); t > 0 {
			p.morph[s.Node] = make([]float32, t)
		}
	}
	p.Rest()
	return p
}

// Rest goes back to the rest pose: node transforms as stored, morph weights of the
// node, else of the mesh.
func (p *Pose) Rest() {
	p.restLocal()
	p.Update()
}

func (p *Pose) restLocal() {
	for i := range p.Local {
		p.Local[i] = p.Rig.Nodes[i].Matrix
		p.Morph[i] = nil
	}
}

// Update works World out from Local.
func (p *Pose) Update() { p.Rig.World(p.Local, p.World) }

// MorphWeights answers the weights of one node's morph targets at this moment
// (glTF 2.0, Instantiation: the node's, else the mesh's, else zeros). nil: all 0.
func (p *Pose) MorphWeights(n rig.Node) []float32 {
	if w := p.Morph[n]; w != nil {
		return w
	}
	node := &p.Rig.Nodes[n]
	if node.Weights != nil {
		return node.Weights
	}
	if node.Mesh >= 0 {
		return p.Rig.Meshes[node.Mesh].Morph
	}
	return nil
}

// Palette writes the joint matrices of a skin, World[joint]·Bind[joint]: 12 float32
// a joint, row by row. out is used when it is large enough. The node that holds
// the mesh plays no part (glTF 2.0, Skins). A joint that points at no node stays
// where it was bound.
func (p *Pose) Palette(s rig.Skin, out []float32) []float32 {
	skin := &p.Rig.Skins[s]
	out = room(out, 12*len(skin.Joints))
	for j := range skin.Joints {
		m := p.joint(skin, j)
		for i, v := range m {
			out[12*j+i] = float32(v)
		}
	}
	return out
}

// joint is the matrix of one joint of a skin in float64.
func (p *Pose) joint(skin *rig.SkinData, j int) rig.Affine {
	n := skin.Joints[j]
	if n < 0 || int(n) >= len(p.World) {
		return rig.Identity
	}
	if j >= len(skin.Bind) {
		return p.World[n] // glTF 2.0, Skins: no inverse bind matrices means identities
	}
	return p.World[n].Mul(&skin.Bind[j])
}

// room answers s with length n, from its own memory when that is enough.
func room(s []float32, n int) []float32 {
	if cap(s) < n {
		return make([]float32, n)
	}
	return s[:n]
}
