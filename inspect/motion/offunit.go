package motion

import (
	"math"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
)

// unitError is the limit of a rotation key's length.
const unitError = 1e-3

// inSteps tells that all values of a channel are whole steps of a signed 8-bit
// number (glTF 2.0, Accessor Data Types): such keys cannot be nearer to unit than
// their step.
func inSteps(c *rig.Channel) bool {
	for _, v := range c.Values {
		if x := float64(v) * 127; math.Abs(x-math.Round(x)) > 1e-3 {
			return false
		}
	}
	return true
}

var offUnit = check.Check[Facts]{
	ID:      "motion/off-unit",
	Title:   "Rotation keys off unit",
	Measure: "difference of a rotation key's length from 1",
	Limits:  []check.Limit{{Name: "error", Value: unitError, Grade: check.Flaw}},
	Why: "Only a quaternion of length 1 is a pure turn. " +
		"A player that does not mend it scales or shears the limb, and between such keys players disagree.",
	Remedy: "Divide each rotation key by its length, or export again with rotations made unit.\n" +
		"A key of length 0 has no direction at all and needs setting anew.",
	Source: "glTF 2.0, Animations and Transformations: rotations are unit quaternions; the limit is common practice, no source. Keys in whole 8-bit steps may be off by one step, 1/127",
	Needs:  needsClip,
	Judge: func(f *Facts, d *check.Docket) {
		l := d.Limit("error")
		found := f.worstClips(d, l, "error", func(c *Clip) (float64, bool) {
			off := c.OffUnit
			if c.OffUnitSteps {
				off -= 1.0 / 127
			}
			return finite(c.OffUnit), off > l.Value
		}, func(c *Clip) check.Where { return inClip(c.Clip, c.OffUnitTime, c.OffUnitNode) })
		if found != nil {
			found.Subject = f.nodeNames(found.Where.Joints) + " in " + found.Subject
		}
	},
}
