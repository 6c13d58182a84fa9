package inspect

import (
	"context"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
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
