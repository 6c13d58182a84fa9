package anatomy

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
)

// middle hands out hips, head, neck, trunk, jaw and eyes.
func (f *finder) middle() {
	if !f.has("head") {
		f.set("head", f.pickCentre(headWord, rig.None), NameAlone, "")
	}
	head := f.node("head")
	if !f.has("neck") {
		f.set("neck", f.pickCentre(neckWord, rig.None), NameAlone, "")
	}
	if !f.has("hips") {
		f.hips()
	}
	f.trunk()
	if !f.has("jaw") && head >= 0 {
		f.set("jaw", f.pickCentre(jawWord, head), NameAlone, "")
	}
	for _, s := range []Side{Left, Right} {
		if role := sided(s, "Eye"); !f.has(role) {
			if n := f.pick(eyeWord, s, head); n >= 0 {
				f.set(role, n, NameAlone, "")
			}
		}
	}
}

// pickCentre is the topmost joint of a word that stands in the middle, below a
// given one when there is one.
func (f *finder) pickCentre(w word, below rig.Node) rig.Node {
	best, score := rig.Node(rig.None), math.Inf(1)
	for _, n := range f.order {
		if f.word[n] != w || f.side[n] == Left || f.side[n] == Right || f.out.Of[n].Role != "" {
			continue
		}
		x := float64(f.depth[n]) + 100*float64(f.read[n].unknown)
		if below >= 0 && !f.under(n, below) {
			x += 10000
		}
		if x < score {
			best, score = n, x
		}
	}
	return best
}

// upper is the joint that stands for the upper body: where trunk and arms meet.
func (f *finder) upper() rig.Node {
	arms := rig.Node(rig.None)
	if l, r := f.armTop(Left), f.armTop(Right); l >= 0 && r >= 0 {
		arms = f.common(l, r)
	}
	for _, role := range []string{"neck", "head"} {
		if n := f.node(role); n >= 0 && !f.misplaced(n, arms) {
			return n
		}
	}
	if arms >= 0 {
		return arms
	}
	return f.firstTrunk()
}

// misplaced tells that a neck or head hangs on what carries the legs, or above it, while
// the arms meet on a trunk of their own: it tells nothing of that trunk then.
func (f *finder) misplaced(n, arms rig.Node) bool {
	l, r := f.node("leftUpperLeg"), f.node("rightUpperLeg")
	if arms < 0 || l < 0 || r < 0 || f.under(n, arms) || n == arms {
		return false
	}
	legs := f.common(l, r)
	if legs < 0 || !f.under(arms, legs) {
		return false
	}
	meet := f.common(n, arms)
	return meet < 0 || meet == legs || f.under(legs, meet)
}

func (f *finder) armTop(s Side) rig.Node {
	for _, l := range armLinks {
		if n := f.node(sided(s, l.bone)); n >= 0 {
			return n
		}
	}
	return rig.None
}

func (f *finder) firstTrunk() rig.Node {
	for _, n := range f.order {
		if f.word[n] == trunkWord && f.side[n] != Left && f.side[n] != Right {
			return n
		}
	}
	return rig.None
}

// hips are the lowest joint that carries both legs and the trunk. When that is a
// joint on the floor, far from the thighs, the named one is taken instead.
func (f *finder) hips() {
	named := f.pickCentre(hipsWord, rig.None)
	l, r, up := f.node("leftUpperLeg"), f.node("rightUpperLeg"), f.upper()
	if l < 0 || r < 0 || up < 0 {
		if named >= 0 {
			f.set("hips", named, NameAlone, "")
		}
		return
	}
	both := f.common(f.common(l, r), up)
	if both >= 0 && (both == l || both == r || both == up) {
		both = f.r.Nodes[both].Parent
	}
	if both >= 0 && both != named {
		between := f.pos[l].Add(f.pos[r]).Mul(0.5)
		reach := f.far(up, both) + f.pos[both].Sub(between).Len()
		torso := f.pos[up].Sub(between).Len()
		// A root on the floor, or a node that is none of the rig's joints.
		if !f.cand[both] || reach > 1.6*torso && f.word[both] != hipsWord {
			both = rig.None
		}
	}
	switch {
	case both >= 0:
		f.set("hips", both, NameAlone, "")
		if named >= 0 && named != both {
			f.out.Of[named].Evidence = "named hips, but does not carry legs and trunk both"
		}
	case named >= 0:
		f.set("hips", named, NameAlone, "")
	}
}

