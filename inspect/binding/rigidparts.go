package binding

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// Part is a shell that follows one joint altogether.
type Part struct {
	Surface  int
	Joint    rig.Node
	Vertices int // stored ones
}

// findRigid fills in the shells of one surface whose vertices all hang on one joint.
func (f *Facts) findRigid(e *exam.Exam, surface int, k *Skin, g *graph) {
	mesh := e.Rig.Surfaces[surface].Mesh
	m, weld := &e.Rig.Meshes[mesh], e.Weld(mesh)
	const none, mixed = -1, -2          // no joint yet; more than one
	lone := make([]int32, len(g.shell)) // shell → the one joint
	count := make([]int, len(g.shell))
	for i := range lone {
		lone[i] = none
	}
	for v, place := range weld.Of {
		if !g.used[place] {
			continue
		}
		shell := g.shell[place]
		count[shell]++
		has := false
		for c := v * m.K; c < v*m.K+m.K; c++ {
			if m.Weights[c] == 0 {
				continue
			}
			has = true
			if j := int32(m.Joints[c]); lone[shell] == none && int(j) < len(k.Joints) {
				lone[shell] = j
			} else if lone[shell] != j {
				lone[shell] = mixed
			}
		}
		if !has {
			lone[shell] = mixed
		}
	}
	field := make([]rig.Node, len(weld.Of))
	for v, place := range weld.Of {
		field[v] = rig.None
		if j := lone[g.shell[place]]; g.used[place] && j >= 0 {
			field[v] = k.Joints[j].Node
		}
	}
	f.RigidJoint[surface] = field
	for shell, j := range lone {
		if j >= 0 && count[shell] > 0 {
			f.RigidParts = append(f.RigidParts, Part{surface, k.Joints[j].Node, count[shell]})
		}
	}
}

// Rigid is a joint that shells follow altogether.
type Rigid struct {
	Joint    rig.Node `json:"joint"`
	Shells   int      `json:"shells"`
	Vertices int      `json:"vertices"` // stored ones
}

// tallyRigid gathers the stiff parts by their joints, in the order they are met.
func (f *Facts) tallyRigid() {
	f.RigidShells = len(f.RigidParts)
	at := map[rig.Node]int{}
	for _, p := range f.RigidParts {
		k, known := at[p.Joint]
		if !known {
			k = len(f.Rigid)
			at[p.Joint], f.Rigid = k, append(f.Rigid, Rigid{Joint: p.Joint})
		}
		f.Rigid[k].Shells++
		f.Rigid[k].Vertices += p.Vertices
	}
}

var rigidParts = check.Check[Facts]{
	ID:      "binding/rigid",
	Title:   "Stiff parts",
	Measure: "shells whose vertices all hang on one joint alone",
	Limits:  []check.Limit{{Name: "shells", Unit: say.Shells, Value: 0, Grade: check.Note}},
	Why: "A shell bound to one joint (rigid binding) does not bend: right for armour, eyes and buckles, wrong for cloth and skin. " +
		"It could as well hang on the joint without a skin, which costs less.",
	Remedy: "Look at the listed parts on the figure: what should bend needs weights of more joints.\n" +
		"What is stiff by nature can stay.",
	Source: "common practice, no source",
	Lens:   "rigid-parts",
	Needs:  needsSkin,
	Judge: func(f *Facts, d *check.Docket) {
		limit := d.Limit("shells")
		n := float64(f.RigidShells)
		if !(n > limit.Value) {
			return
		}
		where := check.Nowhere()
		vertices := 0
		for _, on := range f.Rigid {
			vertices += on.Vertices
			where.Joints = append(where.Joints, on.Joint)
		}
		found := d.Found(limit, "shells", n, where)
		found.Subject = "on " + exam.Listed(f.namesOf(where.Joints...))
		found.Measures = append(found.Measures, check.Also("hold", float64(vertices), say.Vertices))
	},
}
