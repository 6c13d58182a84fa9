package intake

import "rigloupe/inspect/check"

var nothingBound = check.Check[Facts]{
	ID:      "intake/nothing-bound",
	Title:   "Nothing is bound",
	Measure: "skins in the file",
	Limits:  []check.Limit{{Name: "skins", Unit: "skins", Value: 1, Grade: check.Note}},
	Why:     "Without a skin no joint moves a surface. What is looked at here is whether the surface is ready to be bound.",
	Remedy:  "Read the Surface station first: what makes automatic binding fail stands there.\nThen bind the surface to a skeleton and examine the new file.",
	Source:  "glTF 2.0, Skins",
	Needs:   needsSurface,
	Judge: func(f *Facts, d *check.Docket) {
		if l := d.Limit("skins"); float64(f.Skins) < l.Value {
			w := check.Nowhere()
			for i := range f.PerSurface {
				w.Nodes = append(w.Nodes, f.PerSurface[i].Node)
			}
			d.Found(l, "skins", float64(f.Skins), w).Subject = "ready to bind? the Surface station answers"
		}
	},
}
