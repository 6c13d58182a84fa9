package intake

import (
	"fmt"
	"math"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

var offGround = check.Check[Facts]{
	ID:      "intake/off-ground",
	Title:   "Off ground or origin",
	Measure: "lowest point against y = 0; middle of the figure against the origin, in x and z; both ÷ height",
	Limits: []check.Limit{
		{Name: "ground", Unit: say.TimesHeight, Value: 0.02, Grade: check.Note},
		{Name: "middle", Unit: say.TimesHeight, Value: 0.02, Grade: check.Note},
		{Name: "far", Unit: say.TimesHeight, Value: 100, Grade: check.Flaw},
	},
	Why:    "A figure is placed, turned and put on the floor by its origin (pivot). Far away from it the numbers themselves grow coarse and the surface trembles when it moves.",
	Remedy: "Move mesh and skeleton together until the soles stand on y = 0 and the middle over the origin.\nApply the shift.",
	Source: "common practice, no source; coarseness: step of single precision (IEEE 754)",
	Needs: func(f *Facts) string {
		switch {
		case f.Min == nil:
			return exam.Lacks("surface", f.NotHonored)
		case f.Figure.Kind == "hand":
			return "a hand alone stands on no ground"
		case f.Figure.Kind == "chain":
			return "a chain of joints alone has no ground to stand on"
		case !(f.Figure.Height > 1e-3*f.Figure.Extent):
			return "what there is lies flat and has no height to measure by"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		g := &f.Figure
		low := f.GroundOffset / g.Height
		aside := math.Hypot(g.MiddleX, g.MiddleZ) / g.Height
		place := func() check.Where {
			w := check.Nowhere()
			if g.LowestOn >= 0 && g.Lowest >= 0 {
				w.Spots = []check.Spot{{Surface: g.LowestOn, Vertices: []rig.Vertex{g.Lowest}}}
			}
			return w
		}
		if l := d.Limit("far"); max(math.Abs(low), aside) > l.Value {
			w := place()
			c := d.Found(l, "distance from the origin", max(math.Abs(low), aside), w)
			away := max(math.Abs(f.GroundOffset), math.Hypot(g.MiddleX, g.MiddleZ))
			c.Subject = say.Metres(away) + " away from the origin"
			c.Measures = append(c.Measures, check.Also("distance", away, say.Metre))
			return
		}
		if l := d.Limit("ground"); math.Abs(low) > l.Value {
			w := place()
			c := d.Found(l, "lowest point", low, w)
			c.Subject = "lowest point " + say.Metres(f.GroundOffset) + " above the ground"
			if low < 0 {
				c.Subject = "lowest point " + say.Metres(-f.GroundOffset) + " below the ground"
			}
			c.Measures = append(c.Measures, check.Also("lowest y", f.GroundOffset, say.Metre))
		}
		// A long body has no one middle: of an animal the origin lies somewhere below it.
		if l := d.Limit("middle"); aside > l.Value && !g.Within {
			w := check.Nowhere()
			if g.Hips >= 0 {
				w.Joints = append(w.Joints, g.Hips)
			}
			w.Point = &space.Vec{g.MiddleX, f.GroundOffset, g.MiddleZ}
			c := d.Found(l, "middle", aside, w)
			c.Subject = fmt.Sprintf("middle at x = %s, z = %s", say.Metres(g.MiddleX), say.Metres(g.MiddleZ))
		}
	},
}
