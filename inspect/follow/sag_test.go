package follow

import "testing"

// Chains that hang down at rest hang freely; what is drawn otherwise sags by 20° under its
// own weight (common practice, no source). Down within 30°: cos 29° = .875, cos 31° = .857.
func TestSagAsDrawn(t *testing.T) {
	for _, row := range []struct {
		down, want float64
	}{{1, Free}, {.875, Free}, {.857, 20}, {0, 20}} {
		if got := (&Chains{Links: []Link{{Length: .1, down: row.down}}}).Sag(); got != row.want {
			t.Errorf("%g down: sags by %g°", row.down, got)
		}
	}
}
