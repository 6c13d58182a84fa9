package mend

import (
	"fmt"
	"slices"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// buckled is the sample with three buckles in its own mesh; own: the last one has a
// primitive of its own.
func buckled(own bool) *rig.Rig {
	r := lamplighter.Clone(coarse())
	m := &r.Meshes[0]
	for k := range 3 {
		if own && k == 2 {
			p := m.Primitives[0]
			p.First, p.Count, p.FirstTri, p.TriCount, p.Array = m.Vertices(), 0, len(m.Triangles)/3, 0, p.Array+1
			m.Primitives = append(m.Primitives, p)
		}
		addBox(m, [3]float64{0.1 * float64(k-1), 1, 0.5}, 0.02, 0)
	}
	m.Remeasure()
	return r
}

// Of three buckles in the coat's own mesh one goes: what is left is the figure that was built
// without it, bit by bit; joints and clips stay as they are.
func TestPieceOut(t *testing.T) {
	for _, own := range []bool{false, true} {
		r := buckled(own)
		s := ofRig(t, r)
		x := try(t, s, "gear", Values{"pieces": []any{"0.1 1 0.52"}})
		if x.After == nil {
			t.Fatal(x.Refused())
		}
		a, b := &s.Rig.Meshes[0], &x.After.Rig.Meshes[0]
		n := b.Vertices()
		if n != a.Vertices()-8 || len(b.Triangles) != len(a.Triangles)-36 {
			t.Fatalf("%d vertices of %d, %d triangles of %d are left", n, a.Vertices(), len(b.Triangles)/3, len(a.Triangles)/3)
		}
		if !slices.Equal(a.Positions[:3*n], b.Positions) || !slices.Equal(a.Weights[:a.K*n], b.Weights) || !slices.Equal(a.Triangles[:len(b.Triangles)], b.Triangles) {
			t.Error("what is left is not as it was")
		}
		if want := len(a.Primitives); own && len(b.Primitives) != want-1 || !own && len(b.Primitives) != want {
			t.Errorf("%d primitives", len(b.Primitives))
		}
		receipt := prove(t, x)
		if !receipt.Kept || len(receipt.Planted) > 0 || receipt.Moved.Count > 0 || len(x.After.Rig.Nodes) != len(s.Rig.Nodes) {
			t.Errorf("%s %+v", receipt.Sentence(), receipt.Moved)
		}
		soundAfter(t, x, false, false, 1)
	}
}

// Real figures: the smallest piece of a surface of several goes, every other vertex of the
// file stays where it is, at rest and in the clips.
func TestPieceOutCorpus(t *testing.T) {
	for _, file := range []string{"Knight.glb", "robot.glb", "cesium_man.gltf", "MorphStressTest.gltf"} {
		t.Run(file, func(t *testing.T) {
			s := corpusState(t, file)
			e := examOf(s)
			surface, vertex, fewest := -1, 0, 1<<30
			var shell []int32
			for i, x := range s.Rig.Surfaces {
				of, n := e.ShellsOf(x.Mesh)
				size := make([]int, n)
				for _, v := range s.Rig.Meshes[x.Mesh].Triangles {
					size[of[v]]++
				}
				for _, v := range s.Rig.Meshes[x.Mesh].Triangles {
					if n > 1 && size[of[v]] < fewest {
						surface, vertex, fewest, shell = i, int(v), size[of[v]], of
					}
				}
			}
			if surface < 0 {
				t.Skip("no surface has two pieces")
			}
			at := space.At(e.RestPositions(surface), vertex)
			x := try(t, s, "gear", Values{"pieces": []any{fmt.Sprintf("%.9g, %.9g %.9g", at[0], at[1], at[2])}})
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			mesh := s.Rig.Surfaces[surface].Mesh
			a, b := &s.Rig.Meshes[mesh], &x.After.Rig.Meshes[mesh]
			if len(a.Triangles)-len(b.Triangles) != fewest {
				t.Errorf("%d corners went, the piece has %d", len(a.Triangles)-len(b.Triangles), fewest)
			}
			from := x.work.named[mesh]
			for v := range b.Vertices() {
				o := int(from[v])
				if shell[o] == shell[vertex] && examOf(s).Used(mesh)[o] {
					t.Fatalf("vertex %d is of the piece", o)
				}
				if !slices.Equal(a.Positions[3*o:3*o+3], b.Positions[3*v:3*v+3]) || !slices.Equal(a.Weights[a.K*o:a.K*o+a.K], b.Weights[b.K*v:b.K*v+b.K]) {
					t.Fatalf("vertex %d changed", o)
				}
			}
			r := prove(t, x)
			t.Log(r.Sentence(), r.Says, r.Measures)
			if r.Moved.Count > 0 {
				t.Errorf("moved %+v", r.Moved)
			}
		})
	}
}

func TestPieceOutRefuses(t *testing.T) {
	twice := lamplighter.Clone(coarse())
	n := rig.Node(len(twice.Nodes))
	twice.Nodes = append(twice.Nodes, rig.NodeData{Name: "statue", Parent: rig.None, Mesh: 0, Skin: rig.None, TRS: rig.TRS{T: [3]float64{3, 0, 0}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}})
	twice.Nodes[n].Matrix = twice.Nodes[n].TRS.Affine()
	twice.Scenes[0].Roots = append(twice.Scenes[0].Roots, n)
	twice.Surfaces = append(twice.Surfaces, rig.Surface{Node: n, Mesh: 0, Skin: rig.None})
	twice.SetOrder()
	for _, row := range []struct {
		r    *rig.Rig
		at   string
		want string
	}{
		{coarse(), "0 1", `A piece is named by three numbers, x y z, not by "0 1".`},
		{coarse(), "0 1 high", `A piece is named by three numbers: "high" is none.`},
		{coarse(), "0 5 0", "No piece lies at 0 5 0: the nearest vertex is 3.14\u00a0m away."},
		{coarse(), "0 1 0.14", "Nothing would be left to see."},
		{twice, "0 1 0.14", `The mesh of "Lamplighter" is shown 2 times: a piece of it would go from each.`},
	} {
		x := try(t, ofRig(t, row.r), "gear", Values{"pieces": []any{row.at}})
		if x.After != nil || x.Refused() != row.want {
			t.Errorf("%s: %q, want %q", row.at, x.Refused(), row.want)
		}
	}
}
