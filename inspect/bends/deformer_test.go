package bends

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// agree compares every vertex of a move with what the deformer answers for the pose.
func agree(t *testing.T, r *rig.Rig, joint rig.Node, axis mgl64.Vec3, degrees float64, slack float64) {
	t.Helper()
	b := newBody(exam.New(r))
	z := b.newZone(joint)
	turn := z.turn(axis, degrees)
	p := deform.NewPose(r)
	m := anatomy.Rotation(z.at, axis, degrees)
	world := m.Mul(&b.world[joint])
	if up := r.Nodes[joint].Parent; up >= 0 {
		inv, _ := b.world[up].Inverse()
		p.Local[joint] = inv.Mul(&world)
	} else {
		p.Local[joint] = world
	}
	p.Update()
	for _, method := range []deform.Method{deform.Linear, deform.Dual} {
		z.carry(turn, method)
		for i, s := range b.surfaces {
			want := make([]float32, len(r.Meshes[r.Surfaces[s].Mesh].Positions))
			deform.NewDeformer(r, s).Apply(p, method, want, nil, nil, nil)
			for v := b.first[i]; v < b.first[i+1]; v++ {
				got, k := z.place(v, turn), 3*(v-b.first[i])
				if d := got.Sub(mgl64.Vec3{float64(want[k]), float64(want[k+1]), float64(want[k+2])}).Len(); !(d <= slack) {
					t.Fatalf("joint %d, %.0f°, method %d, vertex %d: %g m from the deformer's", joint, degrees, method, v, d)
				}
			}
		}
	}
}

// What a zone works out from sums made before is what the deformer works out from all
// joints, for any joint, axis and angle: bound at rest, opened posed, scaled, with
// morph targets at work and weights that are not whole.
func TestZoneIsTheDeformers(t *testing.T) {
	posed := func(r *rig.Rig) { // rest differs from the bind pose
		draw := rand.New(rand.NewPCG(5, 6))
		for i := range r.Nodes {
			n := &r.Nodes[i]
			if n.Mesh >= 0 {
				continue
			}
			q := mgl64.QuatRotate(0.3*draw.NormFloat64(), mgl64.Vec3{draw.NormFloat64(), draw.NormFloat64(), draw.NormFloat64()}.Normalize())
			q = q.Mul(mgl64.Quat{W: n.R[3], V: mgl64.Vec3{n.R[0], n.R[1], n.R[2]}}).Normalize()
			n.R = [4]float64{q.V[0], q.V[1], q.V[2], q.W}
			n.Matrix = n.TRS.Affine()
		}
	}
	for _, row := range []struct {
		name  string
		plant func(*rig.Rig)
	}{
		{"bound at rest", func(*rig.Rig) {}},
		{"opens posed", posed},
		{"scaled root, opens posed", func(r *rig.Rig) {
			posed(r)
			r.Nodes[0].S = [3]float64{2, 2, 2}
			r.Nodes[0].Matrix = r.Nodes[0].TRS.Affine()
		}},
		{"scaled joints", func(r *rig.Rig) {
			for _, n := range []string{"chest", "upperArm_L", "lowerLeg_R"} {
				d := &r.Nodes[lamplighter.Node(n)]
				d.S = [3]float64{1.3, 1.3, 1.3}
				d.Matrix = d.TRS.Affine()
			}
		}},
		{"weights not whole", func(r *rig.Rig) {
			m := &r.Meshes[0]
			for i := range m.Weights {
				m.Weights[i] *= .8 + .1*float32(i%5)
			}
		}},
		{"a morph target at work", func(r *rig.Rig) {
			m := &r.Meshes[0]
			by := make([]float32, len(m.Positions))
			for i := range by {
				by[i] = .01 * float32(math.Sin(float64(i)))
			}
			m.Targets, m.Morph = []rig.Target{{Positions: by}}, []float32{.7}
		}},
		{"a primitive without joints", func(r *rig.Rig) { r.Meshes[0].Primitives[0].Sets = 0 }},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := clean()
			row.plant(r)
			draw := rand.New(rand.NewPCG(7, 8))
			for j := range rig.Node(34) {
				axis := mgl64.Vec3{draw.NormFloat64(), draw.NormFloat64(), draw.NormFloat64()}.Normalize()
				if degrees := 340*draw.Float64() - 170; rounds.Run(int(j), 7) {
					agree(t, r, j, axis, degrees, 5e-6)
				}
			}
		})
	}
}

var lamp = checktest.Built(lamplighter.Options{})

func clean() *rig.Rig { return lamplighter.Clone(lamp) }
