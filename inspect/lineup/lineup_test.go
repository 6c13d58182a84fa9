package lineup

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/intake"
	"rigloupe/inspect/lamplighter"
)

// planted is the sample with the first fault of each check named, as the reader
// reads it. Bends is left out: what the sample's own joints do there is no planted
// fault, and TestBendsCount looks at it.
func planted(t *testing.T, ids ...string) *inspect.Result {
	t.Helper()
	key := strings.Join(ids, " ")
	if had[key] == nil {
		had[key] = examined(t, inspect.Options{Only: []string{"intake", "surface", "skeleton", "binding", "motion"}}, ids...)
	}
	return had[key]
}

// had is what was examined already: nothing changes it.
var had = map[string]*inspect.Result{}

// TestBendsCount: of a bound model, what breaks when it bends counts for rigging,
// and stands behind "already bound, with flaws".
func TestBendsCount(t *testing.T) {
	row := Of("x.glb", examined(t, inspect.Options{}))
	bends := 0
	for _, b := range row.Brief {
		if strings.HasPrefix(b.ID, "bends/") && b.Grade == "flaw" {
			bends++
			if !b.Counts {
				t.Errorf("%+v does not count", b)
			}
		}
	}
	if bends == 0 {
		t.Skip("the sample has no flaw in Bends any more")
	}
	if c := row.Cells["ready"]; c.Value != boundFlaws || !strings.HasPrefix(c.Check, "bends/") || row.Counted.Flaw < bends {
		t.Errorf("%+v, %+v", c, row.Counted)
	}
}

