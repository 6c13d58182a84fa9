package intake

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var malformed = check.Check[Facts]{
	ID:      "intake/malformed",
	Title:   "File breaks its standard",
	Measure: "places that break the standard in the same way",
	Limits: []check.Limit{
		{Name: "places", Unit: say.Places, Value: 0, Grade: check.Flaw},
		{Name: "spare", Unit: say.Places, Value: 0, Grade: check.Note},
	},
	Why:    "What one reader forgives another refuses, and a validator reports. What was read around here is a guess at what was meant; bytes left over beside the data are none, and a note.",
	Remedy: "Export again with a current exporter.\nIf the file was changed by hand, mend the place named.",
	Source: "glTF 2.0, the section that the place belongs to",
	Judge: func(f *Facts, d *check.Docket) {
		count, of := map[string]int{}, map[bool]int{} // bytes that nothing needs, and the others
		for _, m := range f.Malformed {
			count[m.What]++
			of[m.Spare]++
		}
		said := map[string]bool{}
		for _, m := range f.Malformed {
			l := d.Limit("places")
			if m.Spare {
				l = d.Limit("spare")
			}
			if said[m.What] || float64(of[m.Spare]) <= l.Value {
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
