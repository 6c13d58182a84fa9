package motion

import (
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var jump = check.Check[Facts]{
	ID:      "motion/jump",
	Title:   "Joint jumps between keys",
	Measure: "turning speed between neighbouring keys (trunk and limbs; twice as much for eyes, fingers, hair and helpers) and speed of translation, in heights a second; stepped keys and keys less than a millisecond apart are cuts and are left out",
	Limits: []check.Limit{
		{Name: "turn", Unit: say.DegreePerSecond, Value: 2000, Grade: check.Note},
		{Name: "loose", Unit: say.DegreePerSecond, Value: 4000, Grade: check.Note},
		{Name: "shift", Unit: say.TimesHeightPerSecond, Value: 20, Grade: check.Note},
	},
	Why: "No limb but a thrower's arm turns five and a half times a second, and no runner covers seven heights in one. " +
		"Such a step (a pop) is mostly a lost marker, an angle that wrapped, or keys of two takes side by side.",
	Remedy: "Go to the named moment and step over it key by key.\n" +
		"Take out the keys that leave the curve, or mend the angle that wrapped, and let the neighbours carry over.",
	Source: "knee in a sprint 1,000–1,200 °/s, elbow in a pitch 2,200–2,400 °/s (Fleisig 1999); fastest runner 7.1 heights a second; limits from these, common practice",
	Needs:  needsClip,
	Judge: func(f *Facts, d *check.Docket) {
		turn, loose, shift := d.Limit("turn"), d.Limit("loose"), d.Limit("shift")
		file := func(l check.Limit, name string, speed func(*Clip) (Speed, float64)) *check.Finding {
			found := f.worstClips(d, l, name, func(c *Clip) (float64, bool) {
				_, v := speed(c)
				return finite(v), v > l.Value
			}, func(c *Clip) check.Where {
				s, _ := speed(c)
				return inClip(c.Clip, s.Time, s.Node)
			})
			if found != nil {
				found.Subject = f.nodeNames(slices.Clone(found.Where.Joints)) + " in " + found.Subject
				found.Measures = append(found.Measures, check.Also("time", found.Where.Time, say.Second))
			}
			return found
		}
		// One finding of turns: where a limb jumps, what else does stands beside it.
		looseSpeed := func(c *Clip) (Speed, float64) { return c.LooseSpeed, c.LooseSpeed.Value }
		if found := file(turn, "turning speed", func(c *Clip) (Speed, float64) { return c.LimbSpeed, c.LimbSpeed.Value }); found == nil {
			file(loose, "turning speed", looseSpeed)
		} else {
			var most Speed
			for i := range f.Clips {
				if s, v := looseSpeed(&f.Clips[i]); v > loose.Value && v > most.Value {
					most = s
				}
			}
			if most.Value > 0 {
				found.Where.Joints = append(found.Where.Joints, most.Node)
				found.Measures = append(found.Measures, check.Also("turning speed of "+f.Of.name(most.Node), finite(most.Value), say.DegreePerSecond))
			}
		}
		if f.Of.Height > 0 {
			file(shift, "speed", func(c *Clip) (Speed, float64) { return c.ShiftSpeed, c.ShiftSpeed.Value / f.Of.Height })
		}
	},
}
