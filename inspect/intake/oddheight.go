package intake

import (
	"fmt"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/say"
)

var oddHeight = check.Check[Facts]{
	ID:      "intake/odd-height",
	Title:   "Unlikely height",
	Measure: "height of the figure's body at rest, gear left out; of its joints in a file without surfaces",
	Limits: []check.Limit{
		{Name: "lowest", Unit: say.Metre, Value: 0.5, Grade: check.Flaw, Below: true},
		{Name: "highest", Unit: say.Metre, Value: 3, Grade: check.Flaw},
		{Name: "four-legged", Unit: say.Metre, Value: 5, Grade: check.Note},
	},
	Why:    "One unit is one metre. A figure in centimetres walks through a world made for it like a tower, and gravity, shadows and the near edge of the view are all set for metres.",
	Remedy: "Scale mesh and skeleton together by the factor named, and apply it.\nLeave the figure if it is meant to be a giant or a toy.",
	Source: "metres: glTF 2.0, Coordinate System and Units; limits and the window of 1.2 to 2.2 m: common practice, no source",
	Needs: func(f *Facts) string {
		switch {
		case f.Figure.Kind == "":
			return "no figure recognised in this file"
		case f.Figure.Kind != "human" && f.Figure.Kind != "four-legged":
			return "this is " + f.Figure.Words + ", and nothing tells how high one is"
		case f.Min == nil && !f.Figure.Bare:
			return exam.Lacks("surface", f.NotHonored)
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		g := &f.Figure
		w := check.Nowhere()
		if g.Hips >= 0 {
			w.Joints = append(w.Joints, g.Hips)
		}
		if g.Kind == "four-legged" {
			if l := d.Limit("four-legged"); g.Height > l.Value {
				c := d.Found(l, "height", g.Height, w)
				c.Subject = fmt.Sprintf("four-legged, %s; as centimetres %s", say.Metres(g.Height), say.Metres(g.Height/100))
			}
			return
		}
		l := d.Limit("lowest")
		if !(g.Height < l.Value) {
			if l = d.Limit("highest"); !(g.Height > l.Value) {
				return
			}
		}
		c := d.Found(l, "height", g.Height, w)
		c.Subject = heightText(f)
		if g.Unstated {
			c.Title = "Unit is not metres"
			c.Why = "BVH states no unit. Lengths are kept as stored, and wherever m stands in this examination the file's own unit is meant. What unit it is can only be guessed, by the height of a grown person, 1.2 to 2.2 m."
			c.Remedy = "Carried over to a figure, the motion is scaled by the legs' lengths, whatever the unit.\nFor other uses scale offsets and positions by the factor named."
		}
		c.Measures = append(c.Measures,
			check.Also("factor", g.Factor, say.Factor),
			check.Also("height with it", g.Height*g.Factor, say.Metre))
	},
}

// heightText says what the height may mean.
func heightText(f *Facts) string {
	g := &f.Figure
	s := say.Metres(g.Height)
	switch {
	case f.UnitGuess != nil && *f.UnitGuess != "m":
		s += fmt.Sprintf("; read as %s it is %s", g.Unit, say.Metres(g.Height*g.Factor))
		if g.Other != "" {
			s += ", or it is " + g.Other
		}
	case g.Other != "":
		s += "; perhaps " + g.Other
	default:
		s += fmt.Sprintf("; no unit fits, × %s gives %s", say.Plain(g.Factor), say.Metres(g.Height*g.Factor))
	}
	return s
}
