package ramp

import (
	"math/rand/v2"
	"slices"
	"testing"
)

func TestAssign(t *testing.T) {
	star := make([]int, 40)
	for i := range star {
		star[i] = 0
	}
	star[0] = -1
	chain := make([]int, 30)
	for i := range chain {
		chain[i] = i - 1
	}
	hand := []int{-1, 0, 0, 0, 0, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10} // five fingers
	backward := slices.Clone(chain)
	for i := range backward { // children before parents
		backward[i] = i + 1
	}
	backward[len(backward)-1] = -1
	rng := rand.New(rand.NewPCG(1, 2))
	wild := make([]int, 300)
	for i := range wild {
		wild[i] = rng.IntN(i+1) - 1
	}
	for _, c := range []struct {
		name   string
		parent []int
		n      int
	}{
		{"no nodes", nil, 12}, {"star", star, 12}, {"chain", chain, 12}, {"hand", hand, 12},
		{"children first", backward, 12}, {"any tree", wild, 12}, {"two inks", chain, 2}, {"any tree, two inks", wild, 2},
	} {
		got := Assign(c.parent, c.n)
		if len(got) != len(c.parent) {
			t.Fatalf("%s: %d categories for %d nodes", c.name, len(got), len(c.parent))
		}
		if !slices.Equal(got, Assign(c.parent, c.n)) {
			t.Errorf("%s: two answers", c.name)
		}
		for i, p := range c.parent {
			if int(got[i]) >= c.n {
				t.Errorf("%s: node %d: category %d of %d", c.name, i, got[i], c.n)
			}
			if p >= 0 && got[i] == got[p] {
				t.Errorf("%s: node %d has its parent's category %d", c.name, i, got[i])
			}
			if p >= 0 && c.parent[p] >= 0 && c.n > 2 && got[i] == got[c.parent[p]] {
				t.Errorf("%s: node %d has its grandparent's category %d", c.name, i, got[i])
			}
		}
	}
	got := Assign(hand, 12)
	for i := 1; i <= 5; i++ {
		for j := 1; j < i; j++ {
			if got[i] == got[j] {
				t.Errorf("hand: fingers %d and %d share category %d", i, j, got[i])
			}
		}
	}
	for _, loop := range [][]int{{1, 0}, {0}, {5, -1}} { // no tree at all: an answer, no hang
		if n := len(Assign(loop, 12)); n != len(loop) {
			t.Errorf("loop %v: %d categories", loop, n)
		}
	}
}
