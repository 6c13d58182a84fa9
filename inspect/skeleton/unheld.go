package skeleton

import (
	"context"
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
	Measure: "joints of arms, legs and head that hold no vertex, nor do helpers on their bone, nor does a part without a skin hang there, while the rest of the body is bound; hands, feet and head only where the surface goes on beyond them or their partner holds some",
	Limits:  []check.Limit{{Name: "joints", Unit: say.Joints, Value: 0, Grade: check.Flaw}},
	Why: "The joint (bone) is there and turns, but no vertex has a weight (influence) on it. " +
		"Its part of the body stays stiff and follows the joint above.",
	Remedy: "Bind the surface around the joint to it, mirrored from its partner where that is bound.\n" +
		"If the joint is only a handle, let the one that moves the surface carry the name of the body part.",
	Source: "common practice, no source",
	Needs: func(f *Facts) string {
		if reason := needsFigure(f); reason != "" {
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
	},
}

// Shares of a bone: a joint so near to it, or a vertex so far beyond its end, counts.
const (
	onBone     = 0.2
	beyondBone = 0.25
	leastThere = 12 // vertices
)

// measureUnheld lists the joints of limbs and head that hold nothing.
func (f *Facts) measureUnheld(context.Context) error {
	f.Unheld = []rig.Node{}
	if !f.Figure {
		return nil
	}
	stiff := f.stiffParts()
	for _, role := range anatomy.AllRoles() {
		n := f.roles.Node(role)
		j := f.at(n)
		if j == nil || j.Influence > 0 || !j.Placed || stiff[n] {
			continue
		}
		switch part := strings.TrimPrefix(strings.TrimPrefix(role, "left"), "right"); part {
		case "UpperArm", "LowerArm", "UpperLeg", "LowerLeg":
			if f.bound() && !f.helped(j) {
				f.Unheld = append(f.Unheld, n)
			}
		case "Hand", "Foot", "head":
			p := f.at(f.roles.Of[n].Partner)
			if j.below <= 0 && !f.helped(j) && (p != nil && p.below > 0 || f.goesOn(j)) {
				f.Unheld = append(f.Unheld, n)
			}
		}
	}
	return nil
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

// goesOn tells that the surface held by the joint above goes on beyond a joint: a hand
// or a head is there, and hangs on the limb.
func (f *Facts) goesOn(j *Joint) bool {
	up := f.at(f.jointParent(j.Node))
	if up == nil || !up.Placed {
		return false
	}
	way := j.Position.Sub(space.Vec(up.Position))
	length := way.Len()
	if !(length > 0) {
		return false
	}
	count := 0
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
					if p.Sub(space.Vec(j.Position)).Dot(way)/length > beyondBone*length {
						count++
					}
				}
			}
		}
	}
	return count >= leastThere
}
