package inspect

import (
	"context"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/skeleton"
)

// creatures are the sound figures of other kinds than the lamplighter.
var creatures = []struct {
	name  string
	build func(menagerie.Options) *rig.Rig
	o     menagerie.Options
}{
	{"person", menagerie.Person, menagerie.Options{}},
	{"person, bones numbered", menagerie.Person, menagerie.Options{Names: menagerie.Numbered}},
	{"person, still", menagerie.Person, menagerie.Options{Still: true}},
	{"person, unbound", menagerie.Person, menagerie.Options{Unbound: true}},
	{"person with gear", menagerie.Person, menagerie.Options{Gear: true}},
	{"three heads high", menagerie.ThreeHeads, menagerie.Options{}},
	{"three heads high, with gear", menagerie.ThreeHeads, menagerie.Options{Gear: true}},
	{"rigid parts", menagerie.Parts, menagerie.Options{}},
	{"rigid parts with a sword", menagerie.Parts, menagerie.Options{Gear: true}},
}

func TestSoundCreatures(t *testing.T) {
	for _, c := range creatures {
		t.Run(c.name, func(t *testing.T) {
			r := c.build(c.o)
			res, err := Examine(context.Background(), r, Options{})
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range res.Findings() {
				if f.Grade > check.Note {
					t.Errorf("%s %s: %s, %s %+v", f.Grade, f.ID, f.Title, f.Subject, f.Measures)
				} else {
					t.Logf("%s %s: %s, %s %+v", f.Grade, f.ID, f.Title, f.Subject, f.Measures[0])
				}
			}
		})
	}
}

// A person of rigid parts is seen by Skeleton and Motion as a skinned one: 21 joints, all
// roles that a person must have, no check of the two passed over but what needs a skin.
func TestPartsAreExamined(t *testing.T) {
	res, err := Examine(context.Background(), menagerie.Parts(menagerie.Options{Gear: true}), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if n := len(res.joints()); n != 21 {
		t.Errorf("%d joints, want 21", n)
	}
	for i := range res.Stations {
		s := &res.Stations[i]
		if f, ok := s.Facts.(*skeleton.Facts); ok && (!f.Figure || len(f.Missing) > 0) {
			t.Errorf("figure %v, missing %v", f.Figure, f.Missing)
		}
		for _, c := range s.Checks {
			needsSkin := slices.Contains([]string{"skeleton/off-centre", "skeleton/bind-odd", "skeleton/role-order", "motion/worst-frame"}, c.ID)
			if (s.Name == "skeleton" || s.Name == "motion") && (c.State == check.NotLookedAt) != needsSkin {
				t.Errorf("%s: %s %s", c.ID, c.State, c.Reason)
			}
		}
	}
}
