package say

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Length is what a person reads lengths in. Documents for programs stay in metres.
type Length string

const (
	InMetres      Length = "m"
	InCentimetres Length = "cm"
	InInches      Length = "in"
)

// inch is an inch in metres: exactly, by the international yard and pound agreement of 1959.
const inch = 0.0254

// Lengths answers the unit of that name; "" is metres.
func Lengths(name string) (Length, error) {
	switch l := Length(name); l {
	case "":
		return InMetres, nil
	case InMetres, InCentimetres, InInches:
		return l, nil
	}
	return "", fmt.Errorf("%q: want m, cm or in", name)
}

// In says the lengths within words, as Metres says them, in another unit; all else stays.
// Centimetres are the same figures. Of inches as many figures stand there, three at most,
// as what was rounded to three figures of a metre still tells: a digit that may be wrong
// is left out. Under ten micrometres and from 10¹⁵ m on nobody reads either: those stay.
func In(words string, l Length) string {
	if l == "" || l == InMetres {
		return words
	}
	var b strings.Builder
	for {
		i := strings.Index(words, gap)
		if i < 0 {
			b.WriteString(words)
			return b.String()
		}
		start := i
		for start > 0 {
			r, n := utf8.DecodeLastRuneInString(words[:start])
			if !strings.ContainsRune("0123456789.−"+thin, r) {
				break
			}
			start -= n
		}
		unit, said := lengthUnit(words[i+len(gap):]), ""
		if unit != "" && start < i {
			said = converted(words[start:i], unit, l)
		}
		if said == "" {
			b.WriteString(words[:i+len(gap)])
			words = words[i+len(gap):]
			continue
		}
		b.WriteString(words[:start])
		b.WriteString(said)
		words = words[i+len(gap)+len(unit):]
	}
}

// lengthUnit is the unit of Metres that a text begins with, "" where it is another word.
func lengthUnit(s string) string {
	for _, u := range []string{"mm", "m"} {
		if rest, is := strings.CutPrefix(s, u); is {
			if r, _ := utf8.DecodeRuneInString(rest); r == utf8.RuneError || !unicode.IsLetter(r) && !unicode.IsNumber(r) {
				return u
			}
		}
	}
	return ""
}

// converted says one length in another unit, "" where the number is none.
func converted(number, unit string, l Length) string {
	v, err := strconv.ParseFloat(strings.NewReplacer(thin, "", "−", "-").Replace(number), 64)
	if err != nil {
		return ""
	}
	metres := 1.
	if unit == "mm" {
		metres = 1e-3
	}
	if l == InCentimetres {
		return three(v*metres*100) + gap + string(l)
	}
	half := 0.5 // of the last of three figures, in the unit as it is said
	if v != 0 {
		half *= math.Pow(10, -max(0, 2-math.Floor(math.Log10(math.Abs(v)))))
	}
	for figures := 3; figures > 0; figures-- {
		low, high := rounded((v-half)*metres/inch, figures), rounded((v+half)*metres/inch, figures)
		if low == high {
			return three(low) + gap + string(l)
		}
	}
	return three(v*metres/inch) + gap + string(l)
}

// rounded is v in so many figures.
func rounded(v float64, figures int) float64 {
	x, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', figures, 64), 64)
	if err != nil {
		return v
	}
	return x
}
