package lamplighter

import "rigloupe/inspect/rig"

func surfaceFaults() []Fault {
	return append(wholenessFaults(), []Fault{
		{ID: "surface/lopsided", Name: "left lantern 40 mm farther out", Grade: "flaw",
			Also: []string{"binding/mirror-mismatch", "surface/bad-normals"}, Plant: PullLantern(0.04)},
		{ID: "surface/lopsided", Name: "one vertex of the left cuff pulled out by 20 mm", Grade: "note", Plant: PullVertex(0.02)},
	}...)
}

// PullLantern moves the vertices of the left lantern (half or more on its joint) by
// so many metres along +X. Size: the share of all vertices that lose their partner,
// both sides.
func PullLantern(metres float32) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		m := &r.Meshes[0]
		var list []rig.Vertex
		for v := range m.Vertices() {
			for k := range 4 {
				if m.Joints[4*v+k] == chainR-1 && m.Weights[4*v+k] >= 0.5 {
					list = append(list, rig.Vertex(v))
				}
			}
		}
		p := at(r, list)
		for _, v := range list {
			m.Positions[3*v] += metres
		}
		rebound(m)
		p.Measure, p.Size = "share unmatched, at most", 2*float64(len(list))/float64(m.Vertices())
		return p
	}
}

// PullVertex moves one vertex of the left cuff up by so many metres. Size: that.
func PullVertex(metres float32) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		m := &r.Meshes[0]
		w := r.RestWorld()[handL].Origin()
		p := at(r, nearest(r, w[0]-0.02, w[1]+0.07, 0, 1))
		m.Positions[3*p.Vertices[0]+1] += metres
		rebound(m)
		p.Measure, p.Unit, p.Size = "largest mismatch", "m", float64(metres)
		return p
	}
}
