package found

import (
	"slices"
	"testing"

	"rigloupe/inspect"
	"rigloupe/viewer/scene"
)

// TestLensesOfChecks: what a check names as its lens exists, in the stage or in a station
// that is done by then.
func TestLensesOfChecks(t *testing.T) {
	named := 0
	for _, s := range inspect.Catalogue() {
		for _, e := range s.Entries {
			if e.Lens == "" {
				continue
			}
			named++
			_, own := scene.LensNamed(e.Lens)
			if !own && !slices.Contains(LensNames(), e.Lens) {
				t.Errorf("%s is shown by %q, which is no lens", e.ID, e.Lens)
			}
		}
	}
	if named < 20 {
		t.Errorf("only %d checks name a lens", named)
	}
}
