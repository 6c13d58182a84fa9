package intake

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
)

// inClips is the one thing that is so in the sound sample: the stroll carries the
// feet out of the box at rest, by a share that full skinning confirms (see
// TestSafeBoxHolds).
func inClips(f *check.Finding) bool {
	return f.ID == "intake/bounds-off" && f.Grade == check.Note && f.Measures[0].Name == "outside, over all clips"
}

// The sample is sound: the station has nothing else to say about any variant.
func TestLamplighterIsSilent(t *testing.T) {
	for _, pose := range []lamplighter.Pose{lamplighter.T, lamplighter.A} {
		for _, names := range []lamplighter.Naming{lamplighter.Plain, lamplighter.Snake, lamplighter.Prefix} {
			o := lamplighter.Options{Pose: pose, Names: names}
			t.Run(o.FileName(), func(t *testing.T) {
				for _, f := range checktest.Silent(t, &Station, checktest.Built(o), check.Note) {
					if !inClips(&f) {
						t.Errorf("%s %s %s %v", f.Grade, f.ID, f.Subject, f.Measures)
					}
				}
			})
		}
	}
}

// The faults planted in the sample.
func TestSampleFaults(t *testing.T) {
	checktest.Sample{
		Station: &Station, Judged: check.Note,
		Measure: map[string]string{
			"intake/unapplied-scale": "factor", "intake/uneven-scale": "largest ÷ smallest axis", "intake/uneven-scale: root mirrored": "sign of the determinant",
			"intake/unapplied-turn: lies on its back": "turn above", "intake/off-ground": "lowest y", "intake/off-ground: 400 m beside the origin": "distance",
			"intake/bounds-off": "difference", "intake/bounds-off: stored a hundred times too small, bound back": "size against the true box",
		},
		Near:  map[string]float64{"intake/off-ground": 0.001, "intake/bounds-off": 1e-6}, // the soles are made to stand on y = 0 within a millimetre
		Named: map[string]float64{"intake/morphs": 1. / 12},                              // the vertex that goes farthest
	}.Run(t)
}
