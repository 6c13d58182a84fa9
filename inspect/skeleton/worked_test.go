package skeleton

import (
	"testing"

	"rigloupe/inspect/rig"
)

// A pose is looked for where a tenth of the joints that hold something or more is off what moves the others
// (common practice, no source).
func TestOffInAPose(t *testing.T) {
	for _, row := range []struct {
		off, of int
		want    bool
	}{{1, 10, true}, {1, 11, false}, {0, 10, false}, {5, 10, true}} {
		if got := (&CommonBind{Off: row.off, Of: row.of}).posed(); got != row.want {
			t.Errorf("%d of %d: a pose %v", row.off, row.of, got)
		}
	}
}

// Two joints have each other's matrices where both were bound farther than a tenth of the diagonal from
// what they hold and nearer than three hundredths to what the other holds.
func TestExchangedPlaces(t *testing.T) {
	for _, row := range []struct {
		j, k, jByK, kByJ float64
		want             bool
	}{{.11, .11, .02, .02, true}, {.09, .11, .02, .02, false}, {.11, .09, .02, .02, false}, {.11, .11, .04, .02, false}, {.11, .11, .02, .04, false}} {
		if got := placesExchanged(row.j, row.k, row.jByK, row.kByJ); got != row.want {
			t.Errorf("%+v: exchanged %v", row, got)
		}
	}
}

// A part goes on from the joint with three fifths or more of what borders on it: of a hundred edges 61
// and 59; of fewer than four edges nothing is told.
func TestGoesOnFrom(t *testing.T) {
	f := &Facts{place: map[rig.Node]int{1: 0, 2: 1, 3: 2}, Joints: []Joint{{Place: Place{Node: 1}}, {Place: Place{Node: 2}}, {Place: Place{Node: 3}}}}
	for _, row := range []struct {
		edges [2]int
		want  rig.Node
	}{{[2]int{61, 39}, 2}, {[2]int{59, 41}, rig.None}, {[2]int{39, 61}, 3}, {[2]int{3, 0}, rig.None}, {[2]int{4, 0}, 2}} {
		borders := map[rig.Node]map[rig.Node]border{1: {2: {edges: row.edges[0]}, 3: {edges: row.edges[1]}}}
		if got := f.goesOnFrom(borders, 1); got != row.want {
			t.Errorf("%v edges: from %d, want %d", row.edges, got, row.want)
		}
	}
}
