package intake

import (
	"math"
	"slices"
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
				for _, f := range checktest.Silent(t, &Station, lamplighter.Build(o), check.Note) {
					if !inClips(&f) {
						t.Errorf("%s %s %s %v", f.Grade, f.ID, f.Subject, f.Measures)
					}
				}
			})
		}
	}
}

// Every fault planted in the sample is found by its check, with its grade, place and
// size, and sets off no other check than those it must.
func TestPlantedFaults(t *testing.T) {
	clean := lamplighter.Build(lamplighter.Options{})
	for _, fault := range lamplighter.Faults() {
		if !slices.ContainsFunc(Station.Entries, func(e check.Entry) bool { return e.ID == fault.ID }) {
			continue
		}
		t.Run(fault.ID+"/"+fault.Name, func(t *testing.T) {
			r, planted := fault.On(clean)
			found, _ := checktest.Judge(t, &Station, r, nil)
			worst := check.Grade(0)
			size, place := false, len(planted.Nodes) == 0
			for i := range found {
				f := &found[i]
				if f.ID != fault.ID {
					if !inClips(f) && !slices.Contains(fault.Also, f.ID) {
						t.Errorf("set off as well: %s %s %q %v", f.Grade, f.ID, f.Subject, f.Measures)
					}
					continue
				}
				worst = max(worst, f.Grade)
				for _, m := range f.Measures {
					for _, want := range []float64{planted.Size, math.Abs(planted.Size - 1)} {
						slack := 1e-3 * math.Abs(want)
						if fault.ID == "intake/off-ground" {
							slack = max(slack, 0.001) // the soles are made to stand on y = 0 within a millimetre
						}
						size = size || math.Abs(m.Value-want) <= slack
					}
				}
				for _, n := range planted.Nodes {
					place = place || slices.Contains(f.Where.Nodes, n) || slices.Contains(f.Where.Joints, n)
				}
			}
			if worst.String() != fault.Grade {
				t.Errorf("grade %q, want %q", worst, fault.Grade)
			}
			if !size || !place {
				t.Errorf("size %v place %v; want %s %v at %v", size, place, planted.Measure, planted.Size, planted.Nodes)
				for _, f := range found {
					t.Logf("%s %s %q %v at %+v", f.Grade, f.ID, f.Subject, f.Measures, f.Where)
				}
			}
		})
	}
}
