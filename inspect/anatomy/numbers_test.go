package anatomy

import (
	"slices"
	"testing"
)

// A name is never proof: what topology and place say without one outranks what a name says
// alone, and each further kind of evidence makes a role surer. The figures are set by hand;
// their order is the rule.
func TestEvidenceIsRanked(t *testing.T) {
	order := []float64{NameLoosely, NameAlone, Unnamed, TwoOfThree, AllThree, Declared}
	if !slices.IsSorted(order) || len(slices.Compact(slices.Clone(order))) != len(order) || order[0] <= 0 || Declared != 1 {
		t.Errorf("%v do not rise from above 0 to 1", order)
	}
}

// Two pairs of names that differ in a side's letter come about by chance, three are the
// habit of a rig.
func TestLetterHabit(t *testing.T) {
	for pairs, want := range map[int]bool{2: false, 3: true, 4: true} {
		var names []reading
		all := map[string]bool{}
		for _, word := range []string{"arm", "leg", "hand", "foot"}[:pairs] {
			for _, side := range []string{"l", "r"} {
				names = append(names, reading{tokens: []string{word, side}})
				all[word+" "+side] = true
			}
		}
		if got := letterHabit(names, all); got["l"] != want || got["r"] != want {
			t.Errorf("%d pairs: habit %v, want %v", pairs, got, want)
		}
	}
}
