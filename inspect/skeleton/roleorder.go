package skeleton

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var roleOrder = check.Check[Facts]{
	ID:      "skeleton/role-order",
	Title:   "Declared bones break standard",
	Measure: "bones that the file declares (VRM humanoid): each a node of its own, on the nearest declared parent bone, scales positive and uniform, none required missing; with level arms: palms off down, fingers off straight out, feet off ahead, thumbs off level, degrees; soles off y = 0 ÷ height",
	Limits: []check.Limit{
		{Name: "breaches", Unit: say.Breaches, Value: 0, Grade: check.Flaw},
		{Name: "zero", Unit: say.Bones, Value: 0, Grade: check.Stop},
		{Name: "palm", Unit: say.Degree, Value: 15, Grade: check.Note},
		{Name: "finger", Unit: say.Degree, Value: 15, Grade: check.Note},
		{Name: "foot", Unit: say.Degree, Value: 15, Grade: check.Note},
		{Name: "thumb", Unit: say.Degree, Value: 20, Grade: check.Note},
		{Name: "sole", Unit: say.TimesHeight, Value: 0.01, Grade: check.Note},
	},
	Why: "Players of this format trust the declared bones and move them by the standard's order. " +
		"One that breaks it turns the wrong part, or the file is refused.",
	Remedy: "Set the map of bones right: one node a bone, each under its parent bone; other nodes may stand between.\n" +
		"Apply scales before the map is made.",
	Source: "VRM 1.0, humanoid and T-pose; VRM 0.x, Defined bones; the degrees are common practice",
	Needs: func(f *Facts) string {
		if !f.Declares {
			return "the file declares no bones of a body (VRM humanoid)"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		for _, name := range []string{"zero", "breaches"} {
			l := d.Limit(name)
			var nodes []rig.Node
			var said []string
			for _, b := range f.Breaches {
				if b.Limit != name {
					continue
				}
				said = append(said, b.What)
				if b.Node >= 0 {
					nodes = append(nodes, b.Node)
				}
			}
			if len(said) == 0 || name == "breaches" && float64(len(said)) <= l.Value {
				continue
			}
			found := d.Found(l, name, float64(len(said)), f.onNodes(nodes))
			found.Subject = exam.Listed(said)
			if name == "zero" {
				found.Title, found.Measures[0].Name = "Declared bone without size", "bones"
			}
		}
		for _, name := range []string{"palm", "finger", "foot", "thumb", "sole"} {
			l := d.Limit(name)
			var nodes []rig.Node
			worst, what := 0.0, ""
			for _, b := range f.Breaches {
				if b.Limit != name || b.Value <= l.Value {
					continue
				}
				nodes = append(nodes, b.Node)
				if b.Value > worst {
					worst, what = b.Value, b.What
				}
			}
			if len(nodes) == 0 {
				continue
			}
			found := d.Found(l, name, worst, f.onNodes(nodes))
			found.Title, found.Subject = "Off the standard's T-pose", what
			found.Why = "The format's T-pose has palms down, fingers straight out, thumbs level and forward, feet ahead and soles on the ground. " +
				"Motion made for it comes out turned by what the rest pose is off."
			found.Remedy = "Set hands and feet of the rest pose as the T-pose has them, and write the file again."
		}
	},
}
