package inspect

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
)

// Keys that stray together span .14 s at most (four keys at 30 Hz, and one to spare): what happens at the same joint .13 s later is one
// thing with it, .15 s later another.
func TestMomentsThatAreOne(t *testing.T) {
	at := func(seconds float64) *check.Finding {
		return &check.Finding{Where: check.Where{Clip: 0, Time: seconds, Joints: []rig.Node{3}}}
	}
	for off, want := range map[float64]bool{.13: true, -.13: true, .15: false} {
		if got := (&reach{cause: at(1)}).explainsMoment(at(1 + off)); got != want {
			t.Errorf("%g s apart: one %v", off, got)
		}
	}
}

// A cause explains what it reaches nine tenths of, and of a measure of a whole zone a twentieth: a few
// vertices out of place spoil a volume.
func TestSharesOfAnEffect(t *testing.T) {
	for _, row := range []struct {
		id      string
		reached int // of 100
		want    bool
	}{{"bends/stretch", 91, true}, {"bends/stretch", 89, false}, {"bends/collapse", 6, true}, {"bends/collapse", 4, false}} {
		in := make([]bool, 100)
		f := &check.Finding{ID: row.id, Where: check.Where{Spots: []check.Spot{{Surface: 0}}}}
		for v := range in {
			in[v] = v < row.reached
			f.Where.Spots[0].Vertices = append(f.Where.Spots[0].Vertices, rig.Vertex(v))
		}
		if got := (&reach{cause: &check.Finding{}, in: [][]bool{in}}).explains(f); got != row.want {
			t.Errorf("%s, %d of 100 vertices: explained %v", row.id, row.reached, got)
		}
	}
}
