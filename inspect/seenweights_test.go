package inspect

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/menagerie"
)

// What a finding about the whole figure weighs, worked out by hand from the steps that
// seen.go states (ours; common practice, no source): there in every picture 1, in every
// movement .9, in the file's lists .2; passing its limit eightfold adds a quarter, by the
// root of eight half of that, and a thousandfold no more than eightfold.
func TestWeightsOfFindings(t *testing.T) {
	r := &Result{Exam: exam.New(menagerie.Person(menagerie.Options{}))}
	for _, row := range []struct {
		id    string
		value float64
		want  float64
	}{
		{"intake/unapplied-scale", 1, 1}, {"intake/unapplied-scale", 8, 1.25}, {"intake/unapplied-scale", 1000, 1.25},
		{"intake/unapplied-scale", math.Sqrt(8), 1.125}, {"binding/hangs-on", 1, .9}, {"skeleton/zero-length", 1, .2},
	} {
		f := &check.Finding{ID: row.id, Grade: check.Flaw, Where: check.Nowhere(), Measures: []check.Measure{{Name: "x", Value: row.value, Limit: 1}}}
		if got := r.weigh(f); math.Abs(got-row.want) > 1e-12 {
			t.Errorf("%s, %g × its limit: weighs %g, want %g", row.id, row.value, got, row.want)
		}
	}
}
