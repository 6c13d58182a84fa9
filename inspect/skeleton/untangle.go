package skeleton

import (
	"cmp"
	"math"
	"slices"

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
			if far(k, k) > lostPlace && far(j, k) < foundPlace && far(k, j) < foundPlace {
				right[j], right[k], off = k, j, append(off, j, k)
			}
		}
	}
	if len(right) == len(off) && len(off) > 0 && t.exchanged(right) { // no joint in two pairs
		f.wrongBinds(t, right, off)
	}
}

// off lists the joints whose matrix does not agree with a common part.
func (t *tangle) off(common *rig.Affine) (off []int) {
	for _, k := range t.list {
		if !t.agree(&t.b.each[k], common) {
			off = append(off, k)
		}
	}
	return off
}

// order finds for joints that are off where the matrix stands that would agree: joint →
// place in the skin. Each matrix is given away once, and none that agrees where it is.
func (t *tangle) order(common *rig.Affine, off []int) map[int]int {
	right := map[int]int{}
	if len(t.list) > mostTangled {
		return t.shift(common, off)
	}
	isOff, given := map[int]bool{}, map[int]bool{}
	for _, k := range off {
		isOff[k] = true
	}
	centre := common.Point(t.centre)
	for _, j := range off {
		want := t.back[j].Point(centre)
		for k := range t.skin.Bind {
			if d := t.middle[k].Sub(want); d.Dot(d) > t.reach[j]*t.reach[j] {
				continue
			}
			// A joint nothing follows may hold a matrix that another lacks.
			if k == j || given[k] || !isOff[k] && t.b.weight[k] > 0 || !t.b.residual[k].usable {
				continue
			}
			if m := t.with(j, k); t.agree(&m, common) {
				right[j], given[k] = k, true
				break
			}
		}
	}
	return right
}

// shift tries the matrices one to three places before and behind.
func (t *tangle) shift(common *rig.Affine, off []int) (best map[int]int) {
	n := len(t.skin.Bind)
	for _, d := range []int{1, -1, 2, -2, 3, -3} {
		right := map[int]int{}
		for _, j := range off {
			k := ((j+d)%n + n) % n
			if !t.b.residual[k].usable {
				continue
			}
			if m := t.with(j, k); t.agree(&m, common) {
				right[j] = k
			}
		}
		if len(right) > len(best) {
			best = right
		}
	}
	return best
}

// search looks for a common part that nearly all joints would agree on with the
// matrices in another order: a joint with each matrix in turn says what it would be.
// Three are asked, since the matrix of one may be nowhere.
func (t *tangle) search() (common rig.Affine, found bool) {
	if len(t.list) < 3 {
		return common, false
	}
	heavy := slices.Clone(t.list)
	slices.SortStableFunc(heavy, func(i, j int) int { return cmp.Compare(t.b.weight[j], t.b.weight[i]) })
	n := len(t.skin.Bind)
	for _, seed := range heavy[:3] {
		for k := range n {
			if len(t.list) > mostTangled && min(abs(k-seed), n-abs(k-seed)) > 3 || !t.b.residual[k].usable {
				continue
			}
			c := t.with(seed, k)
			off := t.off(&c)
			if agreed := len(t.list) - len(off) + len(t.order(&c, off)); 10*agreed >= 9*len(t.list) {
				return c, true
			}
		}
	}
	return common, false
}

func abs(i int) int {
	if i < 0 {
		return -i
	}
	return i
}

// exchanged tells that joints have each other's matrices, two and two: no pose does that.
func (t *tangle) exchanged(right map[int]int) bool {
	for j, k := range right {
		if back, ok := right[k]; !ok || back != j {
			return false
		}
	}
	return len(right) > 0
}

