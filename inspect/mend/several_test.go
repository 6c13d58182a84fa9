package mend

import (
	"reflect"
	"slices"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// aside is a figure that stands so many metres to its left.
func aside(r *rig.Rig, metres float64) *rig.Rig {
	r = lamplighter.Clone(r)
	for i := range r.Nodes {
		if n := &r.Nodes[i]; n.Parent < 0 && n.Skin < 0 {
			n.T[0] += metres
			n.Matrix = n.TRS.Affine()
		}
	}
	return r
}

// Two figures in one file, one sound, one with a fault, whichever comes first: the mend that
// is suggested clears it, plants nothing, and leaves the sound one as it is, bit by bit:
// nodes, places, weights, binding and clips.
func TestMendsOfTheRightFigure(t *testing.T) {
	for i, id := range []string{"surface/near-coincident", "surface/lopsided", "binding/mirror-mismatch", "binding/unbound", "binding/sum-off", "binding/stray-island", "binding/cross-body",
		"binding/split-seam", "binding/cut-to-four", "skeleton/rest-pose", "skeleton/loose-chain", "motion/dead-weight"} {
		fault := planted(id)[0]
		for _, first := range []bool{true, false} {
			if !rounds.Run(i, 12) || !first && !rounds.Long() {
				continue
			}
			name := id + " of the second"
			if first {
				name = id + " of the first"
			}
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				bad, _ := fault.On(sample())
				sound := aside(sample(), 3)
				figures := []*rig.Rig{sound, bad}
				at := 0 // of the sound one
				if first {
					figures, at = []*rig.Rig{bad, sound}, 1
				}
				s := ofRig(t, lamplighter.Merge(figures...))
				was, err := s.Examine(t.Context(), nil)
				if err != nil {
					t.Fatal(err)
				}
				cleared := false
				for _, m := range ForCheck(id) {
					for _, v := range m.Suggest(Look(was)) {
						x := try(t, s, m.ID, v)
						if x.After == nil {
							t.Logf("%v: %s", v, x.Refused())
							continue
						}
						r := prove(t, x)
						t.Logf("%v: %s %v", v, r.Sentence(), r.Refused)
						if !slices.Contains(r.Cleared, id) {
							continue
						}
						cleared = true
						if len(r.Planted) > 0 || !r.Kept {
							t.Errorf("%v: %s", v, r.Sentence())
						}
						if m.ID == "thin" { // of all clips, whoever they are of
							if d := surfaceShift(s.Rig, x.After.Rig); d > 1.8/17000 {
								t.Errorf("the surface is %g m off", d)
							}
						} else {
							sameFigure(t, s.Rig, x.After.Rig, figures, at)
						}
						return
					}
				}
				if !cleared {
					t.Errorf("no mend clears it; it is of grade %v", gradeOf(t, s, id))
				}
			})
		}
	}
}

// sameFigure asks that one of several figures is as it was, bit by bit.
func sameFigure(t *testing.T, was, is *rig.Rig, figures []*rig.Rig, k int) {
	t.Helper()
	nodes, meshes, skins := 0, 0, 0
	for _, f := range figures[:k] {
		nodes, meshes, skins = nodes+len(f.Nodes), meshes+len(f.Meshes), skins+len(f.Skins)
	}
	f := figures[k]
	for n := nodes; n < nodes+len(f.Nodes); n++ {
		if a, b := &was.Nodes[n], &is.Nodes[n]; a.TRS != b.TRS || a.Name != b.Name || a.Parent != b.Parent || a.Matrix != b.Matrix {
			t.Fatalf("node %q of the sound figure changed", a.Name)
		}
	}
	for m := meshes; m < meshes+len(f.Meshes); m++ {
		a, b := &was.Meshes[m], &is.Meshes[m]
		if !slices.Equal(a.Positions, b.Positions) || !slices.Equal(a.Normals, b.Normals) || !slices.Equal(a.Weights, b.Weights) || !slices.Equal(a.Joints, b.Joints) || !slices.Equal(a.Triangles, b.Triangles) {
			t.Errorf("mesh %q of the sound figure changed", a.Name)
		}
	}
	for i := skins; i < skins+len(f.Skins); i++ {
		if !slices.Equal(was.Skins[i].Joints, is.Skins[i].Joints) || !slices.Equal(was.Skins[i].Bind, is.Skins[i].Bind) {
			t.Errorf("skin %d of the sound figure changed", i)
		}
	}
	of := func(r *rig.Rig) (out []rig.Channel) {
		for c := range r.Clips {
			for _, ch := range r.Clips[c].Channels {
				if int(ch.Node) >= nodes && int(ch.Node) < nodes+len(f.Nodes) {
					out = append(out, ch)
				}
			}
		}
		return out
	}
	if a, b := of(was), of(is); !reflect.DeepEqual(a, b) {
		t.Errorf("clips of the sound figure changed: %d channels, %d", len(a), len(b))
	}
}
