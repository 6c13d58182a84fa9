package check

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Numbers as a person reads them: at most three figures, a unit, a narrow space
// between thousands, a true minus. Page, terminal and report all take them from here.

const (
	thin = "\u202f" // between thousands
	gap  = "\u00a0" // between a number and its unit
)

// Says is the value as words, its limit the same way; "" for a limit that is none.
func (m *Measure) Says() string { return m.words(m.Value) }

// LimitSays is the limit in the words of Says, "" where there is none.
func (m *Measure) LimitSays() string {
	if math.IsNaN(m.Limit) {
		return ""
	}
	return m.words(m.Limit)
}

// Says is the limit as words.
func (l Limit) Says() string {
	m := Measure{Name: l.Name, Unit: l.Unit}
	return m.words(l.Value)
}

func (m *Measure) words(v float64) string {
	switch unit := m.Unit; {
	case unit == "" && isShare(m.Name):
		return Percent(v)
	case unit == m.Name && unit != "share" && !isPlural(unit): // "winding number"
		return Plain(v)
	case unit == "" && v == math.Trunc(v) && isPlural(m.Name):
		return Some(v, m.Name)
	case strings.HasPrefix(unit, "of the ") && strings.HasPrefix(m.Name, "loss"):
		return Percent(-v) + gap + strings.TrimPrefix(unit, "of the ")
	case strings.HasPrefix(unit, "× ") && m.Whole > 0 && !math.IsNaN(v):
		of, per := strings.CutSuffix(strings.TrimPrefix(unit, "× "), "/s")
		switch {
		case v == 0:
			return Quantity(0, "m")
		case per:
			return Quantity(v*m.Whole, "m/s") + " (" + times(v, of) + " a second)"
		}
		return Quantity(v*m.Whole, "m") + " (" + times(v, of) + ")"
	default:
		return Quantity(v, unit)
	}
}

// Quantity is a number with its unit, as the checks name units: "", "m", "m/s", "°",
// "%", "share" and "of the …" (parts of 1, said in per cent), "s", "bytes", "× …" (parts
// or multiples of a length that is named), or what is counted, in the plural.
func Quantity(v float64, unit string) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "no value"
	}
	switch {
	case unit == "":
		return Plain(v)
	case unit == "m":
		return Metres(v)
	case unit == "m/s":
		return Metres(v) + "/s"
	case unit == "share":
		return Percent(v)
	case unit == "%":
		return Plain(v) + gap + "%"
	case unit == "°" || unit == "°/s":
		return Plain(v) + unit
	case unit == "s":
		return Plain(v) + gap + "s"
	case unit == "bytes":
		return Bytes(v)
	case unit == "×":
		return "×" + gap + Plain(v)
	case unit == "× rest":
		return "×" + gap + Plain(v) + " of rest"
	case unit == "off 1":
		return Plain(v) + " off 1"
	case strings.HasPrefix(unit, "of the "):
		return Percent(v) + " " + unit
	case strings.HasPrefix(unit, "share of "):
		return Percent(v) + " of the " + strings.TrimPrefix(strings.TrimPrefix(unit, "share of "), "the ")
	case strings.HasPrefix(unit, "× "):
		of, per := strings.CutSuffix(strings.TrimPrefix(unit, "× "), "/s")
		if per {
			return times(v, of) + " a second"
		}
		return times(v, of)
	default:
		return Some(v, unit)
	}
}

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
	if a := math.Abs(p); a > 99.95 && a < 100 {
		return fixed(math.Copysign(math.Floor(a*100)/100, p), 2) + gap + "%" // not quite all is not all
	}
	return three(p) + gap + "%"
}

// Bytes is a size in steps of a thousand.
func Bytes(v float64) string {
	switch a := math.Abs(v); {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return "no value"
	case a < 1000:
		return Some(v, "bytes")
	case a < 999.5e3:
		return three(v/1e3) + gap + "kB"
	case a < 999.5e6:
		return three(v/1e6) + gap + "MB"
	default:
		return three(v/1e9) + gap + "GB"
	}
}

// Beside is Says for a place where the measure's name stands before it: what is counted
// is not said twice, "edges 278".
func (m *Measure) Beside() string {
	first, _, _ := strings.Cut(m.Name, " ")
	if m.Unit != "bytes" && m.Value == math.Trunc(m.Value) && (m.Unit == first || m.Unit == "") && isPlural(first) {
		return Plain(m.Value)
	}
	return m.Says()
}

// Some is "1 joint", "2 joints": a count of what many names in the plural.
func Some(v float64, many string) string {
	n := Plain(v)
	if n == "1" || n == "−1" {
		many = One(many)
	}
	return n + gap + many
}

// One is the singular of a plural that the checks count in. Of several words the first
// that is a plural is turned: "keys of unlike sign", "joints without a name".
func One(many string) string {
	words := strings.Split(many, " ")
	for i, w := range words {
		if s, ok := irregular[w]; ok {
			words[i] = s
			return strings.Join(words, " ")
		}
		if plural(w) {
			words[i] = strings.TrimSuffix(w, "s")
			return strings.Join(words, " ")
		}
	}
	return many
}

var irregular = map[string]string{"vertices": "vertex", "indices": "index", "matrices": "matrix", "axes": "axis", "patches": "patch", "boxes": "box", "bodies": "body", "copies": "copy", "feet": "foot", "halves": "half", "breaches": "breach"}

func plural(w string) bool {
	return len(w) > 2 && strings.HasSuffix(w, "s") && !strings.HasSuffix(w, "ss") && !strings.HasSuffix(w, "us") && !strings.HasSuffix(w, "is")
}

// isPlural tells that a measure without a unit is named after what it counts.
func isPlural(name string) bool {
	first, _, _ := strings.Cut(name, " ")
	_, odd := irregular[first]
	return (odd || plural(first)) && len(name) < 14 && !strings.ContainsAny(name, ",.")
}

func isShare(name string) bool {
	return strings.Contains(name, "share") || strings.Contains(name, "portion")
}

// three is a number in three figures, zeros at its end left out.
func three(v float64) string {
	a := math.Abs(v)
	if a == 0 {
		return "0"
	}
	if a < 1e-6 {
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

func scientific(v float64) string {
	e := int(math.Floor(math.Log10(math.Abs(v))))
	digits := strings.NewReplacer("-", "⁻", "0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴", "5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹").Replace(strconv.Itoa(e))
	m := fixed(v/math.Pow(10, float64(e)), 1)
	return fmt.Sprintf("%s × 10%s", strings.TrimSuffix(m, ".0"), digits)
}

// Weigh sets what 1 stands for in the measures that are shares of the figure's height or
// of its diagonal, metres: 0 leaves them shares.
func (f *Finding) Weigh(height, diagonal float64) {
	for i := range f.Measures {
		switch m := &f.Measures[i]; strings.TrimSuffix(m.Unit, "/s") {
		case "× height":
			m.Whole = height
		case "× diagonal":
			m.Whole = diagonal
		}
	}
}
