package inspect

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

// What a wrong bind matrix adds to a finding that stood before follows from it; what was
// there without it keeps its figure and its remedy.
func TestCauseTakesItsPartAlone(t *testing.T) {
	shifted := func(metres float64) func(*rig.Rig) {
		return func(r *rig.Rig) {
			wrist := rig.Node(slices.IndexFunc(r.Nodes, func(n rig.NodeData) bool { return n.Name == "wrist.l" }))
			off := rig.Identity
			off[3] = metres
			for i := range r.Skins {
				if j := slices.Index(r.Skins[i].Joints, wrist); j >= 0 {
					r.Skins[i].Bind[j] = r.Skins[i].Bind[j].Mul(&off)
				}
			}
		}
	}
	exchanged := func(a, b int) func(*rig.Rig) {
		return func(r *rig.Rig) {
			for i := range r.Skins {
				m := r.Skins[i].Bind
				m[a], m[b] = m[b], m[a]
			}
		}
	}
	for _, x := range []struct {
		name, file, id string
		slack          float64 // of the figure without the cause
		plant          func(*rig.Rig)
	}{
		{"wrist bound 0.1 m off", "Knight.glb", "surface/lopsided", 1e-9, shifted(.1)},
		{"wrist bound 0.2 m off", "Knight.glb", "surface/lopsided", 1e-9, shifted(.2)},
		{"forearm and another exchanged", "Knight.glb", "surface/lopsided", 1e-9, exchanged(5, 8)},
		{"nodes 14 and 16 exchanged", "cesium_man.gltf", "binding/cross-body", .2, func(r *rig.Rig) {
			j := r.Skins[0].Joints
			exchanged(slices.Index(j, 14), slices.Index(j, 16))(r)
		}},
	} {
		t.Run(x.name, func(t *testing.T) {
			r := checktest.Named(t, x.file)
			was := 0.0
			for _, f := range examined(t, r).Findings() {
				if f.ID == x.id && f.Grade == check.Flaw {
					was = f.Measures[0].Value
				}
			}
			r = checktest.Named(t, x.file)
			x.plant(r)
			own, follows := math.NaN(), 0
			for _, f := range examined(t, r).Findings() {
				switch {
				case f.ID != x.id:
				case f.Cause != nil:
					if follows++; f.Remedy != "" || f.Grade != check.Note {
						t.Errorf("follows, yet %s with %q", f.Grade, f.Remedy)
					}
				case f.Grade == check.Flaw:
					own = f.Measures[0].Value
				}
			}
			if !(math.Abs(own-was) <= x.slack*was) || follows != 1 {
				t.Errorf("own %g, was %g; %d follow", own, was, follows)
			}
		})
	}
}
