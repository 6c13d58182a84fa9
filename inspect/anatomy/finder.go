package anatomy

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
)

// finder holds one search. Candidates are the joints of all skins, with the nodes
// above and below them that carry no mesh; without a skin, every node without one.
type finder struct {
	r     *rig.Rig
	out   *Roles
	pos   []mgl64.Vec3
	cand  []bool
	read  []reading
	word  []word // resolved: no hipWord, shoulderWord, armWord, legWord, ashiWord, ballWord left
	side  []Side // as the name says, or by place for limbs that say none
	enter []int32
	leave []int32 // subtree of n = enter in [enter[n], leave[n])
	depth []int32
	order []rig.Node // candidates, parents first

	lateral mgl64.Vec3 // towards the figure's left, unit; zero when unknown
	centre  mgl64.Vec3 // a point of the mid plane
	extent  float64    // largest side of the box of the candidates
	tall    []int32    // joints on the longest way down, for byStructure
	placed  []bool     // side given by place, not by name

	limbMates [][2]rig.Node // joints of limbs that stand as mirror images, see nameLimbs
}

func newFinder(r *rig.Rig, out *Roles) *finder {
	n := len(r.Nodes)
	f := &finder{r: r, out: out, pos: out.positions, cand: make([]bool, n), word: make([]word, n), side: make([]Side, n),
		enter: make([]int32, n), leave: make([]int32, n), depth: make([]int32, n), placed: make([]bool, n)}
	f.number()
	f.candidates()
	names := make([]string, n)
	for i := range r.Nodes {
		if f.cand[i] {
			names[i] = r.Nodes[i].Name
			f.side[i] = NoSide
		}
	}
	f.read = readNames(names)
	for i := range f.read {
		f.word[i], f.side[i] = f.read[i].word, f.read[i].side
	}
	f.findLateral()
	return f
}

// number gives every node its stretch in the order parents-first, so that "below"
// is two comparisons.
func (f *finder) number() {
	for i, n := range f.r.Order {
		f.enter[n] = int32(i)
		f.leave[n] = int32(i) + 1
		if p := f.r.Nodes[n].Parent; p >= 0 {
			f.depth[n] = f.depth[p] + 1
		}
	}
	for i := len(f.r.Order) - 1; i >= 0; i-- {
		n := f.r.Order[i]
		if p := f.r.Nodes[n].Parent; p >= 0 {
			f.leave[p] = max(f.leave[p], f.leave[n])
		}
	}
}

func (f *finder) candidates() {
	joint := make([]bool, len(f.r.Nodes))
	for i := range f.r.Skins {
		for _, n := range f.r.Skins[i].Joints {
			joint[n] = true
		}
	}
	for n, in := range f.r.OfParts() {
		joint[n] = joint[n] || in
	}
	for _, n := range f.r.Humanoid.Bones {
		if n >= 0 && int(n) < len(joint) {
			joint[n] = true
		}
	}
	any, above := false, make([]bool, len(joint))
	for i := len(f.r.Order) - 1; i >= 0; i-- {
		n := f.r.Order[i]
		any = any || joint[n]
		if p := f.r.Nodes[n].Parent; p >= 0 && (joint[n] || above[n]) {
			above[p] = true
		}
	}
	below := make([]bool, len(joint))
	for _, n := range f.r.Order {
		if p := f.r.Nodes[n].Parent; p >= 0 {
			below[n] = joint[p] || below[p]
		}
		bare := f.r.Nodes[n].Mesh < 0
		f.cand[n] = joint[n] || bare && (!any || above[n] || below[n])
		if f.cand[n] {
			f.order = append(f.order, n)
		}
	}
}

// under tells that n hangs below a (and is not a).
func (f *finder) under(n, a rig.Node) bool {
	return a >= 0 && n != a && f.enter[n] >= f.enter[a] && f.enter[n] < f.leave[a]
}

