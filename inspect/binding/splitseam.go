package binding

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var splitSeam = check.Check[Facts]{
	ID:      "binding/split-seam",
	Title:   "Seam opens in motion",
	Measure: "vertices that lie exactly on another one bound differently (weights differ by more than 0.01 in sum)",
	Limits:  []check.Limit{{Name: "vertices", Unit: say.Vertices, Value: 0, Grade: check.Flaw}},
	Why: "Two vertices in one place look like one until a joint turns: then each follows its own weights and a crack shows between them. " +
		"The measure tells how far it opens when each joint turns to the end of its range.",
	Remedy: "Choose the named vertices and give all vertices of one place the same weights.\n" +
		"Where the seam is there for paint (a UV seam) or normals alone, bind the welded surface and split it when exporting.",
	Source: "common practice, no source",
	Lens:   "seam-gap",
	Needs:  needsSkin,
	Judge: func(f *Facts, d *check.Docket) {
		limit, s := d.Limit("vertices"), &f.Seams
		n := float64(s.At.Count)
		if !(n > limit.Value) {
			return
		}
		where := s.At.where(rig.None)
		if s.Opens.Joint >= 0 {
			where.Joints = []rig.Node{s.Opens.Joint}
		}
		found := d.Found(limit, "vertices", n, where)
		found.Subject = f.subject(&s.At)
		found.Measures = append(found.Measures, check.Also("opens by", s.Opens.Metres, say.Metre), check.Also("places", float64(s.Places), say.Places))
		if s.Opens.Joint >= 0 {
			found.Measures = append(found.Measures, check.Also("at a turn of", s.Opens.Degrees, say.Degree))
		}
	},
}
