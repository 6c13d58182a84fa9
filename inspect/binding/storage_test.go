package binding

import (
	"fmt"
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// inSteps stores all weights as integers of a full scale that sum to it, as an
// exporter would: rounded, the largest takes what is left.
func inSteps(full uint32, kind uint16) func(*rig.Rig) {
	return func(r *rig.Rig) {
		m := &r.Meshes[0]
		for i := range m.Primitives {
			p := &m.Primitives[i]
			p.WeightType, p.WeightSums = kind, make([]uint32, p.Count)
			for e := range p.Count {
				w := m.Weights[(p.First+e)*m.K : (p.First+e+1)*m.K]
				left, largest := int(full), 0
				for k := range w {
					n := int(math.Round(float64(w[k]) * float64(full)))
					left -= n
					w[k] = float32(n)
					if w[k] > w[largest] {
						largest = k
					}
				}
				w[largest] += float32(left)
				for k := range w {
					w[k] /= float32(full)
				}
				p.WeightSums[e] = full
			}
		}
	}
}

// eight stores two sets of four influences, of which no vertex uses more than before.
func eight(r *rig.Rig) {
	m := &r.Meshes[0]
	n, k := m.Vertices(), m.K
	joints, weights := make([]uint16, 8*n), make([]float32, 8*n)
	for v := range n {
		copy(joints[8*v:], m.Joints[v*k:(v+1)*k])
		copy(weights[8*v:], m.Weights[v*k:(v+1)*k])
	}
	m.K, m.Joints, m.Weights = 8, joints, weights
	for i := range m.Primitives {
		p := &m.Primitives[i]
		p.Sets, p.JointSets, p.WeightSets = 2, 2, 2
	}
}

// twoSkins puts a copy of the figure beside it, on the same joints by a skin of its
// own in reverse order.
func twoSkins(r *rig.Rig) {
	k := r.Skins[0]
	other := rig.SkinData{Name: "other", Skeleton: k.Skeleton, HasBind: k.HasBind}
	last := len(k.Joints) - 1
	for j := range k.Joints {
		other.Joints, other.Bind = append(other.Joints, k.Joints[last-j]), append(other.Bind, k.Bind[last-j])
	}
	m := r.Meshes[0]
	m.Joints = append([]uint16(nil), m.Joints...)
	for i, w := range m.Weights {
		if w > 0 {
			m.Joints[i] = uint16(last - int(m.Joints[i]))
		}
	}
	n := rig.Node(len(r.Nodes))
	d := r.Nodes[r.Surfaces[0].Node]
	d.Name, d.Mesh, d.Skin, d.Children, d.Parent = "double", 1, 1, nil, rig.None
	r.Nodes, r.Skins, r.Meshes = append(r.Nodes, d), append(r.Skins, other), append(r.Meshes, m)
	r.Surfaces = append(r.Surfaces, rig.Surface{Node: n, Mesh: 1, Skin: 1})
	r.SetOrder()
}

// The sample stays silent above a note however its weights are stored, in all sizes,
// poses and names; written to a file and read again too.
func TestSilentHoweverStored(t *testing.T) {
	for name, plant := range map[string]func(*rig.Rig){
		"8 bits": inSteps(255, 5121), "16 bits": inSteps(65535, 5123), "eight influences": eight,
		"two skins": twoSkins, "two skins of 8 bits, eight influences": both(inSteps(255, 5121), eight, twoSkins),
	} {
		for _, pose := range []lamplighter.Pose{lamplighter.T, lamplighter.A} {
			r := checktest.Built(lamplighter.Options{Pose: pose})
			plant(r)
			t.Run(fmt.Sprint(name, ", pose ", pose), func(t *testing.T) { checktest.Silent(t, &Station, r, check.Note) })
		}
	}
	for _, n := range rounds.Rows([]int{6_000, 10_000, 30_000, 100_000}, 3) {
		for names := range lamplighter.Naming(3) {
			if n > 10_000 && names > 0 {
				continue // names and sizes have nothing to do with each other
			}
			data := lamplighter.GLB(lamplighter.Options{Vertices: n, Names: names, Pose: lamplighter.Pose(n / 1000 % 2)})
			t.Run(fmt.Sprint(n, " vertices, names ", names), func(t *testing.T) {
				r, err := gltfio.Read([]gltfio.File{{Name: "a.glb", Data: data}}, gltfio.Options{})
				if err != nil {
					t.Fatal(err)
				}
				checktest.Silent(t, &Station, r, check.Note)
			})
		}
	}
}

// Skins at the edge of sense get an answer, and none with a figure that is no number
// (checktest writes all facts as JSON).
func TestOddSkins(t *testing.T) {
	for name, plant := range rounds.Named(map[string]func(*rig.Rig){
		"one joint": func(r *rig.Rig) {
			k := &r.Skins[0]
			k.Joints, k.Bind = k.Joints[:1], k.Bind[:1]
			clear(r.Meshes[0].Joints)
			alone(r, 0)
		},
		"all on one joint": func(r *rig.Rig) { alone(r, 1) },
		"a joint that nothing uses": func(r *rig.Rig) {
			k := &r.Skins[0]
			k.Joints, k.Bind = append(k.Joints, r.Surfaces[0].Node), append(k.Bind, rig.Identity)
		},
		"limbs of no width": func(r *rig.Rig) {
			p := r.Meshes[0].Positions
			for i := 0; i < len(p); i += 3 {
				p[i], p[i+2] = 0, 0
			}
		},
		"no area at all": func(r *rig.Rig) {
			for i := range r.Meshes[0].Triangles {
				r.Meshes[0].Triangles[i] = uint32(i / 3 % r.Meshes[0].Vertices())
			}
		},
		"singular bind": func(r *rig.Rig) {
			for j := range r.Skins[0].Bind {
				r.Skins[0].Bind[j] = rig.Affine{}
			}
		},
		"five hundred joints": func(r *rig.Rig) {
			k := &r.Skins[0]
			for len(k.Joints) < 500 {
				k.Joints, k.Bind = append(k.Joints, k.Joints[len(k.Joints)%3]), append(k.Bind, k.Bind[len(k.Joints)%3])
			}
			m := &r.Meshes[0]
			for i := range m.Joints {
				if m.Weights[i] > 0 {
					m.Joints[i] = uint16((int(m.Joints[i]) + 37*i) % 500)
				}
			}
		},
	}, 3) {
		for figure, base := range map[string]func() *rig.Rig{"sample": clean, "ladder": ladder} {
			t.Run(name+", "+figure, func(t *testing.T) {
				r := base()
				plant(r)
				checktest.Judge(t, &Station, r, nil)
			})
		}
	}
}

// alone puts every vertex on one joint.
func alone(r *rig.Rig, joint uint16) {
	m := &r.Meshes[0]
	clear(m.Weights)
	for v := range m.Vertices() {
		m.Joints[v*m.K], m.Weights[v*m.K] = joint, 1
	}
}
