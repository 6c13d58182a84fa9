package surface

import (
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
)

// The faults planted in the sample: each found with its grade, its vertices and its
// size, and nothing else with it.
func TestSampleFaults(t *testing.T) {
	for _, pose := range []lamplighter.Pose{lamplighter.T, lamplighter.A} {
		base := lamplighter.Build(lamplighter.Options{Pose: pose})
		for _, fault := range lamplighter.Faults() {
			if !strings.HasPrefix(fault.ID, "surface/") {
				continue
			}
			r, planted := fault.On(base)
			found, _ := checktest.Judge(t, &Station, r, nil)
			if len(found) != 1 || found[0].ID != fault.ID || found[0].Grade.String() != fault.Grade {
				t.Errorf("%s: %d findings", fault.Name, len(found))
				continue
			}
			f := found[0]
			value := math.NaN()
			for _, m := range f.Measures {
				if m.Name == "share" && planted.Unit == "" || m.Name == "largest mismatch" && planted.Unit == m.Unit {
					value = m.Value
				}
			}
			// Sizes are upper bounds: of a lantern that is shifted, some vertices come to
			// lie where another was; and near the image of a vertex that is pulled out
			// there may be a closer one than its partner.
			slack := 0.3 * planted.Size
			if value > planted.Size+1e-6 || value < planted.Size-slack || math.IsNaN(value) {
				t.Errorf("%s: %g, planted %s %g %s", fault.Name, value, planted.Measure, planted.Size, planted.Unit)
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
		}
	}
}
