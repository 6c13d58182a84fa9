package skeleton

import (
	"context"
	"slices"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

var roleUnheld = check.Check[Facts]{
	ID:      "skeleton/role-unheld",
	Title:   "Body joint holds nothing",
	Measure: "joints of a figure that hold no vertex though their partner does and the joint above holds at least half as many beyond them; joints of arms, legs and head that hold none, nor do helpers on their bone, nor does a part without a skin hang there, while the rest of the body is bound, and the trunk joint that both arms hang on where a quarter of what the joint above holds lies beyond it; of these hands, feet and head only where the surface goes on beyond them or their partner holds some, the trunk only where what the joint above holds goes on beyond them; in any kind of figure the joint that limbs of both sides hang on where one above it holds the surface, a finger's joint where two other fingers' hold, the end of a chain where the surface goes on beyond it",
	Limits: []check.Limit{
		{Name: "joints", Unit: say.Joints, Value: 0, Grade: check.Flaw},
		{Name: "still", Unit: say.Joints, Value: 0, Grade: check.Note}, // no clip turns it
	},
	Why: "The joint (bone) is there and turns, but no vertex has a weight (influence) on it. " +
		"Its part of the body stays stiff and follows the joint above.",
	Remedy: "Bind the surface around the joint to it, mirrored from its partner where that is bound.\n" +
		"If the joint is only a handle, let the one that moves the surface carry the name of the body part.",
	Source: "common practice, no source",
	Needs: func(f *Facts) string {
		if reason := needsFigure(f); reason != "" && !f.bodied() {
			return reason
		}
		if !f.followed() {
			return "no surface is bound to these joints"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		limit := d.Limit("joints")
		if n := float64(len(f.Unheld)); n > limit.Value {
			d.Found(limit, "joints", n, f.on(f.Unheld...)).Subject = f.names(f.Unheld)
		}
		still := d.Limit("still")
		if n := float64(len(f.UnheldStill)); n > still.Value {
			d.Found(still, "joints that no clip turns", n, f.on(f.UnheldStill...)).Subject = f.names(f.UnheldStill)
		}
	},
}

// Shares of a bone: a joint so near to it, or a vertex so far beyond its end, counts.
const (
	onBone      = 0.2  // beside it: a helper that lies on it
	beyondBone  = 0.25 // past its end: what is held there is a hand or a head, not the end of the limb
	goodPart    = 0.25 // of what a joint holds
	leastThere  = 12   // vertices
	shortestWay = 0.01 // of the diagonal, from the joint above: nearer, nothing lies beyond the one and not the other
)

// measureUnheld lists the joints of limbs and head that hold nothing.
func (f *Facts) measureUnheld(context.Context) error {
	f.Unheld, f.UnheldStill = []rig.Node{}, []rig.Node{}
	if !f.bodied() {
		return nil
	}
	stiff := f.stiffParts()
	if f.Figure {
		f.measureRoles(stiff)
	}
	f.measureEnds(stiff)
	f.measureBranch(stiff)
	return nil
}

// measureRoles lists the joints of a person that should hold something.
func (f *Facts) measureRoles(stiff []bool) {
	for _, role := range anatomy.AllRoles() {
		n := f.roles.Node(role)
		if j := f.at(n); j != nil && !(j.Influence > 0) && j.Placed && f.unheld(j, role, stiff[n]) {
			f.Unheld = append(f.Unheld, n)
		}
	}
	for i := range f.Joints { // those of the body that have no role of their own: a hand below the wrist
		if j := &f.Joints[i]; j.Role == nil && !(j.Influence > 0) && j.Placed && f.sideLacks(j) {
			f.Unheld = append(f.Unheld, j.Node)
		}
	}
}

// unheld tells that a joint with a role should hold something. stiff: a part without a skin
// hangs on it.
func (f *Facts) unheld(j *Joint, role string, stiff bool) bool {
	if f.sideLacks(j) {
		return true
	}
	if stiff && !f.holdsBeyond(j) || f.helped(j) {
		return false
	}
	switch part := strings.TrimPrefix(strings.TrimPrefix(role, "left"), "right"); part {
	case "UpperArm", "LowerArm", "UpperLeg", "LowerLeg":
		return f.bound() && !stiff
	case "Hand", "Foot", "head":
		p := f.at(f.roles.Of[j.Node].Partner)
		return j.below <= 0 && (p != nil && p.below > 0 || f.goesOn(j, beyondBone) >= leastThere)
	case "spine", "chest", "upperChest": // the one that the arms hang on; others of the trunk are often structure alone
		for _, arm := range []string{"leftUpperArm", "rightUpperArm"} {
			if n := f.roles.Node(arm); f.at(n) == nil || f.trunkAbove(n) != j.Node {
				return false
			}
		}
		return f.bound() && f.holdsBeyond(j)
	}
	return false
}

// trunkAbove is the nearest joint above that is part of the trunk.
func (f *Facts) trunkAbove(n rig.Node) rig.Node {
	for n = f.jointParent(n); f.at(n) != nil; n = f.jointParent(n) {
		if slices.Contains([]string{"hips", "spine", "chest", "upperChest"}, f.role(n)) {
			return n
		}
	}
	return rig.None
}

// holdsBeyond tells that of what the joint above holds a good part lies beyond a joint.
func (f *Facts) holdsBeyond(j *Joint) bool {
	up := f.at(f.jointParent(j.Node))
	return up != nil && float64(f.goesOn(j, beyondBone)) >= max(leastThere, goodPart*up.Influence)
}

// bound tells that some joint with a role holds vertices.
func (f *Facts) bound() bool {
	for i := range f.Joints {
		if f.Joints[i].Role != nil && f.Joints[i].Influence > 0 {
			return true
		}
	}
	return false
}

// stiffParts tells for every node whether a surface without a skin hangs on it, with
// joints above counted up to the next that has a role.
func (f *Facts) stiffParts() []bool {
	out := make([]bool, len(f.e.Rig.Nodes))
	for i, s := range f.e.Rig.Surfaces {
		if s.Skin >= 0 || !f.e.IsBody(i) {
			continue // gear is no part of a body
		}
		for n, left := s.Node, len(out); n >= 0 && left > 0; n, left = f.e.Rig.Nodes[n].Parent, left-1 {
			if out[n] = true; f.role(n) != "" {
				break
			}
		}
	}
	return out
}

// helped tells that joints without a role hold the surface in place of one: they stand
// on its bone, or at its place.
func (f *Facts) helped(j *Joint) bool {
	end, length := j.Position, 0.0
	if t := f.at(j.Towards); t != nil && t.Placed {
		end, length = t.Position, j.Position.Sub(t.Position).Len()
	} else if up := f.at(f.jointParent(j.Node)); up != nil {
		length = up.Position.Sub(j.Position).Len()
	}
	for i := range f.Joints {
		o := &f.Joints[i]
		if o.Role != nil || !(o.Influence > 0) || !o.Placed {
			continue
		}
		// One at the far end holds what follows, not this bone.
		if space.ToSegment(o.Position, j.Position, end) <= onBone*length &&
			(end == j.Position || o.Position.Sub(end).Len() > onBone*length) {
			return true
		}
	}
	return false
}

// sideLacks tells that a joint's partner holds vertices, and that here the joint above holds
// as many beyond it, whatever else hangs there: a shield is no hand, and toes are no foot.
// What reaches a little over the joint, a sleeve over a hook, is less than half of that.
func (f *Facts) sideLacks(j *Joint) bool {
	p := f.at(f.roles.Of[j.Node].Partner)
	return p != nil && p.Influence > 0 && float64(f.goesOn(j, 0)) >= max(leastThere, p.Influence/2)
}

// goesOn counts the vertices that the joint above holds and that lie beyond a joint by a share
// of the bone between the two: a hand or a head is there, and hangs on the limb.
func (f *Facts) goesOn(j *Joint, share float64) (count int) {
	up := f.at(f.jointParent(j.Node))
	if up == nil || !up.Placed {
		return 0
	}
	way := j.Position.Sub(space.Vec(up.Position))
	length := way.Len()
	if !(length > shortestWay*f.Diagonal) {
		return 0
	}
	for i := range f.binds {
		k, ok := f.binds[i].at(up.Node, f.e.Rig.Skins[f.binds[i].skin].Joints)
		if !ok {
			continue
		}
		for _, s := range f.binds[i].surfaces {
			m, rest := &f.e.Rig.Meshes[f.e.Rig.Surfaces[s].Mesh], f.e.RestPositions(s)
			for v := range m.Vertices() {
				for x := v * m.K; x < (v+1)*m.K; x++ {
					if int(m.Joints[x]) != k || m.Weights[x] < 0.5 {
						continue
					}
					p := space.Vec{float64(rest[3*v]), float64(rest[3*v+1]), float64(rest[3*v+2])}
					if p.Sub(space.Vec(j.Position)).Dot(way)/length > share*length {
						count++
					}
				}
			}
		}
	}
	return count
}
