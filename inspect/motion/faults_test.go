package motion

import (
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
)

// The faults planted in the sample: each found with its grade, its joints and its
// size, in every variant, and nothing else with it but what it rightly sets off.
func TestSampleFaults(t *testing.T) {
	for _, o := range []lamplighter.Options{{Sway: true}, {Sway: true, Pose: lamplighter.A, Names: lamplighter.Snake}} {
		base := lamplighter.Build(o)
		quiet := map[string]int{}
		for _, f := range checktest.Silent(t, &Station, base, check.Note) {
			quiet[f.ID+f.Title]++
		}
		for _, fault := range lamplighter.Faults() {
			if !strings.HasPrefix(fault.ID, "motion/") {
				continue
			}
			t.Run(o.FileName()+"/"+fault.Name, func(t *testing.T) {
				r, planted := fault.On(base)
				found, _ := checktest.Judge(t, &Station, r, nil)
				hit := false
				for _, f := range found {
					if f.ID != fault.ID || quiet[f.ID+f.Title] > 0 {
						if !slices.Contains(fault.Also, f.ID) && quiet[f.ID+f.Title] == 0 {
							t.Errorf("%s %s %v as well", f.Grade, f.ID, f.Measures)
						}
						continue
					}
					hit = true
					if f.Grade.String() != fault.Grade {
						t.Errorf("%s, want %s", f.Grade, fault.Grade)
					}
					if m := f.Measures[0]; planted.Size > 0 && math.Abs(m.Value-planted.Size) > 1e-4*planted.Size {
						t.Errorf("%s %g, planted %s %g", m.Name, m.Value, planted.Measure, planted.Size)
					}
					for _, n := range planted.Nodes {
						if !slices.Contains(f.Where.Joints, n) && !slices.Contains(f.Where.Nodes, n) {
							t.Errorf("node %d is not named among %v %v", n, f.Where.Joints, f.Where.Nodes)
						}
					}
				}
				if !hit {
					t.Errorf("not found; found %d others", len(found))
				}
			})
		}
	}
}
