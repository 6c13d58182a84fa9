package inspect

import (
	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/rig"
)

// jointFact is one joint as the page lists it: where it hangs and stands at rest,
// and what anatomy makes of it. The names are those of skeleton.joints.
type jointFact struct {
	Node       rig.Node   `json:"node"`
	Name       string     `json:"name"`
	Parent     *rig.Node  `json:"parent"`   // nearest joint above, null
	Position   [3]float64 `json:"position"` // metres, world, rest pose
	Role       *string    `json:"role"`     // VRM 1.0 bone name, null
	Confidence float64    `json:"role_confidence"`
	Side       *string    `json:"side"` // left, right, centre, null
	Partner    *rig.Node  `json:"partner"`
	Evidence   string     `json:"evidence"`
}

// joints lists every joint of every skin once, in node order.
func (r *Result) joints() []jointFact {
	g := r.Exam.Rig
	isJoint := make([]bool, len(g.Nodes))
	for i := range g.Skins {
		for _, n := range g.Skins[i].Joints {
			isJoint[n] = true
		}
	}
	out := []jointFact{}
	world, roles := r.Exam.RestWorld(), r.Exam.Roles()
	for n := range g.Nodes {
		if !isJoint[n] {
			continue
		}
		part := &roles.Of[n]
		j := jointFact{
			Node: rig.Node(n), Name: g.Nodes[n].Name, Position: finitePoint(&world[n]),
			Role: word(part.Role), Confidence: part.Confidence, Evidence: part.Evidence,
		}
		if part.Side != anatomy.NoSide {
			j.Side = word(part.Side.String())
		}
		if part.Partner >= 0 {
			j.Partner = &part.Partner
		}
		for p, left := g.Nodes[n].Parent, len(g.Nodes); p >= 0 && left > 0; p, left = g.Nodes[p].Parent, left-1 {
			if isJoint[p] {
				j.Parent = &p
				break
			}
		}
		out = append(out, j)
	}
	return out
}

// finitePoint is where a matrix puts the origin; JSON holds no NaN, so a place
// that is none counts as the origin.
func finitePoint(m *rig.Affine) (p [3]float64) {
	for i := range p {
		if v := m[4*i+3]; v-v == 0 {
			p[i] = v
		}
	}
	return p
}

// word is nil for an empty string.
func word(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}