// trunk shares spine, chest and upperChest out along the chain from the hips to
// the neck: one joint is the spine, two are spine and chest, three all; of more,
// those nearest to .15, .45 and .75 of the way (common practice, no source).
func (f *finder) trunk() {
	hips, up := f.node("hips"), f.upper()
	if up < 0 {
		return
	}
	top := f.r.Nodes[up].Parent
	if up != f.node("neck") && up != f.node("head") {
		top = up // where the arms meet belongs to the trunk
	}
	var chain []rig.Node
	for n := top; n >= 0 && n != hips; n = f.r.Nodes[n].Parent {
		if !f.cand[n] || f.word[n] == rootWord || f.word[n] == hipsWord || f.word[n] == beastWord {
			if hips < 0 {
				break
			}
			continue
		}
		if f.word[n] == helperWord || f.word[n] == endWord || f.side[n] == Left || f.side[n] == Right {
			continue
		}
		if hips < 0 && f.word[n] != trunkWord {
			break
		}
		if f.word[n] == neckWord { // a second neck joint, or the neck when the head was taken for it
			continue
		}
		chain = append([]rig.Node{n}, chain...)
	}
	if hips >= 0 && !f.under(up, hips) && up != hips {
		return
	}
	if !f.has("neck") && f.has("head") && len(chain) > 0 {
		chain = f.unnamedNeck(chain)
	}
	roles := []string{"spine", "chest", "upperChest"}
	for i := len(chain) - 1; i >= 0; i-- { // a declared one keeps its place
		if f.out.Of[chain[i]].Role != "" {
			chain = append(chain[:i], chain[i+1:]...)
		}
	}
	if f.has("spine") {
		return
	}
	if len(chain) <= 3 {
		for i, n := range chain {
			f.set(roles[i], n, NameAlone, "")
		}
		return
	}
	from := hips
	if from < 0 {
		from = chain[0]
	}
	whole := f.pos[up].Sub(f.pos[from])
	next := 0
	for i, at := range []float64{.15, .45, .75} {
		best, score := next, math.Inf(1)
		for k := next; k <= len(chain)-(3-i); k++ {
			share := f.pos[chain[k]].Sub(f.pos[from]).Dot(whole) / max(whole.Dot(whole), 1e-30)
			if d := math.Abs(share - at); d < score {
				best, score = k, d
			}
		}
		f.set(roles[i], chain[best], NameAlone, "")
		next = best + 1
	}
}

// unnamedNeck takes the last joint of the chain as the neck when the arms hang
// below it no longer and it bears no trunk name.
func (f *finder) unnamedNeck(chain []rig.Node) []rig.Node {
	last := chain[len(chain)-1]
	l, r := f.armTop(Left), f.armTop(Right)
	if f.word[last] != trunkWord && l >= 0 && r >= 0 && !f.under(l, last) && !f.under(r, last) {
		f.set("neck", last, NameAlone, "")
		return chain[:len(chain)-1]
	}
	return chain
}

// up is the direction of the trunk, unit: from the hips to neck or head. Zero when
// the rig has none.
func (r *Roles) up() mgl64.Vec3 {
	from := r.Node("hips")
	for _, role := range []string{"neck", "head", "upperChest", "chest", "spine"} {
		if to := r.Node(role); from >= 0 && to >= 0 {
			if d := r.positions[to].Sub(r.positions[from]); d.Len() > 0 {
				return d.Normalize()
			}
		}
	}
	return mgl64.Vec3{}
}
