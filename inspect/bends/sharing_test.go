package bends

import (
	"context"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

// Groups of one joint that all hold the same four vertices: the k-th is held against the k
// before it, sixteen at most. By hand: of 17 groups all 17·16/2 = 136 pairs, of 18 sixteen
// more, 152, of 20 184; two are one pair.
func TestSharingOfMany(t *testing.T) {
	f, err := Measure(context.Background(), exam.New(menagerie.Person(menagerie.Options{Still: true})))
	if err != nil {
		t.Fatal(err)
	}
	for n, want := range map[int]int{2: 1, 17: 136, 18: 152, 20: 184} {
		var groups []*group
		for range n {
			groups = append(groups, &group{spots: []check.Spot{{Surface: 0, Vertices: []rig.Vertex{0, 1, 2, 3}}}, count: 4})
		}
		last := make([]int32, f.body.r.Meshes[0].Vertices())
		if got := len(f.sharing(make([]rig.Node, n), groups, last)); got != want {
			t.Errorf("%d groups: %d pairs, want %d", n, got, want)
		}
	}
}
