package check

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"
)

// Rows as a person should read them; the words were set by hand.
func TestSays(t *testing.T) {
	for _, w := range []struct {
		m           Measure
		says, limit string
	}{
		{Measure{Name: "outside", Value: .3986, Unit: "of the box", Limit: .25}, "39.9 % of the box", "25 % of the box"},
		{Measure{Name: "loss", Value: .5714, Unit: "of the volume", Limit: .35}, "−57.1 % volume", "−35 % volume"},
		{Measure{Name: "loss by dual quaternions", Value: -.02, Unit: "of the volume", Limit: math.NaN()}, "2 % volume", ""},
		{Measure{Name: "places", Value: 1, Unit: "places", Limit: 0}, "1 place", "0 places"},
		{Measure{Name: "lowest point", Value: .0387, Unit: "× height", Limit: .02, Whole: 2.236}, "86.5 mm (3.87 % of the height)", "44.7 mm (2 % of the height)"},
		{Measure{Name: "lowest point", Value: -.0387, Unit: "× height", Limit: .02}, "−3.87 % of the height", "2 % of the height"},
		{Measure{Name: "speed", Value: .8332, Unit: "× height/s", Limit: .05, Whole: 2.4665}, "2.06 m/s (83.3 % of the height a second)", "0.123 m/s (5 % of the height a second)"},
		{Measure{Name: "change", Value: .4374, Unit: "× length", Limit: .2}, "43.7 % of the length", "20 % of the length"},
		{Measure{Name: "its share of stature", Value: .255, Limit: math.NaN()}, "25.5 %", ""},
		{Measure{Name: "names", Value: 8, Limit: 0}, "8 names", "0 names"},
		{Measure{Name: "clips", Value: 1, Limit: math.NaN()}, "1 clip", ""},
		{Measure{Name: "largest weight", Value: .10475, Limit: .05}, "0.105", "0.05"},
		{Measure{Name: "p99", Value: 5.379, Unit: "× rest", Limit: 4}, "× 5.38 of rest", "× 4 of rest"},
		{Measure{Name: "turn", Value: 179.96, Unit: "°", Limit: .5}, "180°", "0.5°"},
		{Measure{Name: "share", Value: .9999, Unit: "share", Limit: .01}, "99.99 %", "1 %"},
		{Measure{Name: "vertices", Value: 1048, Unit: "vertices", Limit: 0}, "1 048 vertices", "0 vertices"},
		{Measure{Name: "vertices", Value: 1, Unit: "vertices", Limit: 1}, "1 vertex", "1 vertex"},
		{Measure{Name: "height", Value: 79.0289, Unit: "m", Limit: 3}, "79 m", "3 m"},
		{Measure{Name: "height", Value: 1.3406, Unit: "m", Limit: 3}, "1.34 m", "3 m"},
		{Measure{Name: "shift", Value: 0.0012, Unit: "m", Limit: math.NaN()}, "1.2 mm", ""},
		{Measure{Name: "shift", Value: 3.2e-7, Unit: "m", Limit: math.NaN()}, "0.32 µm", ""},
		{Measure{Name: "bytes", Value: 666712, Unit: "bytes", Limit: 1e6}, "667 kB", "1 MB"},
		{Measure{Name: "joints off", Value: .2857, Unit: "share of joints", Limit: .2}, "28.6 % of the joints", "20 % of the joints"},
		{Measure{Name: "turning speed", Value: 2314.29, Unit: "°/s", Limit: 2000}, "2 314°/s", "2 000°/s"},
		{Measure{Name: "largest ÷ smallest axis", Value: 1.001, Unit: "×", Limit: 1.001}, "× 1.001", "× 1.001"},
		{Measure{Name: "error", Value: math.NaN(), Unit: "m", Limit: 1}, "no value", "1 m"},
	} {
		plain := strings.NewReplacer("\u00a0", " ", "\u202f", " ")
		if got := plain.Replace(w.m.Says()); got != w.says {
			t.Errorf("%s %g %q: %q, want %q", w.m.Name, w.m.Value, w.m.Unit, got, w.says)
		}
		if got := plain.Replace(w.m.LimitSays()); got != w.limit {
			t.Errorf("%s, limit %g %q: %q, want %q", w.m.Name, w.m.Limit, w.m.Unit, got, w.limit)
		}
	}
}

// TestBeside: what is counted is named once.
func TestBeside(t *testing.T) {
	for _, w := range []struct {
		m    Measure
		want string
	}{
		{Measure{Name: "edges", Value: 278, Unit: "edges"}, "278"},
		{Measure{Name: "clips", Value: 1}, "1"},
		{Measure{Name: "joints outside", Value: 1, Unit: "joints"}, "1"},
		{Measure{Name: "without a partner", Value: 1, Unit: "vertices"}, "1\u00a0vertex"},
		{Measure{Name: "bytes", Value: 25132, Unit: "bytes"}, "25.1\u00a0kB"},
		{Measure{Name: "joints off", Value: .2857, Unit: "share of joints"}, "28.6\u00a0% of the joints"},
		{Measure{Name: "winding number", Value: .25, Unit: "winding number"}, "0.25"},
		{Measure{Name: "first key", Value: 1.000001, Unit: "key steps"}, "1\u00a0key step"},
		{Measure{Name: "length", Unit: "× diagonal", Whole: 2}, "0\u00a0m"},
	} {
		if got := w.m.Beside(); got != w.want {
			t.Errorf("%s: %q, want %q", w.m.Name, got, w.want)
		}
	}
}

func TestOne(t *testing.T) {
	for many, one := range map[string]string{
		"vertices": "vertex", "keys of unlike sign": "key of unlike sign", "joints without a name": "joint without a name",
		"axes": "axis", "patches": "patch", "copies": "copy", "loss": "loss", "winding number": "winding number", "radius": "radius", "breaches": "breach", "bytes": "byte", "pairs": "pair",
	} {
		if got := One(many); got != one {
			t.Errorf("%s: %q, want %q", many, got, one)
		}
	}
}

func FuzzSays(f *testing.F) {
	f.Add(1.5, "m", "x")
	f.Fuzz(func(t *testing.T, v float64, unit, name string) {
		m := Measure{Name: name, Value: v, Unit: unit, Limit: v, Whole: v}
		if m.Says() == "" || m.LimitSays() == "" && !math.IsNaN(v) {
			t.Errorf("%g %q says nothing", v, unit)
		}
	})
}

// TestSaysAsThePage: the page's own words for a number are the engine's; both read this
// table (site/test/words.test.js is the other reader).
func TestSaysAsThePage(t *testing.T) {
	data, err := os.ReadFile("../../testdata/says.json")
	if err != nil {
		t.Fatal(err)
	}
	var rows [][3]any
	if err := json.Unmarshal(data, &rows); err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		got := strings.NewReplacer("\u00a0", " ", "\u202f", "_").Replace(Quantity(row[0].(float64), row[1].(string)))
		if got != row[2] {
			t.Errorf("%v %q: %q, want %q", row[0], row[1], got, row[2])
		}
	}
}
