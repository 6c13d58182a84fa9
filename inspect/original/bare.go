package original

import (
	"fmt"

	"rigloupe/inspect/rig"
)

// Bare writes the nodes of a rig without surfaces, skins or pictures, as one GLB with
// clips: what a file of motion capture becomes.
func Bare(r *rig.Rig, clips []rig.ClipData) ([]byte, error) {
	if len(r.Nodes) == 0 {
		return nil, fmt.Errorf("%q holds no node", r.File.Name)
	}
	nodes, roots := List(), List()
	for i := range r.Nodes {
		n := &r.Nodes[i]
		o := Object("translation", Numbers(n.T[:]...), "rotation", Numbers(n.R[:]...), "scale", Numbers(n.S[:]...))
		if n.Name != "" {
			o.Set("name", Text(n.Name))
		}
		if len(n.Children) > 0 {
			kids := List()
			for _, k := range n.Children {
				kids.Append(Whole(int(k)))
			}
			o.Set("children", kids)
		}
		nodes.Append(o)
		if n.Parent < 0 {
			roots.Append(Whole(i))
		}
	}
	d := &Document{Name: r.File.Name, Root: Object("asset", Object("version", Text("2.0"), "generator", Text("Rigloupe")),
		"scene", Whole(0), "scenes", List(Object("nodes", roots)), "nodes", nodes)}
	return d.WithClips(clips)
}