// wrongBinds files what was found: the order of right (joint → where its matrix stands),
// and among the rest those with the identity and those with another's matrix.
func (f *Facts) wrongBinds(t *tangle, right map[int]int, off []int) {
	holder := map[int]int{} // place → the joint whose matrix stands there
	for j, k := range right {
		holder[k] = j
	}
	n := len(t.skin.Joints)
	var order, same, lone []int
	steps := map[int]int{}
	for _, j := range off {
		if k, ok := right[j]; ok {
			order = append(order, j)
			steps[((j-k)%n+n)%n]++
			continue
		}
		if _, ok := holder[j]; ok { // its own is nowhere, and it has another's
			order = append(order, j)
			continue
		}
		// A joint may rest so because it is posed; the matrix of another, or none where
		// its part of the surface lies elsewhere, is no pose.
		switch {
		case isIdentity(&t.skin.Bind[j]) && f.astray(t, j):
			lone = append(lone, j)
		case t.twin(j) >= 0:
			same = append(same, j)
		}
	}
	if len(order) > 0 {
		w := f.wrong(t, order)
		w.What = bindMixed
		for _, j := range order {
			w.Has = append(w.Has, t.owner(j, holder))
		}
		step, count := 0, 0
		for s, c := range steps {
			if c > count || c == count && s < step {
				step, count = s, c
			}
		}
		switch {
		case t.exchanged(right):
			w.What = bindExchanged
		case 5*count >= 4*len(order):
			if w.What, w.Places = bindShifted, step; step > n/2 {
				w.Places = step - n
			}
		}
		f.BindWrong = append(f.BindWrong, w)
	}
	if len(same) > 0 {
		w := f.wrong(t, same)
		w.What = bindCopied
		for _, j := range same {
			w.Has = append(w.Has, t.skin.Joints[t.twin(j)])
		}
		f.BindWrong = append(f.BindWrong, w)
	}
	if len(lone) > 0 {
		w := f.wrong(t, lone)
		w.What = bindIdentity
		f.BindWrong = append(f.BindWrong, w)
	}
}

// owner is the joint whose matrix a joint has: one that carries something, or one that
// carries nothing; None where it is of no joint.
func (t *tangle) owner(j int, holder map[int]int) rig.Node {
	if h, ok := holder[j]; ok {
		return t.skin.Joints[h]
	}
	for h := range t.skin.Joints {
		if h == j || t.b.weight[h] > 0 {
			continue
		}
		if m := t.with(h, j); t.agree(&m, &t.b.common) {
			return t.skin.Joints[h]
		}
	}
	return rig.None
}

// twin is the place of a sound joint that has the very same matrix, −1.
func (t *tangle) twin(j int) int {
	for _, k := range t.list {
		if k != j && t.skin.Bind[k] == t.skin.Bind[j] && t.agree(&t.b.each[k], &t.b.common) {
			return k
		}
	}
	return -1
}

// wrong starts a fault of some joints and marks them, so that they are told once.
func (f *Facts) wrong(t *tangle, joints []int) BindWrong {
	w := BindWrong{Skin: t.b.skin, Joints: []rig.Node{}, Has: []rig.Node{}, Of: len(t.list)}
	if t.b.wrong == nil {
		t.b.wrong = make([]bool, len(t.skin.Joints))
	}
	for _, j := range joints {
		w.Joints = append(w.Joints, t.skin.Joints[j])
		t.b.wrong[j] = true
	}
	w.Torn = f.torn(t, joints)
	return w
}

// torn is the share of the skin's vertices that some of the joints hold and that stand
// off where the common part would put them.
func (f *Facts) torn(t *tangle, joints []int) float64 {
	in := make([]bool, len(t.skin.Joints))
	for _, j := range joints {
		in[j] = true
	}
	limit := tornAway * t.b.diagonal
	count, all := 0, 0
	for _, s := range t.b.surfaces {
		m := &f.e.Rig.Meshes[f.e.Rig.Surfaces[s].Mesh]
		rest := f.e.RestPositions(s)
		all += m.Vertices()
		for v := range m.Vertices() {
			held := false
			for i := v * m.K; i < (v+1)*m.K; i++ {
				held = held || m.Weights[i] > 0 && int(m.Joints[i]) < len(in) && in[m.Joints[i]]
			}
			if !held {
				continue
			}
			x := m.Positions[3*v : 3*v+3]
			home := t.b.common.Point(space.Vec{float64(x[0]), float64(x[1]), float64(x[2])})
			if home.Sub(space.Vec{float64(rest[3*v]), float64(rest[3*v+1]), float64(rest[3*v+2])}).Len() > limit {
				count++
			}
		}
	}
	return float64(count) / float64(max(all, 1))
}

