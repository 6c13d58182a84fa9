package intake

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
)

var malformed = check.Check[Facts]{
	ID:      "intake/malformed",
	Title:   "File breaks its standard",
	Measure: "places that break the standard in the same way",
	Limits:  []check.Limit{{Name: "places", Unit: "places", Value: 0, Grade: check.Flaw}},
	Why:     "What one reader forgives another refuses. What was read around here is a guess at what was meant.",
	Remedy:  "Export again with a current exporter.\nIf the file was changed by hand, mend the place named.",
	Source:  "glTF 2.0, the section that the place belongs to",
	Judge: func(f *Facts, d *check.Docket) {
		l := d.Limit("places")
		count := map[string]int{}
		for _, m := range f.Malformed {
			count[m.What]++
		}
		if float64(len(f.Malformed)) <= l.Value {
			return
		}
		said := map[string]bool{}
		for _, m := range f.Malformed {
			if said[m.What] {
				continue
			}
			said[m.What] = true
			w := check.Nowhere()
			w.Pointer, w.Skin, w.Clip = m.Place, m.Skin, m.Clip
			if m.Node != rig.None {
				w.Nodes = append(w.Nodes, m.Node)
			}
			for i := range f.PerSurface { // a mesh is placed by the nodes that carry it
				if p := &f.PerSurface[i]; p.Mesh == m.Mesh && p.Node != m.Node {
					w.Nodes = append(w.Nodes, p.Node)
				}
			}
			g := d.Found(l, "places", float64(count[m.What]), w)
			g.Subject = m.Place + ": " + m.What
		}
	},
}
