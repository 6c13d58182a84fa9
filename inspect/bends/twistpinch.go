package bends

import (
	"fmt"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/say"
)

var twistPinch = check.Check[Facts]{
	ID:      "bends/twist-pinch",
	Title:   "Twist pinches a limb",
	Measure: "smallest width left in the middle third of a bone when it is twisted by 180°, of the width at rest, linear blend; bones of limbs, chains and helpers, so no trunk and no fingers",
	Limits:  []check.Limit{{Name: "width", Unit: say.PartOfRadius, Value: pinchNote, Grade: check.Note, Below: true}},
	Why: "Half way between two joints that are turned against each other, linear blending takes the mean of two opposite places: the axis. " +
		"A forearm then thins like a twisted candy wrapper when the hand turns.",
	Remedy: "Add one or two joints along the bone that take a part of the turn each.\n" +
		"Where the player offers dual quaternions, compare: the second figure is theirs.",
	Source: "radius factor √(1 − 4w(1−w) sin²(θ/2)) of linear blending (closed form); the limit is common practice, no source",
	Lens:   "stretch",
	Needs:  needsBends,
	Judge: func(f *Facts, d *check.Docket) {
		limit := d.Limit("width")
		var list []*Twist
		worst := 0
		for i := range f.Twists {
			t := &f.Twists[i]
			if t.Radius == nil || f.of(t.Joint).Trunk || !(*t.Radius < limit.Value) || f.pose(t) == nil {
				continue
			}
			if list = append(list, t); *t.Radius < *list[worst].Radius-1e-6 { // of equal ones the first
				worst = len(list) - 1
			}
		}
		if len(list) == 0 {
			return
		}
		t := list[worst]
		list = slices.Insert(slices.Delete(list, worst, worst+1), 0, t)
		w := check.Nowhere()
		var names []string
		for _, t := range list {
			w.Joints, names = append(w.Joints, t.Joint), append(names, f.called(t.Joint))
		}
		if t.zoneAt != nil {
			point := t.point
			w.Spots, w.Point, w.Extent = t.zoneAt.spots, &point, t.extent
		}
		w.Move = f.pose(t)
		found := d.Found(limit, "width left", *t.Radius, w)
		found.Subject = fmt.Sprintf("%s, twisted by 180°", exam.Listed(names))
		if t.RadiusDual != nil {
			found.Measures = append(found.Measures, check.Also("by dual quaternions", *t.RadiusDual, say.PartOfRadius))
		}
		found.Measures = append(found.Measures, check.Also("along the bone", t.At, say.Share), check.Also("bones", float64(len(names)), say.Bones))
	},
}
