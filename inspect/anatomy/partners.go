package anatomy

import (
	"math"

	"rigloupe/inspect/rig"
)

// partners joins left and right: by names that differ in the side alone, else by
// role, else by place, each one once.
func (f *finder) partners() {
	f.byName()
	for _, role := range allRoles() {
		if l, r := f.node(role), f.node(mirrored(role)); sideOf(role) == Left {
			f.join(l, r)
		}
	}
	for _, p := range f.limbMates {
		if f.out.Of[p[0]].Role != "" || f.out.Of[p[1]].Role != "" {
			continue // a role of the middle has no partner
		}
		if f.side[p[0]] == NoSide && f.side[p[1]] == NoSide || f.side[p[0]] == f.side[p[1]].Other() && f.side[p[0]] != Centre {
			f.join(p[0], p[1])
			a, b := &f.out.Of[p[0]], &f.out.Of[p[1]]
			if a.Partner == p[1] && a.Side == NoSide && b.Side == NoSide {
				a.Side, b.Side = Left, Right
			}
		}
	}
	f.byPlace()
}

// join makes partners of two joints that have none.
func (f *finder) join(l, r rig.Node) {
	if l < 0 || r < 0 || l == r || f.out.Of[l].Partner >= 0 || f.out.Of[r].Partner >= 0 {
		return
	}
	f.out.Of[l].Partner, f.out.Of[r].Partner = r, l
}

func (f *finder) byName() {
	left, right := map[string]rig.Node{}, map[string]rig.Node{}
	put := func(m map[string]rig.Node, key string, n rig.Node) {
		if _, twice := m[key]; twice {
			n = rig.None
		}
		m[key] = n
	}
	for _, n := range f.order {
		if len(f.read[n].tokens) == 0 || f.placed[n] {
			continue
		}
		switch f.side[n] {
		case Left:
			put(left, f.read[n].key, n)
		case Right:
			put(right, f.read[n].key, n)
		}
	}
	for _, n := range f.order {
		if f.side[n] == Left && left[f.read[n].key] == n {
			if m, ok := right[f.read[n].key]; ok {
				f.join(n, m)
			}
		}
	}
}

// byPlace pairs joints that stand as mirror images over the mid plane, within 1 %
// of the rig's size, and hang on the same joint or on partners. What stands on the
// plane is of the centre. Parents come first.
func (f *finder) byPlace() {
	if f.lateral.Len() == 0 {
		return
	}
	near := 0.01 * f.extent
	for _, n := range f.order {
		p := &f.out.Of[n]
		if p.Partner >= 0 {
			continue
		}
		across := f.acrossOf(n)
		if math.Abs(across) <= near {
			if p.Side == NoSide {
				p.Side = Centre
			}
			continue
		}
		if across < 0 || p.Side == Right || p.Side == Centre {
			continue
		}
		image := f.pos[n].Sub(f.lateral.Mul(2 * across))
		up := f.r.Nodes[n].Parent
		if up < 0 {
			continue
		}
		if f.out.Of[up].Partner >= 0 {
			up = f.out.Of[up].Partner
		}
		best, score := rig.Node(rig.None), near
		for _, m := range f.r.Nodes[up].Children {
			q := &f.out.Of[m]
			if m == n || !f.cand[m] || q.Partner >= 0 || q.Side == Left || q.Side == Centre || f.acrossOf(m) >= 0 {
				continue
			}
			if d := f.pos[m].Sub(image).Len(); d <= score {
				best, score = m, d
			}
		}
		if best >= 0 {
			f.join(n, best)
			p.Side, f.out.Of[best].Side = Left, Right
		}
	}
}

// NamesOpposite answers for each of some names the one that differs from it in the side
// alone, −1 where there is none or more than one.
func NamesOpposite(names []string) []int {
	read := readNames(names)
	of := map[Side]map[string]int{Left: {}, Right: {}}
	for i := range read {
		if m := of[read[i].side]; m != nil && len(read[i].tokens) > 0 {
			if _, twice := m[read[i].key]; twice {
				m[read[i].key] = -1
			} else {
				m[read[i].key] = i
			}
		}
	}
	out := make([]int, len(names))
	for i := range out {
		out[i] = -1
		if own := of[read[i].side]; own != nil && own[read[i].key] == i {
			if j, ok := of[read[i].side.Other()][read[i].key]; ok {
				out[i] = j
			}
		}
	}
	return out
}
