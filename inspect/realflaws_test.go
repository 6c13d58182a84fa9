package inspect

import (
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
)

// realFlaws are the flaws of the corpus' figures with what is seen of each: in the picture by
// the lens of its check, or in the numbers of the file.
var realFlaws = map[string][]struct{ id, seen string }{
	"Knight.glb": {
		{"surface/lopsided", "a ribbon hangs on the right breast alone"},
		{"binding/mirror-mismatch", "the left breast, where no ribbon hangs, is held otherwise than the right"},
	},
	"robot.glb": {
		{"intake/odd-height", "the staff says 4.56 m; read as feet he is 1.39 m"},
		{"surface/slivers", "two triangles of each foot have no area"},
		{"surface/lopsided", "one arm lacks two triangles of the other"},
		{"skeleton/uneven-pair", "the collar joints differ by 18 % of their length and stand 5 cm apart from each other's image"},
		{"skeleton/name-clash", "eight meshes bear the names of joints"},
		{"motion/still-chain", "hips, abdomen and torso keep their rest in all fourteen clips, while what they hang on moves"},
	},
	"cesium_man.gltf": {
		{"skeleton/axes", "three of seven pairs have axes neither mirrored nor copied"},
		{"binding/sum-off", "210 vertices of the trunk sum to as little as 0.18; webs are drawn out below the arms"},
		{"binding/cross-body", "corners of the pelvis hold the other leg by 5 to 10 %: a raised leg takes the other groin along"},
	},
	"Fox.glb": {},
	"hand_left.glb": {
		{"skeleton/loose-chain", "its joints hang side by side: a turned knuckle leaves the finger behind"},
		{"binding/stray-island", "two vertices at the root of the thumb hang on the little finger's metacarpal, 77 mm away"},
	},
	"hand_right.glb": {
		{"skeleton/loose-chain", "as the left"},
		{"binding/stray-island", "as the left"},
	},
}

// The real figures have these flaws and no other, no stop, and eight rows of notes at most.
func TestFlawsOfRealFigures(t *testing.T) {
	for _, name := range realFigures {
		res := lookedAt(t, checktest.Named(t, name))
		var told, want []string
		for _, f := range res.Findings() {
			if f.Grade == check.Stop {
				t.Errorf("%s: a stop: %s %q", name, f.ID, f.Title)
			}
			if f.Grade == check.Flaw && f.Cause == nil {
				told = append(told, f.ID)
			}
		}
		for _, f := range realFlaws[name] {
			want = append(want, f.id)
		}
		slices.Sort(told)
		slices.Sort(want)
		if !slices.Equal(told, want) {
			t.Errorf("%s: flaws %v, want %v", name, told, want)
		}
		if n := res.NoteRows(); n > 8 {
			t.Errorf("%s: %d rows of notes", name, n)
		}
	}
}
