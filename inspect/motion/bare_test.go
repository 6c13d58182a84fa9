package motion

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// bared takes all surfaces and skins off: joints and clips stay, as in BVH.
func bared(r *rig.Rig) *rig.Rig {
	r.Surfaces, r.Skins, r.Meshes = nil, nil, nil
	for i := range r.Nodes {
		r.Nodes[i].Mesh, r.Nodes[i].Skin = rig.None, rig.None
	}
	return r
}

// TestJointsAlone: of bare joints the lengths of bones are looked at, as of skinned
// ones; what only a surface shows says that none hangs on them, and without a skin but
// with a surface that is what is said.
func TestJointsAlone(t *testing.T) {
	base := checktest.Built(lamplighter.Options{Vertices: 4000})
	for _, row := range []struct {
		name   string
		change float64
		titles []string
	}{
		{"as it is", 0, nil},
		{"below the limit", .0199, nil},
		{"above the limit", .0201, []string{stretchedBone.Title}},
		{"a limb by much", .201, []string{"Limb changes its length"}},
	} {
		r := bared(lamplighter.Clone(base))
		if row.change > 0 {
			lamplighter.Lengthen(row.change)(r)
		}
		got := filed(t, r, stretchedBone.ID)
		if len(got) != len(row.titles) {
			t.Errorf("%s: %d findings: %+v", row.name, len(got), got)
			continue
		}
		for i, f := range got {
			if m := f.Measures[0]; f.Title != row.titles[i] || m.Value < row.change-1e-4 || m.Value > row.change+1e-4 || f.Where.Joints[0] != lamplighter.Node("lowerArm_L") {
				t.Errorf("%s: %+v", row.name, f)
			}
		}
	}
	gear := lamplighter.Clone(base)
	gear.Skins = nil
	for i := range gear.Surfaces {
		gear.Surfaces[i].Skin = rig.None
	}
	for name, rows := range map[string]struct {
		r    *rig.Rig
		want map[string]string
	}{
		"joints alone": {bared(lamplighter.Clone(base)), map[string]string{
			"motion/still-chain": noSurface, "motion/worst-frame": noSurface, "motion/under-ground": noSurface, "motion/stretched-bone": ""}},
		"no skin": {gear, map[string]string{
			"motion/still-chain": "no skin in this file", "motion/worst-frame": "no skin in this file", "motion/stretched-bone": "no skin in this file"}},
	} {
		_, outcomes := checktest.Judge(t, &Station, rows.r, nil)
		seen := 0
		for _, o := range outcomes {
			if want, ok := rows.want[o.ID]; ok {
				seen++
				if o.Reason != want || (want != "") != (o.State == check.NotLookedAt) {
					t.Errorf("%s: %s: %q, want %q", name, o.ID, o.Reason, want)
				}
			}
		}
		if seen != len(rows.want) {
			t.Errorf("%s: %d outcomes of %d", name, seen, len(rows.want))
		}
	}
}
