package inspect

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// scales are what the default limits are multiplied by. 0 lets through all that is there.
var scales = []float64{1, .5, 3, .97, 0}

// Facts are judged without what they were measured on: all that a check compares or names
// stands in what --json prints. Where a place is drawn from vertices, those stay behind.
//
// TestFactsAreJudgedLater: of every fault planted, and of figures of several kinds, the
// facts are written as --json prints them, read back and judged, with the default limits
// and with others. The findings are the same but for the vertices of their places.
func TestFactsAreJudgedLater(t *testing.T) {
	sample := lamplighter.Build(lamplighter.Options{Vertices: 1500})
	all := Catalogue()
	seen := map[string]int{}
	for _, fault := range rounds.Rows(lamplighter.Faults(), 5) {
		r, _ := fault.On(sample)
		judgedLater(t, fault.ID+" "+fault.Name, r, []string{stationOf(all, fault.ID).Name}, seen)
	}
	for _, s := range all {
		for _, e := range s.Entries {
			if seen[e.ID] == 0 && rounds.Long() {
				t.Errorf("%s was found nowhere", e.ID)
			}
		}
	}
	for name, r := range map[string]*rig.Rig{
		"three heads, in gear": menagerie.ThreeHeads(menagerie.Options{Gear: true}), "ox": menagerie.Ox(menagerie.Options{}),
		"rigid parts": menagerie.Parts(menagerie.Options{}), "hand": menagerie.Hand(menagerie.Options{}),
	} {
		judgedLater(t, name, r, nil, seen)
	}
}

// The same of real figures.
func TestFactsOfRealFiguresAreJudgedLater(t *testing.T) {
	for _, name := range realFigures {
		judgedLater(t, name, checktest.Named(t, name), nil, map[string]int{})
	}
}

// judgedLater measures a figure at some stations (nil: at all) and judges the facts as they
// are, and as they are read back.
func judgedLater(t *testing.T, name string, r *rig.Rig, stations []string, seen map[string]int) {
	t.Helper()
	res, err := Examine(context.Background(), r, Options{Only: stations})
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range Catalogue() {
		if stations != nil && !slices.Contains(stations, s.Name) {
			continue
		}
		facts := res.Stations[slices.IndexFunc(res.Stations, func(o Outcome) bool { return o.Name == s.Name })].Facts
		text, err := marshal(facts)
		if err != nil {
			t.Fatal(err)
		}
		saved := s.Blank()
		if err := json.Unmarshal(text, saved); err != nil {
			t.Fatalf("%s: %v", s.Name, err)
		}
		if again, err := marshal(saved); err != nil || string(again) != string(text) {
			t.Errorf("%s, %s: what was read back is written otherwise: %v", name, s.Name, err)
		}
		for _, times := range scales {
			limits := check.Overrides{}
			for _, e := range s.Entries {
				limits[e.ID] = map[string]float64{}
				for _, l := range e.Limits {
					limits[e.ID][l.Name] = times * l.Value
				}
			}
			now, outcomes := s.Judge(facts, limits)
			then, again := s.Judge(saved, limits)
			if !slices.Equal(outcomes, again) || len(now) != len(then) {
				t.Errorf("%s, limits × %g: %d findings and %v, later %d and %v", name, times, len(now), outcomes, len(then), again)
				continue
			}
			for i := range now {
				seen[now[i].ID]++
				if a, b := toldLater(&now[i]), toldLater(&then[i]); a != b {
					t.Errorf("%s, limits × %g:\n%s\nlater\n%s", name, times, a, b)
				}
			}
		}
	}
}

// stationOf answers the one that a check belongs to.
func stationOf(all []check.Station, id string) *check.Station {
	return &all[slices.IndexFunc(all, func(s check.Station) bool {
		return slices.ContainsFunc(s.Entries, func(e check.Entry) bool { return e.ID == id })
	})]
}

// toldLater is a finding without the vertices of its place.
func toldLater(f *check.Finding) string {
	w := f.Where
	w.Spots, w.Point, w.Extent = nil, nil, 0
	move := ""
	if w.Move != nil {
		move, w.Move = fmt.Sprintf("%+v", *w.Move), nil
	}
	return fmt.Sprintf("%s %s %q %q %v\n%+v %s\n%q %q", f.ID, f.Grade, f.Title, f.Subject, f.Measures, w, move, f.Why, f.Remedy)
}