func examined(t *testing.T, o inspect.Options, ids ...string) *inspect.Result {
	t.Helper()
	r := lamplighter.Build(lamplighter.Options{Vertices: 4000, Sway: true})
	for _, id := range ids {
		i := slices.IndexFunc(lamplighter.Faults(), func(f lamplighter.Fault) bool { return f.ID == id })
		if i < 0 {
			t.Fatalf("no fault %s", id)
		}
		r, _ = lamplighter.Faults()[i].On(r)
	}
	read, err := gltfio.Read([]gltfio.File{{Name: "x.glb", Data: lamplighter.Write(r)}}, gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	res, err := inspect.Examine(context.Background(), read, o)
	if err != nil {
		t.Fatal(err)
	}
	return res
}

const bare = "intake/nothing-bound"

// TestArgument: each planted set has one reason, and the argument names that one.
func TestArgument(t *testing.T) {
	row := func(name string, ids ...string) Row { return Of(name, planted(t, ids...)) }
	for _, w := range []struct {
		name    string
		rows    []Row
		verdict string
		best    string
		decided string
		says    []string
		not     []string
	}{
		{"cracked against sound, none bound", []Row{row("cracked.glb", "surface/branching-edges", bare), row("sound.glb", bare)},
			"best", "sound.glb", "stops", []string{
				`"sound.glb" is the best of these 2 for rigging: it is ready to bind as it stands.`,
				`The runner-up, "cracked.glb", stands behind because it has 1 stop (not ready to bind), the other none.`}, []string{"bound anew"}},
		{"bound against not bound", []Row{row("a-bare.glb", bare), row("bound.glb")},
			"best", "bound.glb", "bound", []string{"it is already bound, and no stop stands in its way", "stands behind because it is not bound yet",
				`To be bound anew, "a-bare.glb" comes first of those not bound: it is ready to bind as it stands.`}, nil},
		{"bound with flaws against a bare one without", []Row{row("bare.glb", bare), row("rough.glb", "binding/stray-island")},
			"best", "rough.glb", "bound", []string{`on the other hand "rough.glb" has 1 flaw`, `What remains to be mended in "rough.glb": 1 flaw`}, nil},
		{"a stop undoes what is bound", []Row{row("bad.glb", "binding/unplugged"), row("bare.glb", bare)},
			"best", "bare.glb", "stops", []string{`"bad.glb", stands behind because it has`}, nil},
		{"flaws of clips are owned up to", []Row{row("still.glb", "motion/still-chain"), row("bare.glb", bare)},
			"best", "still.glb", "bound", []string{"Nothing must be mended in \"still.glb\"", "its clips have 1 flaw and 1 note of their own"}, []string{"on the other hand"}},
		{"lopsided", []Row{row("lop.glb", "surface/lopsided"), row("sound.glb")},
			"best", "sound.glb", "flaws", []string{"it has 1 flaw (sides not alike), the other none"}, nil},
		{"steps", []Row{row("steps.glb", "surface/mixed-winding", bare), row("sound.glb", bare)},
			"best", "sound.glb", "steps", []string{"it needs 1 step before it is bound (", "neighbours that face opposite ways"}, nil},
		{"level", []Row{row("b.glb"), row("a.glb")},
			"level", "a.glb b.glb", "", []string{`"a.glb" and "b.glb" stand level: nothing that decides tells them apart.`, "They are alike in every column."}, nil},
		{"level before a third", []Row{row("b.glb"), row("c.glb", "surface/lopsided"), row("a.glb")},
			"level", "a.glb b.glb", "flaws", []string{`The runner-up, "c.glb"`}, nil},
		{"none fit", []Row{row("one.glb", "surface/branching-edges", bare), row("two.glb", "surface/near-coincident", "surface/branching-edges", bare)},
			"none-fit", "one.glb", "steps", []string{"None of these 2 is fit for rigging as it is.", `The nearest is "one.glb": it is not ready to be bound`}, []string{"the best"}},
		{"what would hinder binding anew is no stop of what is bound", []Row{row("cracked.glb", "surface/branching-edges"), row("bare.glb", bare)},
			"best", "cracked.glb", "bound", []string{"no stop stands in its way.", "1 flaw (branching edges)"}, []string{"not ready"}},
		{"one alone", []Row{row("a.glb"), UnreadRow("b.glb", "no glTF")},
			"only", "a.glb", "", []string{`"a.glb" is the only one that was examined`, "1 file could not be read."}, []string{"the best"}},
		{"one alone, not fit", []Row{row("a.glb", "surface/branching-edges", bare)},
			"none-fit", "a.glb", "", []string{"It is not ready to be bound, with 1 stop"}, nil},
		{"none read", []Row{UnreadRow("a.glb", "x"), UnreadRow("b.glb", "y")}, "none-read", "", "", []string{"None of the 2 files could be read"}, nil},
		{"part", []Row{Of("a.glb", examined(t, inspect.Options{Only: []string{"intake"}}))}, "none-placed", "", "", []string{"Intake and Surface are needed"}, nil},
	} {
		t.Run(w.name, func(t *testing.T) {
			got := New(w.rows).Argument
			if got.Verdict != w.verdict || strings.Join(got.Best, " ") != w.best || got.Decided != w.decided {
				t.Errorf("%s %v %q, want %s %s %q", got.Verdict, got.Best, got.Decided, w.verdict, w.best, w.decided)
			}
			for _, s := range w.says {
				if !strings.Contains(got.Says, s) {
					t.Errorf("does not say %q:\n%s", s, got.Says)
				}
			}
			for _, s := range w.not {
				if strings.Contains(got.Says, s) {
					t.Errorf("says %q:\n%s", s, got.Says)
				}
			}
			// In any order, and when the rows have crossed as text: the same bytes.
			want := written(t, w.rows)
			for range len(w.rows) {
				w.rows = append(w.rows[1:], w.rows[0])
				crossed, err := json.Marshal(w.rows)
				if err != nil {
					t.Fatal(err)
				}
				var rows []Row
				if err := json.Unmarshal(crossed, &rows); err != nil {
					t.Fatal(err)
				}
				if other := written(t, rows); other != want {
					t.Errorf("another order, another answer:\n%s\n%s", want, other)
				}
			}
		})
	}
}

func written(t *testing.T, rows []Row) string {
	t.Helper()
	var b bytes.Buffer
	if err := New(rows).WriteJSON(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestCells: every number is the examination's own fact, and leads to the finding.
func TestCells(t *testing.T) {
	res := planted(t, "surface/branching-edges", "surface/lopsided")
	row := Of("dir/x.glb", res)
	var b bytes.Buffer
	if err := res.WriteJSON(&b, false); err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Findings []struct{ ID, Grade string }
		Facts    struct {
			Intake struct {
				Vertices, Triangles, Joints, Clips float64
				Figure                             struct{ Height float64 }
			}
			Surface struct {
				Shells float64
				Loops  float64 `json:"boundary_loops"`
				Near   float64 `json:"near_pairs"`
				Held   float64 `json:"held_apart_pairs"`
				Mirror struct {
					Share float64 `json:"unmatched_share"`
				}
			}
		} `json:"facts_of"`
	}
	if err := json.Unmarshal(b.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	i, s := doc.Facts.Intake, doc.Facts.Surface
	for key, want := range map[string]any{
		"height": i.Figure.Height, "vertices": i.Vertices, "triangles": i.Triangles, "joints": i.Joints, "clips": i.Clips,
		"shells": s.Shells, "holes": s.Loops, "near": s.Near - s.Held, "lopsided": s.Mirror.Share,
		"skin": "yes", "arms": "T",
	} {
		if got := row.Cells[key].Value; got != want {
			t.Errorf("%s: %v, the examination says %v", key, got, want)
		}
	}
	grades := map[string]float64{}
	for _, f := range doc.Findings {
		grades[f.Grade]++
	}
	for key, grade := range map[string]string{"stops": "stop", "flaws": "flaw", "notes": "note"} {
		if got := row.Cells[key].Value; got != grades[grade] {
			t.Errorf("%s: %v, the ledger has %v", key, got, grades[grade])
		}
	}
	for key, c := range row.Cells {
		if c.Finding == 0 {
			if c.State == "found" {
				t.Errorf("%s: found, and no number: %+v", key, c)
			}
			continue
		}
		if f := doc.Findings[c.Finding-1]; f.ID != c.Check || f.Grade != c.Grade {
			t.Errorf("%s leads to finding %d, %+v; the cell says %+v", key, c.Finding, f, c)
		}
	}
	if c := row.Cells["lopsided"]; c.Check != "surface/lopsided" || c.Grade != "flaw" {
		t.Errorf("lopsided: %+v", c)
	}
	if len(row.Cells) != len(columns) {
		t.Errorf("%d cells of %d columns", len(row.Cells), len(columns))
	}
}

// TestColumnsKnow: the checks that columns name exist.
func TestColumnsKnow(t *testing.T) {
	known := map[string]bool{"": true}
	for _, s := range inspect.Catalogue() {
		for _, e := range s.Entries {
			known[e.ID] = true
		}
	}
	for _, c := range columns {
		if !known[c.Check] {
			t.Errorf("column %s names %s, which is no check", c.Key, c.Check)
		}
	}
}

// TestReady: what the last column says of each kind of model.
func TestReady(t *testing.T) {
	for _, w := range []struct {
		name, want, skin string
		ids              []string
	}{
		{"sound, bound", bound, "yes", nil},
		{"bound, with a flaw", boundFlaws, "yes", []string{"binding/stray-island"}},
		{"bound, with a stop", boundStops, "yes", []string{"binding/bad-index"}},
		{"bare", isReady, "none", []string{bare}},
		{"bare, a step", afterSteps, "none", []string{bare, "surface/mixed-winding"}},
		{"bare, cracked", notYet, "none", []string{bare, "surface/branching-edges"}},
	} {
		row := Of("x.glb", planted(t, w.ids...))
		if got := row.Cells["ready"].Value; got != w.want || row.Cells["skin"].Value != w.skin {
			t.Errorf("%s: %v, skin %v; want %s, %s", w.name, got, row.Cells["skin"].Value, w.want, w.skin)
		}
	}
}

// TestLimits: moved limits move the argument.
func TestLimits(t *testing.T) {
	loose := inspect.Options{Only: []string{"intake", "surface", "skeleton", "binding"}, Limits: check.Overrides{"surface/lopsided": {"share": 1, "largest": 1}}}
	got := New([]Row{Of("lop.glb", examined(t, loose, "surface/lopsided")), Of("sound.glb", examined(t, loose))}).Argument
	if got.Decided == "flaws" {
		t.Errorf("a limit that allows all decides all the same: %s", got.Says)
	}
}

func TestLeftOut(t *testing.T) {
	row := Of("x.glb", examined(t, inspect.Options{Only: []string{"surface"}}))
	if row.State != Part {
		t.Errorf("state %s without Intake", row.State)
	}
	if c := row.Cells["height"]; c.Value != nil || c.Reason == "" || c.State != "not-looked-at" {
		t.Errorf("height %+v", c)
	}
	if c := row.Cells["shells"]; c.Value == nil {
		t.Errorf("shells %+v", c)
	}
	t2 := New([]Row{row, Of("whole.glb", planted(t))})
	if t2.Rows[0].File != "whole.glb" || t2.Rows[1].Place != 0 || !strings.Contains(t2.Argument.Says, "1 model was not examined to the end") {
		t.Errorf("%+v", t2.Argument)
	}
}

func TestNames(t *testing.T) {
	row := func(path string) Row { return Row{Path: path, State: Unread} }
	var got []string
	for _, r := range New([]Row{row("a/x.glb"), row("b/x.glb"), row("c/y.glb"), row("c/y.glb"), row(`d\z.glb`)}).Rows {
		got = append(got, r.File)
	}
	if want := "a/x.glb b/x.glb c/y.glb (1) c/y.glb (2) z.glb"; strings.Join(got, " ") != want {
		t.Errorf("%v, want %s", got, want)
	}
}

func TestSort(t *testing.T) {
	table := New([]Row{Of("lop.glb", planted(t, "surface/lopsided")), Of("a.glb", planted(t)), Of("bare.glb", planted(t, bare)), UnreadRow("zz.glb", "no")})
	for _, w := range []struct{ by, want string }{
		{"place", "a.glb lop.glb bare.glb zz.glb"},
		{"-place", "bare.glb lop.glb a.glb zz.glb"},
		{"-lopsided", "lop.glb"},
		{"joints", "bare.glb"},
		{"file", "a.glb bare.glb lop.glb zz.glb"},
		{"-file", "zz.glb lop.glb bare.glb a.glb"},
		{"arms", "lop.glb a.glb zz.glb bare.glb"}, // words; no arms and no file have no value and stay as they were
	} {
		if err := table.Sort("-file"); err != nil {
			t.Fatal(err)
		}
		if err := table.Sort(w.by); err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(files(table.Rows), " "); !strings.HasPrefix(got, w.want) {
			t.Errorf("%s: %s, want %s", w.by, got, w.want)
		}
	}
	if err := table.Sort("weight"); err == nil || !strings.Contains(err.Error(), "lopsided") {
		t.Errorf("%v", err)
	}
}

func TestCSV(t *testing.T) {
	var b strings.Builder
	res := planted(t)
	height := strconv.FormatFloat(res.Stations[0].Facts.(*intake.Facts).Figure.Height, 'f', -1, 64)
	if err := New([]Row{Of("dir/=1+1.glb", res), UnreadRow("x.glb", "-broken, \"quite\"")}).WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(b.String())).ReadAll()
	if err != nil || len(rows) != 3 {
		t.Fatalf("%v, %d rows", err, len(rows))
	}
	if got := strings.Join(rows[0], ","); got != "place,file,state,height_m,vertices,triangles,materials,pictures_bytes,shells,holes,near,lopsided_share,skin,joints,arms,clips,stops,flaws,notes,ready,error" {
		t.Errorf("head %s", got)
	}
	if rows[1][1] != "'=1+1.glb" || rows[1][0] != "1" || rows[1][3] != height {
		t.Errorf("%q", rows[1])
	}
	if last := rows[2][len(rows[2])-1]; last != "'-broken, \"quite\"" || rows[2][3] != "" {
		t.Errorf("%q", rows[2])
	}
}

// TestArmsOfPeople: arms count for bound people alone; a fox has none to hold.
func TestArmsOfPeople(t *testing.T) {
	arms := func(body string, bound bool, pose any) int {
		return otherArms(&Row{Body: body, Bound: bound, Cells: Cells{"arms": {Value: pose}}})
	}
	for _, w := range []struct {
		body  string
		bound bool
		pose  any
		want  int
	}{
		{"human", true, "T", 0}, {"human", true, "A", 0}, {"human", true, "hanging", 1}, {"human", true, nil, 1},
		{"four-legged", true, nil, 0}, {"hand", true, nil, 0}, {"", false, nil, 0},
	} {
		if got := arms(w.body, w.bound, w.pose); got != w.want {
			t.Errorf("%+v: %d", w, got)
		}
	}
}

// TestReason: a row says in a line what parts it from the nearest better one; the first
// what it is like, rows level with it the same.
func TestReason(t *testing.T) {
	of := func(name string, stops, flaws int) Row {
		r := Row{Path: name, State: Examined, Bound: true, Fit: stops == 0, Body: "human", Cells: Cells{}, Counted: Counted{Stop: stops, Flaw: flaws}}
		for i := range stops {
			r.Brief = append(r.Brief, Brief{ID: fmt.Sprint("a/", i), Grade: "stop", Title: fmt.Sprint("Bad ", i), Counts: true})
		}
		for i := range flaws {
			r.Brief = append(r.Brief, Brief{ID: fmt.Sprint("b/", i), Grade: "flaw", Title: fmt.Sprint("Poor ", i), Counts: true})
		}
		return r
	}
	got := New([]Row{of("c.glb", 0, 2), of("d.glb", 1, 0), UnreadRow("x.glb", "no"), of("a.glb", 0, 0), of("b.glb", 0, 0), {Path: "p.glb", State: Part}})
	for i, want := range []string{
		"a.glb is already bound, and no stop stands in its way",
		"b.glb is already bound, and no stop stands in its way",
		"c.glb has 2 flaws (poor 0; poor 1), the other none",
		"d.glb has 1 stop (bad 0), the other none",
		"p.glb not examined to the end",
		"x.glb could not be read",
	} {
		if r := got.Rows[i]; r.File+" "+r.Reason != want {
			t.Errorf("%d: %q, want %q", i, r.File+" "+r.Reason, want)
		}
	}
}