func isIdentity(m *rig.Affine) bool {
	for i := range m {
		if math.Abs(m[i]-rig.Identity[i]) > 1e-6 {
			return false
		}
	}
	return true
}

// heldBoxes are those of the vertices that each joint holds most of, as stored.
func (f *Facts) heldBoxes(t *tangle) []geom.Box {
	boxes := make([]geom.Box, len(t.skin.Joints))
	for i := range boxes {
		boxes[i] = geom.EmptyBox()
	}
	for _, s := range t.b.surfaces {
		m := &f.e.Rig.Meshes[f.e.Rig.Surfaces[s].Mesh]
		for v := range m.Vertices() {
			heavy, w := -1, float32(0)
			for i := v * m.K; i < (v+1)*m.K; i++ {
				if x := m.Weights[i]; x > w && int(m.Joints[i]) < len(boxes) {
					heavy, w = int(m.Joints[i]), x
				}
			}
			if x := m.Positions[3*v : 3*v+3]; heavy >= 0 {
				boxes[heavy].Add(space.Vec{float64(x[0]), float64(x[1]), float64(x[2])})
			}
		}
	}
	return boxes
}

// away is how far a point lies outside a box.
func away(b geom.Box, p space.Vec) float64 {
	s := 0.0
	for i := range p {
		d := max(b.Min[i]-p[i], p[i]-b.Max[i], 0)
		s += d * d
	}
	return math.Sqrt(s)
}

// astray tells that a joint with the identity was not bound at the stored origin: its
// vertices lie nearer to where it rests.
func (f *Facts) astray(t *tangle, j int) bool {
	box := f.heldBoxes(t)[j]
	back, ok := t.b.common.Inverse()
	if box.IsEmpty() || !ok {
		return false
	}
	return away(box, back.Point(t.world[t.skin.Joints[j]].Origin())) < away(box, space.Vec{})
}

// lostBinds finds a skin whose matrices are all the same though its joints rest in
// different places: either they were lost, or the surface is kept joint by joint, each
// part in the space of its joint (glTF 2.0, Skins: no matrices mean that they were
// applied beforehand). What holds a part stands near it: in the first case where it
// rests, in the second at the stored origin.
func (f *Facts) lostBinds(t *tangle) bool {
	first := &t.skin.Bind[t.list[0]]
	for _, k := range t.list {
		for i := range first {
			if !(math.Abs(t.skin.Bind[k][i]-first[i]) <= 1e-6*max(1, math.Abs(first[i]))) {
				return false
			}
		}
	}
	if len(t.off(&t.b.each[t.list[0]])) == 0 {
		return false // all rest in one place: nothing was lost
	}
	boxes := f.heldBoxes(t)
	origin := space.Vec{}
	if back, ok := first.Inverse(); ok {
		origin = back.Origin()
	}
	type guess struct {
		common rig.Affine
		far    float64
	}
	best := guess{far: math.Inf(1)}
	tries := []rig.Affine{rig.Identity}
	for _, s := range t.b.surfaces {
		tries = append(tries, t.world[f.e.Rig.Surfaces[s].Node])
	}
	for _, c := range tries[:min(len(tries), 8)] {
		back, ok := c.Inverse()
		if !ok {
			continue
		}
		far := 0.0
		for _, k := range t.list {
			if !boxes[k].IsEmpty() {
				far += away(boxes[k], back.Point(t.world[t.skin.Joints[k]].Origin()))
			}
		}
		if far < best.far {
			best = guess{c, far}
		}
	}
	far := 0.0
	for _, k := range t.list {
		if !boxes[k].IsEmpty() {
			far += away(boxes[k], origin)
		}
	}
	if far <= best.far {
		t.b.apart = true
		return true
	}
	t.b.common = best.common
	w := f.wrong(t, t.list)
	if w.What = bindIdentity; !t.skin.HasBind {
		w.What = bindMissing
	}
	f.BindWrong = append(f.BindWrong, w)
	return true
}
