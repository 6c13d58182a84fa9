package menagerie

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// bind shares every vertex between the bones near it: the nearer, the more, none that
// is farther than the nearest by the blend. A bone of one side has nothing beyond the
// middle.
func (p *plan) bind(m *rig.MeshData, bones []placed) {
	m.K = 4
	m.Joints, m.Weights = make([]uint16, 4*m.Vertices()), make([]float32, 4*m.Vertices())
	type share struct {
		bone int
		w    float64
	}
	reach := 1.5 * p.blend
	var all []share
	for v := range m.Vertices() {
		at := space.Vec{float64(m.Positions[3*v]), float64(m.Positions[3*v+1]), float64(m.Positions[3*v+2])}
		all = all[:0]
		nearest := 1e9
		for i := range bones {
			if b := &bones[i]; !b.hollow {
				s := solid{b.at, b.to, b.r, b.s}
				d := s.distance(at)
				nearest = min(nearest, d)
				all = append(all, share{i, d})
			}
		}
		near := 0
		for i := range all {
			if all[i].w == nearest {
				near = all[i].bone
			}
		}
		for i := range all {
			b := &bones[all[i].bone]
			if p.apart && steps(bones, near, all[i].bone) > 3 {
				all[i].w = 0 // one finger does not hold the next
				continue
			}
			w := max(1-(all[i].w-nearest)/reach, 0)
			w *= w
			if b.side {
				x := at[0]
				if b.at[0] < 0 {
					x = -x
				}
				w *= min(max(x/(.5*p.blend), 0), 1)
			}
			all[i].w = w
		}
		slices.SortStableFunc(all, func(a, b share) int { return cmp.Compare(b.w, a.w) })
		sum := 0.0
		kept := all[:min(4, len(all))]
		fade := 0.0
		if len(all) > 4 {
			fade = all[4].w
		}
		for i := range kept {
			kept[i].w = max(kept[i].w-fade-.01, 0)
			sum += kept[i].w
		}
		rest := 2048
		for i := len(kept) - 1; i >= 0; i-- {
			n := int(kept[i].w/sum*2048 + .5)
			if i == 0 {
				n = rest
			}
			if n > 0 {
				m.Joints[4*v+i], m.Weights[4*v+i] = uint16(kept[i].bone), float32(n)/2048
				rest -= n
			}
		}
	}
	bound(m)
}

// steps counts the bones from one to the other along the tree, at most 4.
func steps(bones []placed, a, b int) int {
	for n := 0; n < 4; n++ {
		if a == b {
			return n
		}
		if a > b { // parents come first
			a = bones[a].up
		} else {
			b = bones[b].up
		}
	}
	return 4
}

// stiffly binds a whole mesh to one joint.
func stiffly(m rig.MeshData, joint int) rig.MeshData {
	m.K = 4
	m.Joints, m.Weights = make([]uint16, 4*m.Vertices()), make([]float32, 4*m.Vertices())
	for v := range m.Vertices() {
		m.Joints[4*v], m.Weights[4*v] = uint16(joint), 1
	}
	bound(&m)
	return m
}

func bound(m *rig.MeshData) {
	p := &m.Primitives[0]
	p.Sets, p.JointSets, p.WeightSets, p.JointType, p.WeightType = 1, 1, 1, 5123, 5126
}

// called is the name of a bone. side: 0 the middle, 1 left, 2 right.
func called(name string, side, place int, n Naming) string {
	end := [...]string{"", "_l", "_r"}[side]
	switch n {
	case Numbered:
		return fmt.Sprintf("bone_%02d", place)
	case Nameless:
		return ""
	}
	if list := other[n]; list != nil {
		for i := 0; i < len(list); i += 2 {
			name = strings.Replace(name, list[i], list[i+1], 1)
		}
	}
	if n == Counted && strings.HasPrefix(name, "leg") { // leg0_L_1
		return strings.Replace(name, " ", [...]string{"_", "_L_", "_R_"}[side], 1)
	}
	return strings.ReplaceAll(name, " ", "_") + end
}

// other holds, for a naming, words and what stands in their place.
var other = map[Naming][]string{
	Front:   {"fore shoulder", "front leg shoulder", "fore upper", "front leg upper", "fore lower", "front leg lower", "fore foot", "front leg foot", "fore toes", "front leg hoof", "hind upper", "back leg upper", "hind lower", "back leg lower", "hind foot", "back leg foot", "hind toes", "back leg hoof"},
	Joined:  {"fore shoulder", "foreleg shoulder", "fore upper", "foreleg upper", "fore lower", "foreleg lower", "fore foot", "forefoot", "fore toes", "forehoof", "hind upper", "hindleg upper", "hind lower", "hindleg lower", "hind foot", "hindfoot", "hind toes", "hindhoof"},
	Biped:   {"fore shoulder", "shoulder", "fore upper", "upper arm", "fore lower", "lower arm", "fore foot", "hand", "fore toes", "finger", "hind upper", "upper leg", "hind lower", "lower leg", "hind foot", "foot", "hind toes", "toes"},
	Counted: {"fore shoulder", "leg0 0", "fore upper", "leg0 1", "fore lower", "leg0 2", "fore foot", "leg0 3", "fore toes", "leg0 4", "hind upper", "leg1 1", "hind lower", "leg1 2", "hind foot", "leg1 3", "hind toes", "leg1 4"},
}
