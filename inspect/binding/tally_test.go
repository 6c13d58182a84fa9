package binding

import (
	"testing"

	"rigloupe/inspect/check"
)

// TestTallies: what is kept for other limits counts, at every step, the vertices and edges
// that a look at each of them counts: on a figure with weights that differ by side, jump,
// cross over and do not sum to one.
func TestTallies(t *testing.T) {
	asked := 0
	for _, p := range plants() {
		f := measured(t, p.rig)
		same := func(what string, k, got, want int) {
			if got != want {
				t.Errorf("%s, %s above step %d: %d, want %d", p.figure, what, k, got, want)
			}
			if want > 0 {
				asked++
			}
		}
		for k := 1; k < 200; k += 3 {
			limit := float64(k) / 100
			for s := range f.Surfaces {
				at := &f.Surfaces[s]
				differ, edges, corners := 0, 0, map[int]bool{}
				if f.WeightMismatch != nil {
					for v, x := range f.WeightMismatch[s] {
						if float64(x) > limit && !f.unfit[s][v] {
							differ++
						}
					}
				}
				for _, r := range f.Roughs {
					if r.Surface == s && r.Jump > limit {
						edges++
						corners[int(r.A)], corners[int(r.B)] = true, true
					}
				}
				same("differences", k, at.Differ.Over(k), differ)
				same("jumping edges", k, at.JumpEdges.Over(k), edges)
				same("jumping vertices", k, at.Jumping.Over(k), len(corners))
			}
			for far := 5; far < 60; far += 5 {
				want, got := 0, 0
				for _, c := range f.Crosses {
					if c.Weight > limit && c.Beyond > float64(far)/1000*f.Diagonal {
						want++
					}
				}
				for _, c := range f.Crossing {
					if c.Weight >= k && c.Beyond >= far {
						got += c.Count
					}
				}
				same("weights across", k, got, want)
			}
		}
		for i := range f.Skins {
			for k := range 40 {
				limit, want, got := float64(k)/10000, 0, 0
				for _, o := range f.Skins[i].Sums {
					if !o.Eight && o.Error >= limit {
						want++
					}
				}
				for _, o := range f.Skins[i].Off {
					if !o.Eight && o.Largest >= limit {
						got += o.Count
					}
				}
				same("sums", k, got, want)
			}
		}
	}
	if asked < 200 {
		t.Errorf("only %d counts that are not 0: the test asks nothing", asked)
	}
}

// TestSumSteps: sums off by less, just as much and more than the default limit, in floats
// and in 8 bits; cells by hand.
func TestSumSteps(t *testing.T) {
	s := sums{}
	for _, off := range []float64{.0009, .00099, .001, .0010999, .0011, .5, 1e9} {
		s.add(Sum{Error: off})
	}
	for _, n := range []float64{1, 2, 2, 3} {
		s.add(Sum{Error: n / 255, Eight: true})
	}
	want := []Off{{Count: 2, Largest: .00099}, {Count: 2, Largest: .0010999}, {Count: 1, Largest: .0011}, {Count: 1, Largest: .5}, {Count: 1, Largest: 1e9},
		{Eight: true, Count: 1, Largest: 1. / 255}, {Eight: true, Count: 2, Largest: 2. / 255}, {Eight: true, Count: 1, Largest: 3. / 255}}
	got := s.list()
	if len(got) != len(want) {
		t.Fatalf("%+v", got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("cell %d: %+v, want %+v", i, got[i], want[i])
		}
	}
}

// TestLeastLimit: a limit under what was measured is the least that was, and says so.
func TestLeastLimit(t *testing.T) {
	for _, p := range plants() {
		found, _ := Station.Judge(measured(t, p.rig), check.Overrides{"binding/rough": {"jump": .02}})
		for _, x := range found {
			if x.ID == "binding/rough" {
				if got := x.Measures[1].Limit; got != .1 {
					t.Errorf("the finding is held against %g", got)
				}
				return
			}
		}
	}
	t.Error("nothing jumps")
}
