package lamplighter

import (
	"fmt"
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// The joints, parents first: 22 of the body, the yoke among them, then two chains
// of six. The place in this list is the node and the place in the skin.
const (
	hips = iota
	spine
	chest
	neck
	head
	yoke
	shoulderL
	upperArmL
	lowerArmL
	handL
	shoulderR
	upperArmR
	lowerArmR
	handR
	upperLegL
	lowerLegL
	footL
	toesL
	upperLegR
	lowerLegR
	footR
	toesR
	chainL
	chainR = chainL + links
	joints = chainR + links
)

const (
	links = 6     // joints and links a chain
	pitch = 0.064 // metres from link to link

	upperArmLength = 0.284
	lowerArmLength = 0.269
	handLength     = 0.17
)

// body is the figure before it is sampled: joints and solids, left half and
// middle only. Everything right of the middle is a mirror image.
type body struct {
	pose    Pose
	at      [joints]space.Vec
	frame   [joints]space.Quat // world, at rest: +Y along the bone, +Z forward
	arm     space.Vec          // unit, along the left arm
	lift    space.Vec          // unit, across the left arm, up
	solids  []solid
	yokeEnd space.Vec
	sway    bool // the chains are keyed
}

// newBody places the joints. Proportions follow the fractions of stature of
// Drillis & Contini (as printed in Winter), within the ±15 % of a drawn figure.
func newBody(p Pose) *body {
	b := &body{pose: p, arm: space.Vec{1, 0, 0}, lift: space.Vec{0, 1, 0}, yokeEnd: space.Vec{0.8, 1.487, -0.17}}
	if p == A {
		b.arm, b.lift = space.Vec{math.Sqrt2 / 2, -math.Sqrt2 / 2, 0}, space.Vec{math.Sqrt2 / 2, math.Sqrt2 / 2, 0}
	}
	at := &b.at
	at[hips] = space.Vec{0, 0.985, 0}
	at[spine] = space.Vec{0, 1.12, 0}
	at[chest] = space.Vec{0, 1.29, 0}
	at[neck] = space.Vec{0, 1.5, -0.006}
	at[head] = space.Vec{0, 1.585, 0}
	at[yoke] = space.Vec{0, 1.505, -0.085}
	at[shoulderL] = space.Vec{0.05, 1.445, 0}
	at[upperArmL] = space.Vec{0.185, 1.445, 0}
	at[lowerArmL] = at[upperArmL].Add(b.arm.Mul(upperArmLength))
	at[handL] = at[lowerArmL].Add(b.arm.Mul(lowerArmLength))
	at[upperLegL] = space.Vec{0.097, 0.94, 0}
	at[lowerLegL] = space.Vec{0.093, 0.505, 0.012}
	at[footL] = space.Vec{0.103, 0.088, -0.012}
	at[toesL] = space.Vec{0.115, 0.034, 0.135}
	for i := range links {
		at[chainL+i] = space.Vec{b.yokeEnd[0], 1.465 - pitch*float64(i), b.yokeEnd[2]}
	}
	for j := range joints {
		if m := mirror(j); m < j {
			at[j] = flip(at[m])
		}
	}
	for j := range joints {
		m := mirror(j)
		if m < j {
			q := b.frame[m] // mirrored in x: the axis of a turn keeps x, loses the sign of y and z
			b.frame[j] = space.Quat{W: q.W, V: space.Vec{q.V[0], -q.V[1], -q.V[2]}}
			continue
		}
		b.frame[j] = b.frameOf(j)
	}
	b.solids = b.makeSolids()
	return b
}

// frameOf turns +Y along the bone of a left or middle joint.
func (b *body) frameOf(j int) space.Quat {
	switch {
	case j >= chainL:
		return space.Quat{V: space.Vec{0, 0, 1}} // straight down, +Z stays forward
	case j >= upperLegL && j < footL:
		return space.Between(space.Vec{0, -1, 0}, b.at[j+1].Sub(b.at[j]).Normalize()).Mul(space.Quat{V: space.Vec{0, 0, 1}})
	case j == footL:
		return space.Between(space.Vec{0, 0, 1}, b.at[j+1].Sub(b.at[j]).Normalize()).Mul(mgl64.QuatRotate(math.Pi/2, space.Vec{1, 0, 0}))
	case j == toesL:
		return space.About(space.Vec{1, 0, 0}, math.Pi/2)
	case j >= upperArmL && j <= handL:
		return space.About(space.Vec{0, 0, 1}, math.Atan2(b.arm[1], b.arm[0])-math.Pi/2)
	case j == shoulderL:
		return space.About(space.Vec{0, 0, 1}, -math.Pi/2)
	}
	return space.Still()
}

func flip(p space.Vec) space.Vec { return space.Vec{-p[0], p[1], p[2]} }

// mirror answers the partner of a joint, itself in the middle.
func mirror(j int) int {
	switch {
	case j < shoulderL:
		return j
	case j < shoulderR:
		return j + 4
	case j < upperLegL:
		return j - 4
	case j < upperLegR:
		return j + 4
	case j < chainL:
		return j - 4
	case j < chainR:
		return j + links
	}
	return j - links
}

func parentOf(j int) int {
	switch {
	case j == hips:
		return rig.None
	case j <= head:
		return j - 1
	case j == yoke, j == shoulderL, j == shoulderR:
		return chest
	case j == upperLegL, j == upperLegR:
		return hips
	case j == chainL, j == chainR:
		return yoke
	}
	return j - 1
}

// nodes fills in nodes, scene, skin and the surface of mesh 0. Inverse bind
// matrices are rounded to float32, as a file stores them.
func (b *body) nodes(r *rig.Rig, n Naming) {
	skin := rig.SkinData{Name: "lamplighter", Skeleton: hips, HasBind: true}
	for j := range joints {
		d := rig.NodeData{Name: jointName(j, n), Parent: rig.Node(parentOf(j)), Mesh: rig.None, Skin: rig.None}
		at, q := b.at[j], b.frame[j]
		if p := parentOf(j); p >= 0 {
			back := b.frame[p].Conjugate()
			at, q = back.Rotate(b.at[j].Sub(b.at[p])), back.Mul(b.frame[j])
			r.Nodes[p].Children = append(r.Nodes[p].Children, rig.Node(j))
		}
		q = tidy(q)
		d.TRS = rig.TRS{T: [3]float64{clean(at[0]), clean(at[1]), clean(at[2])}, R: space.XYZW(q), S: [3]float64{1, 1, 1}}
		d.Matrix = d.TRS.Affine()
		r.Nodes = append(r.Nodes, d)
		skin.Joints = append(skin.Joints, rig.Node(j))
	}
	shown := rig.Node(len(r.Nodes))
	id := rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}
	r.Nodes = append(r.Nodes, rig.NodeData{Name: "Lamplighter", Parent: rig.None, TRS: id, Matrix: rig.Identity, Mesh: 0, Skin: 0})
	r.Scenes = []rig.Scene{{Name: "festival", Roots: []rig.Node{hips, shown}}}
	r.Surfaces = []rig.Surface{{Node: shown, Mesh: 0, Skin: 0}}
	r.SetOrder()
	for _, w := range r.RestWorld()[:joints] {
		inv, _ := w.Inverse() // rotations and translations only: there always is one
		for i, v := range inv {
			inv[i] = float64(float32(clean(v)))
		}
		skin.Bind = append(skin.Bind, inv)
	}
	r.Skins = []rig.SkinData{skin}
}

