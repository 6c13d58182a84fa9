package inspect

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
)

// later are the stations whose facts are judged without what they were measured on: all
// that a check compares or names stands in what --json prints. Where a place is drawn from
// vertices, those stay behind.
var later = []string{"intake", "motion"}

// TestFactsAreJudgedLater: of every fault planted for these stations the facts are written
// as --json prints them, read back and judged, with the default limits and with others.
// The findings are the same but for the vertices of their places.
func TestFactsAreJudgedLater(t *testing.T) {
	sample := lamplighter.Build(lamplighter.Options{Vertices: 1500})
	all := Catalogue()
	seen := map[string]int{}
	for _, fault := range lamplighter.Faults() {
		s := stationOf(all, fault.ID)
		if !slices.Contains(later, s.Name) {
			continue
		}
		r, _ := fault.On(sample)
		res, err := Examine(context.Background(), r, Options{Only: []string{s.Name}})
		if err != nil {
			t.Fatal(err)
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
		for _, times := range []float64{1, .5, 3} {
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
				t.Errorf("%s %q, limits × %g: %d findings and %v, later %d and %v", fault.ID, fault.Name, times, len(now), outcomes, len(then), again)
				continue
			}
			for i := range now {
				seen[now[i].ID]++
				if a, b := toldLater(&now[i]), toldLater(&then[i]); a != b {
					t.Errorf("%s %q, limits × %g:\n%s\nlater\n%s", fault.ID, fault.Name, times, a, b)
				}
			}
		}
	}
	for _, s := range all {
		for _, e := range s.Entries {
			if slices.Contains(later, s.Name) && seen[e.ID] == 0 {
				t.Errorf("%s was found nowhere", e.ID)
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
	return fmt.Sprintf("%s %s %q %q %v\n%+v\n%q %q", f.ID, f.Grade, f.Title, f.Subject, f.Measures, w, f.Why, f.Remedy)
}
