package menagerie

import (
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Hung is a skeleton without names or a surface: a joint at each place (world, metres), hung on
// the one of that number, −1 on none. A parent stands before its children.
func Hung(parents []int, at ...space.Vec) *rig.Rig {
	r := &rig.Rig{File: rig.File{Name: "t.glb"}, Skins: []rig.SkinData{{}}, Shown: rig.None}
	for i, p := range at {
		d := rig.NodeData{Parent: rig.Node(parents[i]), Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}}
		if parents[i] >= 0 {
			p = p.Sub(at[parents[i]])
			r.Nodes[parents[i]].Children = append(r.Nodes[parents[i]].Children, rig.Node(i))
		}
		d.T = p
		d.Matrix = d.TRS.Affine()
		r.Nodes = append(r.Nodes, d)
		r.Skins[0].Joints = append(r.Skins[0].Joints, rig.Node(i))
	}
	r.SetOrder()
	return r
}
