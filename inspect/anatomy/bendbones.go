package anatomy

import (
	"math"
	"strings"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
)

// outwards is the next bone of a limb, upwards those of the trunk, nearest first.
var (
	outwards = map[string]string{
		"Shoulder": "UpperArm", "UpperArm": "LowerArm", "LowerArm": "Hand", "Hand": "MiddleProximal",
		"UpperLeg": "LowerLeg", "LowerLeg": "Foot", "Foot": "Toes",
		"ThumbMetacarpal": "ThumbProximal", "ThumbProximal": "ThumbDistal",
		"IndexProximal": "IndexIntermediate", "IndexIntermediate": "IndexDistal",
		"MiddleProximal": "MiddleIntermediate", "MiddleIntermediate": "MiddleDistal",
		"RingProximal": "RingIntermediate", "RingIntermediate": "RingDistal",
		"LittleProximal": "LittleIntermediate", "LittleIntermediate": "LittleDistal",
	}
	upwards = map[string][]string{
		"spine": {"chest", "upperChest", "neck", "head"}, "chest": {"upperChest", "neck", "head"},
		"upperChest": {"neck", "head"}, "neck": {"head"},
	}
)

// along is the direction of the bone of a joint with a role: to the next joint of
// the limb, to its main child, else the direction in which the bone above ends.
func (b *bender) along(j rig.Node, role string) (mgl64.Vec3, bool) {
	var to []rig.Node
	side, bone := sideOf(role), strings.TrimPrefix(strings.TrimPrefix(role, "left"), "right")
	if next := outwards[bone]; next != "" && side != Centre {
		to = append(to, b.roles.Node(sided(side, next)))
	}
	for _, up := range upwards[role] {
		to = append(to, b.roles.Node(up))
	}
	to = append(to, b.main[j])
	from := b.world[j].Origin()
	for _, n := range to {
		if n < 0 || n == j {
			continue
		}
		if d := b.world[n].Origin().Sub(from); d.Len() > 1e-9 {
			return d.Normalize(), true
		}
	}
	return b.above(j)
}

// above is the direction from the joint above, the first that stands elsewhere.
func (b *bender) above(j rig.Node) (mgl64.Vec3, bool) {
	at := b.world[j].Origin()
	for p := b.nodes[j].Parent; p >= 0; p = b.nodes[p].Parent {
		if b.main[p] == rig.None {
			continue // no joint
		}
		if d := at.Sub(b.world[p].Origin()); d.Len() > 1e-9 {
			return d.Normalize(), true
		}
	}
	return mgl64.Vec3{}, false
}

// bent is how far an elbow or knee is bent at rest, degrees, + as its flexion.
func (b *bender) bent(j rig.Node, role string, d1 mgl64.Vec3, known bool, axis mgl64.Vec3) float64 {
	upper := b.roles.Node(strings.Replace(role, "Lower", "Upper", 1))
	if !known || upper < 0 {
		return 0
	}
	d := b.world[j].Origin().Sub(b.world[upper].Origin())
	if d.Len() < 1e-9 {
		return 0
	}
	d = d.Normalize()
	c := d.Cross(d1)
	angle := math.Atan2(c.Len(), d.Dot(d1)) * 180 / math.Pi
	if c.Dot(axis) < 0 {
		return 0
	}
	return angle
}

// thumb is the normal of the plane in which a thumb is bent by more than 5°, signed
// so that + brings its tip nearer to the little finger.
func (b *bender) thumb(s Side) (mgl64.Vec3, bool) {
	m, p, d := b.roles.Node(sided(s, "ThumbMetacarpal")), b.roles.Node(sided(s, "ThumbProximal")), b.roles.Node(sided(s, "ThumbDistal"))
	little := b.roles.Node(sided(s, "LittleProximal"))
	if m < 0 || p < 0 || d < 0 || little < 0 {
		return mgl64.Vec3{}, false
	}
	at := func(n rig.Node) mgl64.Vec3 { return b.world[n].Origin() }
	u, v := at(p).Sub(at(m)), at(d).Sub(at(p))
	n := u.Cross(v)
	if math.Atan2(n.Len(), u.Dot(v)) < 5*math.Pi/180 {
		return mgl64.Vec3{}, false
	}
	n = n.Normalize()
	tip := at(d).Add(v)
	if c := b.main[d]; c >= 0 && c != d {
		tip = at(c)
	}
	if n.Cross(tip.Sub(at(p))).Dot(at(little).Sub(tip)) < 0 {
		n = n.Mul(-1)
	}
	return n, true
}

// MainChildren answers for every joint (of the list) the joint below it that goes on
// with its bone: the one with most joints below, the farther away where they are
// equal, then the first. Other nodes between joints are left out. Itself at an end;
// None for nodes that are no joints of the list.
func MainChildren(g *rig.Rig, restWorld []rig.Affine, joints []rig.Node) []rig.Node {
	n := len(g.Nodes)
	is := make([]bool, n)
	for _, j := range joints {
		is[j] = true
	}
	main, above, below := make([]rig.Node, n), make([]rig.Node, n), make([]int, n)
	for i := range main {
		main[i], above[i] = rig.None, rig.None
		if is[i] {
			main[i] = rig.Node(i)
		}
	}
	for _, j := range g.Order {
		if p := g.Nodes[j].Parent; p >= 0 {
			if above[j] = above[p]; is[p] {
				above[j] = p
			}
		}
	}
	for i := len(g.Order) - 1; i >= 0; i-- {
		if j := g.Order[i]; is[j] && above[j] >= 0 {
			below[above[j]] += below[j] + 1
		}
	}
	far := make([]float64, n)
	for i := range n {
		j := rig.Node(i)
		a := above[j]
		if !is[j] || a < 0 {
			continue
		}
		d := restWorld[j].Origin().Sub(restWorld[a].Origin()).Len()
		if m := main[a]; m == a || below[j] > below[m] || below[j] == below[m] && d > far[a]*(1+1e-9) {
			main[a], far[a] = j, d
		}
	}
	return main
}
