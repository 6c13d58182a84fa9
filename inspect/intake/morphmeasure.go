package intake

import (
	"math"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// Morph is one target of one surface.
type Morph struct {
	Name     string       `json:"name"`
	Default  float64      `json:"default"` // weight at rest
	ShiftM   float64      `json:"shift_m"` // farthest that it moves a vertex at weight 1, world metres
	Farthest rig.Vertex   `json:"farthest"`
	Empty    bool         `json:"empty"`              // moves nothing and turns no normal
	PartsM   float64      `json:"parts_m"`            // farthest that it parts two vertices of one place
	Parted   []rig.Vertex `json:"parted" wire:"null"` // those parted by more than a hundredth of PartsM, at most 64
	Keyed    int          `json:"keyed"`              // clips that move its weight
}

// measureMorphs measures the targets of one surface. Shifts are scaled by the size
// of the surface in the world against its stored size: exact where the scale is
// even.
func measureMorphs(e *exam.Exam, surface int) []Morph {
	r := e.Rig
	s := r.Surfaces[surface]
	m := &r.Meshes[s.Mesh]
	if len(m.Targets) == 0 {
		return nil
	}
	scale := worldScale(e, surface)
	weld := e.Weld(s.Mesh)
	rest := e.RestPose().MorphWeights(s.Node)
	keyed := 0
	for i := range r.Clips {
		for k := range r.Clips[i].Channels {
			if c := &r.Clips[i].Channels[k]; c.Node == s.Node && c.Path == rig.Weights {
				keyed++
				break
			}
		}
	}
	out := make([]Morph, len(m.Targets))
	for t := range m.Targets {
		g := Morph{Name: m.Targets[t].Name, Farthest: rig.None, Empty: true, Keyed: keyed}
		if t < len(rest) {
			g.Default = finite(float64(rest[t]))
		}
		for _, v := range m.Targets[t].Normals {
			if v != 0 {
				g.Empty = false
				break
			}
		}
		d := m.Targets[t].Positions
		worst, parts := float32(0), float32(0)
		for v := 0; v+2 < len(d); v += 3 {
			if l := d[v]*d[v] + d[v+1]*d[v+1] + d[v+2]*d[v+2]; l > worst {
				worst, g.Farthest = l, rig.Vertex(v/3)
			}
			if l := apart(d, v, 3*int(weld.First[weld.Of[v/3]])); l > parts {
				parts = l
			}
		}
		if worst > 0 {
			g.Empty = false
		}
		if parts > 0 {
			for v := 0; v+2 < len(d) && len(g.Parted) < 64; v += 3 {
				if apart(d, v, 3*int(weld.First[weld.Of[v/3]])) > parts*1e-4 {
					g.Parted = append(g.Parted, rig.Vertex(v/3))
				}
			}
		}
		g.ShiftM, g.PartsM = finite(scale*math.Sqrt(float64(worst))), finite(scale*math.Sqrt(float64(parts)))
		out[t] = g
	}
	return out
}

func apart(d []float32, a, b int) float32 {
	x, y, z := d[a]-d[b], d[a+1]-d[b+1], d[a+2]-d[b+2]
	return x*x + y*y + z*z
}

// worldScale is how much larger a surface is in the world than as stored.
func worldScale(e *exam.Exam, surface int) float64 {
	r := e.Rig
	s := r.Surfaces[surface]
	if s.Skin < 0 {
		l := e.RestWorld()[s.Node].Scales()
		return max(l[0], l[1], l[2])
	}
	lo, hi := [3]float32{}, [3]float32{}
	for i, v := range r.Meshes[s.Mesh].Positions {
		if i < 3 || v < lo[i%3] {
			lo[i%3] = v
		}
		if i < 3 || v > hi[i%3] {
			hi[i%3] = v
		}
	}
	d := 0.0
	for c := range 3 {
		d += float64(hi[c]-lo[c]) * float64(hi[c]-lo[c])
	}
	if d == 0 {
		return 1
	}
	return finite(e.SurfaceBox(surface).Diagonal() / math.Sqrt(d))
}
