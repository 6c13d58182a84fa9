package skeleton

import (
	"math"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/say"
)

// words is a role as a person says it, "left upper arm".
func words(role string) string { return anatomy.RoleWords(role) }

func wordsOf(roles []string) (out []string) {
	for _, r := range roles {
		out = append(out, words(r))
	}
	return out
}

// level says how an arm is held, by its angle below level in degrees.
func level(below float64, where string) string {
	if math.Abs(below) < 0.05 {
		return "level"
	}
	return say.Quantity(math.Abs(below), say.Degree) + " " + where + " level"
}

// signed is a difference in whole per cent with its sign, "+44 %".
func signed(percent float64) string {
	sign := ""
	if percent > 0 {
		sign = "+"
	}
	return sign + say.Percent(math.Round(percent)/100)
}

// near is a length to a hundredth of a millimetre: what rounding leaves is 0.
func near(v float64) string { return say.Metres(math.Round(v*1e5) / 1e5) }
