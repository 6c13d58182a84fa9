package say

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"strings"
	"testing"
)

// TestSaysAsThePage: the page's own words for a number are the engine's; both read this
// table (site/test/words.test.js is the other reader). The words were set by hand.
func TestSaysAsThePage(t *testing.T) {
	data, err := os.ReadFile("../../testdata/says.json")
	if err != nil {
		t.Fatal(err)
	}
	var table struct {
		Quantities [][]any
		Limits     []struct {
			Value          float64
			One            string
			Unit           Unit
			Below, Reached bool
			Says           string
		}
	}
	if err := json.Unmarshal(data, &table); err != nil {
		t.Fatal(err)
	}
	bare := strings.NewReplacer(gap, " ", thin, "_")
	for _, row := range table.Quantities[1:] {
		var u Unit
		if err := u.UnmarshalText([]byte(row[1].(string))); err != nil {
			t.Fatal(err)
		}
		if len(row) == 4 && row[3] != u.One {
			t.Errorf("%q: one is %q, want %q", u, u.One, row[3])
		}
		if got := bare.Replace(Quantity(row[0].(float64), u)); got != row[2] {
			t.Errorf("%v %q: %q, want %q", row[0], row[1], got, row[2])
		}
	}
	for _, row := range table.Limits {
		if row.Unit.One != row.One {
			t.Errorf("%q: one is %q, want %q", row.Unit, row.Unit.One, row.One)
		}
		if got := bare.Replace(Limit(row.Value, row.Unit, 0, row.Below, row.Reached)); got != row.Says {
			t.Errorf("%+v: %q", row, got)
		}
	}
	if len(table.Quantities) < 40 || len(table.Limits) < 8 {
		t.Errorf("only %d and %d rows", len(table.Quantities), len(table.Limits))
	}
}

// TestUnits: every unit is in the list, once, with words for one that are not those for
// many only where it is counted; and one of it is said in the singular.
func TestUnits(t *testing.T) {
	seen := map[string]bool{}
	for _, u := range Units() {
		if u.One == "" || u.Many == "" || seen[u.Many] {
			t.Errorf("%+v: empty, or there twice", u)
		}
		seen[u.Many] = true
		if text := Quantity(1, u); u.Counts() && text != "1"+gap+u.One {
			t.Errorf("%+v: one is %q", u, text)
		}
	}
	tree, err := parser.ParseFile(token.NewFileSet(), "unit.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, d := range tree.Decls {
		if g, ok := d.(*ast.GenDecl); ok && g.Tok == token.VAR {
			n += len(g.Specs)
		}
	}
	if n != len(seen) {
		t.Errorf("%d units are declared, %d listed", n, len(seen))
	}
}

func TestCount(t *testing.T) {
	for _, w := range []struct{ got, want string }{
		{Count(0, "joint", "joints"), "0 joints"}, {Count(1, "joint", "joints"), "1 joint"}, {Count(-1, "joint", "joints"), "−1 joint"},
		{Count(1200, "vertex", "vertices"), "1_200 vertices"}, {Word(1, "is", "are"), "is"}, {Word(0, "is", "are"), "are"}, {Word(21, "is", "are"), "are"},
		{Sure(.876), "88 %"}, {Sure(.6), "60 %"},
	} {
		if got := strings.NewReplacer(gap, " ", thin, "_").Replace(w.got); got != w.want {
			t.Errorf("%q, want %q", got, w.want)
		}
	}
}

// A part of 1 that is many times 1 is told so, on both sides of where that begins.
func TestManyTimes(t *testing.T) {
	for _, row := range []struct {
		v    float64
		u    Unit
		want string
	}{
		{9.99, Share, Percent(9.99)}, {10, Share, "10 times"}, {195.6, Share, "196 times"}, {-12, Share, "−12 times"},
	} {
		if got := Quantity(row.v, row.u); got != row.want {
			t.Errorf("%g: %q, want %q", row.v, got, row.want)
		}
	}
}

// Regular plurals of English: -s, -es behind a hiss, -ies for a y.
func TestRegular(t *testing.T) {
	for n, want := range map[int][3]string{0: {"0 joints", "0 meshes", "0 bodies"}, 1: {"1 joint", "1 mesh", "1 body"}, 2: {"2 joints", "2 meshes", "2 bodies"}} {
		for i, one := range []string{"joint", "mesh", "body"} {
			if got := Regular(n, one); got != want[i] {
				t.Errorf("%q, want %q", got, want[i])
			}
		}
	}
}
