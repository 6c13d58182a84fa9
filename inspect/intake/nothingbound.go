package intake

import (
	"fmt"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var nothingBound = check.Check[Facts]{
	ID:      "intake/nothing-bound",
	Title:   "Nothing is bound",
	Measure: "skins that a surface uses",
	Limits:  []check.Limit{{Name: "skins", Unit: say.Skins, Value: 1, Grade: check.Note, Below: true}},
	Why:     "Without a skin no joint moves a surface. What is looked at here is whether the surface is ready to be bound.",
	Remedy:  "Read the Surface station first: what makes automatic binding fail stands there.\nThen bind the surface to a skeleton and examine the new file.",
	Source:  "glTF 2.0, Skins",
	Needs:   needsSurface,
	Judge: func(f *Facts, d *check.Docket) {
		bound := map[rig.Skin]bool{}
		for i := range f.PerSurface {
			if s := f.PerSurface[i].Skin; s >= 0 {
				bound[s] = true
			}
		}
		if l := d.Limit("skins"); float64(len(bound)) < l.Value {
			w := check.Nowhere()
			for i := range f.PerSurface {
				w.Nodes = append(w.Nodes, f.PerSurface[i].Node)
			}
			found := d.Found(l, "skins", float64(len(bound)), w)
			found.Subject = "whether the surface is ready to be bound stands under Surface"
			if f.PartJoints > 0 {
				found.Subject = fmt.Sprintf("rigid parts on %d nodes that clips move", f.PartJoints)
				found.Why = "Clips move the parts as they are: nothing bends, and a gap or an overlap at a joint is part of the design. " +
					"Skeleton and Motion take the nodes as joints; what only a skin can show is not looked at."
				found.Remedy = "A figure meant to be of rigid parts needs nothing.\nOne that should bend is joined into one surface and bound to a skeleton."
			}
		}
	},
}
