package surface

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var shells = check.Check[Facts]{
	ID:      "surface/shells",
	Title:   "Several shells",
	Measure: "pieces that hang together through shared places, with size, area and place; those under 0.1 % of the area are crumbs",
	Limits: []check.Limit{
		{Name: "shells", Unit: say.Shells, Value: 1, Grade: check.Note},
		{Name: "crumbs", Unit: say.Shells, Value: 0, Grade: check.Note},
	},
	Why: "Automatic binding treats each loose piece (connected component) by itself: buttons and eyes may follow another joint than what they sit on. " +
		"That is fine where it is meant.",
	Remedy: "Bind small pieces rigidly to the joint that carries what they sit on.\nJoin pieces that should be one skin.",
	Source: "common practice, no source",
	Lens:   "shells",
	Needs:  needsTriangles,
	Judge: func(f *Facts, d *check.Docket) {
		if l := d.Limit("shells"); float64(f.ShellsN) > l.Value {
			w := f.gather(func(s *Surface) bool { return s.ShellsN > 0 }, func(s int) (vertices []rig.Vertex, _ [][2]rig.Vertex) { // one vertex a shell
				for i := range f.Pieces {
					if f.Pieces[i].Surface == s {
						vertices = append(vertices, f.Pieces[i].Vertex)
					}
				}
				return vertices, nil
			})
			found := d.Found(l, "shells", float64(f.ShellsN), w)
			found.Subject = say.Count(f.ShellsN, "shell", "shells") + " on " + say.Count(len(w.Nodes), "surface", "surfaces")
			if len(f.Surfaces) == 1 {
				found.Subject = say.Count(f.ShellsN, "shell", "shells")
			}
			found.Measures = append(found.Measures, check.Also("inside another", float64(f.Within), say.Shells))
		}
		if l := d.Limit("crumbs"); float64(f.Crumbs) > l.Value {
			w := f.gatherShells(func(s *Surface) bool { return s.Crumbs > 0 }, func(p *Shell) bool { return p.Crumb })
			found := d.Found(l, "crumbs", float64(f.Crumbs), w)
			found.Title, found.Subject = "Crumbs", f.on(&w, f.Crumbs, "crumb", "crumbs")
			found.Why = "Such small pieces are often left over from cutting and joining. Nobody sees them, yet each wants weights of its own."
			found.Remedy = "Delete what is left over; bind rigidly what is meant."
		}
	},
}
