package binding

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// Defaults of the check, used for the facts (common practice, no source).
const (
	crossWeight = 0.05
	crossBeyond = 0.02 // × diagonal

	// What is less is not kept for other limits.
	crossLeast = 0.01
	crossNear  = 0.005 // × diagonal
)

// Steps of the limits, see check.Limit.Per: a hundredth of weight, a thousandth of the
// diagonal.
const (
	weightPer = 100
	beyondPer = 1000
)

// Crossing is how many vertices of one surface have their largest weight of the other
// side on one joint, by how much it is and how far they lie beyond the plane: those of
// one step of both limits. In the order of their first vertices.
type Crossing struct {
	Surface int      `json:"surface"`
	Joint   rig.Node `json:"joint"`
	Weight  int      `json:"weight"` // more hundredths than this
	Beyond  int      `json:"beyond"` // more thousandths of the diagonal than this
	Count   int      `json:"vertices"`
	Largest float64  `json:"largest"` // weight of them
}

// Cross is one vertex beyond the mirror plane with weight on a joint of the other
// side.
type Cross struct {
	Surface int
	Vertex  rig.Vertex
	Joint   rig.Node
	Weight  float64
	Beyond  float64 // metres from the plane
}

// findCross looks at the joints that stand clearly on one side by place, and belong
// to it by name or partner: a label alone may be wrong, and a joint of the middle
// may stand aside.
func (f *Facts) findCross(e *exam.Exam) {
	if needsSkin(f) != "" {
		return
	}
	m := e.Mirror()
	if f.NoMirror = m.PlaneDoubt(); f.NoMirror != "" {
		return
	}
	world, roles := e.RestWorld(), e.Roles()
	side := make([]float64, len(e.Rig.Nodes)) // +1 in front of the plane, −1 behind, 0 none
	for n := range side {
		p := roles.Of[n].Partner
		if p < 0 {
			continue
		}
		// Partners stand opposite each other: half the way between them tells.
		if d := (m.Side(world[n].Origin()) - m.Side(world[p].Origin())) / 2; math.Abs(d) > 1e-4*e.Diagonal() {
			side[n] = math.Copysign(1, d)
		}
	}
	beyond := crossNear * e.Diagonal()
	cells := map[Crossing]int{} // without counts → place in f.Crossing
	for i, s := range e.Rig.Surfaces {
		if s.Skin < 0 || m.Point[i] == nil {
			continue
		}
		mesh, joints := &e.Rig.Meshes[s.Mesh], e.Rig.Skins[s.Skin].Joints
		for v := range mesh.Vertices() {
			at := m.Side(space.At(f.places[i], v))
			if !(math.Abs(at) > beyond) || !f.used[i][v] {
				continue
			}
			worst := Cross{Surface: i, Vertex: rig.Vertex(v), Joint: rig.None, Beyond: math.Abs(at)}
			for c := v * mesh.K; c < (v+1)*mesh.K; c++ {
				w, j := float64(mesh.Weights[c]), int(mesh.Joints[c])
				if w <= 0 || j >= len(joints) || side[joints[j]]*at >= 0 {
					continue
				}
				if w > worst.Weight && w <= math.MaxFloat32 {
					worst.Weight, worst.Joint = w, joints[j]
				}
			}
			if worst.Weight > crossLeast {
				f.Crosses = append(f.Crosses, worst)
				c := Crossing{Surface: i, Joint: worst.Joint, Weight: check.StepOf(worst.Weight, weightPer, 1), Beyond: check.StepOf(worst.Beyond, beyondPer, f.Diagonal)}
				at, known := cells[c]
				if !known {
					at = len(f.Crossing)
					cells[c], f.Crossing = at, append(f.Crossing, c)
				}
				f.Crossing[at].Count++
				f.Crossing[at].Largest = max(f.Crossing[at].Largest, worst.Weight)
			}
			if worst.Weight > crossWeight && worst.Beyond > crossBeyond*f.Diagonal {
				f.CrossBody++
			}
		}
	}
}

// On real figures: true on the walking man. Of 15 vertices twelve are the corners of his
// pelvis, 62 mm beyond the middle, which hold the other leg by 5 to 10 %: a leg raised
// by 120° takes the other groin along by 9 to 16 mm of 1.51 m. The rest (a waist and a
// chest vertex on the other arm, 13 and 19 mm; one on a thigh) are among the 210 whose
// weights are not whole.
var crossBody = check.Check[Facts]{
	ID:      "binding/cross-body",
	Title:   "Weight on wrong side",
	Measure: "vertices clearly beyond the mirror plane with weight on a joint of the opposite side",
	Limits: []check.Limit{
		{Name: "vertices", Unit: say.Vertices, Value: 0, Grade: check.Flaw},
		{Name: "weight", Value: crossWeight, Grade: check.Flaw, Per: weightPer, Least: crossLeast},
		{Name: "beyond", Unit: say.TimesDiagonal, Value: crossBeyond, Grade: check.Flaw, Per: beyondPer, Least: crossNear},
	},
	Why: "A left joint that moves something on the right pulls it across the body: one leg steps, and a spot on the other follows. " +
		"Such weight bleeding comes from binding by nearness where thighs, hands or lips lie close together.",
	Remedy: "Choose the named vertices and take the weight of the named joints off them.\n" +
		"Give it to the partners on their own side, and make all weights whole.",
	Source: "common practice, no source",
	Needs: func(f *Facts) string {
		if reason := needsSkin(f); reason != "" {
			return reason
		}
		return f.NoMirror
	},
	Judge: func(f *Facts, d *check.Docket) {
		vertices, weight, beyond := d.Limit("vertices"), d.Limit("weight"), d.Limit("beyond")
		byJoint := map[rig.Node]int{}
		var joints []rig.Node
		var g Group
		largest := 0.0
		for _, c := range f.Crossing {
			if c.Weight < weight.Step() || c.Beyond < beyond.Step() {
				continue
			}
			g.tell(c.Surface, c.Count)
			largest = max(largest, c.Largest)
			if byJoint[c.Joint] == 0 {
				joints = append(joints, c.Joint)
			}
			byJoint[c.Joint] += c.Count
		}
		if !(float64(g.Count) > vertices.Value) {
			return
		}
		var over []Cross
		for _, c := range f.Crosses {
			if c.Weight > weight.Value && c.Beyond > beyond.Value*f.Diagonal {
				over = append(over, c)
			}
		}
		slices.SortStableFunc(over, func(a, b Cross) int {
			return cmp.Or(cmp.Compare(a.Surface, b.Surface), cmp.Compare(b.Weight, a.Weight))
		})
		slices.SortStableFunc(joints, func(a, b rig.Node) int { return cmp.Compare(byJoint[b], byJoint[a]) })
		for _, c := range over {
			g.put(c.Surface, c.Vertex)
		}
		g.enclose(f)
		where := g.where(rig.None)
		where.Joints = joints
		found := d.Found(vertices, "vertices", float64(g.Count), where)
		found.Subject = exam.Listed(f.namesOf(joints...)) + " on " + f.subject(&g)
		found.Measures = append(found.Measures, check.Held(weight, "largest weight", largest))
	},
}
