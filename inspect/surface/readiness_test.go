package surface

import "testing"

// The verdict says no more than what was looked at: where nesting was given up, the
// main shell's direction is not known, and "ready" would be a guess.
func TestReadinessSaysWhatIsKnown(t *testing.T) {
	for _, row := range []struct {
		name string
		make func(*Facts)
		want string
		says string
	}{
		{"sound", func(*Facts) {}, "ready", "Ready to be bound."},
		{"nesting given up", func(f *Facts) { f.Nested = false }, cannotTell, "Whether it is ready to be bound cannot be told: nothing says which way the main shell faces."},
		{"nesting given up, but the surface branches", func(f *Facts) { f.Nested, f.Surfaces[0].Branching = false, 1 }, "not-yet", "Not ready to be bound. See to this first: 1 edge where the surface branches."},
		{"a triangle without area", func(f *Facts) { f.Surfaces[0].ZeroArea = 1 }, "after-steps", "Can be bound. See to this first: 1 triangle without area."},
		{"pairs that must stay apart", func(f *Facts) { f.Surfaces[0].NearPairs, f.Surfaces[0].HeldApart = 2, 2 }, "ready", "Ready to be bound."},
		{"one pair more", func(f *Facts) { f.Surfaces[0].NearPairs, f.Surfaces[0].HeldApart = 3, 2 }, "not-yet", "Not ready to be bound. See to this first: 1 pair of vertices almost in one place."},
		{"two things", func(f *Facts) { f.Surfaces[0].ZeroArea, f.Surfaces[0].Mixed = 2, 1 }, "after-steps", "Can be bound. See to 2 things first, beginning with 2 triangles without area."},
		{"a fault of gear", func(f *Facts) { f.Surfaces[1].Gear, f.Surfaces[1].Branching = true, 7 }, "ready", "Ready to be bound."},
		{"bound", func(f *Facts) { f.Ready.Bound = true }, "ready", "Bound already."},
		{"bound, and it branches", func(f *Facts) { f.Ready.Bound, f.Surfaces[0].Branching = true, 1 }, "not-yet",
			"Bound already. Were it bound anew, this would come first: 1 edge where the surface branches."},
		{"no triangle", func(f *Facts) { f.Triangles = 0 }, "nothing-to-bind", ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			f := &Facts{Nested: true, Surfaces: make([]Surface, 2)}
			f.Triangles = 1
			row.make(f)
			r := f.readiness(f.Ready.Bound)
			if r.Verdict != row.want {
				t.Errorf("verdict %q, want %q", r.Verdict, row.want)
			}
			if r.Says != row.says {
				t.Errorf("says %q, want %q", r.Says, row.says)
			}
			f.Ready = r
			if says := readyToBind.Needs(f); (says == tooDeep) != (row.want == cannotTell) {
				t.Errorf("with verdict %q the check says %q", r.Verdict, says)
			}
		})
	}
}
