package gltfio

import (
	"fmt"

	"rigloupe/inspect/rig"
)

// Bare writes the nodes of a rig without surfaces, skins or pictures, as one GLB with
// clips: what a file of motion capture becomes.
func Bare(r *rig.Rig, clips []rig.ClipData) ([]byte, error) {
	var nodes, roots []byte
	list := func(v []float64) (b []byte) {
		for i, x := range v {
			if i > 0 {
				b = append(b, ',')
			}
			b = append(b, exact(x)...)
		}
		return b
	}
	comma := func(b []byte) []byte {
		if len(b) > 0 {
			return append(b, ',')
		}
		return b
	}
	for i := range r.Nodes {
		n := &r.Nodes[i]
		nodes = fmt.Appendf(comma(nodes), `{"translation":[%s],"rotation":[%s],"scale":[%s]`, list(n.T[:]), list(n.R[:]), list(n.S[:]))
		if n.Name != "" {
			nodes = append(append(nodes, `,"name":`...), quoted(n.Name)...)
		}
		if len(n.Children) > 0 {
			var kids []byte
			for _, k := range n.Children {
				kids = append(comma(kids), whole(int(k))...)
			}
			nodes = fmt.Appendf(nodes, `,"children":[%s]`, kids)
		}
		nodes = append(nodes, '}')
		if n.Parent < 0 {
			roots = append(comma(roots), whole(i)...)
		}
	}
	if len(nodes) == 0 {
		return nil, fmt.Errorf("%q holds no node", r.File.Name)
	}
	text := fmt.Appendf(nil, `{"asset":{"version":"2.0","generator":"Rigloupe"},"scene":0,"scenes":[{"nodes":[%s]}],"nodes":[%s]}`, roots, nodes)
	return Append([]File{{"bare.gltf", text}}, clips)
}
