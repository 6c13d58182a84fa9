package mend

import (
	"context"
	"strings"
	"testing"

	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

// The board shows what the fit proposes, of whatever kind: eight points of a person, joints
// alone of a chain and of a four-legged figure, and the same refusals.
func TestBoardOfKinds(t *testing.T) {
	ox := func() *rig.Rig { return menagerie.Ox(menagerie.Options{Unbound: true}) }
	for _, row := range []struct {
		name    string
		figure  func() *rig.Rig
		values  Values
		spots   int
		refused string
	}{
		{"a person", menagerie.Sculpt, nil, 8, ""},
		{"a chain through a person", menagerie.Sculpt, Values{"kind": "chain", "joints": 5.0}, 0, ""},
		{"an ox", ox, nil, 0, ""},
		{"an ox as a person", ox, Values{"kind": "person"}, 8, "It stands on four legs"},
		{"a person as four-legged", menagerie.Sculpt, Values{"kind": "four-legged"}, 0, "It does not stand on two pairs of legs"},
	} {
		s := ofRig(t, row.figure())
		b, err := s.FitBoard(context.Background(), row.values)
		if err != nil {
			t.Fatalf("%s: %v", row.name, err)
		}
		if len(b.Spots) != row.spots || !strings.HasPrefix(b.Refused, row.refused) || (b.Refused == "") != (row.refused == "") {
			t.Errorf("%s: %d points, %q; want %d, %q", row.name, len(b.Spots), b.Refused, row.spots, row.refused)
		}
		x := try(t, s, "fit", row.values)
		if refused := x.After == nil; refused != (row.refused != "") {
			t.Errorf("%s: the mend says %q, the board %q", row.name, x.Refused(), b.Refused)
		} else if !refused {
			if n := len(SkeletonOf(x.After.Rig)); n != len(b.Joints) {
				t.Errorf("%s: the mend lays %d joints in, the board shows %d", row.name, n, len(b.Joints))
			}
		}
	}
}