// common is the lowest node that is, or is above, both.
func (f *finder) common(a, b rig.Node) rig.Node {
	for a >= 0 && a != b && !f.under(b, a) {
		a = f.r.Nodes[a].Parent
	}
	return a
}

func (f *finder) far(a, b rig.Node) float64 { return f.pos[a].Sub(f.pos[b]).Len() }

// above is the nearest candidate above n that ok accepts, None.
func (f *finder) above(n rig.Node, ok func(rig.Node) bool) rig.Node {
	for p := f.r.Nodes[n].Parent; p >= 0; p = f.r.Nodes[p].Parent {
		if f.cand[p] && ok(p) {
			return p
		}
	}
	return rig.None
}

// findLateral reads the direction to the left off all pairs that the names part.
func (f *finder) findLateral() {
	lo, hi := mgl64.Vec3{1, 1, 1}.Mul(math.Inf(1)), mgl64.Vec3{1, 1, 1}.Mul(math.Inf(-1))
	pair := map[string][2]rig.Node{}
	for _, n := range f.order {
		for c, v := range f.pos[n] {
			lo[c], hi[c] = min(lo[c], v), max(hi[c], v)
		}
		if s := f.side[n]; s == Left || s == Right {
			p, ok := pair[f.read[n].key]
			if !ok {
				p = [2]rig.Node{rig.None, rig.None}
			}
			if k := s - Left; p[k] == rig.None {
				p[k] = n
			} else {
				p[k] = -2 // twice: no pair
			}
			pair[f.read[n].key] = p
		}
	}
	if len(f.order) == 0 {
		return
	}
	f.extent = max(hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2])
	f.centre = lo.Add(hi).Mul(0.5)
	var sum, mid mgl64.Vec3
	pairs := 0.0
	for _, n := range f.order { // node order: sums must not depend on a map's
		p := pair[f.read[n].key]
		if f.side[n] != Left || p[0] != n || p[1] < 0 {
			continue
		}
		d := f.pos[p[0]].Sub(f.pos[p[1]])
		sum, mid = sum.Add(d), mid.Add(f.pos[p[0]].Add(f.pos[p[1]]))
		pairs++
	}
	if pairs > 0 && sum.Len() > 1e-6*f.extent*pairs && f.extent > 0 {
		f.lateral, f.centre = sum.Normalize(), mid.Mul(0.5/pairs)
	}
}

// acrossOf is how far n stands to the left of the mid plane, metres; 0 when the
// plane is unknown.
func (f *finder) acrossOf(n rig.Node) float64 { return f.pos[n].Sub(f.centre).Dot(f.lateral) }

// set gives a role to a node, both free.
func (f *finder) set(role string, n rig.Node, confidence float64, evidence string) bool {
	if n < 0 || f.out.Of[n].Role != "" {
		return false
	}
	if _, taken := f.out.Bone[role]; taken {
		return false
	}
	f.out.Bone[role] = n
	p := &f.out.Of[n]
	p.Role, p.Confidence, p.Evidence = role, confidence, evidence
	return true
}

func (f *finder) clear(role string) {
	if n, ok := f.out.Bone[role]; ok && f.out.Of[n].Confidence < Declared {
		delete(f.out.Bone, role)
		f.out.Of[n] = Part{Partner: rig.None}
	}
}

func (f *finder) has(role string) bool { _, ok := f.out.Bone[role]; return ok }

func (f *finder) node(role string) rig.Node { return f.out.Node(role) }

func (f *finder) bodyRoles() int {
	n := 0
	for role := range f.out.Bone {
		if isBody(role) {
			n++
		}
	}
	return n
}

// declare takes over the humanoid map of the file.
func (f *finder) declare() {
	for _, role := range allRoles() {
		if n, ok := f.r.Humanoid.Bones[role]; ok && n >= 0 && int(n) < len(f.r.Nodes) {
			f.set(role, n, Declared, "the file declares it (VRM humanoid)")
		}
	}
}
