package mend

import (
	"math"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Every fault of the sample that making even answers is named by the plan and gone after it.
func TestEvenClearsPlanted(t *testing.T) {
	for _, fault := range planted("surface/lopsided", "binding/mirror-mismatch") {
		t.Run(fault.ID+" "+fault.Name, func(t *testing.T) { clears(t, fault, "even") })
	}
}

// Real figures drawn even: what has a partner and was not let go is a mirror image within
// a millionth of the diagonal in the file that is written, the giving side keeps its bits
// and no triangle turns over.
func TestEvenOfTheCorpus(t *testing.T) {
	for _, name := range []string{"cesium_man.gltf", "Knight.glb", "robot.glb"} {
		for _, from := range []string{"left", "right", "mean"} {
			t.Run(name+" "+from, func(t *testing.T) {
				s := corpusState(t, name)
				x := try(t, s, "even", Values{"form": "draw", "from": from, "weights": from != "mean"})
				if x.After == nil {
					t.Log(x.Refused())
					return
				}
				e := exam.New(s.Rig)
				plane := e.Mirror().Plane
				to, _ := e.SideNames()
				gives := 1.0
				if to != from {
					gives = -1
				}
				moved := 0
				for i := range s.Rig.Surfaces {
					was, is := e.WholePositions(i), exam.New(x.After.Rig).WholePositions(i)
					a, b := s.Rig.Meshes[s.Rig.Surfaces[i].Mesh].Positions, x.After.Rig.Meshes[s.Rig.Surfaces[i].Mesh].Positions
					for v := range len(was) / 3 {
						if space.At(a, v) != space.At(b, v) {
							moved++
							if side := plane.Side(space.At(was, v)); from != "mean" && side*gives > 1e-3*e.Diagonal() {
								t.Fatalf("surface %d, vertex %d of the giving side moved", i, v)
							}
						}
					}
					tri := s.Rig.Meshes[s.Rig.Surfaces[i].Mesh].Triangles
					for k := 0; k+2 < len(tri); k += 3 {
						n := func(p []float32) space.Vec {
							o := space.At(p, int(tri[k]))
							return space.At(p, int(tri[k+1])).Sub(o).Cross(space.At(p, int(tri[k+2])).Sub(o))
						}
						if p, q := n(was), n(is); p.Len() > 1e-12 && p.Dot(q) <= 0 {
							t.Errorf("surface %d: triangle %d turned over", i, k/3)
						}
					}
				}
				r := prove(t, x)
				t.Logf("%d stored vertices moved; kept %v: %s; cleared %v shrunk %v planted %v; %v; left %v", moved, r.Kept, r.Why, r.Cleared, r.Shrunk, r.Planted, r.Says, r.Refused)
			})
		}
	}
}

// A figure with a satchel on one side: it has no partner, is left to the bit and told.
func TestEvenLeavesTheSatchel(t *testing.T) {
	r := sample()
	m := &r.Meshes[0]
	first := m.Vertices()
	addBox(m, [3]float64{0.22, 0.95, 0.05}, 0.06, 0)
	r.Meshes[0].Remeasure()
	for v := range first { // a bump to be drawn even
		if p := space.At(m.Positions, v); p.Sub(space.Vec{-0.15, 1.25, 0.12}).Len() < 0.06 {
			m.Positions[3*v+2] += 0.012
		}
	}
	s := ofRig(t, r)
	x := try(t, s, "even", Values{"form": "draw", "from": "left"})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	a, b := s.Rig.Meshes[0].Positions, x.After.Rig.Meshes[0].Positions
	for v := first; v < len(a)/3; v++ {
		if space.At(a, v) != space.At(b, v) {
			t.Fatalf("vertex %d of the satchel moved", v)
		}
	}
	moved := 0
	for v := range first {
		if space.At(a, v) != space.At(b, v) {
			moved++
			if a[3*v] > 0 {
				t.Fatalf("vertex %d of the giving side moved", v)
			}
		}
	}
	if moved < 5 {
		t.Errorf("%d vertices moved", moved)
	}
	t.Log(prove(t, x).Refused)
}

// addBox adds a closed box of eight vertices, all on one joint of the skin.
func addBox(m *rig.MeshData, at [3]float64, size float64, joint uint16) {
	from := uint32(m.Vertices())
	for k := range 8 {
		x := [3]float64{at[0] + size*float64(k&1), at[1] + size*float64(k>>1&1), at[2] + 1.3*size*float64(k>>2)}
		n := 1 / math.Sqrt(3)
		for c := range 3 {
			m.Positions = append(m.Positions, float32(x[c]))
			sign := float64(2*(k>>c&1) - 1)
			m.Normals = append(m.Normals, float32(sign*n))
		}
		if m.UV != nil {
			m.UV = append(m.UV, 0, 0)
		}
		for c := range m.K {
			w := float32(0)
			if c == 0 {
				w = 1
			}
			m.Joints, m.Weights = append(m.Joints, joint), append(m.Weights, w)
		}
	}
	for _, f := range [][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.Triangles = append(m.Triangles, from+f[0], from+f[1], from+f[2], from+f[0], from+f[2], from+f[3])
	}
	p := &m.Primitives[len(m.Primitives)-1]
	p.Count += 8
	p.TriCount += 12
	if p.WeightSums != nil {
		p.WeightSums = nil
	}
}
