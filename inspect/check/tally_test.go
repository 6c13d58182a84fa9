package check

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Values on, just above and just below a step; counted by hand.
func TestStepOf(t *testing.T) {
	for _, w := range []struct {
		value float64
		per   int
		unit  float64
		want  int
	}{
		{0, 100, 1, -1}, {-1, 100, 1, -1}, {math.NaN(), 100, 1, -1}, {1, 100, 0, -1},
		{.35, 100, 1, 34}, {math.Nextafter(.35, 1), 100, 1, 35}, {1e-9, 100, 1, 0},
		{.1, 100, 1, 9}, {.11, 100, 1, 10}, {2, 100, 1, 199},
		{.005 * 1.9, 2000, 1.9, 9}, {math.Nextafter(.005*1.9, 1), 2000, 1.9, 10},
		{math.Inf(1), 100, 1, farthest}, {1e300, 100, 1, farthest},
	} {
		if got := StepOf(w.value, w.per, w.unit); got != w.want {
			t.Errorf("%g in steps of %g/%d: %d, want %d", w.value, w.unit, w.per, got, w.want)
		}
	}
}

// TestTally: the counts above every step are those of the values themselves.
func TestTally(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 5))
	var values []float64
	var tally Tally
	for range 4000 {
		v := float64(float32(random.ExpFloat64() * .2))
		if random.IntN(3) == 0 {
			v = float64(random.IntN(150)) / 100 // on a step
		}
		values = append(values, v)
		tally.Add(StepOf(v, 100, 1))
	}
	for k := range 200 {
		limit, want := float64(k)/100, 0
		for _, v := range values {
			if v > limit {
				want++
			}
		}
		if got := tally.Over(k); got != want {
			t.Errorf("above %g: %d, want %d", limit, got, want)
		}
	}
}

// TestLimitOnStep: a limit that moves in steps is the step at or under what was asked, and
// the finding says that one.
func TestLimitOnStep(t *testing.T) {
	d := Docket{entry: &Entry{ID: "x", Limits: []Limit{{Name: "jump", Value: .35, Per: 100}, {Name: "free", Value: 1}}}}
	for asked, want := range map[float64]float64{.35: .35, .359: .35, .36: .36, .175: .17, 1.05: 1.05, -1: 0, .29: .29, .57: .57} {
		d.overrides = map[string]float64{"jump": asked, "free": asked}
		l := d.Limit("jump")
		if l.Value != want || l.Step() != int(math.Round(100*want)) {
			t.Errorf("%g: %g, step %d, want %g", asked, l.Value, l.Step(), want)
		}
		if f := d.Limit("free"); f.Value != asked {
			t.Errorf("free %g: %g", asked, f.Value)
		}
	}
}
