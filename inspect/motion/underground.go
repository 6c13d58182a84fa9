package motion

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// Skinned surfaces are judged, since a sword may dip.
var underGround = check.Check[Facts]{
	ID:      "motion/under-ground",
	Title:   "Sinks under the ground",
	Measure: "lowest point of the skinned surfaces over the clip, in heights of the figure over the ground (y = 0; the lowest point at rest where the figure does not stand on it; what its feet stand on at the time where a clip goes up or down a stair or a slope)",
	Limits: []check.Limit{
		{Name: "under", Unit: say.TimesHeight, Value: 0.01, Grade: check.Note},
		{Name: "over", Unit: say.TimesHeight, Value: 0.02, Grade: check.Note},
	},
	Why: "Feet that dip under the floor (floor penetration) are cut off by it, and a figure that never touches it floats. " +
		"Both show as soon as it stands on anything.",
	Remedy: "Lift or lower the hips, or bend the knees, in the keys around the named moment until the soles meet the ground.\n" +
		"A jump, a swim or a flight is meant to leave it.",
	Source: "common practice, no source. Method: every key of the longest channel (at most 1,000 a clip), the lowest vertex exact; joints whose box of vertices stays higher are passed over. Surfaces with morph targets: 12 moments a clip, level ground. A clip that climbs is held against the floor itself only where it begins on it",
	Needs: func(f *Facts) string {
		if why := needsBody(f); why != "" {
			return why
		}
		if !f.Of.Shown {
			return "no surface in this file"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		under, over, g := d.Limit("under"), d.Limit("over"), &f.Of
		share := func(c *Clip) (float64, bool) {
			y, _, _, _, ok := c.lowest(g.Floor)
			return y / g.Height, ok
		}
		place := func(c *Clip) check.Where {
			_, time, surface, vertex, _ := c.lowest(g.Floor)
			w := inClip(c.Clip, time)
			if surface >= 0 {
				w.Spots = []check.Spot{{Surface: surface, Vertices: []rig.Vertex{vertex}}}
			}
			return w
		}
		metres := func(found *check.Finding) {
			c := &f.Clips[found.Where.Clip]
			if c.Climb != nil {
				found.Measures = append(found.Measures, f.length("lowest point over what the feet stand on", c.Climb.Lowest))
				return
			}
			found.Measures = append(found.Measures, f.length("lowest point", *c.LowestFigure))
			if g.OffFloor {
				found.Measures = append(found.Measures, f.length("lowest point at rest", g.Floor))
			}
		}
		if found := f.worstClips(d, under, "under the ground", func(c *Clip) (float64, bool) {
			y, ok := share(c)
			return -y, ok && -y > under.Value
		}, place); found != nil {
			metres(found)
		}
		if found := f.worstClips(d, over, "over the ground", func(c *Clip) (float64, bool) {
			y, ok := share(c)
			return y, ok && y > over.Value
		}, place); found != nil {
			found.Title = "Never touches the ground"
			metres(found)
		}
	},
}
