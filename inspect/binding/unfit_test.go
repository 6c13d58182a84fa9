package binding

import (
	"slices"
	"testing"

	"rigloupe/inspect/rig"
)

// Three weights rounded to 8 bits may lack two steps of 1/255 in sum, or have two too many
// (glTF 2.0, Skins: integer weights are to sum to the full scale; whoever rounds each by
// itself misses it by half a step a weight). Three steps are no rounding.
func TestSumsOffByRounding(t *testing.T) {
	r := &rig.Rig{
		Meshes:   []rig.MeshData{{K: 1, Positions: make([]float32, 15), Joints: make([]uint16, 5), Weights: []float32{253. / 255, 252. / 255, 257. / 255, 258. / 255, 1}}},
		Skins:    []rig.SkinData{{Joints: []rig.Node{0}}},
		Surfaces: []rig.Surface{{}},
	}
	if got := unfit(r, 0); !slices.Equal(got, []bool{false, true, false, true, false}) {
		t.Errorf("unfit: %v", got)
	}
}

// Joints are named down to a tenth of what the worst has of the mismatch (common practice,
// no source), the worst first.
func TestWorstJoints(t *testing.T) {
	f := &Facts{Skins: []Skin{{Joints: []Joint{{Node: 4, Mismatch: .11}, {Node: 7, Mismatch: 1}, {Node: 9, Mismatch: .09}, {Node: 2}}}}}
	if got := f.worstJoints(); !slices.Equal(got, []rig.Node{7, 4}) {
		t.Errorf("joints %v", got)
	}
}
