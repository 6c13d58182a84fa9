package check

import (
	"math"
	"strings"
	"testing"

	"rigloupe/inspect/say"
)

// Rows as a person should read them; the words were set by hand.
func TestSays(t *testing.T) {
	for _, w := range []struct {
		m           Measure
		says, limit string
	}{
		{Measure{Name: "outside", Value: .3986, Unit: say.PartOfBox, Limit: .25}, "39.9 % of the box", "25 % of the box"},
		{Measure{Name: "loss", Value: .5714, Unit: say.PartOfVolume, Limit: .35}, "−57.1 % volume", "−35 % volume"},
		{Measure{Name: "loss by dual quaternions", Value: -.02, Unit: say.PartOfVolume, Limit: math.NaN()}, "2 % volume", ""},
		{Measure{Name: "places", Value: 1, Unit: say.Places, Limit: 0}, "1 place", "0 places"},
		{Measure{Name: "lowest point", Value: .0387, Unit: say.TimesHeight, Limit: .02, Whole: 2.236}, "86.5 mm (3.87 % of the height)", "44.7 mm (2 % of the height)"},
		{Measure{Name: "lowest point", Value: -.0387, Unit: say.TimesHeight, Limit: .02}, "−3.87 % of the height", "2 % of the height"},
		{Measure{Name: "speed", Value: .8332, Unit: say.TimesHeightPerSecond, Limit: .05, Whole: 2.4665}, "2.06 m/s (83.3 % of the height a second)", "0.123 m/s (5 % of the height a second)"},
		{Measure{Name: "change", Value: .4374, Unit: say.TimesLength, Limit: .2}, "43.7 % of the length", "20 % of the length"},
		{Measure{Name: "its share of stature", Value: .255, Unit: say.Share, Limit: math.NaN()}, "25.5 %", ""},
		{Measure{Name: "names", Value: 8, Unit: say.Names, Limit: 0}, "8 names", "0 names"},
		{Measure{Name: "clips", Value: 1, Unit: say.Clips, Limit: math.NaN()}, "1 clip", ""},
		{Measure{Name: "largest weight", Value: .10475, Limit: .05}, "0.105", "0.05"},
		{Measure{Name: "p99", Value: 5.379, Unit: say.TimesRest, Limit: 4}, "× 5.38 of rest", "× 4 of rest"},
		{Measure{Name: "turn", Value: 179.96, Unit: say.Degree, Limit: .5}, "180°", "0.5°"},
		{Measure{Name: "share", Value: .9999, Unit: say.Share, Limit: .01}, "99.99 %", "1 %"},
		{Measure{Name: "vertices", Value: 1048, Unit: say.Vertices, Limit: 0}, "1 048 vertices", "0 vertices"},
		{Measure{Name: "vertices", Value: 1, Unit: say.Vertices, Limit: 1}, "1 vertex", "1 vertex"},
		{Measure{Name: "height", Value: 79.0289, Unit: say.Metre, Limit: 3}, "79 m", "3 m"},
		{Measure{Name: "height", Value: 1.3406, Unit: say.Metre, Limit: 3}, "1.34 m", "3 m"},
		{Measure{Name: "shift", Value: 0.0012, Unit: say.Metre, Limit: math.NaN()}, "1.2 mm", ""},
		{Measure{Name: "shift", Value: 3.2e-7, Unit: say.Metre, Limit: math.NaN()}, "0.32 µm", ""},
		{Measure{Name: "bytes", Value: 666712, Unit: say.Byte, Limit: 1e6}, "667 kB", "1 MB"},
		{Measure{Name: "joints off", Value: .2857, Unit: say.ShareOfJoints, Limit: .2}, "28.6 % of the joints", "20 % of the joints"},
		{Measure{Name: "turning speed", Value: 2314.29, Unit: say.DegreePerSecond, Limit: 2000}, "2 314°/s", "2 000°/s"},
		{Measure{Name: "largest ÷ smallest axis", Value: 1.001, Unit: say.Factor, Limit: 1.001}, "× 1.001", "× 1.001"},
		{Measure{Name: "skins", Value: 0, Unit: say.Skins, Limit: 1, Below: true}, "0 skins", "fewer than 1 skin"},
		{Measure{Name: "height", Value: .2, Unit: say.Metre, Limit: .5, Below: true}, "0.2 m", "less than 0.5 m"},
		{Measure{Name: "length", Value: .0005, Unit: say.TimesDiagonal, Limit: .001, Whole: 2, Below: true}, "1 mm (0.05 % of the diagonal)", "less than 2 mm (0.1 % of the diagonal)"},
		{Measure{Name: "speed", Value: 1, Unit: say.FileUnitsPerSecond, Limit: math.NaN()}, "1 unit/s", ""},
		{Measure{Name: "error", Value: math.NaN(), Unit: say.Metre, Limit: 1}, "no value", "1 m"},
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
		{Measure{Name: "edges", Value: 278, Unit: say.Edges}, "278"},
		{Measure{Name: "clips", Value: 1, Unit: say.Clips}, "1"},
		{Measure{Name: "spare keys", Value: 1200, Unit: say.Keys}, "1\u202f200"},
		{Measure{Name: "joints outside", Value: 1, Unit: say.Joints}, "1"},
		{Measure{Name: "without a partner", Value: 1, Unit: say.Vertices}, "1\u00a0vertex"},
		{Measure{Name: "bytes", Value: 25132, Unit: say.Byte}, "25.1\u00a0kB"},
		{Measure{Name: "joints off", Value: .2857, Unit: say.ShareOfJoints}, "28.6\u00a0% of the joints"},
		{Measure{Name: "winding number", Value: .25, Unit: say.Winding}, "0.25"},
		{Measure{Name: "first key", Value: 1.000001, Unit: say.KeySteps}, "1\u00a0key step"},
		{Measure{Name: "length", Unit: say.TimesDiagonal, Whole: 2}, "0\u00a0m"},
	} {
		if got := w.m.Beside(); got != w.want {
			t.Errorf("%s: %q, want %q", w.m.Name, got, w.want)
		}
	}
}

