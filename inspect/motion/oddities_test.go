package motion

import (
	"math"
	"strings"
	"testing"

	"rigloupe/inspect/check/checktest"
)

// What is known to be odd in real figures, found out by hand and with other programs
// of general purpose: it must be found, and stays what it is.
func TestOddClipsOfRealFigures(t *testing.T) {
	checktest.Models(t)
	for _, w := range []struct {
		model, id, grade string
		value, tolerance float64 // of the first measure
		subject          []string
	}{
		{"Fox.glb", "motion/still-chain", "note", 2, 0, []string{"b_LeftFoot02_018", "b_RightFoot02_022"}}, // paws without a channel
		{"Knight.glb", "motion/still-chain", "note", 2, 0, []string{"wrist.l", "wrist.r"}},
		{"Knight.glb", "motion/loop-jump", "note", 2.54, 0.05, []string{"Walking_C"}}, // the other walks close
		{"robot.glb", "motion/loop-jump", "note", 3.72, 0.05, []string{"Robot_Dance"}},
		{"robot.glb", "motion/still-chain", "flaw", 3, 0, []string{`"Hips" to "Torso"`}},
		{"rigged_simple.gltf", "motion/late-start", "note", 1, 1e-3, []string{"clip 0"}}, // 0.042 s
	} {
		found, _ := checktest.Judge(t, &Station, checktest.Open(t, checktest.Corpus+"/models/"+w.model), nil)
		hit := false
		for _, f := range found {
			if f.ID != w.id || f.Grade.String() != w.grade {
				continue
			}
			ok := math.Abs(f.Measures[0].Value-w.value) <= w.tolerance
			for _, s := range w.subject {
				ok = ok && strings.Contains(f.Subject, s)
			}
			hit = hit || ok
			if w.id == "motion/loop-jump" && strings.Contains(f.Subject, " and ") {
				t.Errorf("%s: more clips than one do not close: %s", w.model, f.Subject)
			}
		}
		if !hit {
			t.Errorf("%s: no %s %s of %v on %v", w.model, w.grade, w.id, w.value, w.subject)
		}
	}
	// A rotation key 2.3e-4 off unit is rounding; a still figure without a clip is silent.
	for _, sound := range []string{"SimpleSkin.gltf", "MorphStressTest.gltf"} {
		found, _ := checktest.Judge(t, &Station, checktest.Open(t, checktest.Corpus+"/models/"+sound), nil)
		for _, f := range found {
			if f.ID != "motion/split-clip" { // its one clip has no name
				t.Errorf("%s: %s %s %v", sound, f.Grade, f.ID, f.Measures)
			}
		}
	}
}

// A trunk that no clip bends is no cable: the robot's, from hips to torso.
func TestStillTrunkIsNoCable(t *testing.T) {
	checktest.Models(t)
	for _, f := range filed(t, checktest.Open(t, checktest.Corpus+"/models/robot.glb"), "motion/still-chain") {
		if strings.Contains(f.Why, "cable") || strings.Contains(f.Why, "tail") {
			t.Errorf("%s: %s", f.Subject, f.Why)
		}
	}
}
