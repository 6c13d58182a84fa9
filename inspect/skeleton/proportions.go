package skeleton

import (
	"fmt"
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var proportions = check.Check[Facts]{
	ID:      "skeleton/proportions",
	Title:   "Unlike a grown person",
	Measure: "distance between two joints of the body ÷ stature, against the handbook's; share that it is off by",
	Limits:  []check.Limit{{Name: "off", Unit: say.Share, Value: 0.35, Grade: check.Note}},
	Why: "Either the figure is stylised, or a joint stands in the wrong place. " +
		"Motion of a grown person put on other proportions slides and reaches short.",
	Remedy: "See whether the named joint stands where the body bends.\n" +
		"For a stylised figure nothing is to be done; choose motion made for one like it, or correct hands and feet after carrying it over (retargeting).",
	Source: handbook + " (limb fractions); breadths and the limit are common practice",
	Needs: func(f *Facts) string {
		if reason := needsFigure(f); reason != "" {
			return reason
		}
		if len(f.Proportions) == 0 {
			return "no two neighbouring joints of a body were recognised"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		limit := d.Limit("off")
		var off []*Segment
		for i := range f.Proportions {
			if s := &f.Proportions[i]; math.Abs(s.Off) > limit.Value {
				off = append(off, s)
			}
		}
		if len(off) == 0 {
			return
		}
		slices.SortStableFunc(off, func(a, b *Segment) int {
			switch x, y := math.Abs(a.Off), math.Abs(b.Off); {
			case x > y:
				return -1
			case x < y:
				return 1
			}
			return 0
		})
		var joints []rig.Node
		var said []string
		for _, s := range off {
			for _, role := range []string{s.From, s.To} {
				if n := f.bearer(role); !slices.Contains(joints, n) {
					joints = append(joints, n)
				}
			}
			said = append(said, s.Name+" "+signed(100*s.Off))
		}
		found := d.Found(limit, "off", math.Abs(off[0].Off), f.on(joints...))
		found.Subject = exam.Listed(said)
		if few := f.Stature.Heads != nil && *f.Stature.Heads < stylised; few || 3*len(off) > len(f.Proportions) {
			found.Title = "Stylised proportions"
			found.Subject = fmt.Sprintf("%d of %d parts; most of all %s", len(off), len(f.Proportions), said[0])
			if few {
				rounded := func(v float64) string { return say.Plain(math.Round(10*v) / 10) }
				heads := rounded(*f.Stature.Heads)
				if r := f.Stature.HeadsRange; r != nil {
					heads = rounded(r[0]) + " to " + rounded(r[1])
					found.Why += " No neck parts the head from the trunk, so how high the head is can be told within a range alone."
				}
				found.Subject = heads + " heads high; " + found.Subject
			}
		}
		found.Measures = append(found.Measures, check.Also(off[0].Name, off[0].Metres, say.Metre),
			check.Also("its share of stature", off[0].Share, say.Share), check.Also("usual share", nearer(off[0]), say.Share), check.Also("stature", f.Stature.Metres, say.Metre))
		if f.Stature.Heads != nil {
			found.Measures = append(found.Measures, check.Also("heads high", *f.Stature.Heads, say.Unit{}))
		}
	},
}

// stylised figures are lower than so many of their heads (common practice).
const stylised = 5.5

// nearer is the bound that a segment is off from.
func nearer(s *Segment) float64 {
	if s.Share < s.Low {
		return s.Low
	}
	return s.High
}
