package skeleton

import (
	"fmt"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// A pair must differ at rest and as bound, so that a posed arm is not blamed. Joint
// frames count as equal within 20°, since the arms of a sound robot differ by 10 to 13°.
var unevenPair = check.Check[Facts]{
	ID:      "skeleton/uneven-pair",
	Title:   "Partners not alike",
	Measure: "difference of the bones' lengths, and of a joint's place from the mirror image of its partner's (what the joints above bring along left out), ÷ bone length; differences below 0.01 % of the diagonal are left out",
	Limits: []check.Limit{
		{Name: "difference", Unit: say.TimesBone, Value: 0.05, Grade: check.Flaw},
		{Name: "slight", Unit: say.TimesBone, Value: 0.01, Grade: check.Note},
	},
	Why: "The skeleton is asymmetric: a pose mirrored to a limb of another length puts hand or foot elsewhere. " +
		"People differ by half a percent in the legs and one in the arms; a modelled figure need not.",
	Remedy: "Decide which side is right and mirror its joints to the other.\n" +
		"Bind again, or move the joint in the rest pose and renew its inverse bind matrix.",
	Source: "Knutson 2005 (leg length), Auerbach and Ruff 2006 (arm bones, value from memory); the limits are common practice",
	Needs: func(f *Facts) string {
		if reason := needsJoints(f); reason != "" {
			return reason
		}
		if len(f.Pairs) == 0 {
			return "no joint has a partner on the other side"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		high, low := d.Limit("difference"), d.Limit("slight")
		f.uneven(d, high, high.Value, 1e300)
		f.uneven(d, low, low.Value, high.Value)
	},
}

// uneven files one finding for all pairs that differ by more than over, but no more
// than most.
func (f *Facts) uneven(d *check.Docket, l check.Limit, over, most float64) {
	var joints []rig.Node
	worst, length, metres, pairs := 0.0, 0.0, 0.0, 0
	var at *Pair
	for i := range f.Pairs {
		p := &f.Pairs[i]
		value := 0.0
		// What no eye sees and no grid of a packed file holds is not counted.
		if p.Length != nil && *p.Length*p.Bone > 1e-4*f.Diagonal {
			value = *p.Length
		}
		if p.Place != nil && *p.PlaceM > 1e-4*f.Diagonal {
			value = max(value, *p.Place)
		}
		if value <= over || value > most {
			continue
		}
		pairs++
		joints = append(joints, p.Left, p.Right)
		if value > worst {
			worst, at = value, p
		}
	}
	if at == nil {
		return
	}
	if at.Length != nil {
		length = *at.Length
	}
	if at.PlaceM != nil {
		metres = *at.PlaceM
	}
	found := d.Found(l, "difference", worst, f.on(joints...))
	found.Subject = fmt.Sprintf("%s and %s", f.name(at.Left), f.name(at.Right))
	if pairs > 1 {
		found.Subject += fmt.Sprintf(", and %d more", pairs-1)
	}
	found.Measures = append(found.Measures, check.Also("length differs by", length, say.TimesBone), check.Also("place differs by", metres, say.Metre), check.Also("pairs", float64(pairs), say.Pairs))
}
