package check

import (
	"cmp"
	"math"
	"slices"
)

// Tally counts values by how far they go, in rising order: {k, n} says that n of them are
// above step k and not above step k+1. So a limit that lies on a step (Limit.Per) is judged
// exactly, later and without the values, which may be one a vertex.
type Tally [][2]int

// farthest bounds the steps; what goes farther counts as that far.
const farthest = 1 << 20

// StepOf is the step that a value lies in, of 1/per of a unit each; −1: not above 0, or
// no number. With unit 1 it lies above limit k/per just when its step is k or more.
func StepOf(value float64, per int, unit float64) int {
	if !(value > 0) || !(unit > 0) {
		return -1
	}
	at := func(k int) float64 { return float64(k) / float64(per) * unit }
	k := int(min(value/unit*float64(per), farthest))
	for k > 0 && !(value > at(k)) {
		k--
	}
	for k < farthest && value > at(k+1) {
		k++
	}
	return k
}

// Add counts a value of a step; −1 is not counted.
func (t *Tally) Add(step int) {
	if step < 0 {
		return
	}
	i, found := slices.BinarySearchFunc(*t, step, func(e [2]int, k int) int { return cmp.Compare(e[0], k) })
	if !found {
		*t = slices.Insert(*t, i, [2]int{step})
	}
	(*t)[i][1]++
}

// Over is how many lie above a step.
func (t Tally) Over(step int) (n int) {
	for _, e := range t {
		if e[0] >= step {
			n += e[1]
		}
	}
	return n
}

// Step is which step the limit lies on. Only of a limit with Per.
func (l Limit) Step() int { return int(math.Round(l.Value * float64(l.Per))) }

// onStep is a limit brought down to the step at or under it.
func (l Limit) onStep(v float64) float64 {
	if l.Per == 0 {
		return v
	}
	return math.Floor(max(v, 0)*float64(l.Per)+1e-9) / float64(l.Per)
}
