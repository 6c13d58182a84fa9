package check

import (
	"math"
	"strings"

	"rigloupe/inspect/say"
)

// Says is the value as words, as package say has them; "× height" with metres where Whole
// tells them.
func (m *Measure) Says() string { return m.words(m.Value) }

// LimitSays is the limit in the words of Says, "" where there is none. A limit that is
// passed by less is said as when it is passed: "fewer than 1 skin".
func (m *Measure) LimitSays() string {
	switch {
	case math.IsNaN(m.Limit):
		return ""
	case m.Below:
		return say.Limit(m.Limit, m.Unit, m.Whole, true, false)
	}
	return m.words(m.Limit)
}

// Against is the limit as it stands beside the value: "limit 1 %", "fewer than 1 skin",
// "listed" where there is none.
func (m *Measure) Against() string {
	switch words := m.LimitSays(); {
	case words == "":
		return "listed"
	case m.Below:
		return words
	default:
		return "limit\u00a0" + words
	}
}

// Beside is Says for a place where the measure's name stands before it: what is counted
// is not said twice, "edges 278".
func (m *Measure) Beside() string {
	if u := m.Unit; u != say.Byte && u.Counts() && m.Value == math.Trunc(m.Value) {
		for word := range strings.FieldsSeq(m.Name) {
			if word == u.One || word == u.Many {
				return say.Plain(m.Value)
			}
		}
	}
	return m.Says()
}

// words says a loss as what is gone.
func (m *Measure) words(v float64) string {
	if of, is := m.Unit.Part(); is && strings.HasPrefix(m.Name, "loss") {
		return say.Percent(-v) + "\u00a0" + of
	}
	return say.Weighed(v, m.Unit, m.Whole)
}

// Says is when the limit is passed, in words: "more than 5 % of the height", "fewer than
// 1 skin", "any vertex".
func (l Limit) Says() string { return say.Limit(l.Value, l.Unit, 0, l.Below, l.Reached) }

// Weigh sets what 1 stands for in the measures that are shares of the figure's height or
// of its diagonal, metres: 0 leaves them shares.
func (f *Finding) Weigh(height, diagonal float64) {
	for i := range f.Measures {
		switch m := &f.Measures[i]; m.Unit {
		case say.TimesHeight, say.TimesHeightPerSecond:
			m.Whole = height
		case say.TimesDiagonal:
			m.Whole = diagonal
		}
	}
}
