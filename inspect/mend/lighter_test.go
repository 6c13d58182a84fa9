package mend

import (
	"math"
	"strings"
	"testing"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// Three tenths of the triangles of a figure go: vertices that stay are those that were, weights and all;
// the figure is whole, nothing that shows is planted, and how far it is off is no less than
// an independent posing of the written file finds.
func TestLighter(t *testing.T) {
	for name, r := range rounds.Named(map[string]*rig.Rig{"sample": sample(), "person": menagerie.Person(menagerie.Options{})}, 2) {
		s := ofRig(t, r)
		x := try(t, s, "lighter", Values{"share": .7})
		if x.After == nil {
			t.Fatal(name, x.Refused())
		}
		was, is := &s.Rig.Meshes[0], &x.After.Rig.Meshes[0]
		if a, b := len(was.Triangles), len(is.Triangles); math.Abs(float64(b)/float64(a)-.7) > .01 {
			t.Errorf("%s: %d of %d corners are left", name, b, a)
		}
		type row [3]float32
		at := map[row]int{}
		for v := range was.Vertices() {
			at[row(was.Positions[3*v:3*v+3])] = v
		}
		for v := range is.Vertices() {
			u, had := at[row(is.Positions[3*v:3*v+3])]
			if !had {
				t.Fatalf("%s: vertex %d stands where none stood", name, v)
			}
			if !equalRow(is.Weights[is.K*v:is.K*v+is.K], was.Weights[was.K*u:was.K*u+was.K]) || !equalRow(is.Normals[3*v:3*v+3], was.Normals[3*u:3*u+3]) {
				t.Fatalf("%s: vertex %d has other weights or another normal", name, v)
			}
		}
		g := prove(t, x)
		if !g.Kept {
			t.Error(name, g.Sentence(), g.Planted)
		}
		if said := strings.Join(g.Says, " "); strings.Contains(said, "in a heap") {
			t.Error(name, said)
		}
		told := map[string]float64{}
		for _, m := range g.Measures {
			told[m.Name] = m.Value
		}
		if told["farthest off at rest"] > .005*x.Before.looked().Height() || told["farthest off in any pose"] < told["farthest off at rest"] {
			t.Errorf("%s: %v", name, told)
		}
		// The bend where the most is lost, and rest, by the two files alone.
		worst := 0.0
		for _, m := range append(Bends(s.Rig, s.looked().Roles(), s.looked().RestWorld()), Moment{Clip: rig.None}) {
			if m.Turn != nil && !strings.Contains(string(m.Turn.Axis), "flexion") {
				continue
			}
			pa, pb := NewPosed(s.Rig), NewPosed(x.After.Rig)
			m.Set(pa.Pose)
			m.Set(pb.Pose)
			list := pa.Positions(0)
			left := geom.NewTriangles(pb.Positions(0), is.Triangles)
			for v := 0; v < was.Vertices(); v += 7 {
				if hit, ok := left.Closest(space.At(list, v), math.Inf(1)); ok {
					worst = max(worst, hit.Distance)
				}
			}
		}
		if worst > told["farthest off in any pose"]+1e-6 || worst == 0 {
			t.Errorf("%s: off by %g m, %g m is told", name, worst, told["farthest off in any pose"])
		}
	}
}

// A figure that nothing holds is drawn in one place, where each triangle is as near as all
// others (glTF 2.0, 3.7.3.3: a sum of no weights is no place). The proof comes to an end, after as
// many looks a place as any figure has, and says how far it came; it took minutes.
func TestLighterInAHeap(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Vertices: 1500})
	clear(r.Meshes[0].Weights)
	x := try(t, ofRig(t, r), "lighter", Values{"share": .97})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	if said := strings.Join(prove(t, x).Says, " "); !strings.Contains(said, "lie in a heap") {
		t.Error(said)
	}
}

func TestLighterRefuses(t *testing.T) {
	cut := lamplighter.Clone(coarse()) // every triangle by itself, as in a figure of flat faces
	m := &cut.Meshes[0]
	out := rig.MeshData{Name: m.Name, K: m.K, Primitives: m.Primitives[:1]}
	for i, v := range m.Triangles {
		out.Positions = append(out.Positions, m.Positions[3*v:3*v+3]...)
		out.Normals = append(out.Normals, m.Normals[3*v:3*v+3]...)
		out.Joints = append(out.Joints, m.Joints[m.K*int(v):m.K*int(v+1)]...)
		out.Weights = append(out.Weights, m.Weights[m.K*int(v):m.K*int(v+1)]...)
		out.Triangles = append(out.Triangles, uint32(i))
	}
	out.Primitives[0].Count, out.Primitives[0].HasUV = len(m.Triangles), false
	out.Remeasure()
	cut.Meshes[0] = out
	for _, row := range []struct {
		s    *State
		v    Values
		want string
	}{
		{ofRig(t, cut), nil, "No triangle can go"},
		{ofRig(t, lamplighter.Clone(coarse())), Values{"surfaces": []string{"cloak"}}, "no surface"},
	} {
		x := try(t, row.s, "lighter", row.v)
		if x.After != nil || !strings.Contains(x.Refused(), row.want) {
			t.Errorf("%v: %q", row.v, x.Refused())
		}
	}
}
