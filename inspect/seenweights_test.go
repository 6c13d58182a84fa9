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
		{"intake/unapplied-scale", math.Sqrt(8), 1.125}, {"skeleton/role-unheld", 1, .9}, {"skeleton/zero-length", 1, .2},
	} {
		f := &check.Finding{ID: row.id, Grade: check.Flaw, Where: check.Nowhere(), Measures: []check.Measure{{Name: "x", Value: row.value, Limit: 1}}}
		if got := r.weigh(f); math.Abs(got-row.want) > 1e-12 {
			t.Errorf("%s, %g × its limit: weighs %g, want %g", row.id, row.value, got, row.want)
		}
	}
}

// Weights that are off one weigh by how far they throw a vertex of a person 1.76 m high: a
// fiftieth of that, .0352 m, is where the surface is drawn out in every picture. A file that
// players must refuse stands before all that they would show; what hangs on nothing comes
// apart where a part that is carried does not.
func TestWeightsOfWhatShows(t *testing.T) {
	r := &Result{Exam: exam.New(menagerie.Person(menagerie.Options{}))}
	height := r.Exam.Height()
	for _, row := range []struct {
		id    string
		grade check.Grade
		throw float64 // × .0352 m of 1.76
		want  float64
	}{
		{"binding/sum-off", check.Flaw, .99, .7}, {"binding/sum-off", check.Flaw, 1.01, 1.8}, {"binding/sum-off", check.Note, 1.01, .7},
		{"intake/needs-extension", check.Stop, 0, 2}, {"skeleton/bind-lost", check.Stop, 0, 1.8},
		{"binding/hangs-on", check.Flaw, 0, 1.8}, {"binding/hangs-on", check.Note, 0, .2},
		{"motion/worst-frame", check.Flaw, 0, 1.8}, {"motion/worst-frame", check.Note, 0, .7},
		{"intake/unapplied-turn", check.Flaw, 0, 1}, {"intake/unapplied-turn", check.Note, 0, .2},
		{"motion/still-chain", check.Flaw, 0, .7}, {"motion/still-chain", check.Note, 0, .4},
	} {
		f := &check.Finding{ID: row.id, Grade: row.grade, Where: check.Nowhere(), Measures: []check.Measure{{Name: "x", Value: 1, Limit: 1},
			{Name: "throw at the figure", Value: row.throw * .0352 / 1.76 * height}}}
		if got := r.weigh(f); math.Abs(got-row.want) > 1e-12 {
			t.Errorf("%s %s, thrown %g × a fiftieth: weighs %g, want %g", row.grade, row.id, row.throw, got, row.want)
		}
	}
}
