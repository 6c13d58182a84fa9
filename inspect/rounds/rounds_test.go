package rounds

import (
	"slices"
	"testing"
)

// Ten rounds, one in four: the first, the fifth and the ninth; in the long form all.
func TestRun(t *testing.T) {
	for _, c := range []struct {
		long string
		want []int
	}{{"", []int{0, 4, 8}}, {"1", []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9}}} {
		t.Setenv("RIGLOUPE_LONG", c.long)
		var ran []int
		for k := range 10 {
			if Run(k, 4) {
				ran = append(ran, k)
			}
		}
		if len(ran) != len(c.want) || ran[len(ran)-1] != c.want[len(c.want)-1] || ran[1] != c.want[1] || Long() != (c.long != "") {
			t.Errorf("RIGLOUPE_LONG=%q: %v, want %v", c.long, ran, c.want)
		}
	}
}

// Five rows, one in two: the first, the third and the fifth, by name in the order of the
// names; a dear test is left out. In the long form everything runs.
func TestThinned(t *testing.T) {
	for _, long := range []string{"", "1"} {
		t.Setenv("RIGLOUPE_LONG", long)
		rows, named := []int{10, 11, 12, 13, 14}, map[string]int{"e": 14, "d": 13, "c": 12, "b": 11, "a": 10}
		want := []int{10, 12, 14}
		if long != "" {
			want = rows
		}
		if got := Rows(rows, 2); !slices.Equal(got, want) {
			t.Errorf("RIGLOUPE_LONG=%q: %v, want %v", long, got, want)
		}
		var got []int
		for _, v := range Named(named, 2) {
			got = append(got, v)
		}
		if slices.Sort(got); !slices.Equal(got, want) {
			t.Errorf("RIGLOUPE_LONG=%q: by name %v, want %v", long, got, want)
		}
		left := &skipped{}
		if Dear(left); left.out == (long != "") {
			t.Errorf("RIGLOUPE_LONG=%q: left out: %v", long, left.out)
		}
	}
}

type skipped struct{ out bool }

func (*skipped) Helper()       {}
func (s *skipped) Skip(...any) { s.out = true }
