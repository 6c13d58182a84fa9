package skeleton

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// On both sides of the limits: how much of the surface must stand off its place for a
// stop, how many joints must be wrong for a flaw.
func TestBindWrongLimits(t *testing.T) {
	hands := lamplighter.ExchangeBinds(int(lamplighter.Node("hand_L")), int(lamplighter.Node("hand_R")))
	r := lamp()
	hands(r)
	share := measured(t, r).BindWrong[0].Torn
	bothSides(t, "skeleton/bind-mixed", lamp, []side{
		{name: "as it is"},
		{name: "two", plant: of(hands), grade: check.Flaw, measure: "joints", value: 2, joints: []string{"hand_L", "hand_R"}},
		{name: "two may be", plant: of(hands), limits: map[string]float64{"joints": 2}},
		{name: "just torn", plant: of(hands), limits: map[string]float64{"torn": math.Nextafter(share, 0)}, grade: check.Stop, measure: "share off its place", value: share},
		{name: "not quite", plant: of(hands), limits: map[string]float64{"torn": share}, grade: check.Flaw, measure: "joints", value: 2},
	})
	// All vertices of the mittens' joint and nobody else's: a mitten lies 1.2 m from the other.
	m := &r.Meshes[0]
	held := 0
	for v := range m.Vertices() {
		for i := v * m.K; i < (v+1)*m.K; i++ {
			if w := m.Weights[i]; w > 0.1 && (rig.Node(m.Joints[i]) == lamplighter.Node("hand_L") || rig.Node(m.Joints[i]) == lamplighter.Node("hand_R")) {
				held++
			}
		}
	}
	if want := float64(held) / float64(m.Vertices()); math.Abs(share-want) > 0.01 {
		t.Errorf("%v of the vertices stand off, want about %v", share, want)
	}
}
