package binding

import (
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// Loose ends of the binding: data without its counterpart.
type Loose struct {
	NoSkin   []rig.Node `json:"no_skin" wire:"null"`   // nodes without a skin whose mesh has joints and weights
	NoJoints []rig.Node `json:"no_joints" wire:"null"` // nodes with a skin whose mesh has a primitive without
	Unequal  []rig.Node `json:"unequal" wire:"null"`   // nodes whose mesh has primitives with unequal sets
	Outside  []rig.Node `json:"outside" wire:"null"`   // joints of a shown skin outside the shown scene
	Twice    []rig.Node `json:"twice" wire:"null"`     // joints that a skin names twice
	SameAt   Group      `json:"same_joint"`            // vertices that name a joint twice with weight
	PadAt    Group      `json:"padding"`               // vertices with an index that is not 0 at weight 0
}

// findLoose compares what belongs together.
func (f *Facts) findLoose(e *exam.Exam) {
	l := &f.Loose
	isShown := e.IsShown()
	for i, s := range e.Rig.Surfaces {
		m := &e.Rig.Meshes[s.Mesh]
		has, lacks, unequal := false, false, false
		for p := range m.Primitives {
			q := &m.Primitives[p]
			if q.Count == 0 {
				continue
			}
			has, lacks = has || q.Sets > 0, lacks || q.Sets == 0
			unequal = unequal || q.JointSets != q.WeightSets || q.Sets != m.Primitives[0].Sets
		}
		switch {
		case s.Skin < 0 && has:
			l.NoSkin = append(l.NoSkin, s.Node)
		case s.Skin >= 0 && lacks:
			l.NoJoints = append(l.NoJoints, s.Node)
		}
		if unequal {
			l.Unequal = append(l.Unequal, s.Node)
		}
		if s.Skin < 0 || m.K == 0 {
			continue
		}
		used := f.used[i]
		for v := range m.Vertices() {
			same, pad := false, false
			for c := v * m.K; c < (v+1)*m.K; c++ {
				if m.Weights[c] == 0 {
					pad = pad || m.Joints[c] != 0
					continue
				}
				for b := v * m.K; b < c; b++ {
					same = same || m.Weights[b] != 0 && m.Joints[b] == m.Joints[c]
				}
			}
			if same && used[v] {
				l.SameAt.add(i, rig.Vertex(v))
			}
			if pad && used[v] {
				l.PadAt.add(i, rig.Vertex(v))
			}
		}
	}
	worn := make([]bool, len(e.Rig.Skins)) // by a shown surface
	for _, s := range e.Rig.Surfaces {
		if s.Skin >= 0 && isShown[s.Node] {
			worn[s.Skin] = true
		}
	}
	for k := range e.Rig.Skins {
		seen := make(map[rig.Node]bool, len(e.Rig.Skins[k].Joints))
		for _, j := range e.Rig.Skins[k].Joints {
			if seen[j] {
				l.Twice = append(l.Twice, j)
			}
			if seen[j] = true; worn[k] && !isShown[j] && e.Rig.Shown >= 0 && !slices.Contains(l.Outside, j) {
				l.Outside = append(l.Outside, j)
			}
		}
	}
	l.SameAt.enclose(f)
	l.PadAt.enclose(f)
}

var unplugged = check.Check[Facts]{
	ID:      "binding/unplugged",
	Title:   "Binding data without counterpart",
	Measure: "nodes, joints and vertices whose binding data has nothing to work on",
	Limits: []check.Limit{
		{Name: "outside", Unit: say.Joints, Value: 0, Grade: check.Stop},
		{Name: "no-skin", Unit: say.Surfaces, Value: 0, Grade: check.Flaw},
		{Name: "no-joints", Unit: say.Surfaces, Value: 0, Grade: check.Flaw},
		{Name: "unequal", Unit: say.Surfaces, Value: 0, Grade: check.Flaw},
		{Name: "twice", Unit: say.Joints, Value: 0, Grade: check.Flaw},
		{Name: "same-joint", Unit: say.Vertices, Value: 0, Grade: check.Flaw},
		{Name: "padding", Unit: say.Vertices, Value: 0, Grade: check.Note},
	},
	Why: "Joints and weights work only together with a skin, and a skin only with joints that are in the scene. " +
		"What is unplugged stays stiff, is drawn in the wrong place or is refused, and each player does it differently.",
	Remedy: "Give the named node its skin, or take joints and weights off its mesh.\n" +
		"Let all primitives of a mesh have the same sets, name each joint once a skin and once a vertex, and bring all joints into the scene.",
	Source: "glTF 2.0, Skins, Joint Hierarchy and Skinned Mesh Attributes",
	Needs: func(f *Facts) string {
		if len(f.Skins) == 0 && len(f.Loose.NoSkin) == 0 && len(f.Loose.Unequal) == 0 {
			return "no skin in this file"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		l := &f.Loose
		joints := func(limit, name, title string, list []rig.Node) {
			if lim := d.Limit(limit); float64(len(list)) > lim.Value {
				where := check.Nowhere()
				where.Joints = list
				found := d.Found(lim, name, float64(len(list)), where)
				found.Title, found.Subject = title, exam.Listed(f.namesOf(list...))
			}
		}
		nodes := func(limit, name, title string, list []rig.Node) {
			if lim := d.Limit(limit); float64(len(list)) > lim.Value {
				where := check.Nowhere()
				where.Nodes = list
				found := d.Found(lim, name, float64(len(list)), where)
				found.Title, found.Subject = title, exam.Listed(f.namesOf(list...))
			}
		}
		vertices := func(limit, name, title string, g *Group) {
			if lim := d.Limit(limit); float64(g.Count) > lim.Value {
				found := d.Found(lim, name, float64(g.Count), g.where(rig.None))
				found.Title, found.Subject = title, f.subject(g)
			}
		}
		joints("outside", "joints outside", "Joints outside the scene", l.Outside)
		nodes("no-skin", "surfaces without a skin", "Weights without a skin", l.NoSkin)
		nodes("no-joints", "surfaces without joints", "Skin without weights", l.NoJoints)
		nodes("unequal", "surfaces with unequal sets", "Unequal sets of weights", l.Unequal)
		joints("twice", "joints named twice", "Joint twice in skin", l.Twice)
		vertices("same-joint", "vertices", "Joint named twice", &l.SameAt)
		vertices("padding", "vertices", "Joints at weight 0", &l.PadAt)
	},
}
