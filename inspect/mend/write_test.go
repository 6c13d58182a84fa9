package mend

import (
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// written writes a changed rig into a copy of a state's document and reads it again.
func written(t *testing.T, s *State, is *rig.Rig) (*rig.Rig, original.Change) {
	t.Helper()
	w := &Work{Context: t.Context(), Doc: s.Doc.Clone(), Rig: s.Rig}
	if err := w.Write(is, nil); err != nil {
		t.Fatal(err)
	}
	b, err := w.Doc.GLB()
	if err != nil {
		t.Fatal(err)
	}
	r, err := gltfio.Read([]gltfio.File{{Name: s.Doc.Name, Data: b}}, gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r, original.Changes(s.Doc, w.Doc)
}

// The same rig changes no byte; each part that is changed reads back as it was given, and
// nothing else differs.
func TestWrite(t *testing.T) {
	names, _ := filepath.Glob(corpus + "/*.gl*")
	states := []*State{ofRig(t, sample())}
	for _, n := range names {
		states = append(states, corpusState(t, filepath.Base(n)))
	}
	for _, s := range states {
		t.Run(s.Doc.Name, func(t *testing.T) {
			if _, c := written(t, s, lamplighter.Clone(s.Rig)); len(c.Rewritten)+len(c.Pointers)+c.Added > 0 {
				t.Errorf("nothing was changed: %+v", c)
			}
			is := lamplighter.Clone(s.Rig)
			n := len(is.Nodes) - 1
			is.Nodes[n].Name = "another \"name\""
			if !is.Nodes[n].HasMatrix {
				is.Nodes[n].T[1] += .25
				is.Nodes[n].Matrix = is.Nodes[n].TRS.Affine()
			}
			for m := range is.Meshes {
				if v := is.Meshes[m].Positions; len(v) > 5 && is.Meshes[m].Primitives[0].PositionType == 5126 {
					v[3], v[4] = v[4]+.5, v[3]-.5
				}
			}
			for i := range is.Skins {
				if is.Skins[i].BindRow == nil && len(is.Skins[i].Bind) > 0 && is.Skins[i].HasBind {
					is.Skins[i].Bind[0][3] += .5
				}
			}
			for i := range is.Clips {
				c := &is.Clips[i]
				if len(c.Channels) > 1 && c.Channels[0].Path == rig.Translation {
					c.Channels[0].Values[0] += .5
				}
			}
			got, _ := written(t, s, is)
			for m := range is.Meshes {
				if !slices.Equal(got.Meshes[m].Positions, is.Meshes[m].Positions) || !slices.Equal(got.Meshes[m].Weights, is.Meshes[m].Weights) || !slices.Equal(got.Meshes[m].Triangles, is.Meshes[m].Triangles) {
					t.Errorf("mesh %d reads back otherwise", m)
				}
			}
			for k := range is.Nodes {
				if a, b := got.Nodes[k], is.Nodes[k]; a.Name != b.Name || a.T != b.T || a.S != b.S || space.Apart(space.FromXYZW(a.R), space.FromXYZW(b.R)) > 1e-7 {
					t.Errorf("node %d reads back as %+v", k, got.Nodes[k])
				}
			}
			for i := range is.Skins {
				for j := range is.Skins[i].Bind {
					if d := got.Skins[i].Bind[j][3] - is.Skins[i].Bind[j][3]; d > 1e-6 || d < -1e-6 {
						t.Errorf("skin %d, matrix %d", i, j)
					}
				}
			}
			if !reflect.DeepEqual(channels(got), channels(is)) {
				t.Error("clips read back otherwise")
			}
		})
	}
}

func channels(r *rig.Rig) (out []any) {
	for _, c := range r.Clips {
		for _, k := range c.Channels {
			out = append(out, k.Node, k.Path, k.Interpolation, slices.Clone(k.Times), slices.Clone(k.Values))
		}
	}
	return out
}

// A channel more, one less, one with other times; a joint hung elsewhere; weights in
// bytes that sum to 255.
func TestWriteTreeClipsWeights(t *testing.T) {
	s := ofRig(t, sample())
	is := lamplighter.Clone(s.Rig)
	c := &is.Clips[0]
	c.Channels = slices.Delete(c.Channels, 3, 4)
	c.Channels[1].Times = append([]float32{}, c.Channels[1].Times...)
	c.Channels[1].Times[1] += 1e-3
	c.Channels = append(c.Channels, rig.Channel{Node: 2, Path: rig.Scale, Width: 3, Times: []float32{0, 1}, Values: []float32{1, 1, 1, 2, 2, 2}})
	child, to := rig.Node(5), rig.Node(0)
	from := is.Nodes[child].Parent
	is.Nodes[from].Children = slices.DeleteFunc(slices.Clone(is.Nodes[from].Children), func(n rig.Node) bool { return n == child })
	is.Nodes[to].Children = append(slices.Clone(is.Nodes[to].Children), child)
	is.Nodes[child].Parent = to
	m := &is.Meshes[0]
	m.Weights[0], m.Weights[1], m.Joints[0], m.Joints[1] = .5, .5, 3, 4
	for k := 2; k < m.K; k++ {
		m.Weights[k], m.Joints[k] = 0, 0
	}
	got, _ := written(t, s, is)
	if !reflect.DeepEqual(channels(got), channels(is)) {
		t.Error("clips read back otherwise")
	}
	if got.Nodes[child].Parent != to || !slices.Equal(got.Nodes[to].Children, is.Nodes[to].Children) {
		t.Errorf("node %d hangs on %d", child, got.Nodes[child].Parent)
	}
	if !slices.Equal(got.Meshes[0].Weights, m.Weights) || !slices.Equal(got.Meshes[0].Joints, m.Joints) {
		t.Error("weights read back otherwise")
	}
}
