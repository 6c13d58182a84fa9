package skeleton

import (
	"context"
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Pair is two partners and how much they differ.
type Pair struct {
	Left   rig.Node `json:"left"`
	Right  rig.Node `json:"right"`
	Bone   float64  `json:"bone_m"`            // the longer of their bones; at ends the way from the joint above
	Length *float64 `json:"length_difference"` // of the bones, ÷ Bone; nil at ends
	Place  *float64 `json:"place_difference"`  // image of the left one to the right one, ÷ Bone; what comes from the joints above left out; nil: no plane
	PlaceM *float64 `json:"place_difference_m"`
	Frames string   `json:"frames"` // "mirrored", "copied", "both", "neither", "": cannot be told
	// Image is where the mirror image of Left stands at rest, for drawing; nil: no plane.
	Image *space.Vec `json:"-"`
	rule  int        // of mirrored frames
	Known bool       `json:"both_have_roles"`
}

// measurePairs compares partners, at rest and as they were bound, and keeps what
// differs in both: an arm that is posed at rest makes no pair uneven.
func (f *Facts) measurePairs(context.Context) error {
	f.measureSides()
	f.measureLone()
	f.Pairs = []Pair{}
	nodes := f.pairNodes()
	rest := f.pairGaps(nodes, f.spot, &f.middle)
	var bound map[rig.Node]space.Vec
	if left, offset, ok := f.planeOf(nodes, f.bindSpot); ok && f.middle.known {
		bound = f.pairGaps(nodes, f.bindSpot, &middle{left: left, offset: offset, known: true})
	}
	for _, p := range nodes {
		l, r := f.at(p[0]), f.at(p[1])
		out := Pair{Left: l.Node, Right: r.Node, Known: l.Role != nil && r.Role != nil}
		if l.Length != nil && r.Length != nil {
			out.Bone = max(*l.Length, *r.Length)
			if out.Bone > zeroShare*f.Diagonal && out.Bone > 0 {
				out.Length = number(math.Abs(*l.Length-*r.Length) / out.Bone)
			}
		} else {
			for _, j := range []*Joint{l, r} {
				if up := f.at(f.jointParent(j.Node)); up != nil {
					out.Bone = max(out.Bone, up.Position.Sub(j.Position).Len())
				}
			}
		}
		if gap, ok := rest[r.Node]; ok {
			image := space.Vec(r.Position.Sub(gap))
			out.Image = &image
		}
		if gap, ok := rest[r.Node]; ok && out.Bone > zeroShare*f.Diagonal && out.Bone > 0 {
			metres := f.ownGap(r.Node, gap, rest)
			if was, ok := bound[r.Node]; ok {
				metres = min(metres, f.ownGap(r.Node, was, bound))
			}
			out.PlaceM, out.Place = number(metres), number(metres/out.Bone)
		}
		f.Pairs = append(f.Pairs, out)
	}
	return nil
}

// pairGaps answers, for the right joint of each pair, the way from the left one's
// image to it.
func (f *Facts) pairGaps(pairs [][2]rig.Node, at func(rig.Node) (space.Vec, bool), m *middle) map[rig.Node]space.Vec {
	gap := map[rig.Node]space.Vec{}
	if !m.known {
		return gap
	}
	for _, p := range pairs {
		l, okL := at(p[0])
		r, okR := at(p[1])
		if okL && okR {
			gap[p[1]] = r.Sub(m.mirror(l))
		}
	}
	return gap
}

// ownGap is the length of a gap, what the nearest pair above brings along left out
// where that makes it smaller.
func (f *Facts) ownGap(n rig.Node, own space.Vec, gap map[rig.Node]space.Vec) float64 {
	metres := own.Len()
	for up := f.jointParent(n); up >= 0; up = f.jointParent(up) {
		if g, ok := gap[up]; ok {
			return min(metres, own.Sub(g).Len())
		}
	}
	return metres
}

// bindSpot is where a joint stood when its skin was bound, carried to where the skin
// rests by the common part.
func (f *Facts) bindSpot(n rig.Node) (space.Vec, bool) {
	for i := range f.binds {
		b := &f.binds[i]
		if !b.told {
			continue
		}
		skin := &f.e.Rig.Skins[b.skin]
		k, ok := b.at(n, skin.Joints)
		if !ok || !b.residual[k].usable || b.isWrong(k) {
			continue
		}
		if back, ok := skin.Bind[k].Inverse(); ok {
			return b.common.Point(back.Origin()), true
		}
	}
	return space.Vec{}, false
}
