package skeleton

import (
	"cmp"
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

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

// partners adds the joints that hold nothing and have the matrix of one that has theirs: an
// exchange, too, though no vertex tells of the second.
func (t *tangle) partners(common *rig.Affine, right map[int]int, off []int) []int {
	for _, j := range slices.Clone(off) {
		k, ok := right[j]
		if !ok || t.b.weight[k] > 0 {
			continue
		}
		if m := t.with(k, j); t.agree(&m, common) {
			right[k], off = j, append(off, k)
		}
	}
	return off
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
