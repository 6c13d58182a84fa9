package fit

import (
	"testing"

	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

// Hands by themselves: the joints of five fingers against their makers', in % of the
// hand's length. Each finger is told from the others.
func TestFingers(t *testing.T) {
	for _, row := range []struct {
		name string
		rig  func(t testing.TB) *rig.Rig
		most float64
	}{
		{"hand_left.glb", corpus("hand_left.glb"), 6},
		{"hand_right.glb", corpus("hand_right.glb"), 6},
		// Its fingers part at the knuckles, where those of life are grown together for a
		// quarter of their length.
		{"built", built(menagerie.Hand(menagerie.Options{})), 12},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := row.rig(t)
			b, joints, _ := stripped(r)
			side := "left"
			if row.name == "hand_right.glb" {
				side = "right"
			}
			wrist, knuckle := joints[side+"Hand"], joints[side+"MiddleDistal"]
			tip := mix(wrist, knuckle, 1.13)
			long := tip.Sub(wrist).Len()
			got := Fingers(b.Points, b.Triangles, wrist, tip, nil)
			if got == nil {
				t.Fatal("no five fingers")
			}
			sum, n := 0.0, 0.0
			for i, name := range digitNames {
				for k, part := range partNames(i) {
					want, ok := joints[side+name+part]
					if !ok {
						continue
					}
					off := 100 * got[i][k].Sub(want).Len() / long
					sum, n = sum+off, n+1
					t.Logf("%s%s %.1f %%", name, part, off)
				}
			}
			if n < 12 || sum/n > row.most {
				t.Errorf("%.1f %% on the mean of %.0f joints", sum/n, n)
			}
		})
	}
}

// A person with mittens gets no fingers.
func TestMittens(t *testing.T) {
	b, _, _ := stripped(menagerie.Person(menagerie.Options{}))
	if list, err := Person(b, Options{Fingers: true}, nil); err != nil || len(list) != 21 {
		t.Errorf("%d joints, %v", len(list), err)
	}
}
