package road

import (
	"context"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// walked is the road of the sample with a fault.
func walked(t *testing.T, fault string, plant func(*rig.Rig), o inspect.Options) (Road, *inspect.Result) {
	t.Helper()
	r := lamplighter.Build(lamplighter.Options{})
	if fault != "" {
		at := slices.IndexFunc(lamplighter.Faults(), func(f lamplighter.Fault) bool { return f.ID == fault })
		if at < 0 {
			t.Fatalf("no fault %q", fault)
		}
		r, _ = lamplighter.Faults()[at].On(r)
	}
	if plant != nil {
		plant(r)
	}
	res, err := inspect.Examine(context.Background(), r, o)
	if err != nil {
		t.Fatal(err)
	}
	return Of(res), res
}

func (r *Road) step(id string) *Step {
	for i := range r.Steps {
		if r.Steps[i].ID == id {
			return &r.Steps[i]
		}
	}
	return &Step{}
}

// plain has the blanks of a keyboard, not those that keep a number with its unit.
func plain(s string) string { return strings.ReplaceAll(s, "\u00a0", " ") }

// A fault is to be done on the one step where that work is done, is named there, and what
// comes next is the first step with something to do. The chains of the sample hang stiff:
// that is left on every road.
func TestFaultsOnTheRoad(t *testing.T) {
	for _, row := range rounds.Rows([]struct {
		fault, step, says, next string
		plant                   func(*rig.Rig)
	}{
		{"", "parts", "chain that stays still (12 joints)", "parts", nil},
		{"intake/odd-height", "scale", "unlikely height (186 m)", "scale", nil},
		{"surface/inside-out", "weld", "shell turned inside out", "weld", nil},
		{"binding/unbound", "bind", "vertices bound to nothing", "bind", nil},
		{"binding/mirror-mismatch", "even", "weights differ by side", "even", nil},
		{"skeleton/name-clash", "fit", "name used twice", "fit", nil},
		{"skeleton/loose-chain", "parts", "chain hangs on nothing", "parts", nil}, // the surface drawn out beside it follows from it: nothing to do for who binds
		{"motion/stray-key", "motion", "", "parts", nil},
		{"", "bind", "not bound to its joints", "bind", func(r *rig.Rig) { lamplighter.Unskin(r) }},
		{"", "motion", "no clip moves it yet", "motion", func(r *rig.Rig) { r.Clips = nil }},
	}, 3) {
		way, res := walked(t, row.fault, row.plant, inspect.Options{})
		s := way.step(row.step)
		if s.State != ToDo || !strings.HasPrefix(plain(s.Says), row.says) || way.Next != row.next || !strings.HasPrefix(way.Says, "Next: ") {
			t.Errorf("%s: %s is %s, %q; next %q: %s", row.fault, row.step, s.State, s.Says, way.Next, way.Says)
		}
		// Every finding that stands by itself is on one step, and on no other.
		on := map[int]int{}
		for _, s := range way.Steps {
			for _, n := range s.Findings {
				on[n]++
			}
		}
		for i, f := range res.Findings() {
			if want := map[bool]int{true: 1, false: 0}[f.Cause == nil]; on[i+1] != want {
				t.Errorf("%s: finding %d (%s) is on %d steps, want %d", row.fault, i+1, f.ID, on[i+1], want)
			}
		}
		// Handed over is nothing while a flaw is left.
		if left := res.Count(check.Stop)+res.Count(check.Flaw) > 0; left != (way.step("hand-over").State == ToDo) && row.plant == nil {
			t.Errorf("%s: hand over is %s, %q", row.fault, way.step("hand-over").State, way.step("hand-over").Says)
		}
	}
}

// The sample in an A-pose has a choice to make, in a T none; without joints the parts come
// after the skeleton.
func TestStates(t *testing.T) {
	for pose, want := range map[lamplighter.Pose]State{lamplighter.T: Done, lamplighter.A: Choice} {
		res, err := inspect.Examine(context.Background(), lamplighter.Build(lamplighter.Options{Pose: pose}), inspect.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if way := Of(res); way.step("rest").State != want || way.step("scale").State != Done || plain(way.step("scale").Says) != "1.86 m high" || plain(way.step("fit").Says) != "34 joints" {
			t.Errorf("%v: rest is %s; %+v", pose, way.step("rest").State, way.Steps)
		}
	}
	way, _ := walked(t, "", nil, inspect.Options{Only: []string{"intake"}})
	if way.Says != "" || way.Next != "" || len(way.Steps) != 10 {
		t.Errorf("with one station of six the road says %q, next %q, %d steps", way.Says, way.Next, len(way.Steps))
	}
	way, _ = walked(t, "", func(r *rig.Rig) { *r = rig.Rig{} }, inspect.Options{})
	if way.Next != "" || way.Says != "Nothing in this file can be seen or moved." || slices.ContainsFunc(way.Steps, func(s Step) bool { return s.State != Needless }) {
		t.Errorf("an empty file: %q, %+v", way.Says, way.Steps)
	}
}

// Every mend works in one step, every check has one, and the steps stand in the order of the
// work.
func TestEachHasAPlace(t *testing.T) {
	for _, m := range mend.Table() {
		if place(m) < 0 {
			t.Errorf("%s works in no step", m.ID)
		}
	}
	for _, s := range inspect.Catalogue() {
		for _, e := range s.Entries {
			if h := home(e.ID); h < 1 {
				t.Errorf("%s has step %d", e.ID, h)
			}
		}
	}
	for id, want := range map[string]string{"intake/heavy": "hand-over", "surface/bad-normals": "weld", "skeleton/uneven-pair": "fit", "skeleton/bind-lost": "bind", "skeleton/bind-mixed": "bind", "bends/collapse": "bind", "motion/still-chain": "parts", "skeleton/rest-pose": "rest", "motion/dead-weight": "motion", "surface/lopsided": "even"} {
		if got := steps[home(id)].id; got != want {
			t.Errorf("%s is worked on in %q, want %q", id, got, want)
		}
	}
}
