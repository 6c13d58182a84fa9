package say

import (
	"math"
	"strconv"
	"strings"
)

const (
	thin = "\u202f" // between thousands
	gap  = "\u00a0" // between a number and its unit
)

// times is a part of a length, or how often it holds that.
func times(v float64, of string) string {
	if math.Abs(v) >= 1.5 {
		return Plain(v) + gap + "× the " + of
	}
	return Percent(v) + " of the " + of
}

// Plain is a number in at most three figures and no exponent that a reader would have
// to decode; whole numbers are counts and are never cut.
func Plain(v float64) string {
	a := math.Abs(v)
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return "no value"
	case a < 1e-12:
		return "0"
	case a >= 1e15:
		return scientific(v)
	case v == math.Trunc(v) || a >= 1000:
		return fixed(v, 0)
	case a < 1e-6:
		return scientific(v)
	}
	switch off := math.Abs(a - 1); {
	case off < 5e-6: // what sums in float32 are off by
		return fixed(v, 0)
	case off < 0.005: // a factor of 1.001 is not 1
		return trimmed(v, min(6, 1-int(math.Floor(math.Log10(off)))))
	}
	return three(v)
}

// Metres is a length; under a decimetre in millimetres, under ten micrometres in those.
func Metres(v float64) string {
	a := math.Abs(v)
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return "no value"
	case a < 5e-10: // under half a nanometre: the dust of rounding
		return "0" + gap + "m"
	case a < 1e-5:
		return three(v*1e6) + gap + "µm"
	case a < 0.0995:
		return three(v*1e3) + gap + "mm"
	}
	return three(v) + gap + "m"
}

// Percent is a part of 1 in per cent.
func Percent(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "no value"
	}
	p := 100 * v
	if a := math.Abs(v); a > 0 && a < 1e-6 {
		return "under 0.0001" + gap + "%" // the dust of rounding, and one of millions: not none
	}
	if a := math.Abs(p); a > 99.95 && a < 100 {
		return fixed(math.Copysign(math.Floor(a*100)/100, p), 2) + gap + "%" // not quite all is not all
	}
	return three(p) + gap + "%"
}

// Sure is a part of 1 in whole per cent: how sure something is, where more figures would
// say more than is known.
func Sure(v float64) string { return Percent(math.Round(100*v) / 100) }

// Bytes is a size in steps of a thousand.
func Bytes(v float64) string {
	switch a := math.Abs(v); {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return "no value"
	case a < 1000:
		return some(v, Byte)
	case a < 999.5e3:
		return three(v/1e3) + gap + "kB"
	case a < 999.5e6:
		return three(v/1e6) + gap + "MB"
	default:
		return three(v/1e9) + gap + "GB"
	}
}

// three is a number in three figures, zeros at its end left out.
func three(v float64) string {
	a := math.Abs(v)
	if a == 0 {
		return "0"
	}
	if a < 1e-6 || a >= 1e15 {
		return scientific(v)
	}
	return trimmed(v, max(0, 2-int(math.Floor(math.Log10(a)))))
}

// trimmed is fixed without the zeros at its end.
func trimmed(v float64, digits int) string {
	s := fixed(v, digits)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// fixed has so many digits after the point, narrow spaces between thousands and a true
// minus, which a zero has not.
func fixed(v float64, digits int) string {
	s := strconv.FormatFloat(math.Abs(v), 'f', digits, 64)
	whole, part, cut := strings.Cut(s, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + thin + whole[i:]
	}
	if cut {
		whole += "." + part
	}
	if v < 0 && strings.Trim(s, "0.") != "" {
		whole = "−" + whole
	}
	return whole
}

// scientific has one digit after the point, none where it is 0; rounding may raise the power.
func scientific(v float64) string {
	m, power, _ := strings.Cut(strconv.FormatFloat(math.Abs(v), 'e', 1, 64), "e")
	e, err := strconv.Atoi(power)
	if err != nil {
		return "no value" // no finite number ends so
	}
	digits := strings.NewReplacer("-", "⁻", "0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴", "5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹").Replace(strconv.Itoa(e))
	m = strings.TrimSuffix(m, ".0") + " × 10" + digits
	if v < 0 {
		m = "−" + m
	}
	return m
}
