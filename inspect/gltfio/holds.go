package gltfio

import (
	"fmt"
	"slices"

	"rigloupe/inspect/rig"
)

// Holds tells whether a GLB that was written reads back, by the reader that everybody
// uses, as the model it was made of with these clips: nil, or what is not as it was. A
// place in a matrix may differ by what taking it apart costs.
func Holds(glb []byte, was *rig.Rig, clips []rig.ClipData) error {
	got, err := Read([]File{{Name: "the file written", Data: glb}}, Options{})
	if err != nil {
		return err
	}
	for _, n := range []struct {
		what      string
		was, have int
	}{
		{"nodes", len(was.Nodes), len(got.Nodes)}, {"meshes", len(was.Meshes), len(got.Meshes)},
		{"skins", len(was.Skins), len(got.Skins)}, {"surfaces", len(was.Surfaces), len(got.Surfaces)},
		{"clips", len(clips), len(got.Clips)}, {"pictures", len(was.Images), len(got.Images)},
	} {
		if n.was != n.have {
			return fmt.Errorf("it reads back with %d %s, not %d", n.have, n.what, n.was)
		}
	}
	for i := range was.Nodes {
		a, b := &was.Nodes[i], &got.Nodes[i]
		if a.Name != b.Name || a.Parent != b.Parent || a.Mesh != b.Mesh || a.Skin != b.Skin {
			return fmt.Errorf("node %d %s reads back otherwise", i, quote(a.Name))
		}
	}
	for i := range was.Meshes {
		a, b := &was.Meshes[i], &got.Meshes[i]
		same := slices.Equal(a.Positions, b.Positions) && slices.Equal(a.Normals, b.Normals) && slices.Equal(a.UV, b.UV) &&
			slices.Equal(a.Triangles, b.Triangles) && slices.Equal(a.Joints, b.Joints) && slices.Equal(a.Weights, b.Weights) &&
			len(a.Targets) == len(b.Targets) && len(a.Primitives) == len(b.Primitives)
		if !same {
			return fmt.Errorf("mesh %d %s reads back otherwise", i, quote(a.Name))
		}
	}
	for i := range was.Skins {
		if a, b := &was.Skins[i], &got.Skins[i]; !slices.Equal(a.Joints, b.Joints) || !slices.Equal(a.Bind, b.Bind) {
			return fmt.Errorf("skin %d %s reads back otherwise", i, quote(a.Name))
		}
	}
	for i := range clips {
		a, b := clips[i].Channels, got.Clips[i].Channels
		same := len(a) == len(b)
		for k := 0; same && k < len(a); k++ {
			same = a[k].Node == b[k].Node && a[k].Path == b[k].Path && a[k].Interpolation == b[k].Interpolation &&
				slices.Equal(a[k].Times, b[k].Times) && slices.Equal(a[k].Values, b[k].Values)
		}
		if !same {
			return fmt.Errorf("clip %d %s reads back otherwise", i, quote(clips[i].Name))
		}
	}
	return nil
}
