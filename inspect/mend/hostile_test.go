package mend

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// Every fault there is, and every mend of the table on it: refused in words, or the file
// written is read again. Scale keeps every vertex of every moment in its place, whatever
// else is wrong with the figure.
func TestEveryMendOnEveryFault(t *testing.T) {
	for i, fault := range lamplighter.Faults() {
		t.Run(fault.ID+" "+fault.Name, func(t *testing.T) {
			t.Parallel()
			r, _ := fault.On(coarse())
			s := ofRig(t, r)
			for k, m := range Table() {
				if !rounds.Run(i+k, 61) {
					continue
				}
				x, err := s.Try(t.Context(), m, nil)
				if err != nil {
					t.Fatalf("%s: %v", m.ID, err)
				}
				if x.After == nil {
					t.Logf("%s: %s", m.ID, x.Refused())
					continue
				}
				if m.ID == "scale" {
					sameBut(t, s.Rig, x.After.Rig, max(exam.New(s.Rig).Size(), exam.New(x.After.Rig).Size()), nil)
				}
			}
		})
	}
}

// Figures put together to be awkward.
func TestMendsOnAwkwardFigures(t *testing.T) {
	figures := map[string]func(r *rig.Rig){
		"places that are not finite": func(r *rig.Rig) { r.Meshes[0].Positions[7] = float32(math.NaN()) },
		"all weights zero":           func(r *rig.Rig) { clear(r.Meshes[0].Weights) },
		"no triangle":                func(r *rig.Rig) { r.Meshes[0].Triangles = nil; r.Meshes[0].Primitives[0].TriCount = 0 },
		"one triangle": func(r *rig.Rig) {
			r.Meshes[0].Triangles = r.Meshes[0].Triangles[:3]
			r.Meshes[0].Primitives[0].TriCount = 1
		},
		"all in one place": func(r *rig.Rig) { clear(r.Meshes[0].Positions) },
		"every triangle by itself": func(r *rig.Rig) {
			m := &r.Meshes[0]
			old := *m
			m.Positions, m.Normals, m.UV, m.Weights, m.Joints, m.Triangles = nil, nil, nil, nil, nil, nil
			for i, v := range old.Triangles {
				m.Triangles = append(m.Triangles, uint32(i))
				m.Positions = append(m.Positions, old.Positions[3*v:3*v+3]...)
				m.Normals = append(m.Normals, old.Normals[3*v:3*v+3]...)
				if old.UV != nil {
					m.UV = append(m.UV, old.UV[2*v:2*v+2]...)
				}
				m.Weights = append(m.Weights, old.Weights[old.K*int(v):old.K*int(v)+old.K]...)
				m.Joints = append(m.Joints, old.Joints[old.K*int(v):old.K*int(v)+old.K]...)
			}
			m.Primitives[0].Count = len(old.Triangles)
		},
		"thousands of loose triangles, shaken": func(r *rig.Rig) {
			rnd := rand.New(rand.NewPCG(3, 4))
			for i := range r.Meshes[0].Positions {
				r.Meshes[0].Positions[i] += float32(1e-4 * rnd.Float64())
			}
		},
		"two skins on one skeleton": func(r *rig.Rig) {
			r.Skins = append(r.Skins, r.Skins[0])
			r.Skins[1].Bind = slices.Clone(r.Skins[0].Bind)
			r.Nodes = append(r.Nodes, rig.NodeData{Name: "twin", Parent: rig.None, Mesh: 0, Skin: 1, TRS: rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}, Matrix: rig.Identity})
			n := rig.Node(len(r.Nodes) - 1)
			r.Scenes[0].Roots = append(slices.Clone(r.Scenes[0].Roots), n)
			r.SetOrder()
			r.Surfaces = append(r.Surfaces, rig.Surface{Node: n, Mesh: 0, Skin: 1})
		},
		"drawn rigid and skinned": func(r *rig.Rig) {
			r.Nodes = append(r.Nodes, rig.NodeData{Name: "statue", Parent: rig.None, Mesh: 0, Skin: rig.None, TRS: rig.TRS{T: [3]float64{2, 0, 0}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{.5, .5, .5}}})
			n := rig.Node(len(r.Nodes) - 1)
			r.Nodes[n].Matrix = r.Nodes[n].TRS.Affine()
			r.Scenes[0].Roots = append(slices.Clone(r.Scenes[0].Roots), n)
			r.SetOrder()
			r.Surfaces = append(r.Surfaces, rig.Surface{Node: n, Mesh: 0, Skin: rig.None})
		},
	}
	for i, name := range slices.Sorted(maps.Keys(figures)) {
		spoil := figures[name]
		t.Run(name, func(t *testing.T) {
			r := lamplighter.Clone(sample())
			spoil(r)
			s := ofRig(t, r)
			for k, m := range Table() {
				if m.ID != "weld" && !rounds.Run(i+k, 17) {
					continue
				}
				for _, v := range []Values{nil, {"factor": 3.0}, {"distance": 5e-3}} {
					if _, err := m.Complete(v); err != nil {
						continue
					}
					x, err := s.Try(t.Context(), m, v)
					if err != nil {
						t.Fatalf("%s: %v", m.ID, err)
					}
					if x.After == nil {
						t.Logf("%s: %s", m.ID, x.Refused())
						continue
					}
					if m.ID == "scale" && name != "places that are not finite" {
						f, _ := x.Values.Number("factor")
						sameBut(t, s.Rig, x.After.Rig, f*max(exam.New(s.Rig).Size(), 1), func(p [3]float64) [3]float64 { return [3]float64{f * p[0], f * p[1], f * p[2]} })
					}
					if m.ID == "weld" && name == "every triangle by itself" {
						if a, b := topologyOf(&x.After.Rig.Meshes[0]), topology(sample()); a != b || x.After.Rig.Meshes[0].Vertices() > s.Rig.Meshes[0].Vertices()/4 {
							t.Errorf("weld: %v of %d vertices, the sample has %v", a, x.After.Rig.Meshes[0].Vertices(), b)
						}
					}
				}
			}
		})
	}
}
