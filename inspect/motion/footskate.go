package motion

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

// skateShare is the limit, × height a second.
const skateShare = 0.05

var footSkate = check.Check[Facts]{
	ID:      "motion/foot-skate",
	Title:   "Standing foot slides",
	Measure: "mean level speed of a foot while it stands: its lower end (ankle or toes) within 2.9 % of H of where it is lowest, rising or falling by less than 11 % of H a second, for a tenth of a second at least; H is the height of a grown person with its legs. Steps close over the ground, and the moments of coming and leaving, do not count",
	Limits:  []check.Limit{{Name: "speed", Unit: say.TimesHeightPerSecond, Value: skateShare, Grade: check.Note}},
	Why: "A foot that bears the body stays where it was put. " +
		"Where it glides (foot sliding), the figure seems to skate, and no eye misses it.",
	Remedy: "Pin the foot to its place from the key where it lands to the key where it leaves, with a foot control or two-bone reach, and let the hips follow.\n" +
		"Where the clip came from another figure, carry the hips' way over in the ratio of the leg lengths.",
	Source: "height and speed of a standing foot: Karunratanakul et al. 2023; near-ground weights: Zhang et al. 2018; legs to height: Drillis and Contini 1966; 5 % of the height a second: common practice, no source. A clip that carries all feet at one speed is a walk in place and is not graded",
	Needs: func(f *Facts) string {
		if why := needsClip(f); why != "" {
			return why
		}
		if f.Of.Feet == 0 {
			return "no foot was recognised among the joints"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		l, height := d.Limit("speed"), f.Of.Height
		worst := func(c *Clip) (foot *Foot) {
			for i := range c.Feet {
				if foot == nil || c.Feet[i].Speed > foot.Speed {
					foot = &c.Feet[i]
				}
			}
			return foot
		}
		found := f.worstClips(d, l, "speed", func(c *Clip) (float64, bool) {
			foot := worst(c)
			if foot == nil || c.Floor != nil || !(height > 0) {
				return 0, false
			}
			return foot.Speed / height, foot.Speed/height > l.Value
		}, func(c *Clip) check.Where { return inClip(c.Clip, c.Start, worst(c).Node) })
		if found == nil {
			return
		}
		foot := worst(&f.Clips[found.Where.Clip])
		if f.Of.Bare { // else the first measure says it
			found.Measures = append(found.Measures, f.speed("slide a second", foot.Speed))
		}
		found.Measures = append(found.Measures, check.Also("share of the clip it stands", foot.Share, say.Share), f.length("slide near the ground", foot.Slide))
	},
}