// clean takes the dust of rounding off a number that is meant to be zero.
func clean(v float64) float64 {
	if math.Abs(v) < 1e-12 {
		return 0
	}
	return v
}

// tidy makes a quaternion unit, free of dust, its sign such that w ≥ 0.
func tidy(q space.Quat) space.Quat {
	if q.W < 0 {
		q = q.Scale(-1)
	}
	v := [4]float64{clean(q.V[0]), clean(q.V[1]), clean(q.V[2]), clean(q.W)}
	for range 4 { // until making it unit once more, as a reader does, changes no bit
		l := math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2] + v[3]*v[3])
		for k := range v {
			v[k] /= l
		}
	}
	return space.FromXYZW(v)
}

// jointName is the name of a joint in one of the three styles.
func jointName(j int, n Naming) string {
	side, base := 0, j
	switch {
	case j >= chainR:
		side, base = 2, j-links
	case j >= chainL:
		side = 1
	case j >= shoulderL && mirror(j) > j:
		side = 1
	case j >= shoulderL:
		side, base = 2, mirror(j)
	}
	number := 0
	if base >= chainL {
		number, base = base-chainL+1, chainL
	}
	w := map[int][3]string{
		hips:      {"hips", "pelvis", "Hips"},
		spine:     {"spine", "abdomen", "Spine"},
		chest:     {"chest", "chest", "Chest"},
		neck:      {"neck", "neck", "Neck"},
		head:      {"head", "skull", "Head"},
		yoke:      {"yoke", "yoke", "Yoke"},
		shoulderL: {"shoulder", "collarbone", "Collar"},
		upperArmL: {"upperArm", "upper_arm", "UpperArm"},
		lowerArmL: {"lowerArm", "forearm", "Elbow"},
		handL:     {"hand", "hand", "Wrist"},
		upperLegL: {"upperLeg", "thigh", "UpperLeg"},
		lowerLegL: {"lowerLeg", "shin", "Knee"},
		footL:     {"foot", "foot", "Ankle"},
		toesL:     {"toes", "toes", "Toes"},
		chainL:    {"chain", "chain", "Chain"},
	}[base][n]
	var name string
	switch n {
	case Snake:
		name = [...]string{"", "left_", "right_"}[side] + w
		if number > 0 {
			name += fmt.Sprintf("_%d", number)
		}
	case Prefix:
		name = "lamp" + w + [...]string{"", "Left", "Right"}[side]
		if number > 0 {
			name += fmt.Sprintf("%02d", number)
		}
	default:
		name = w + [...]string{"", "_L", "_R"}[side]
		if number > 0 {
			name += fmt.Sprintf("_%d", number)
		}
	}
	return name
}
