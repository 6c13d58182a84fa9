package bends

import (
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// The faults planted in the sample: each found with its grade, its joint, its vertices
// and its size, in both poses, and nothing worse with it but what it rightly sets off.
func TestSampleFaults(t *testing.T) {
	// How near the measure comes to what was planted; of those whose size is no count.
	slack := map[string]float64{
		"bends/collapse":    0.03, // the ends of the stretch lose less
		"bends/twist-pinch": 0.02, // weights in steps of 1/2048
		"bends/crack":       1e-6,
	}
	for _, pose := range []lamplighter.Pose{lamplighter.T, lamplighter.A} {
		base := lamplighter.Build(lamplighter.Options{Pose: pose})
		quiet := map[string]bool{} // what the clean one is noted for
		for _, f := range checktest.Silent(t, &Station, base, 1) {
			quiet[f.ID+f.Grade.String()] = true
		}
		for _, fault := range lamplighter.Faults() {
			if !strings.HasPrefix(fault.ID, "bends/") {
				continue
			}
			r, planted := fault.On(base)
			found, _ := checktest.Judge(t, &Station, r, nil)
			hit := false
			for _, f := range found {
				t.Logf("%s: %s %s %s %v", fault.Name, f.Grade, f.ID, f.Subject, f.Measures)
				if f.ID != fault.ID {
					if !slices.Contains(fault.Also, f.ID) && !quiet[f.ID+f.Grade.String()] {
						t.Errorf("%s: %s %s %s as well", fault.Name, f.Grade, f.ID, f.Subject)
					}
					continue
				}
				if f.Grade.String() != fault.Grade || hit {
					continue
				}
				hit = true
				if s, sized := slack[fault.ID]; sized && math.Abs(f.Measures[0].Value-planted.Size) > s {
					t.Errorf("%s: %s %g, planted %s %g", fault.Name, f.Measures[0].Name, f.Measures[0].Value, planted.Measure, planted.Size)
				}
				if fault.ID == "bends/tear-along" && f.Measures[0].Value != planted.Size {
					t.Errorf("%s: %g vertices, planted %g", fault.Name, f.Measures[0].Value, planted.Size)
				}
				var vertices []rig.Vertex
				for _, s := range f.Where.Spots {
					vertices = append(vertices, s.Vertices...)
				}
				named := 0
				for _, v := range planted.Vertices {
					if slices.Contains(vertices, v) {
						named++
					}
				}
				// The whole of it, or of a patch that only shows in part most of it.
				if 2*named < len(planted.Vertices) || named == 0 {
					t.Errorf("%s: %d of %d vertices are named", fault.Name, named, len(planted.Vertices))
				}
				for _, n := range planted.Nodes {
					if !slices.Contains(f.Where.Joints, n) {
						t.Errorf("%s: joint %d is not named among %v", fault.Name, n, f.Where.Joints)
					}
				}
				if f.Where.Move == nil {
					t.Errorf("%s: no pose to show it in", fault.Name)
				}
				posed(t, fault.Name, measured(t, r), &f)
			}
			if !hit {
				t.Errorf("%s: not found at grade %s", fault.Name, fault.Grade)
			}
		}
	}
}
