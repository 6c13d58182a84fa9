package carry

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// plan is everything about a carrying that does not change from frame to frame.
type plan struct {
	m     *match.Match
	align quat // the source figure's directions to the target's
	left  vec  // of the source: what a mirrored carrying exchanges
	drive []drive
	place []int // by target node: place in drive, −1

	srcRest, dstRest []quat // world rotations at rest, by node
	k                float64
	kFrom            string // what k is the ratio of
	height           height
	size             size
	srcUp, dstUp     vec
}

// drive is one target joint that is moved.
type drive struct {
	pair     match.Pair
	node     rig.Node
	from     int  // place in drive of the nearest driven joint above, −1
	rel      quat // rest: what stands between that joint and this one's parent
	relAt    vec  // rest: place of this joint in that joint's axes
	parentAt vec  // rest: place of this joint's parent in that joint's axes
	scale    vec  // world scale of this joint's parent
	fix      quat // the world correction of the rest direction
	after    quat // turns the source's world rotation into this joint's: align·source·after
	beside   quat // the same for the second source
	travels  bool // its place is carried too
	hang     int  // place in drive of the joint that it follows though it hangs elsewhere, −1
	hangAt   vec  // rest: place in that joint's axes
	bone     bone // for the inspection
}

// bone is the direction that a pair must share.
type bone struct {
	src, dst rig.Node // where it ends; None: it has none
}

func worldRotations(r *rig.Rig) []quat {
	out := make([]quat, len(r.Nodes))
	for _, n := range r.Order {
		q := stored(r.Nodes[n].R)
		if p := r.Nodes[n].Parent; p >= 0 {
			q = out[p].Mul(q)
		}
		out[n] = q
	}
	return out
}

func newPlan(m *match.Match) *plan {
	p := &plan{m: m, srcRest: worldRotations(m.S.Rig), dstRest: worldRotations(m.T.Rig)}
	p.left = space.Plain(m.S.Left)
	p.srcUp, p.dstUp = space.Plain(m.S.Up), space.Plain(m.T.Up)
	a, _ := frame(p.left, p.srcUp)
	b, _ := frame(space.Plain(m.T.Left), p.dstUp)
	p.align = unit(b.Mul(a.Back()))
	p.drives()
	p.travel()
	p.directions()
	return p
}

// mirror exchanges left and right of a source vector, when the match is mirrored.
func (p *plan) mirror(v vec) vec {
	if !p.m.Mirrored {
		return v
	}
	return v.Sub(p.left.Mul(2 * v.Dot(p.left)))
}

// mirrorTurn does the same to a rotation: its axis is a pseudovector.
func (p *plan) mirrorTurn(q quat) quat {
	if !p.m.Mirrored {
		return q
	}
	v := p.mirror(xyz(q.X, q.Y, q.Z))
	return xyzw(-v.X, -v.Y, -v.Z, q.W)
}

// toTarget takes a source direction to the target's space.
func (p *plan) toTarget(v vec) vec { return p.align.Rotate(p.mirror(v)) }

func (p *plan) srcAt(n rig.Node) vec { return space.Plain(p.m.S.At(n)) }
func (p *plan) dstAt(n rig.Node) vec { return space.Plain(p.m.T.At(n)) }

// drives lists the moved joints, parents first.
func (p *plan) drives() {
	t := p.m.T
	p.place = make([]int, len(t.Rig.Nodes))
	for i := range p.place {
		p.place[i] = -1
	}
	for _, n := range t.Rig.Order {
		pair, ok := p.m.Of(n)
		if !ok {
			continue
		}
		d := drive{pair: pair, node: n, from: -1, hang: -1, rel: still, fix: still, bone: bone{src: rig.None, dst: rig.None}}
		parent := t.Rig.Nodes[n].Parent
		for q := parent; q >= 0; q = t.Rig.Nodes[q].Parent {
			if p.place[q] >= 0 {
				d.from = p.place[q]
				break
			}
		}
		d.scale = xyz(1, 1, 1)
		if parent >= 0 {
			d.rel = p.dstRest[parent]
			d.parentAt = p.dstAt(parent)
			s := t.Rest[parent].Scales()
			d.scale = space.Plain(s)
		}
		d.relAt = p.dstAt(n)
		if d.from >= 0 {
			over := p.drive[d.from].node
			back, at := p.dstRest[over].Back(), p.dstAt(over)
			d.rel = back.Mul(d.rel)
			d.parentAt = back.Rotate(d.parentAt.Sub(at))
			d.relAt = back.Rotate(d.relAt.Sub(at))
		}
		p.place[n] = len(p.drive)
		p.drive = append(p.drive, d)
	}
	p.hangs()
}

