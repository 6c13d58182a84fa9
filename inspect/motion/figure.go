package motion

import (
	"slices"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// figure is what every clip is held against: the joints at rest, what hangs on
// them, and how large the whole is.
type figure struct {
	e *exam.Exam
	r *rig.Rig

	joints     []rig.Node   // of all skins, each once, in the skins' order; of rigid parts; else all nodes
	isJoint    []bool       // by node
	influenced []bool       // by node: some vertex of a shown or hidden surface has weight on it, or a part follows it
	carries    []bool       // by node: a vertex or a surface hangs on it or on something below it
	rigid      bool         // made of rigid parts: no skin, but clips move its nodes
	bare       []bool       // by node, of a file without any surface or skin: it is a joint; else nil
	bends      []bool       // by node: weight on it or on a joint below it
	above      []rig.Node   // by node: the nearest joint above it, None
	scale      []float64    // by node: metres of the world to one unit of its translation, at rest
	below      [][]rig.Node // by joint: the joints right below it
	runs       []runPlace   // by node: its place in a row of joints without a role; nil until asked
	depth      []int32      // by node: how many stand above it
	ofHand     []bool       // nodes below a hand that belong to it; nil: not looked for yet
	bones      []bone
	farBones   int            // that are not among them (farBone)
	locals     *deform.Locals // of the clip at hand
	asked      int            // channels looked through for others that stray, in the clip at hand
	turns      []space.Quat   // of the keys of the channel at hand
	chains     [][]rig.Node   // of joints that bend: runs without a branch, parents first
	height     float64        // metres; of the body, else of the joints
	diagonal   float64        // metres, the same
	leg        float64        // metres; thigh and shank of one leg, 0: no leg is known by its roles
	floor      float64        // y of the ground: 0, or the lowest point at rest when that is far from it
	offFloor   bool           // the figure does not stand on y = 0 at rest
}

func newFigure(e *exam.Exam) *figure {
	r, n := e.Rig, len(e.Rig.Nodes)
	f := &figure{e: e, r: r, isJoint: make([]bool, n), influenced: make([]bool, n), carries: make([]bool, n),
		bends: make([]bool, n), above: make([]rig.Node, n), scale: make([]float64, n)}
	for i := range r.Skins {
		for _, j := range r.Skins[i].Joints {
			if j >= 0 && int(j) < n && !f.isJoint[j] {
				f.isJoint[j] = true
				f.joints = append(f.joints, j)
			}
		}
	}
	switch {
	case len(r.Skins) > 0:
	case len(r.Surfaces) == 0:
		f.bare = r.Joints()
	default:
		for j, in := range r.Joints() {
			if f.isJoint[j] = in; in {
				f.joints, f.rigid = append(f.joints, rig.Node(j)), true
			}
		}
	}
	f.measureInfluence()
	world := e.RestWorld()
	for _, i := range r.Order {
		f.above[i], f.scale[i] = rig.None, 1
		if p := r.Nodes[i].Parent; p >= 0 {
			f.above[i] = f.above[p]
			if f.isJoint[p] {
				f.above[i] = p
			}
			f.scale[i] = world[p].Scale()
		}
	}
	for _, i := range slices.Backward(r.Order) {
		f.bends[i] = f.bends[i] || f.influenced[i]
		if p := r.Nodes[i].Parent; p >= 0 {
			f.carries[p] = f.carries[p] || f.carries[i]
			f.bends[p] = f.bends[p] || f.bends[i]
		}
	}
	f.findChains()
	if len(f.joints) == 0 {
		for i := range n {
			f.joints = append(f.joints, rig.Node(i))
			f.isJoint[i] = true
		}
	}
	f.measureSize()
	f.below = make([][]rig.Node, n)
	for _, j := range r.Order {
		if a := f.above[j]; a >= 0 && f.isJoint[j] {
			f.below[a] = append(f.below[a], j)
		}
	}
	f.depth = r.Depths()
	f.locals = deform.NewLocals(r)
	f.findBones()
	return f
}

func (f *figure) measureInfluence() {
	joint := f.r.AtOrAbove(f.isJoint)
	for _, s := range f.r.Surfaces {
		m := &f.r.Meshes[s.Mesh]
		if s.Skin < 0 || m.K == 0 {
			f.carries[s.Node] = true
			if !f.rigid {
				continue
			}
			if n := joint[s.Node]; n >= 0 {
				f.influenced[n] = true
			}
			continue
		}
		joints := f.r.Skins[s.Skin].Joints
		has := make([]bool, len(joints))
		for i, w := range m.Weights {
			if w > 0 && int(m.Joints[i]) < len(has) {
				has[m.Joints[i]] = true
			}
		}
		for j, n := range joints {
			if has[j] && n >= 0 && int(n) < len(f.influenced) {
				f.influenced[n], f.carries[n] = true, true
			}
		}
	}
}

// measureLegs takes the mean length of thigh and shank of the legs that have both.
func (f *figure) measureLegs() {
	sum, n := 0.0, 0.0
	for _, side := range [2]string{"left", "right"} {
		roles, world := f.e.Roles(), f.e.RestWorld()
		a, b, c := roles.Node(side+"UpperLeg"), roles.Node(side+"LowerLeg"), roles.Node(side+"Foot")
		if a >= 0 && b >= 0 && c >= 0 {
			knee := world[b].Origin()
			sum, n = sum+knee.Sub(world[a].Origin()).Len()+world[c].Origin().Sub(knee).Len(), n+1
		}
	}
	if n > 0 {
		f.leg = sum / n
	}
}

// measureSize takes the box of the body, else that of the joints.
func (f *figure) measureSize() {
	f.measureLegs()
	f.height, f.diagonal = f.e.Height(), f.e.BodyBox().Diagonal()
	if box := f.e.BodyBox(); !box.IsEmpty() && f.height > 0 {
		if low := box.Min[1]; low < -0.02*f.height || low > 0.02*f.height {
			f.floor, f.offFloor = low, true
		}
		return
	}
	box := geom.EmptyBox()
	for i := range f.r.Nodes {
		box.Add(f.e.RestWorld()[i].Origin())
	}
	if !box.IsEmpty() {
		f.height, f.diagonal = box.Size()[1], box.Diagonal()
	}
	if !(f.height > 0) { // lies flat
		f.height = f.diagonal
	}
}

// findChains cuts the joints that bend the surface into runs without a branch.
func (f *figure) findChains() {
	next := make([][]rig.Node, len(f.r.Nodes)) // by joint: joints right below it that bend
	for _, n := range f.r.Order {
		if !f.isJoint[n] || !f.bends[n] {
			continue
		}
		if a := f.above[n]; a >= 0 {
			next[a] = append(next[a], n)
		}
	}
	for _, n := range f.r.Order {
		if !f.isJoint[n] || !f.bends[n] {
			continue
		}
		if a := f.above[n]; a >= 0 && len(next[a]) == 1 {
			continue // stands in the run of the joint above it
		}
		chain := []rig.Node{n}
		for c := n; len(next[c]) == 1; {
			c = next[c][0]
			chain = append(chain, c)
		}
		if body := f.bodyPart(chain); len(chain)-body >= 2 && body > 0 {
			f.chains = append(f.chains, chain[:body])
			chain = chain[body:]
		}
		f.chains = append(f.chains, chain)
	}
}

// bodyPart is how many joints of a run there are up to the last that is the body's own: what
// hangs on a hand or a head as its only joint below is a chain by itself.
func (f *figure) bodyPart(chain []rig.Node) int {
	for k := len(chain); k > 0; k-- {
		if f.isBody(chain[k-1]) {
			return k
		}
	}
	return 0
}

// isBody tells that a joint has a role, or belongs to a hand: what a person calls
// their own, not a strap, a tail or a cable.
func (f *figure) isBody(n rig.Node) bool {
	roles := f.e.Roles()
	if roles.Of[n].Role != "" {
		return true
	}
	if f.ofHand == nil {
		f.ofHand = f.hands()
	}
	return f.ofHand[n]
}

// hands tells which nodes below a hand belong to it. No finger reaches farther from the wrist
// than the forearm is long (Winter 2009, Table 4.1 after Drillis and Contini: hand 0.108,
// forearm 0.146 of the height): a branch that does is held or worn.
func (f *figure) hands() []bool {
	roles, world := f.e.Roles(), f.e.RestWorld()
	hand, branch := make([]rig.Node, len(f.r.Nodes)), make([]rig.Node, len(f.r.Nodes))
	far := make([]bool, len(f.r.Nodes))
	for i := range hand {
		hand[i], branch[i] = rig.None, rig.None
	}
	for _, n := range f.r.Order {
		p := f.r.Nodes[n].Parent
		if p < 0 {
			continue
		}
		if role := roles.Of[p].Role; role == "leftHand" || role == "rightHand" {
			hand[n], branch[n] = p, n
		} else {
			hand[n], branch[n] = hand[p], branch[p]
		}
		if h := hand[n]; h >= 0 && f.isJoint[n] {
			arm := roles.Node(strings.TrimSuffix(roles.Of[h].Role, "Hand") + "LowerArm")
			at := world[h].Origin()
			far[branch[n]] = far[branch[n]] || arm >= 0 && world[n].Origin().Sub(at).Len() > world[arm].Origin().Sub(at).Len()
		}
	}
	out := make([]bool, len(f.r.Nodes))
	for n := range out {
		out[n] = hand[n] >= 0 && !far[branch[n]]
	}
	return out
}

// isLimb tells roles of trunk, arms and legs, whose bones do not grow.
func (f *figure) isLimb(n rig.Node) bool {
	switch f.e.Roles().Of[n].Role {
	case "spine", "chest", "upperChest", "neck", "head",
		"leftShoulder", "leftUpperArm", "leftLowerArm", "leftHand", "rightShoulder", "rightUpperArm", "rightLowerArm", "rightHand",
		"leftUpperLeg", "leftLowerLeg", "leftFoot", "leftToes", "rightUpperLeg", "rightLowerLeg", "rightFoot", "rightToes":
		return true
	}
	return false
}

// feet are the foot and, where there is one, the toes of every leg.
func (f *figure) feet() (legs [][]rig.Node) {
	roles := f.e.Roles()
	for _, side := range []anatomy.Side{anatomy.Left, anatomy.Right} {
		word := map[anatomy.Side]string{anatomy.Left: "left", anatomy.Right: "right"}[side]
		if foot := roles.Node(word + "Foot"); foot >= 0 {
			leg := []rig.Node{foot}
			if toes := roles.Node(word + "Toes"); toes >= 0 {
				leg = append(leg, toes)
			}
			legs = append(legs, leg)
		}
	}
	if len(legs) == 0 {
		for _, n := range roles.FourFeet {
			legs = append(legs, []rig.Node{n})
		}
	}
	return legs
}
