package mend

import (
	"slices"
	"testing"

	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Of a figure that wears something this is proposed, not the body that wears it: a coat bound
// to the same joints, gear that is held. Where nothing is worn, nothing is proposed.
func TestWorn(t *testing.T) {
	larger := menagerie.Visitor() // the coat stands far off: it is none of his
	for i := range larger.Meshes[1].Positions {
		larger.Meshes[1].Positions[i] += []float32{.5, 0, 0}[i%3]
	}
	for _, row := range []struct {
		name string
		is   *rig.Rig
		want []string
	}{
		{"a visitor in a coat", menagerie.Visitor(), []string{"coat"}},
		{"the coat beside him", larger, nil},
		{"a person with gear", menagerie.Person(menagerie.Options{Gear: true}), []string{"sword", "shield", "helmet", "cape", "book"}},
		{"a person alone", menagerie.Person(menagerie.Options{}), nil},
		{"a lantern", menagerie.Lantern(space.Vec{}), nil},
	} {
		var got []string
		for _, s := range ofRig(t, row.is).Second().Surfaces {
			if s.Worn {
				got = append(got, s.Name)
			}
		}
		slices.Sort(got)
		slices.Sort(row.want)
		if !slices.Equal(got, row.want) {
			t.Errorf("%s: %q, want %q", row.name, got, row.want)
		}
	}
}

// Of real figures gear is proposed: a knight's arms and a robot's shoulders are of the body.
func TestWornOfReal(t *testing.T) {
	for name, want := range map[string]int{"Knight.glb": 9, "robot.glb": 0, "cesium_man.gltf": 0, "Fox.glb": 0} {
		n := 0
		for _, s := range corpusState(t, name).Second().Surfaces {
			if s.Worn {
				if n++; s.Body {
					t.Errorf("%s: %s is worn", name, s.Name)
				}
			}
		}
		if n != want {
			t.Errorf("%s: %d surfaces are worn, want %d", name, n, want)
		}
	}
}