// carries is which bone of a limb the body hangs another on.
var carries = map[string]string{"LowerLeg": "UpperLeg", "Foot": "LowerLeg", "Toes": "Foot", "LowerArm": "UpperArm", "Hand": "LowerArm"}

// hangs finds feet and the like that a body carries but the tree does not: they
// follow the joint of the role above them all the same.
func (p *plan) hangs() {
	t := p.m.T
	for i := range p.drive {
		d := &p.drive[i]
		side, bare := sideRole(d.pair.Role)
		up := carries[bare]
		if side == "" || up == "" {
			continue
		}
		n := t.Bone(side + up)
		if n < 0 || p.place[n] < 0 || t.Above(n, d.node) || t.Above(d.node, n) {
			continue
		}
		d.hang = p.place[n]
		d.hangAt = p.dstRest[n].Back().Rotate(p.dstAt(d.node).Sub(p.dstAt(n)))
	}
}

// sideRole parts a role into side and bone.
func sideRole(role string) (side, bare string) {
	for _, s := range [2]string{"left", "right"} {
		if len(role) > len(s) && role[:len(s)] == s {
			return s, role[len(s):]
		}
	}
	return "", role
}

// directions works out the correction of every joint: where the two rest poses
// differ, the bone is first brought to the source's rest direction by the least
// rotation, and the source's turn is laid over that.
func (p *plan) directions() {
	for i := range p.drive {
		d := &p.drive[i]
		d.fix = p.correction(i)
		src := p.mirrorTurn(p.srcRest[d.pair.Source])
		end := d.fix.Mul(p.dstRest[d.node])
		d.after = src.Back().Mul(p.align.Back()).Mul(end)
		d.beside = still
		if d.pair.Beside >= 0 {
			b := p.mirrorTurn(p.srcRest[d.pair.Beside])
			d.beside = b.Back().Mul(p.align.Back()).Mul(end)
		}
	}
}

// correction is the world rotation C of one joint (rest-offset mapping with a world
// correction). Hips turn only where their shape shows that the target's stand
// otherwise; a head keeps its rest; a foot is turned about the vertical only, since
// how steep it is belongs to the shoe, unless the two are of one shape; an end
// follows the bone that it ends.
func (p *plan) correction(i int) quat {
	d := &p.drive[i]
	_, bare := sideRole(d.pair.Role)
	from, to, ok := p.boneOf(i)
	switch {
	case d.pair.Role == "hips" || bare == "chest" || bare == "upperChest" || bare == "spine":
		if c, sure := p.byShape(i, from, to, ok); sure {
			return c
		}
		if d.pair.Role == "hips" {
			d.bone = bone{src: rig.None, dst: rig.None}
			return still
		}
	case bare == "head":
		d.bone = bone{src: rig.None, dst: rig.None}
		return still
	}
	if !ok {
		if bare == "Foot" || d.from < 0 {
			return still
		}
		if f := &p.drive[d.from]; bare == "Toes" || p.sameLimb(f, d) {
			return f.fix
		}
		return still
	}
	if bare == "Foot" && !p.oneBuild() {
		d.bone.src, d.bone.dst = rig.None, rig.None // not promised
		return space.TurnBetween(flat(to, p.dstUp), flat(from, p.dstUp))
	}
	return space.TurnBetween(to, from)
}

// sameLimb tells that an end belongs to the limb of the joint above it: hands to
// arms, fingers to hands, links to their chain; not a foot, a head or a limb to the
// trunk.
func (p *plan) sameLimb(up, d *drive) bool {
	side, bare := sideRole(d.pair.Role)
	upSide, upBare := sideRole(up.pair.Role)
	switch {
	case bare == "Foot" || bare == "head" || bare == "neck":
		return false
	case side != "" && upSide == side:
		return true
	case d.pair.Role == "" && up.pair.Role == "":
		return true
	}
	return d.pair.Role == "" && upBare != "" && upSide != ""
}

