package rounds

import "testing"

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
