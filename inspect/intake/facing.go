package intake

import (
	"fmt"

	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var facing = check.Check[Facts]{
	ID:      "intake/facing",
	Title:   "Faces another way",
	Measure: "angle between the way the figure faces (hips, feet, toes) and the way its format declares",
	Limits:  []check.Limit{{Name: "off", Unit: say.Degree, Value: 45, Grade: check.Note}},
	Why:     "Programs walk, aim and place cameras along the declared front (the forward axis). This figure walks sideways or backwards there.",
	Remedy:  "Turn mesh and skeleton together about the vertical until the figure faces +Z.\nApply the turn.",
	Source:  "front is +Z: glTF 2.0, Coordinate System and Units, and VRM 1.0 T-pose; −Z: VRM 0.x; limit: common practice, no source",
	Needs: func(f *Facts) string {
		switch {
		case f.Figure.Kind != "" && f.Figure.Kind != "human" && f.Figure.Kind != "hand":
			return "this is no person: nothing tells its front"
		case f.Figure.Kind != "human":
			return "no figure recognised in this file"
		case f.Facing == nil:
			return "the way the figure faces cannot be told"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		if l := d.Limit("off"); f.Figure.AheadOf > l.Value {
			w := check.Nowhere()
			w.Nodes = turnedNodes(f)
			if f.Figure.Hips >= 0 {
				w.Joints = append(w.Joints, f.Figure.Hips)
			}
			w.Joints = append(w.Joints, f.Figure.Feet...)
			g := d.Found(l, "off the declared front", f.Figure.AheadOf, w)
			front := "+Z"
			if f.FacesBack {
				front = "−Z"
			}
			g.Subject = fmt.Sprintf("faces %s; the format asks for %s", direction(*f.Facing), front)
		}
	},
}

// direction names the axis nearest to a level direction.
func direction(v [3]float64) string {
	switch {
	case v[0] > 0.7072:
		return "+X"
	case v[0] < -0.7072:
		return "−X"
	case v[2] < 0:
		return "−Z"
	}
	return "+Z"
}