// TestAgainst: a limit beside its value tells on which side of it the fault lies.
func TestAgainst(t *testing.T) {
	for _, w := range []struct {
		m    Measure
		want string
	}{
		{Measure{Name: "skins", Unit: say.Skins, Limit: 1, Below: true}, "fewer than 1\u00a0skin"},
		{Measure{Name: "height", Unit: say.Metre, Limit: .5, Below: true}, "less than 0.5\u00a0m"},
		{Measure{Name: "height", Unit: say.Metre, Limit: 3}, "limit\u00a03\u00a0m"},
		{Also("joints", 3, say.Joints), "listed"},
	} {
		if got := w.m.Against(); got != w.want {
			t.Errorf("%s: %q, want %q", w.m.Name, got, w.want)
		}
	}
}

// TestLimitSays: when a limit is passed, in words.
func TestLimitSays(t *testing.T) {
	for _, w := range []struct {
		l    Limit
		want string
	}{
		{Limit{Unit: say.Skins, Value: 1, Below: true}, "fewer than 1 skin"},
		{Limit{Unit: say.Vertices, Value: 0}, "any vertex"},
		{Limit{Unit: say.Shells, Value: 1}, "more than 1 shell"},
		{Limit{Unit: say.Clips, Value: 3, Reached: true}, "3 clips or more"},
		{Limit{Unit: say.Joints, Value: 1, Reached: true}, "1 joint or more"},
		{Limit{Unit: say.Metre, Value: .5, Below: true}, "less than 0.5 m"},
		{Limit{Unit: say.TimesDiagonal, Value: .01, Below: true, Reached: true}, "1 % of the diagonal or less"},
		{Limit{Unit: say.Share, Value: .05}, "more than 5 %"},
		{Limit{Unit: say.Share, Value: 0}, "more than 0 %"},
		{Limit{Value: .35}, "more than 0.35"},
	} {
		if got := strings.NewReplacer("\u00a0", " ").Replace(w.l.Says()); got != w.want {
			t.Errorf("%+v: %q, want %q", w.l, got, w.want)
		}
	}
}

func FuzzSays(f *testing.F) {
	f.Add(1.5, "m", "x")
	f.Fuzz(func(t *testing.T, v float64, unit, name string) {
		m := Measure{Name: name, Value: v, Unit: say.Unit{One: unit, Many: unit}, Limit: v, Whole: v}
		if m.Says() == "" || m.LimitSays() == "" && !math.IsNaN(v) {
			t.Errorf("%g %q says nothing", v, unit)
		}
	})
}
