package compare

import (
	"context"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// examined examines the sample with faults planted into it.
func examined(t *testing.T, faults ...string) *inspect.Result {
	t.Helper()
	key := strings.Join(faults, " ")
	if had[key] != nil {
		return had[key]
	}
	g := lamplighter.Build(lamplighter.Options{})
	for _, id := range faults {
		at := slices.IndexFunc(lamplighter.Faults(), func(f lamplighter.Fault) bool { return f.ID == id })
		g, _ = lamplighter.Faults()[at].On(g)
	}
	had[key] = result(t, g, inspect.Options{})
	return had[key]
}

// had is what was examined already: nothing changes it.
var had = map[string]*inspect.Result{}

func result(t *testing.T, g *rig.Rig, o inspect.Options) *inspect.Result {
	t.Helper()
	g.SetOrder()
	res, err := inspect.Examine(context.Background(), g, o)
	if err != nil {
		t.Fatal(err)
	}
	return res
}

func side(t *testing.T, r *inspect.Result) *Side {
	t.Helper()
	s, err := Of(r)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func ids(list []Finding) (out []string) {
	for _, f := range list {
		if f.Grade != "note" {
			out = append(out, f.ID)
		}
	}
	return out
}

// TestPlantedPairs: what is planted on one side alone is new, or gone, and it alone; the
// same figure twice changes nothing.
func TestPlantedPairs(t *testing.T) {
	for _, row := range []struct {
		old, new    []string
		fresh, gone []string
		worst       check.Grade
	}{
		{nil, nil, nil, nil, 0},
		{nil, []string{"binding/unbound"}, []string{"binding/unbound"}, nil, check.Stop},
		{[]string{"binding/unbound"}, nil, nil, []string{"binding/unbound"}, 0},
		{[]string{"binding/stray-island"}, []string{"binding/cross-body"}, []string{"binding/cross-body"}, []string{"binding/stray-island"}, check.Flaw},
		{[]string{"binding/stray-island"}, []string{"binding/stray-island", "motion/off-unit"}, []string{"motion/off-unit"}, nil, check.Flaw},
		{nil, []string{"intake/odd-height"}, []string{"intake/odd-height"}, nil, check.Flaw},
	} {
		r := Between(side(t, examined(t, row.old...)), side(t, examined(t, row.new...)))
		if got := ids(r.Fresh); !slices.Equal(got, row.fresh) {
			t.Errorf("%v → %v: new are %v, want %v", row.old, row.new, got, row.fresh)
		}
		if got := ids(r.Gone); !slices.Equal(got, row.gone) {
			t.Errorf("%v → %v: gone are %v, want %v", row.old, row.new, got, row.gone)
		}
		if r.Worst() != row.worst {
			t.Errorf("%v → %v: worst is %v", row.old, row.new, r.Worst())
		}
		if same := row.old == nil && row.new == nil; same != strings.HasPrefix(r.Says, "Nothing changed: 5") {
			t.Errorf("%v → %v: %s", row.old, row.new, r.Says)
		}
		if n := len(r.Counts); row.worst == check.Flaw && row.old == nil && row.new[0] == "intake/odd-height" {
			if n != 1 || r.Counts[0] != (Change{"height", "1.86\u00a0m", "186\u00a0m"}) {
				t.Errorf("the height is told as %v", r.Counts)
			}
		} else if n != 0 {
			t.Errorf("%v → %v: %v", row.old, row.new, r.Counts)
		}
	}
}

// TestPairs: by grade first, then by the measure, whichever way its limit points; two that
// tell of the same joints in another order are one; two of one check without a common
// subject or joint are a new and a gone one.
func TestPairs(t *testing.T) {
	v := func(x float64) *float64 { return &x }
	f := func(n int, id, grade, subject string, value *float64, below bool, place string) Finding {
		return Finding{Number: n, ID: id, Grade: grade, Subject: subject, value: value, below: below, place: place}
	}
	old := &Side{Findings: []Finding{
		f(1, "a/up", "flaw", "arm", v(2), false, ""),
		f(2, "a/down", "flaw", "arm", v(2), true, ""),
		f(3, "a/grade", "note", "arm", v(9), false, ""),
		f(4, "a/order", "note", "L and R", v(1), false, "L\nR"),
		f(5, "a/count", "note", "3 shells", v(3), false, ""),
		f(6, "a/two", "note", "here", v(1), false, "x"),
		f(7, "a/two", "note", "there", v(1), false, "y"),
	}}
	new := &Side{Findings: []Finding{
		f(1, "a/up", "flaw", "arm", v(3), false, ""),
		f(2, "a/down", "flaw", "arm", v(3), true, ""),
		f(3, "a/grade", "stop", "arm", v(1), false, ""),
		f(4, "a/order", "note", "R and L", v(1), false, "L\nR"),
		f(5, "a/count", "note", "2 shells", v(2), false, ""),
		f(6, "a/two", "note", "elsewhere", v(1), false, "z"),
	}}
	r := Between(old, new)
	number := func(list []Pair) (out []int) {
		for _, p := range list {
			out = append(out, p.Is.Number)
		}
		slices.Sort(out)
		return out
	}
	if w, b, s := number(r.Worse), number(r.Better), number(r.Same); !slices.Equal(w, []int{1, 3}) || !slices.Equal(b, []int{2, 5}) || !slices.Equal(s, []int{4}) {
		t.Errorf("worse %v, better %v, same %v", w, b, s)
	}
	if len(r.Fresh) != 1 || r.Fresh[0].Subject != "elsewhere" || len(r.Gone) != 2 {
		t.Errorf("new %v, gone %v", r.Fresh, r.Gone)
	}
	if r.Worst() != check.Stop || !r.IsNew(3) || !r.IsNew(6) || r.IsNew(1) {
		t.Errorf("worst %v; new: 3 %v, 6 %v, 1 %v", r.Worst(), r.IsNew(3), r.IsNew(6), r.IsNew(1))
	}
}

// TestUnknown: a station that did not run on one side makes nothing gone.
func TestUnknown(t *testing.T) {
	whole := side(t, examined(t, "binding/unbound"))
	part := side(t, result(t, lamplighter.Build(lamplighter.Options{}), inspect.Options{Only: []string{"intake"}}))
	r := Between(whole, part)
	for _, f := range append(r.Gone, r.Fresh...) {
		if !strings.HasPrefix(f.ID, "intake/") {
			t.Errorf("%s is told, and its station did not run", f.ID)
		}
	}
	if len(r.Unknown) != 5 {
		t.Errorf("unknown: %v", r.Unknown)
	}
}

// TestRead: of a document of several lines the one of the file's name; what is none is
// refused in words.
func TestRead(t *testing.T) {
	lines := `{"facts":1,"file":{"name":"a.glb"},"findings":[]}` + "\n" + `{"facts":1,"file":{"name":"b.glb"},"findings":[]}` + "\n"
	for name, want := range map[string]string{"b.glb": "b.glb", "a.glb": "a.glb", "c.glb": "a.glb"} {
		s, err := Read([]byte(lines), name)
		if err != nil || s.File != want {
			t.Errorf("%s: %v, %v", name, s, err)
		}
	}
	for _, row := range [][2]string{
		{`{}`, `"facts" is missing`}, {`[1]`, "no examination saved as JSON"}, {`{"facts":9}`, "facts version 9"},
		{`{"file":"x.glb","error":"cut short"}`, "no examination"}, {``, "no examination"},
	} {
		if _, err := Read([]byte(row[0])); err == nil || !strings.Contains(err.Error(), row[1]) {
			t.Errorf("%s: %v", row[0], err)
		}
	}
}
