package skeleton

import (
	"context"
	"math"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Place is one joint as every list shows it: where it hangs and stands at rest, and
// what anatomy makes of it.
type Place struct {
	Node       rig.Node  `json:"node"`
	Name       rig.Name  `json:"name"`
	Parent     *rig.Node `json:"parent"`   // nearest joint above, nil
	Position   space.Vec `json:"position"` // metres, world, rest pose; an axis without a number is 0
	Role       *string   `json:"role"`     // VRM 1.0 bone name, nil
	Confidence float64   `json:"role_confidence"`
	Side       *string   `json:"side"` // left, right, centre, nil
	Partner    *rig.Node `json:"partner"`
	Evidence   string    `json:"evidence"`
	EndSite    bool      `json:"-"`          // BVH: no joint of the file; it is measured, and listed nowhere
	Limb       *string   `json:"limb"`       // of a figure that is no person, in words: "left fore limb", "tail"; nil
	LimbJoint  int       `json:"limb_joint"` // its place in that limb, from 1 at the trunk; 0: in none
}

// Places lists every joint once, in node order.
func Places(e *exam.Exam) []Place {
	g := e.Rig
	isJoint := g.Joints()
	above := g.Above(isJoint)
	out := []Place{}
	world, roles := e.RestWorld(), e.Roles()
	for n := range g.Nodes {
		if !isJoint[n] {
			continue
		}
		part := &roles.Of[n]
		j := Place{
			Node: rig.Node(n), Name: rig.Name(g.Nodes[n].Name), Position: finitePoint(&world[n]),
			Role: word(part.Role), Confidence: part.Confidence, Evidence: part.Evidence, EndSite: g.Nodes[n].EndSite,
			Limb: word(part.Limb), LimbJoint: part.LimbJoint,
		}
		if part.Side != anatomy.NoSide {
			j.Side = word(part.Side.String())
		}
		if part.Partner >= 0 {
			j.Partner = &part.Partner
		}
		if p := above[n]; p >= 0 {
			j.Parent = &p
		}
		out = append(out, j)
	}
	return out
}

// measureJoints fills in the list, the bones and the roots.
func (f *Facts) measureJoints(context.Context) error {
	list := Places(f.e)
	f.Joints, f.Roots = make([]Joint, len(list)), []rig.Node{}
	nodes := make([]rig.Node, len(list))
	for i, p := range list {
		nodes[i], f.place[p.Node] = p.Node, i
		f.Joints[i] = Joint{Place: p, Towards: rig.None, mainChild: rig.None}
		f.Joints[i].Placed = space.Finite(f.e.RestWorld()[p.Node].Origin())
		if p.Parent == nil {
			f.Roots = append(f.Roots, p.Node)
		}
	}
	main := anatomy.MainChildren(f.e.Rig, f.e.RestWorld(), nodes)
	for i := range f.Joints {
		j := &f.Joints[i]
		if m := main[j.Node]; m >= 0 && m != j.Node {
			j.mainChild, j.Towards = m, m
		}
		if j.Role != nil {
			if next := f.roles.Next(*j.Role); next >= 0 && f.isBelow(next, j.Node) {
				j.Towards = next
			}
		}
		if t := f.at(j.Towards); t != nil && t.Placed && j.Placed {
			length := j.Position.Sub(t.Position).Len()
			j.Length = &length
		}
	}
	f.Figure = f.roles.IsFigure()
	f.Missing = []string{}
	if len(f.Joints) > 0 {
		for _, role := range anatomy.Required() {
			if f.roles.Node(role) < 0 {
				f.Missing = append(f.Missing, role)
			}
		}
	}
	f.Height = f.e.Height()
	if _, up, _, ok := f.roles.Frame(); ok && len(f.e.Shown()) > 0 {
		f.Height = f.extent(up)
	}
	if !(f.Height > 0) || math.IsInf(f.Height, 0) {
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := range f.Joints {
			lo, hi = min(lo, f.Joints[i].Position[1]), max(hi, f.Joints[i].Position[1])
		}
		f.Height = max(0, hi-lo)
	}
	if !(f.Diagonal > 0) || math.IsInf(f.Diagonal, 0) {
		b := geom.EmptyBox()
		for i := range f.Joints {
			p := f.Joints[i].Position
			b = b.Union(geom.Box{Min: p, Max: p})
		}
		if f.Diagonal = b.Diagonal(); !(f.Diagonal > 0) || math.IsInf(f.Diagonal, 0) {
			f.Diagonal = 0
		}
	}
	return nil
}

// extent is how far the body reaches along a direction, metres.
func (f *Facts) extent(dir space.Vec) float64 {
	if dir == [3]float64{0, 1, 0} {
		return f.e.Height()
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, s := range f.e.Body() {
		p := f.e.WholePositions(s)
		for v := 0; v+2 < len(p); v += 3 {
			d := float64(p[v])*dir[0] + float64(p[v+1])*dir[1] + float64(p[v+2])*dir[2]
			if d < lo {
				lo = d
			}
			if d > hi {
				hi = d
			}
		}
	}
	return hi - lo
}

// isBelow tells that joint n hangs below joint a, at any depth.
func (f *Facts) isBelow(n, a rig.Node) bool {
	for left := len(f.Joints); n >= 0 && left >= 0; left-- {
		j := f.at(n)
		if j == nil || j.Parent == nil {
			return false
		}
		if n = *j.Parent; n == a {
			return true
		}
	}
	return false
}

// jointParent is the nearest joint above, None.
func (f *Facts) jointParent(n rig.Node) rig.Node {
	if j := f.at(n); j != nil && j.Parent != nil {
		return *j.Parent
	}
	return rig.None
}

// role is the role of a node, "".
func (f *Facts) role(n rig.Node) string { return f.roles.Of[n].Role }

// roleOf is the role of a joint, "".
func (f *Facts) roleOf(n rig.Node) string {
	if j := f.at(n); j != nil && j.Role != nil {
		return *j.Role
	}
	return ""
}

// bearer is the joint that has a role, None.
func (f *Facts) bearer(role string) rig.Node {
	if n, has := f.Bones[role]; has {
		return n
	}
	return rig.None
}

// name is the joint in words: its name quoted, or its number.
func (f *Facts) name(n rig.Node) string {
	if j := f.at(n); j != nil {
		return exam.Called(string(j.Name), n)
	}
	return exam.Called("", n)
}

// names joins joints as words.
func (f *Facts) names(nodes []rig.Node) string {
	out := make([]string, len(nodes))
	for i, n := range nodes {
		out[i] = f.name(n)
	}
	return exam.Listed(out)
}

// matters tells a joint that a surface follows or that has a role.
func (f *Facts) matters(n rig.Node) bool {
	j := f.at(n)
	return j != nil && (j.Influence > 0 || j.Role != nil)
}

// finitePoint is where a matrix puts the origin; JSON holds no NaN, so an axis that
// has no number counts as 0.
func finitePoint(m *rig.Affine) (p space.Vec) {
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

// number is nil for what JSON cannot hold.
func number(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}
