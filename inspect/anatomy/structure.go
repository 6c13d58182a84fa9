package anatomy

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// byStructure finds a body without any name: a joint from which two like chains go
// one way (legs) and a third goes the other (trunk), which in turn parts into two
// like chains (arms) and a head. Left is told by the toes, else the figure is taken
// to face +Z (glTF 2.0, Coordinate System and Units).
func (f *finder) byStructure() {
	f.measureTall()
	for _, h := range f.order {
		a, b, others, ok := f.fork(h)
		if !ok || len(others) == 0 {
			continue
		}
		legs := [2][]rig.Node{f.chain(a), f.chain(b)}
		chest := f.deepestOf(others)
		c, d, above, ok := f.fork(chest)
		for !ok {
			kids := f.kids(chest)
			if len(kids) == 0 {
				break
			}
			chest = f.deepestOf(kids)
			c, d, above, ok = f.fork(chest)
		}
		if !ok {
			continue
		}
		down := space.Direction(f.pos[legs[0][2]].Sub(f.pos[a]).Add(f.pos[legs[1][2]].Sub(f.pos[b])))
		up := space.Direction(f.pos[chest].Sub(f.pos[h]))
		if down.Dot(up) > -0.7 {
			continue
		}
		left := up.Cross(f.ahead(legs, up))
		if left.Len() < 0.1 {
			continue
		}
		arms := [2][]rig.Node{f.chain(c), f.chain(d)}
		if f.pos[a].Sub(f.pos[b]).Dot(left) < 0 {
			legs[0], legs[1] = legs[1], legs[0]
		}
		if f.pos[c].Sub(f.pos[d]).Dot(left) < 0 {
			arms[0], arms[1] = arms[1], arms[0]
		}
		f.set("hips", h, Unnamed, "")
		for i, s := range []Side{Left, Right} {
			f.setChain(s, []string{"UpperLeg", "LowerLeg", "Foot", "Toes"}, legs[i])
			bones := []string{"UpperArm", "LowerArm", "Hand"}
			if l := arms[i]; len(l) > 3 && f.far(l[0], l[1]) < 0.6*f.far(l[1], l[2]) {
				bones = []string{"Shoulder", "UpperArm", "LowerArm", "Hand"}
			}
			f.setChain(s, bones, arms[i])
		}
		if head := f.highest(above, up); head >= 0 {
			if l := f.chain(head); len(l) > 1 {
				f.set("neck", l[0], Unnamed, "")
				f.set("head", l[1], Unnamed, "")
			} else {
				f.set("head", head, Unnamed, "")
			}
		}
		f.trunk()
		return
	}
}

// measureTall counts the joints on the longest way down from each.
func (f *finder) measureTall() {
	if f.tall != nil {
		return
	}
	f.tall = make([]int32, len(f.r.Nodes))
	for i := len(f.order) - 1; i >= 0; i-- {
		n := f.order[i]
		for _, c := range f.kids(n) {
			f.tall[n] = max(f.tall[n], f.tall[c])
		}
		f.tall[n]++
	}
}

func (f *finder) setChain(s Side, bones []string, chain []rig.Node) {
	for i := range min(len(bones), len(chain)) {
		if f.set(sided(s, bones[i]), chain[i], Unnamed, "") && f.side[chain[i]] == NoSide {
			f.side[chain[i]], f.placed[chain[i]] = s, true
		}
	}
}

// ahead is the level way the toes point, else +Z.
func (f *finder) ahead(legs [2][]rig.Node, up mgl64.Vec3) mgl64.Vec3 {
	var sum mgl64.Vec3
	for _, l := range legs {
		if len(l) > 3 {
			sum = sum.Add(f.pos[l[3]].Sub(f.pos[l[2]]))
		}
	}
	if flat := sum.Sub(up.Mul(sum.Dot(up))); flat.Len() > 0.3*sum.Len() && sum.Len() > 0 {
		return flat.Normalize()
	}
	z := mgl64.Vec3{0, 0, 1}
	return z.Sub(up.Mul(z.Dot(up)))
}

// kids are the candidates next below n.
func (f *finder) kids(n rig.Node) (out []rig.Node) {
	for _, c := range f.r.Nodes[n].Children {
		if f.cand[c] && f.word[c] != helperWord && f.word[c] != endWord {
			out = append(out, c)
		}
	}
	return out
}

func (f *finder) deepestOf(kids []rig.Node) rig.Node {
	best, score := kids[0], int32(-1)
	for _, c := range kids {
		if h := f.tall[c]; h > score {
			best, score = c, h
		}
	}
	return best
}

// chain follows the longest way down from n.
func (f *finder) chain(n rig.Node) []rig.Node {
	out := []rig.Node{n}
	for {
		kids := f.kids(n)
		if len(kids) == 0 {
			return out
		}
		n = f.deepestOf(kids)
		out = append(out, n)
	}
}

// fork finds two children of n with like chains of at least three joints (lengths
// within 10 %), and the other children.
func (f *finder) fork(n rig.Node) (a, b rig.Node, others []rig.Node, ok bool) {
	kids := f.kids(n)
	if len(kids) > 16 { // a heap of parts, no body
		return rig.None, rig.None, nil, false
	}
	for i, a := range kids {
		for _, b := range kids[i+1:] {
			if !f.alike(f.chain(a), f.chain(b)) {
				continue
			}
			for _, k := range kids {
				if k != a && k != b {
					others = append(others, k)
				}
			}
			return a, b, others, true
		}
	}
	return rig.None, rig.None, nil, false
}

// highest is the one whose chain ends farthest along up, None.
func (f *finder) highest(nodes []rig.Node, up mgl64.Vec3) rig.Node {
	best, score := rig.Node(rig.None), math.Inf(-1)
	for _, n := range nodes {
		c := f.chain(n)
		if h := f.pos[c[len(c)-1]].Dot(up); h > score {
			best, score = n, h
		}
	}
	return best
}

func (f *finder) alike(a, b []rig.Node) bool {
	if len(a) < 3 || len(b) < 3 || len(a) > 64 || f.far(a[0], b[0]) == 0 {
		return false
	}
	for i := range 2 {
		la, lb := f.far(a[i], a[i+1]), f.far(b[i], b[i+1])
		if math.Abs(la-lb) > 0.1*max(la, lb) || la == 0 {
			return false
		}
	}
	return true
}
