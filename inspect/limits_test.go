package inspect

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
)

// bySpread are limits whose measure is held against them by how far it lies from 1, up or
// down: ×0.4 passes a limit of ×2.
var bySpread = map[string]bool{"intake/bounds-off": true}

// limitsPointTheirWay: the value that graded a finding lies on the side of its limit that
// the limit says, and what the finding says beside the value is in the words of that side.
// seen counts them, by side.
func limitsPointTheirWay(t *testing.T, fault string, res *Result, seen map[bool]int) {
	t.Helper()
	for _, f := range res.Findings() {
		m := f.Measures[0]
		l, known := limitOf(f.ID, &m)
		if !known {
			t.Errorf("%s: no limit of %g, below %v, in the catalogue", f.ID, m.Limit, m.Below)
			continue
		}
		seen[l.Below]++
		v := math.Abs(m.Value)
		if m.Value < m.Limit && m.Limit <= 0 {
			v = m.Value
		}
		const dust = 1e-9
		passes := v > l.Value || l.Reached && v >= l.Value-dust || bySpread[f.ID] && 1/v > l.Value
		if l.Below {
			passes = v < l.Value || l.Reached && v <= l.Value+dust
		}
		if !passes {
			t.Errorf("%s, planted as %s: %s is %g, found when %s", f.ID, fault, m.Name, m.Value, l.Says())
		}
	}
}

// limitOf answers the limit of a check that graded a measure.
func limitOf(id string, m *check.Measure) (check.Limit, bool) {
	for _, s := range Catalogue() {
		for _, e := range s.Entries {
			if e.ID != id {
				continue
			}
			for _, l := range e.Limits {
				if l.Value == m.Limit && l.Unit == m.Unit && l.Below == m.Below {
					return l, true
				}
			}
		}
	}
	return check.Limit{}, false
}

// bare are numbers that count nothing and are part of nothing.
var bare = map[string]bool{
	"scale": true, "shear": true, "error": true, "largest error": true, "product of scales": true, "sign of the determinant": true,
	"heads high": true, "times the size": true, "weight step": true, "largest difference from 1": true, "largest difference from identity": true,
	"largest difference": true, "mean difference": true, "largest jump": true, "largest weight": true, "weight at rest": true,
	"weight lost by the strongest four": true, "weight lost by the first four": true, "last row off 0 0 0 1 by": true, "determinant ÷ largest scale³": true,
}

// unitsAreReal: a number has a unit, unless it counts nothing and is part of nothing.
func unitsAreReal(t *testing.T, res *Result) {
	t.Helper()
	for _, f := range res.Findings() {
		for _, m := range f.Measures {
			if m.Unit.Many == "" && !bare[m.Name] {
				t.Errorf("%s: %q, %g, has no unit", f.ID, m.Name, m.Value)
			}
		}
	}
}