// boneOf answers the rest direction of a joint's bone in the source, taken to the
// target's space, and in the target.
func (p *plan) boneOf(i int) (from, to vec, ok bool) {
	d := &p.drive[i]
	s, t := p.m.S, p.m.T
	if from, to, ok = p.trunkBone(i); ok {
		return from, to, true
	}
	next := p.nextOf(i)
	if next < 0 {
		return vec{}, vec{}, false
	}
	src := p.drive[next].pair.Source
	if src == d.pair.Source || !s.Above(d.pair.Source, src) && !p.follows(d.pair.Source, src) {
		return vec{}, vec{}, false
	}
	from = p.toTarget(p.srcAt(src).Sub(p.srcAt(d.pair.Source)))
	to = p.dstAt(p.drive[next].node).Sub(p.dstAt(d.node))
	if from.Len() < 1e-4*s.Size || to.Len() < 1e-4*t.Size {
		return vec{}, vec{}, false
	}
	d.bone.src, d.bone.dst = src, p.drive[next].node
	return from, to, true
}

// follows tells that a source joint is the next of a limb by its role though it hangs
// elsewhere, as a foot that a rig keeps on its root.
func (p *plan) follows(above, n rig.Node) bool {
	side, bare := sideRole(p.m.S.Role(above))
	next, is := sideRole(p.m.S.Role(n))
	return bare != "" && side == next && carries[is] == bare
}

// trunkBone is boneOf for the joints of the trunk: between chains of other lengths
// the source's direction is that of the stretch which the target's bone covers.
func (p *plan) trunkBone(i int) (from, to vec, ok bool) {
	d := &p.drive[i]
	a, pa := p.m.S.Trunk()
	b, pb := p.m.T.Trunk()
	at := -1
	for k, n := range b {
		if n == d.node {
			at = k
		}
	}
	if at < 0 || len(a) == 0 || d.pair.Pinned {
		return vec{}, vec{}, false
	}
	to = space.Plain(pb[at+1]).Sub(space.Plain(pb[at]))
	var chord vec
	if len(a) == len(b) && d.pair.Source == a[at] {
		chord = space.Plain(pa[at+1]).Sub(space.Plain(pa[at]))
		if at+1 < len(a) {
			d.bone.src, d.bone.dst = a[at+1], b[at+1]
		}
	} else {
		ways := func(pts []mgl64.Vec3) []float64 {
			w := make([]float64, len(pts))
			for k := 1; k < len(pts); k++ {
				w[k] = w[k-1] + pts[k].Sub(pts[k-1]).Len()
			}
			for k := range w {
				w[k] /= max(w[len(w)-1], 1e-12)
			}
			return w
		}
		wa, wb := ways(pa), ways(pb)
		on := func(u float64) vec {
			k := 0
			for k+2 < len(wa) && wa[k+1] <= u {
				k++
			}
			x := 0.0
			if wa[k+1] > wa[k] {
				x = (u - wa[k]) / (wa[k+1] - wa[k])
			}
			return space.Plain(pa[k]).Mul(1 - x).Add(space.Plain(pa[k+1]).Mul(x))
		}
		chord = on(wb[at+1]).Sub(on(wb[at]))
	}
	from = p.toTarget(chord)
	if from.Len() < 1e-4*p.m.S.Size || to.Len() < 1e-4*p.m.T.Size {
		return vec{}, vec{}, false
	}
	return from, to, true
}

// onward bones of the body: where the bone of a role ends, best first.
var onward = map[string][]string{
	"neck": {"head"}, "Shoulder": {"UpperArm"}, "UpperArm": {"LowerArm"}, "LowerArm": {"Hand"},
	"Hand":     {"MiddleProximal", "IndexProximal", "RingProximal"},
	"UpperLeg": {"LowerLeg"}, "LowerLeg": {"Foot"}, "Foot": {"Toes"},
}

