package binding

import (
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// The faults planted in the sample: each found with its grade, its vertices or
// joints and its size, in both poses, and nothing else with it but what it rightly
// sets off.
func TestSampleFaults(t *testing.T) {
	measure := map[string]string{ // which figure of the finding the size of the fault is
		"binding/many-influences": "crowded", "binding/mirror-mismatch": "differ",
		"binding/stray-island": "patches", "binding/hangs-on": "surfaces", "binding/cut-to-four": "vertices",
	}
	for _, pose := range []lamplighter.Pose{lamplighter.T, lamplighter.A} {
		base := lamplighter.Build(lamplighter.Options{Pose: pose})
		for _, fault := range lamplighter.Faults() {
			if !strings.HasPrefix(fault.ID, "binding/") {
				continue
			}
			r, planted := fault.On(base)
			found, _ := checktest.Judge(t, &Station, r, nil)
			hit := false
			for _, f := range found {
				if f.ID != fault.ID {
					if !slices.Contains(fault.Also, f.ID) {
						t.Errorf("%s: %s %s as well", fault.Name, f.Grade, f.ID)
					}
					continue
				}
				hit = true
				if f.Grade.String() != fault.Grade {
					t.Errorf("%s: %s, want %s", fault.Name, f.Grade, fault.Grade)
				}
				m := f.Measures[0]
				for _, x := range f.Measures {
					if x.Name == measure[fault.ID] {
						m = x
					}
				}
				// A share is counted over thousands; the rest to float32.
				if math.Abs(m.Value-planted.Size) > 1e-6*max(1, planted.Size) {
					t.Errorf("%s: %s %g, planted %s %g", fault.Name, m.Name, m.Value, planted.Measure, planted.Size)
				}
				var vertices []rig.Vertex
				for _, s := range f.Where.Spots {
					vertices = append(vertices, s.Vertices...)
				}
				for _, v := range planted.Vertices {
					if f.Where.Spots != nil && !slices.Contains(vertices, v) {
						t.Errorf("%s: vertex %d is not named", fault.Name, v)
						break
					}
				}
				for _, n := range planted.Nodes {
					if !slices.Contains(f.Where.Joints, n) && !slices.Contains(f.Where.Nodes, n) {
						t.Errorf("%s: joint %d is not named among %v", fault.Name, n, f.Where.Joints)
					}
				}
				if p := planted.Point; p != nil && f.Where.Point != nil {
					q := *f.Where.Point
					if d := math.Hypot(math.Hypot(p[0]-q[0], p[1]-q[1]), p[2]-q[2]); d > f.Where.Extent+0.01 {
						t.Errorf("%s: at %v, planted at %v", fault.Name, q, *p)
					}
				}
			}
			if !hit {
				t.Errorf("%s: not found", fault.Name)
			}
		}
	}
}
