package motion

import (
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

// In 76 clips of the knight, whose blows turn a joint by 60° in a frame, the neighbours
// alone do not tell a stray key: an elbow that a two-bone reach straightens leaves its
// curve by 42° in one key while the hand goes on smoothly. So the joint must go out and
// come back in the world as well. Of single keys turned by 30 to 50° at random 747 of
// 759 are found, of two in a row 694 of 718, of first and last keys of loops 1,095 of 1,114
// (the clips of seven figures), and none in the clips as they are.
var strayKey = check.Check[Facts]{
	ID:      "motion/stray-key",
	Title:   "Key off its curve",
	Measure: "distance of one key, or two in a row, from the curve through the two keys before and after, where that curve is smooth without them: degrees, or heights of the figure; keys that span 0.14 s at most",
	Limits: []check.Limit{
		{Name: "turn", Unit: say.Degree, Value: 15, Grade: check.Note},
		{Name: "far", Unit: say.Degree, Value: 25, Grade: check.Flaw},
		{Name: "shift", Unit: say.TimesHeight, Value: 0.03, Grade: check.Note},
	},
	Why: "For one frame the joint is somewhere else, and back in the next: it is seen as a twitch (a spike). " +
		"A lost marker, an angle that wrapped and a key that was set by mistake look like this.",
	Remedy: "Go to the named moment and delete the key: its neighbours carry over.",
	Source: "interpolation through four neighbours: Lagrange; the limits are common practice, no source. A key counts when it lies 2.5 times as far off as its neighbours do (two in a row: 3.7 times; 1.8 times while no other joint leaves its curve), farther than the curve goes in a step, and when the joint comes back in the world too, so that a fast blow does not. The first and the last key count in a loop, when one lies on the curve and the other does not",
	Needs:  needsClip,
	Judge: func(f *Facts, d *check.Docket) {
		turn, far, shift := d.Limit("turn"), d.Limit("far"), d.Limit("shift")
		file := func(l check.Limit, name string, value func(*Clip) (Speed, float64), passes func(float64) bool) {
			found := f.worstClips(d, l, name, func(c *Clip) (float64, bool) {
				s, v := value(c)
				return v, s.Node >= 0 && passes(v)
			}, func(c *Clip) check.Where {
				s, _ := value(c)
				return inClip(c.Clip, s.Time, s.Node)
			})
			if found == nil {
				return
			}
			found.Subject = f.nodeNames(slices.Clone(found.Where.Joints)) + " in " + found.Subject
			found.Measures = append(found.Measures, check.Also("time", found.Where.Time, say.Second))
			if n := f.Clips[found.Where.Clip].Stray; n > 1 {
				found.Measures = append(found.Measures, check.Also("keys off their curve in that clip", float64(n), say.Keys))
			}
		}
		turned := func(c *Clip) (Speed, float64) { return c.StrayOff, c.StrayOff.Value }
		file(far, "off the curve", turned, func(v float64) bool { return v > far.Value })
		file(turn, "off the curve", turned, func(v float64) bool { return v > turn.Value && !(v > far.Value) })
		if h := f.Of.Height; h > 0 {
			file(shift, "off the curve", func(c *Clip) (Speed, float64) { return c.StrayWay, c.StrayWay.Value / h },
				func(v float64) bool { return v > shift.Value })
		}
	},
}
