package deform

import (
	"math"
	"testing"

	"rigloupe/inspect/rig"
)

const (
	degree = math.Pi / 180
	// The reference rows are given with six decimals, and vertices are float32.
	digits = 1.5e-6
)

// points is a rig with the given vertices, each with the same influences: joint i
// of the skin is node i, a root, bound where it rests; node len(weights) holds the
// mesh and stands somewhere else on purpose.
func points(pos []float32, weights ...float32) *rig.Rig {
	k := (len(weights) + 3) / 4 * 4
	v := len(pos) / 3
	m := rig.MeshData{Positions: pos, K: k, Joints: make([]uint16, k*v), Weights: make([]float32, k*v)}
	for i := range v {
		for j, w := range weights {
			m.Joints[k*i+j], m.Weights[k*i+j] = uint16(j), w
		}
	}
	m.Primitives = []rig.PrimitiveData{{Count: v, Sets: k / 4, Material: rig.None}}
	r := &rig.Rig{Meshes: []rig.MeshData{m}, Shown: rig.None}
	skin := rig.SkinData{Skeleton: rig.None}
	for j := range weights {
		r.Nodes = append(r.Nodes, node(rig.TRS{R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}))
		skin.Joints = append(skin.Joints, rig.Node(j))
		skin.Bind = append(skin.Bind, rig.Identity)
	}
	holder := node(rig.TRS{T: [3]float64{7, 8, 9}, R: axis(1, 2, 3, 1), S: [3]float64{2, 3, 4}})
	holder.Mesh, holder.Skin = 0, 0
	r.Nodes = append(r.Nodes, holder)
	r.Skins = []rig.SkinData{skin}
	r.Surfaces = []rig.Surface{{Node: rig.Node(len(weights)), Mesh: 0, Skin: 0}}
	r.SetOrder()
	return r
}

func node(t rig.TRS) rig.NodeData {
	return rig.NodeData{Parent: rig.None, Mesh: rig.None, Skin: rig.None, TRS: t, Matrix: t.Affine()}
}

// axis is the unit quaternion of a turn by an angle in radians about x y z.
func axis(x, y, z, angle float64) [4]float64 {
	l := math.Sqrt(x*x + y*y + z*z)
	s := math.Sin(angle/2) / l
	return [4]float64{x * s, y * s, z * s, math.Cos(angle / 2)}
}

func about(x, y, z, angle float64) rig.Affine {
	t := rig.TRS{R: axis(x, y, z, angle), S: [3]float64{1, 1, 1}}
	return t.Affine()
}

func shift(x, y, z float64) rig.Affine {
	m := rig.Identity
	m[3], m[7], m[11] = x, y, z
	return m
}

// apply carries surface 0 with the given joint matrices.
func apply(r *rig.Rig, m Method, joints ...rig.Affine) []float32 {
	p := NewPose(r)
	copy(p.Local, joints)
	p.Update()
	out := make([]float32, len(r.Meshes[0].Positions))
	NewDeformer(r, 0).Apply(p, m, out, nil, nil, nil)
	return out
}

func near[F float32 | float64](t *testing.T, what string, got []F, want []float64, slack float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: %d numbers, want %d", what, len(got), len(want))
	}
	for i := range got {
		if d := math.Abs(float64(got[i]) - want[i]); !(d <= slack) {
			t.Errorf("%s: number %d is %.9g, want %.9g (off by %.2g, allowed %.2g)", what, i, got[i], want[i], d, slack)
			return
		}
	}
}
