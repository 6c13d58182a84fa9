package skeleton

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
// size, and nothing else with it but what it must set off.
func TestSampleFaults(t *testing.T) {
	base := lamplighter.Build(lamplighter.Options{})
	for _, fault := range lamplighter.Faults() {
		if !strings.HasPrefix(fault.ID, "skeleton/") {
			continue
		}
		t.Run(fault.ID+" "+fault.Name, func(t *testing.T) {
			r, planted := fault.On(base)
			found, _ := checktest.Judge(t, &Station, r, nil)
			worst := check.Grade(0)
			var f *check.Finding
			for i := range found {
				x := &found[i]
				if x.ID != fault.ID {
					if !slices.Contains(fault.Also, x.ID) {
						t.Errorf("set off as well: %s %s %q %v", x.Grade, x.ID, x.Subject, x.Measures)
					}
					continue
				}
				if x.Grade > worst {
					worst, f = x.Grade, x
				}
			}
			if worst.String() != fault.Grade {
				t.Fatalf("grade %q, want %q", worst, fault.Grade)
			}
			for _, n := range planted.Nodes {
				if !slices.Contains(f.Where.Joints, n) && !slices.Contains(f.Where.Nodes, n) {
					t.Errorf("node %d is not named: %v %v", n, f.Where.Joints, f.Where.Nodes)
				}
			}
			t.Logf("%q %v planted %s %g %s", f.Subject, f.Measures, planted.Measure, planted.Size, planted.Unit)
			for _, m := range f.Measures {
				if m.Name == planted.Measure && math.Abs(m.Value-planted.Size) > 1e-4 {
					t.Errorf("%s = %v, want %v", m.Name, m.Value, planted.Size)
				}
			}
		})
	}
}
