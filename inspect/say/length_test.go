package say

import (
	"encoding/json"
	"os"
	"strings"
	"testing"
)

// TestLengths: lengths within words in another unit, worked by hand; the page reads the same
// table (site/test/words.test.js). An inch is 25.4 mm (international yard and pound agreement, 1959).
func TestLengths(t *testing.T) {
	data, err := os.ReadFile("../../testdata/says.json")
	if err != nil {
		t.Fatal(err)
	}
	var table struct{ Lengths [][3]string }
	if err := json.Unmarshal(data, &table); err != nil {
		t.Fatal(err)
	}
	marked := strings.NewReplacer("~", gap, "_", thin)
	for _, row := range table.Lengths[1:] {
		if got := In(marked.Replace(row[0]), Length(row[1])); got != marked.Replace(row[2]) {
			t.Errorf("%q in %s: %q, want %q", row[0], row[1], got, row[2])
		}
	}
	if len(table.Lengths) < 18 {
		t.Errorf("only %d rows", len(table.Lengths))
	}
	for _, name := range []string{"ft", "M", "metres"} {
		if _, err := Lengths(name); err == nil {
			t.Errorf("%q is taken for a unit", name)
		}
	}
}

// Whatever length is said, in inches it is the true one as far as its figures go.
func TestInchesAreTrue(t *testing.T) {
	for v := 1.1e-5; v < 1e5; v *= 1.0137 {
		words := In(Metres(v), InInches)
		number, _, ok := strings.Cut(words, gap+"in")
		if !ok {
			t.Fatalf("%g m: %q", v, words)
		}
		digits := strings.NewReplacer(thin, "", ".", "").Replace(number)
		figures := len(strings.TrimLeft(digits, "0"))
		said := false
		for n := 1; n <= max(figures, 3); n++ { // noughts at the end of a whole number may be figures or not
			said = said || three(rounded(v/0.0254, n)) == number
		}
		if !said {
			t.Errorf("%g m are %g in, and it says %s", v, v/0.0254, words)
		}
	}
}
