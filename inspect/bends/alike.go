package bends

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/rig"
)

// What joints do to the same places.
type What string

const (
	Zone       What = "zone"        // share the weights of the same vertices
	HalfDrawn  What = "half_drawn"  // draw out the same, half way in their worst moves
	HalfTurned What = "half_turned" // turn over the same, likewise
	Cracked    What = "crack"       // open the same gap, at the end of their worst moves
	Bled       What = "bleed"       // drag along the same vertices, likewise
)

// Alike are two joints, one below the other, that do the same to at least half of the
// places of either: A has the lower number.
type Alike struct {
	What What     `json:"what"`
	A    rig.Node `json:"joint"`
	B    rig.Node `json:"other"`
}

// doing is a joint and what it does, by which the pairs are looked up.
type doing struct {
	what  What
	joint rig.Node
}

// alikeOf lists the joints that do the same as one, in either order of the pairs.
func (f *Facts) alikeOf(what What, j rig.Node) []rig.Node {
	if f.alike == nil {
		f.alike = make(map[doing][]rig.Node, len(f.Alike))
		for _, x := range f.Alike {
			f.alike[doing{x.What, x.A}] = append(f.alike[doing{x.What, x.A}], x.B)
			f.alike[doing{x.What, x.B}] = append(f.alike[doing{x.What, x.B}], x.A)
		}
	}
	return f.alike[doing{what, j}]
}

// findAlike fills in Alike, by what each joint does in the move that shows it best, which
// no limit changes: the check judges that move.
func (f *Facts) findAlike() {
	worst := func(value, tie func(*Move) float64, at func(*Move) *group) (joints []rig.Node, groups []*group) {
		list := f.hits(&gauge{value: value, tie: tie}, nil)
		slices.SortFunc(list, func(a, b hit) int { return cmp.Compare(a.move.Joint, b.move.Joint) })
		for _, h := range list {
			if g := at(h.move); g != nil && g.count > 0 {
				joints, groups = append(joints, h.move.Joint), append(groups, g)
			}
		}
		return joints, groups
	}
	vertices := 0
	for _, s := range f.body.r.Surfaces {
		vertices += f.body.r.Meshes[s.Mesh].Vertices()
	}
	last := make([]int32, vertices)
	find := func(what What, joints []rig.Node, groups []*group) {
		for _, pair := range f.sharing(joints, groups, last) {
			f.Alike = append(f.Alike, Alike{what, joints[pair[0]], joints[pair[1]]})
		}
	}
	joints, groups := worst(func(*Move) float64 { return 1 }, nil, func(m *Move) *group { return m.zoneAt })
	find(Zone, joints, groups)
	joints, groups = worst(sure(func(m *Move) float64 { return or(m.P99Half, math.NaN()) }), nil, func(m *Move) *group { return m.drawnAt })
	find(HalfDrawn, joints, groups)
	joints, groups = worst(sure(func(m *Move) float64 { return float64(m.TurnedHalf) }), nil, f.halfTurned)
	find(HalfTurned, joints, groups)
	joints, groups = worst(func(m *Move) float64 { return m.Crack }, nil, func(m *Move) *group { return f.spots(m.crackAt) })
	find(Cracked, joints, groups)
	joints, groups = worst(func(m *Move) float64 { return float64(m.Bleed) }, byDrawn, func(m *Move) *group { return f.spots(m.bleedAt) })
	find(Bled, joints, groups)
}

// halfTurned is where a move turns triangles over half way; nil: that is not known any more.
func (f *Facts) halfTurned(m *Move) *group { return f.spots(f.cornersOf(m.halfAt)) }

// byDrawn prefers the move that draws a patch along farthest.
func byDrawn(m *Move) float64 { return m.Drawn }

// spots names vertices of the body, nil without a body.
func (f *Facts) spots(vertices []uint32) *group {
	if f.whole() == nil {
		return nil
	}
	return f.body.spots(vertices)
}

// cornersOf lists the corners of triangles of the body.
func (f *Facts) cornersOf(triangles []uint32) []uint32 {
	if f.whole() == nil {
		return nil
	}
	return f.body.cornersOf(triangles)
}

// mostSharing is how many joints before it one is held against at a vertex. On a chain of
// thousands that bend one tube all pairs would be told (a quarter of a megabyte of file made
// 0.4 GB of facts); no figure of the corpus has so many.
const mostSharing = 16

// sharing lists pairs of groups, of joints one below the other, that have at least half of
// the smaller one's vertices in common, in rising order. It takes time linear in the
// vertices times how many groups one is in, which is as few as the joints it hangs on; of
// more than mostSharing at one vertex the last are asked about. last is scratch, of zeros, a vertex of every surface.
func (f *Facts) sharing(joints []rig.Node, groups []*group, last []int32) (pairs [][2]int) {
	b := f.body
	first := make([]int, len(b.r.Surfaces)+1)
	for i, s := range b.r.Surfaces {
		first[i+1] = first[i] + b.r.Meshes[s.Mesh].Vertices()
	}
	// Which groups a vertex is in: the last one, and from there back; 0: none.
	type link struct{ group, before int32 }
	links := make([]link, 1)
	common := make([]int, len(groups))
	var met []int // the groups that have vertices in common with this one
	for k, g := range groups {
		met = met[:0]
		for _, s := range g.spots {
			for _, v := range s.Vertices {
				at := &last[first[s.Surface]+int(v)]
				for l, asked := *at, 0; l > 0 && asked < mostSharing; l, asked = links[l].before, asked+1 {
					if o := links[l].group; common[o] == 0 {
						met = append(met, int(o))
					}
					common[links[l].group]++
				}
				links = append(links, link{int32(k), *at})
				*at = int32(len(links) - 1)
			}
		}
		slices.Sort(met)
		for _, o := range met {
			n := common[o]
			common[o] = 0
			i, j := joints[o], joints[k]
			related := b.enter[i] <= b.enter[j] && b.enter[j] < b.leave[i] || b.enter[j] <= b.enter[i] && b.enter[i] < b.leave[j]
			if o < k && related && 2*n >= min(groups[o].count, g.count) {
				pairs = append(pairs, [2]int{o, k})
			}
		}
	}
	for _, g := range groups {
		for _, s := range g.spots {
			for _, v := range s.Vertices {
				last[first[s.Surface]+int(v)] = 0
			}
		}
	}
	return pairs
}
