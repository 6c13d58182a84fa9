package skeleton

import (
	"math"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// The ways in which the bind matrices of a skin can be wrong as a list, though each
// may be a sound matrix.
const (
	bindMissing   = "missing"   // the file gives none
	bindIdentity  = "identity"  // all that are meant are the identity, or one and the same
	bindExchanged = "exchanged" // joints with each other's
	bindShifted   = "shifted"   // each has that of a joint some places before or behind it
	bindCopied    = "copied"    // a joint has another's, its own is nowhere
	bindMixed     = "mixed"     // in no order that has a name
	bindForward   = "forward"   // they are no inverses: the places of the joints themselves
)

// BindWrong is one such fault of one skin.
type BindWrong struct {
	Skin   rig.Skin   `json:"skin"`
	What   string     `json:"what"`
	Joints []rig.Node `json:"joints"`
	Has    []rig.Node `json:"has"`        // for each joint, the one whose matrix it has; [] where the matrix is of none
	Places int        `json:"places"`     // shifted: how far on in the list the matrices are; else 0
	Torn   float64    `json:"torn_share"` // of the skin's vertices, that stand off their place by more than 2 % of the diagonal
	Of     int        `json:"joints_with_influence"`
}

const (
	// sameBind of the diagonal is how far two matrices may carry the skin's vertices
	// apart and still say the same: twice what a joint may drift.
	sameBind = 2 * driftShare
	// tornAway of the diagonal is how far off a vertex must stand to count as torn.
	tornAway = 0.02
	// mostTangled joints are tried in any order; of more only shifts are.
	mostTangled = 200
)

// tangle is what untangle works with: one skin, its joints with influence, and how far
// two matrices are apart.
type tangle struct {
	b      *skinBind
	skin   *rig.SkinData
	world  []rig.Affine
	list   []int // places in the skin of the joints with influence whose matrices can be used
	centre space.Vec
	radius float64
	near   float64      // metres
	back   []rig.Affine // a joint: from the world into its space; only those of list
	reach  []float64    // a joint: near, in its space
	middle []space.Vec  // a place in the skin: where its matrix puts the centre
}

// prepare works out what order needs to leave most pairs aside without multiplying.
func (t *tangle) prepare() {
	n := len(t.skin.Joints)
	t.back, t.reach, t.middle = make([]rig.Affine, n), make([]float64, n), make([]space.Vec, n)
	for _, k := range t.list {
		t.back[k], _ = t.world[t.skin.Joints[k]].Inverse()
		s := t.back[k].Scales()
		t.reach[k] = 2 * t.near * max(s[0], s[1], s[2])
	}
	for k := range t.skin.Bind {
		t.middle[k] = t.skin.Bind[k].Point(t.centre)
	}
}

func (t *tangle) agree(a, b *rig.Affine) bool { return apart(a, b, t.centre, t.radius) <= t.near }

// with is world rest × inverse bind of a joint, had it the matrix of another.
func (t *tangle) with(joint, bind int) rig.Affine {
	return t.world[t.skin.Joints[joint]].Mul(&t.skin.Bind[bind])
}

// untangle looks for an order in which the matrices of a skin agree, where in their own
// they do not. It sets the common part to what they then agree on, and marks the joints
// whose matrix is not theirs.
func (f *Facts) untangle(b *skinBind, skin *rig.SkinData) {
	t := &tangle{b: b, skin: skin, world: f.e.RestWorld(), near: sameBind * b.diagonal}
	for k := range skin.Joints {
		if b.residual[k].usable && b.weight[k] > 0 {
			t.list = append(t.list, k)
		}
	}
	if len(t.list) < 2 || !(t.near > 0) {
		return
	}
	t.centre, t.radius = f.bindBall(b)
	t.prepare()
	if f.lostBinds(t) {
		return
	}
	common := b.common
	off := t.off(&common)
	if len(off) == 0 {
		return
	}
	// The joint most agree with may be a wrong one when most are wrong.
	best := t.order(&common, off)
	if 2*len(off) > len(t.list) && len(best) < len(off)*9/10 {
		if f.forwardBinds(t) {
			return
		}
		if c, found := t.search(); found {
			common, off = c, t.off(&c)
			best = t.order(&common, off)
		}
	}
	sound := len(t.list) - len(off) + len(best)
	off = t.partners(&common, best, off)
	if len(best) >= 2 && 2*len(best) >= len(off) && 10*sound >= 9*len(t.list) || t.exchanged(best) {
		b.common = common
		f.wrongBinds(t, best, off)
		return
	}
	if 2*len(off) <= len(t.list) {
		f.wrongBinds(t, nil, off)
		return
	}
	f.bindsByPlace(t)
}

// forwardBinds finds a skin whose matrices were never inverted: inverted, they agree.
func (f *Facts) forwardBinds(t *tangle) bool {
	turned := make([]rig.Affine, len(t.skin.Bind))
	for _, k := range t.list {
		back, ok := t.skin.Bind[k].Inverse()
		if !ok {
			return false
		}
		turned[k] = t.world[t.skin.Joints[k]].Mul(&back)
	}
	for _, k := range t.list[:min(len(t.list), 3)] {
		agreed := 0
		for _, j := range t.list {
			if t.agree(&turned[j], &turned[k]) {
				agreed++
			}
		}
		if 10*agreed >= 9*len(t.list) {
			t.b.common = turned[k]
			w := f.wrong(t, t.list)
			w.What = bindForward
			f.BindWrong = append(f.BindWrong, w)
			return true
		}
	}
	return false
}

// Shares of the stored diagonal: a joint farther than lostPlace from what it holds was
// not bound there; one nearer than foundPlace may have been.
const (
	lostPlace  = 0.1
	foundPlace = 0.03
)

// placesExchanged tells of two joints, by how far each was bound from what it holds and from what
// the other holds (shares of the diagonal), that each has the other's matrix.
func placesExchanged(j, k, jByK, kByJ float64) bool {
	return j > lostPlace && k > lostPlace && jByK < foundPlace && kByJ < foundPlace
}

// bindsByPlace looks at a figure that rests posed, where no order makes all matrices
// agree: a joint was bound near what it holds, so two that were bound far from their own
// part and near each other's have each other's matrices, and so has a list that is
// shifted as a whole.
func (f *Facts) bindsByPlace(t *tangle) {
	boxes, whole := f.heldBoxes(t), geom.EmptyBox()
	for _, b := range boxes {
		whole = whole.Union(b)
	}
	diagonal := whole.Diagonal()
	n := len(t.skin.Bind)
	spot, known := make([]space.Vec, n), make([]bool, n)
	for k := range spot {
		if back, ok := t.skin.Bind[k].Inverse(); ok && t.b.residual[k].usable {
			spot[k], known[k] = back.Origin(), true
		}
	}
	if !(diagonal > 0) || len(t.list) > mostTangled {
		return
	}
	far := func(j, k int) float64 {
		if boxes[j].IsEmpty() || !known[k] {
			return math.NaN()
		}
		return away(boxes[j], spot[k]) / diagonal
	}
	right, off := map[int]int{}, []int{}
	own, count := 0.0, 0.0
	for _, j := range t.list {
		if d := far(j, j); d-d == 0 {
			own, count = own+d, count+1
		}
	}
	for _, d := range []int{1, -1, 2, -2} {
		sum, of := 0.0, 0.0
		for _, j := range t.list {
			if x := far(j, ((j+d)%n+n)%n); x-x == 0 {
				sum, of = sum+x, of+1
			}
		}
		if count >= 4 && of >= 0.8*count && own/count > lostPlace/2 && sum/of < own/count/4 {
			for _, j := range t.list {
				right[j], off = ((j+d)%n+n)%n, append(off, j)
			}
			f.wrongBinds(t, right, off)
			return
		}
	}
	for i, j := range t.list {
		if !(far(j, j) > lostPlace) {
			continue
		}
		for _, k := range t.list[i+1:] {
			if placesExchanged(far(j, j), far(k, k), far(j, k), far(k, j)) {
				right[j], right[k], off = k, j, append(off, j, k)
			}
		}
	}
	if len(right) == len(off) && len(off) > 0 && t.exchanged(right) { // no joint in two pairs
		f.wrongBinds(t, right, off)
	}
}
