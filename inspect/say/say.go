// Package say puts numbers into words, the same for page, terminal, JSON and printed
// tables: at most three figures, a unit, a narrow space between thousands, a true minus,
// one of a thing in the singular. It imports nothing of ours.
package say

import "math"

// manifold is from how much on a part of 1 is told as so many times: nobody reads 19 560 %.
const manifold = 10

// Quantity is a number with its unit: lengths in millimetres where they are short, parts
// of 1 in per cent, a part of a length that has a name as that, counts with what is
// counted, in the singular for one. What is no number is "no value".
func Quantity(v float64, u Unit) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "no value"
	}
	switch u {
	case Unit{}, Winding:
		return Plain(v)
	case Metre:
		return Metres(v)
	case MetrePerSecond:
		return Metres(v) + "/s"
	case Share:
		if math.Abs(v) >= manifold {
			return Plain(v) + " times"
		}
		return Percent(v)
	case Degree, DegreePerSecond:
		return Plain(v) + u.Many
	case Second:
		return Plain(v) + gap + u.Many
	case Byte:
		return Bytes(v)
	case Factor:
		return "×" + gap + Plain(v)
	case TimesRest:
		return "×" + gap + Plain(v) + " of rest"
	case OffOne:
		return Plain(v) + " " + u.Many
	}
	if of, is := u.Part(); is {
		if math.Abs(v) >= manifold {
			return Plain(v) + " times the " + of
		}
		return Percent(v) + " of the " + of
	}
	if of, per, is := u.Length(); is {
		if per {
			return times(v, of) + " a second"
		}
		return times(v, of)
	}
	return some(v, u)
}

// Weighed is a part of a length that is named, with the metres it stands for before it:
// "44.7 mm (2 % of the height)". whole is that length in metres; 0: not known. For other
// units it is Quantity.
func Weighed(v float64, u Unit, whole float64) string {
	of, per, is := u.Length()
	if !is || !(whole > 0) || math.IsNaN(v) {
		return Quantity(v, u)
	}
	switch {
	case v == 0:
		return Quantity(0, Metre)
	case per:
		return Quantity(v*whole, MetrePerSecond) + " (" + times(v, of) + " a second)"
	}
	return Quantity(v*whole, Metre) + " (" + times(v, of) + ")"
}

// Count is a whole number of things in a sentence: "1 joint", "2 joints", "1 200 joints".
func Count(n int, one, many string) string { return Whole(n) + " " + Word(n, one, many) }

// Whole is a whole number.
func Whole(n int) string { return fixed(float64(n), 0) }

// Regular is Count of a word with a regular plural: "1 joint", "2 joints", "3 meshes".
func Regular(n int, one string) string {
	many := one + "s"
	switch last := len(one) - 1; one[last] {
	case 'h', 'x', 's':
		many = one + "es"
	case 'y':
		many = one[:last] + "ies"
	}
	return Count(n, one, many)
}

// Word is what n things are called, or do: "joint" or "joints", "is" or "are".
func Word(n int, one, many string) string {
	if n == 1 || n == -1 {
		return one
	}
	return many
}

// some is a count: the singular stands where the number is said as 1, also one that
// rounding made so.
func some(v float64, u Unit) string {
	n := Plain(v)
	if n == "1" || n == "−1" {
		return n + gap + u.One
	}
	return n + gap + u.Many
}

// Limit says when a limit is passed: "more than 5 %", "fewer than 1 skin", "any vertex",
// "3 clips or more". below: by less; reached: the limit itself passes too; whole as for Weighed.
func Limit(v float64, u Unit, whole float64, below, reached bool) string {
	words := Weighed(v, u, whole)
	switch {
	case below && reached && u.Counts():
		return words + " or fewer"
	case below && reached:
		return words + " or less"
	case reached:
		return words + " or more"
	case below && u.Counts():
		return "fewer than " + words
	case below:
		return "less than " + words
	case u.Counts() && v == 0:
		return "any " + u.One
	}
	return "more than " + words
}
