package binding

import (
	"math"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// On real figures, looked at with the joint's influence, its move and the lens bleed:
// true on both open hands. Two vertices at the root of the thumb hang on the little
// finger's metacarpal, 77 mm away, by 6.3 % and 1.5 %: a pimple that rises by 1.1 mm
// when that bone turns by 15°, by 6 mm at 90°. Six at the web of middle and ring finger
// (three places, stored twice) hang on the wrist by 0.4 to 3.6 %: true as well and
// slight, a dent of about 1.3 mm when a finger curls by 90°; it is not seen without the
// lens.
var strayIsland = check.Check[Facts]{
	ID:      "binding/stray-island",
	Title:   "Weight far from joint",
	Measure: "distance from the main patch of a joint's influence to another, along the edges of the welded surface (straight to another shell and across a slit), in lengths of the joint's bone; where a joint holds nothing near itself and no vertex by more than half, the distance from its bone",
	Limits: []check.Limit{
		{Name: "distance", Unit: say.TimesBone, Value: strayBones, Grade: check.Flaw},
		{Name: "share", Unit: say.Share, Value: strayShare, Grade: check.Flaw, Below: true},
	},
	Why: "A joint that moves a spot far away from itself drags it along: the shoulder rises, and a dent appears at the knee. " +
		"Such spots (stray weights) are left over from a brush or an automatic binding and hide until the joint turns.",
	Remedy: "Choose the named vertices and take the named joint's weight off them.\n" +
		"Then make all weights whole, so that they sum to 1.",
	Source: "common practice, no source",
	Needs:  needsSkin,
	Judge: func(f *Facts, d *check.Docket) {
		distance, share := d.Limit("distance"), d.Limit("share")
		// One finding a joint, its patches together, the farthest first.
		for from := 0; from < len(f.Strays); {
			to := from
			var g Group
			far, worst := 0.0, 0
			patches, weight := 0, 0.0
			for ; to < len(f.Strays) && f.Strays[to].Joint == f.Strays[from].Joint && f.Strays[to].Skin == f.Strays[from].Skin; to++ {
				s := &f.Strays[to]
				bones := s.Distance / s.Bone
				if !(bones > distance.Value && (s.Alone || s.Share < share.Value)) || math.IsInf(bones, 0) {
					continue
				}
				patches++
				weight += s.Share
				if bones > far {
					far, worst = bones, to
				}
				g.tell(s.Surface, s.Count)
				for _, v := range s.Vertices {
					g.put(s.Surface, v)
				}
			}
			if patches > 0 {
				s := &f.Strays[worst]
				g.enclose(f)
				where := g.where(s.Skin)
				where.Joints = []rig.Node{s.Joint}
				found := d.Found(distance, "distance", far, where)
				found.Subject = f.namesOf(s.Joint)[0] + " on " + f.subject(&g)
				found.Measures = append(found.Measures, check.Also("distance in metres", s.Distance, say.Metre))
				if s.Alone {
					found.Measures = append(found.Measures, check.Also("share of the joint's weight", weight, say.Share))
				} else {
					found.Measures = append(found.Measures, check.Held(share, "share of the joint's weight", weight))
				}
				found.Measures = append(found.Measures, check.Also("patches", float64(patches), say.Patches))
			}
			from = to
		}
	},
}