// nextOf is the driven joint at which a driven joint's bone ends, −1.
func (p *plan) nextOf(i int) int {
	d := &p.drive[i]
	side, bare := sideRole(d.pair.Role)
	for _, next := range onward[bare] {
		role := side + next
		if next == "head" {
			role = next
		}
		if n := p.m.T.Bone(role); n >= 0 && p.place[n] >= 0 {
			k := p.place[n]
			if p.m.T.Above(d.node, n) || p.drive[k].hang == i {
				return k
			}
		}
	}
	if d.pair.Role != "" && (bare == "Foot" || bare == "Hand" || bare == "head" || bare == "Toes" || bare == "hips") {
		return -1
	}
	// Else its one driven child that continues the chain in the source too.
	found := -1
	for k := range p.drive {
		if p.drive[k].from == i && p.m.S.Above(d.pair.Source, p.drive[k].pair.Source) {
			if found >= 0 {
				return -1
			}
			found = k
		}
	}
	return found
}

// Two trunks are of one shape where the line between their limbs stands alike on them,
// within 2°, and is as long by them, within 3 %: what figures made from one another keep,
// and no two made apart have (set by the corpus and the sample's two rest poses).
const (
	sameAngle = 2 * math.Pi / 180
	sameShape = 0.03 // of the logarithm
)

// oneShape tells that a line between limbs stands on one trunk as on another, and is as long by it.
func oneShape(lineA, trunkA, lineB, trunkB vec) bool {
	cos := func(u, v vec) float64 { return u.Dot(v) / (u.Len() * v.Len()) }
	turn := math.Abs(math.Acos(clamp(cos(lineA, trunkA), -1, 1)) - math.Acos(clamp(cos(lineB, trunkB), -1, 1)))
	ratio := (lineA.Len() / trunkA.Len()) / (lineB.Len() / trunkB.Len())
	return !(turn > sameAngle || math.Abs(math.Log(ratio)) > sameShape)
}

// byShape compares the joints that part at hips or chest: where both show the same
// shape, how the one is turned against the other is known whole.
func (p *plan) byShape(i int, from, to vec, ok bool) (quat, bool) {
	d := &p.drive[i]
	s, t := p.m.S, p.m.T
	pairOf := func(bones ...string) (a, b vec, found bool) {
		for _, bone := range bones {
			l, r := t.Bone("left"+bone), t.Bone("right"+bone)
			if l < 0 || r < 0 || p.place[l] < 0 || p.place[r] < 0 || !t.Above(d.node, l) || !t.Above(d.node, r) {
				continue
			}
			pl, pr := p.drive[p.place[l]].pair.Source, p.drive[p.place[r]].pair.Source
			return p.toTarget(p.srcAt(pl).Sub(p.srcAt(pr))), p.dstAt(l).Sub(p.dstAt(r)), true
		}
		return vec{}, vec{}, false
	}
	var a1, b1 vec
	var found bool
	if d.pair.Role == "hips" {
		a1, b1, found = pairOf("UpperLeg")
		mid := func(at func(rig.Node) vec, l, r rig.Node) vec { return at(l).Add(at(r)).Mul(0.5) }
		l, r := t.Bone("leftUpperLeg"), t.Bone("rightUpperLeg")
		na, pa := s.Trunk()
		nb, pb := t.Trunk()
		if !found || len(na) == 0 || len(nb) == 0 {
			return still, false
		}
		sl, sr := p.drive[p.place[l]].pair.Source, p.drive[p.place[r]].pair.Source
		from = p.toTarget(space.Plain(pa[0]).Sub(mid(p.srcAt, sl, sr)))
		to = space.Plain(pb[0]).Sub(mid(p.dstAt, l, r))
	} else {
		if !ok {
			return still, false
		}
		a1, b1, found = pairOf("Shoulder", "UpperArm")
		nb, _ := t.Trunk()
		if !found || len(nb) == 0 || nb[len(nb)-1] != d.node {
			return still, false
		}
	}
	fa, okA := frame(from, a1)
	fb, okB := frame(to, b1)
	if !okA || !okB {
		return still, false
	}
	if !oneShape(a1, from, b1, to) {
		return still, false
	}
	return unit(fa.Mul(fb.Back())), true
}
