package surface

import (
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
)

// The faults planted in the sample: each found with its grade, its vertices and its
// size, and nothing else with it but what it must set off. Notes about normals are
// let pass: creases of the figure have a few (TestVariants).
func TestSampleFaults(t *testing.T) {
	for _, pose := range []lamplighter.Pose{lamplighter.T, lamplighter.A} {
		base := lamplighter.Build(lamplighter.Options{Pose: pose})
		for _, fault := range lamplighter.Faults() {
			if !strings.HasPrefix(fault.ID, "surface/") {
				continue
			}
			r, planted := fault.On(base)
			found, _ := checktest.Judge(t, &Station, r, nil)
			worst, value := check.Grade(0), math.NaN()
			var f *check.Finding
			for i := range found {
				x := &found[i]
				if x.ID != fault.ID {
					if !slices.Contains(fault.Also, x.ID) && !(x.ID == "surface/bad-normals" && x.Grade == check.Note) {
						t.Errorf("%s: set off as well: %s %s %q", fault.Name, x.Grade, x.ID, x.Subject)
					}
					continue
				}
				worst = max(worst, x.Grade)
				for _, m := range x.Measures {
					if !strings.HasPrefix(fault.ID, "surface/lopsided") && m.Value == planted.Size ||
						m.Name == "share" && planted.Unit == "" || m.Name == "largest mismatch" && planted.Unit == m.Unit.Many {
						value, f = m.Value, x
					}
				}
			}
			if worst.String() != fault.Grade {
				t.Errorf("%s: grade %q, want %q", fault.Name, worst, fault.Grade)
			}
			// Sizes of lopsided are upper bounds: of a lantern that is shifted, some vertices
			// come to lie where another was; and near the image of a vertex that is pulled
			// out there may be a closer one than its partner.
			slack := 0.3 * planted.Size
			if f == nil || value > planted.Size+1e-6 || value < planted.Size-slack {
				t.Errorf("%s: %g, planted %s %g %s", fault.Name, value, planted.Measure, planted.Size, planted.Unit)
				continue
			}
			missing := 0
			for _, v := range planted.Vertices {
				if !slices.Contains(f.Where.Spots[0].Vertices, v) {
					missing++
				}
			}
			if 5*missing > len(planted.Vertices) {
				t.Errorf("%s: %d of %d vertices are not named", fault.Name, missing, len(planted.Vertices))
			}
			for _, n := range planted.Nodes {
				if !slices.Contains(f.Where.Nodes, n) {
					t.Errorf("%s: node %d is not named", fault.Name, n)
				}
			}
		}
	}
}
