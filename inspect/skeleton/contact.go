package skeleton

import (
	"slices"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Where names and roles say nothing, the surface tells where a joint belongs: the part
// that a joint holds goes on from the part that its parent holds. A forearm that hangs on
// the other arm, or a phalanx on the next finger, does not touch what its parent holds,
// and goes on from a joint that has lost its own.
const (
	leastEdges = 4   // between two parts: fewer are no border
	mostEdges  = 0.6 // of the borders with what does not hang on it: it goes on from that one
	farHung    = 2   // joints up or down its own limb: by one, it may be meant
	atBorder   = 0.5 // of the way between the two joints: so near to the border it stands
)

// border is how many edges of the surface run between what one joint holds most of and
// what another does, and the sum of their middles, metres, world, rest pose.
type border struct {
	edges int
	sum   space.Vec
}

// borders are those of all joints, each pair from both sides. Vertices in one place count
// as one.
func (f *Facts) borders() map[rig.Node]map[rig.Node]border {
	out := map[rig.Node]map[rig.Node]border{}
	g := f.e.Rig
	for _, s := range f.e.Shown() {
		u := g.Surfaces[s]
		m := &g.Meshes[u.Mesh]
		if u.Skin < 0 || m.K == 0 {
			continue
		}
		joints, weld := g.Skins[u.Skin].Joints, f.e.Weld(u.Mesh)
		rest := f.e.RestPositions(s)
		holder := make([]rig.Node, len(weld.First))
		for p, v := range weld.First {
			holder[p] = rig.None
			most := float32(0)
			for k := m.K * int(v); k < m.K*int(v+1); k++ {
				if w, j := m.Weights[k], int(m.Joints[k]); w > most && j < len(joints) {
					most, holder[p] = w, joints[j]
				}
			}
		}
		for t := 0; t+2 < len(m.Triangles); t += 3 {
			for k := range 3 {
				v, w := m.Triangles[t+k], m.Triangles[t+(k+1)%3]
				a, b := holder[weld.Of[v]], holder[weld.Of[w]]
				if a == b || a < 0 || b < 0 {
					continue
				}
				middle := space.At(rest, v).Add(space.At(rest, w)).Mul(0.5)
				for _, p := range [2][2]rig.Node{{a, b}, {b, a}} {
					if out[p[0]] == nil {
						out[p[0]] = map[rig.Node]border{}
					}
					d := out[p[0]][p[1]]
					out[p[0]][p[1]] = border{d.edges + 1, d.sum.Add(middle)}
				}
			}
		}
	}
	return out
}

// looseByContact lists the joints whose surface goes on from another limb than the one
// that they hang on. What hangs so on both sides is meant, such as a skirt on the thighs.
func (f *Facts) looseByContact(keyed []bool) {
	listed := map[rig.Node]int{} // place in Loose + 1
	for i := range f.Loose {
		listed[f.Loose[i].Root] = i + 1
	}
	add := func(j *Joint, on rig.Node, why string, across bool) {
		if i := listed[j.Node]; i > 0 {
			f.Loose[i-1].Across = f.Loose[i-1].Across || across && f.Loose[i-1].Role
			return
		}
		f.addLoose(j, on, why, keyed[j.Node], across)
		listed[j.Node] = len(f.Loose)
	}
	borders := f.borders()
	for i := range f.Joints {
		j := &f.Joints[i]
		n, p := j.Node, f.jointParent(j.Node)
		if q := f.besidePartner(j); q >= 0 {
			add(j, q, "its partner "+f.name(f.roles.Of[n].Partner)+" hangs on "+f.name(p)+", whose partner it is", true)
			continue
		}
		if q := f.unlikePartner(j, borders); q >= 0 {
			add(j, q, "its partner "+f.name(f.roles.Of[n].Partner)+" hangs on the partner of that, and its surface goes on from it", !f.isBelow(q, p))
			continue
		}
		if f.at(p) == nil || !j.Placed || !(j.Influence > 0) || !(f.at(p).Influence > 0) || borders[n][p].edges > 0 {
			continue
		}
		q := f.goesOnFrom(borders, n)
		if q < 0 || q == p {
			continue
		}
		if f.isBelow(q, p) {
			// A head on the hips, the neck left without an end; next to its own joint it may
			// be meant, as a twist joint is.
			if f.levels(q, p) < farHung || f.hasBelow(q) {
				continue
			}
		} else if f.isBelow(p, q) {
			// On a finger instead of the palm, a thigh on the other shin; of other figures it
			// may be meant nearby.
			if f.levels(p, q) < farHung && (f.roles.Kind != anatomy.HandAlone || f.jointParent(p) != q) {
				continue
			}
		} else if f.goesOnIn(borders, q) {
			continue
		}
		with := borders[n][q]
		middle := with.sum.Mul(1 / float64(with.edges))
		if !(j.Position.Sub(middle).Len() < atBorder*j.Position.Sub(f.at(q).Position).Len()) {
			continue // beside each other, as the parts of a coat
		}
		if m := f.at(f.roles.Of[n].Partner); m != nil && m.Node != n {
			image := f.roles.Of[p].Partner
			if image < 0 {
				image = p
			}
			if f.jointParent(m.Node) == image && borders[m.Node][image].edges == 0 {
				continue // so on both sides
			}
		}
		add(j, q, "its surface goes on from what "+f.name(q)+" holds, not from what "+f.name(p)+" does", !f.isBelow(q, p) && (!f.isBelow(p, q) || f.roles.Kind != anatomy.HandAlone))
	}
}

// besidePartner is where a joint should hang that hangs on the same joint of one side as
// its partner does: on the partner of that joint. None: it does not.
func (f *Facts) besidePartner(j *Joint) rig.Node {
	p, of := f.jointParent(j.Node), f.roles.Of
	m := f.at(of[j.Node].Partner)
	if f.at(p) == nil || m == nil || !(j.Influence > 0) || f.jointParent(m.Node) != p || of[p].Partner < 0 || of[p].Partner == p {
		return rig.None
	}
	q := of[p].Partner
	if of[p].Side == of[j.Node].Side || of[p].Side != of[m.Node].Side || f.at(q) == nil || f.isBelow(q, j.Node) {
		return rig.None
	}
	return q
}

// unlikePartner is the image of what the partner of a joint hangs on, where the joint hangs
// on another limb though its surface borders more on that of the image. None: it does not.
func (f *Facts) unlikePartner(j *Joint, borders map[rig.Node]map[rig.Node]border) rig.Node {
	n, p, of := j.Node, f.jointParent(j.Node), f.roles.Of
	m := f.at(of[n].Partner)
	if f.at(p) == nil || m == nil || !(j.Influence > 0) || f.at(f.jointParent(m.Node)) == nil {
		return rig.None
	}
	q := of[f.jointParent(m.Node)].Partner
	if f.at(q) != nil && q != n && !f.isBelow(q, n) && f.isBelow(q, p) {
		// Farther up its own limb than its partner is: the surface goes on from what it skips.
		edges := 0
		for k := q; k != p && k >= 0; k = f.jointParent(k) {
			edges += borders[n][k].edges
		}
		if f.levels(q, p) >= farHung && edges >= leastEdges && borders[n][p].edges == 0 {
			return q
		}
		return rig.None
	}
	if f.at(q) == nil || q == p || q == n || f.isBelow(q, n) || f.isBelow(p, q) || borders[n][q].edges <= borders[n][p].edges || borders[n][q].edges < leastEdges {
		return rig.None
	}
	return q
}

func (f *Facts) addLoose(j *Joint, on rig.Node, why string, keyed, across bool) {
	l := Loose{Root: j.Node, Joints: 1, OwnKeys: keyed, Role: true, Across: across, Carried: true, HangsOn: f.jointParent(j.Node), HangOn: on, Distance: f.toBone(j, f.at(on)), Why: why}
	for k := range f.Joints {
		if f.isBelow(f.Joints[k].Node, j.Node) {
			l.Joints++
		}
	}
	f.Loose = append(f.Loose, l)
}

// goesOnFrom is the joint, of those that do not hang on one, that holds most of what
// borders on its part; None where none does.
func (f *Facts) goesOnFrom(borders map[rig.Node]map[rig.Node]border, n rig.Node) rig.Node {
	best, most, all := rig.Node(rig.None), 0, 0
	var others []rig.Node
	for o := range borders[n] {
		others = append(others, o)
	}
	slices.Sort(others)
	for _, o := range others {
		if f.at(o) == nil || f.isBelow(o, n) {
			continue
		}
		edges := borders[n][o].edges
		if all += edges; edges > most {
			best, most = o, edges
		}
	}
	if most < leastEdges || float64(most) < mostEdges*float64(all) {
		return rig.None
	}
	return best
}

// levels is how many joints up one stands below another.
func (f *Facts) levels(n, above rig.Node) (up int) {
	for ; n >= 0 && n != above && up <= len(f.Joints); n = f.jointParent(n) {
		up++
	}
	return up
}

// hasBelow tells that a joint that a surface follows hangs on one.
func (f *Facts) hasBelow(n rig.Node) bool {
	return slices.ContainsFunc(f.Joints, func(j Joint) bool { return j.Influence > 0 && j.Parent != nil && *j.Parent == n })
}

// goesOnIn tells that a joint has one below it whose surface goes on from its own.
func (f *Facts) goesOnIn(borders map[rig.Node]map[rig.Node]border, n rig.Node) bool {
	for o := range borders[n] {
		if f.at(o) != nil && f.jointParent(o) == n {
			return true
		}
	}
	return false
}
