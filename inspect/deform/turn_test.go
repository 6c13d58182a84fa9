package deform

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
)

// arm is two joints in a row along x and a strip of vertices: held by the first, by
// both half and half, by the second, and one by nothing.
func arm() *rig.Rig {
	r := &rig.Rig{Shown: rig.None}
	for i, x := range [3]float64{0, 1, 0} {
		d := rig.NodeData{Parent: rig.Node(i - 1), Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: [3]float64{x, 0, 0}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}}
		if i == 2 {
			d.Parent, d.Mesh, d.Skin = rig.None, 0, 0
		}
		d.Matrix = d.TRS.Affine()
		r.Nodes = append(r.Nodes, d)
	}
	r.Nodes[0].Children = []rig.Node{1}
	r.SetOrder()
	r.Skins = []rig.SkinData{{Joints: []rig.Node{0, 1}, Bind: []rig.Affine{rig.Identity, {0: 1, 3: -1, 5: 1, 10: 1}}}}
	r.Meshes = []rig.MeshData{{
		Positions: []float32{.5, 1, 0, 1, 1, 0, 1.5, 1, 0, 1, 1, 0},
		K:         2, Joints: []uint16{0, 0, 0, 1, 1, 0, 0, 0}, Weights: []float32{1, 0, .5, .5, 1, 0, 0, 0},
		Primitives: []rig.PrimitiveData{{Count: 4, Sets: 1, Material: rig.None}},
	}}
	r.Surfaces = []rig.Surface{{Node: 2, Mesh: 0, Skin: 0}}
	return r
}

// quarter is a turn by 90° about z through a place.
func quarter(at mgl64.Vec3) rig.Affine {
	return rig.Affine{0, -1, 0, at[0] + at[1], 1, 0, 0, at[1] - at[0], 0, 0, 1, 0}
}

func TestPoseTurn(t *testing.T) {
	r := arm()
	p := NewPose(r)
	m := quarter(mgl64.Vec3{1, 0, 0})
	p.Turn(1, &m)
	out := make([]float32, 12)
	NewDeformer(r, 0).Apply(p, Linear, out, nil, nil, nil)
	// The first keeps its place; the second is half way between (1, 1) and (0, 0); the
	// third goes from (1.5, 1) to (0, 0.5); the last is held by nothing.
	for i, want := range []float32{.5, 1, 0, .5, .5, 0, 0, .5, 0, 0, 0, 0} {
		if math.Abs(float64(out[i]-want)) > 1e-6 {
			t.Errorf("number %d is %v, want %v", i, out[i], want)
		}
	}
	before := p.World[0]
	p.Turn(0, &m)
	if p.World[0] == before {
		t.Error("the joint above does not turn")
	}
	if got := p.World[1].Origin(); got.Sub(mgl64.Vec3{1, 0, 0}).Len() > 1e-12 {
		t.Errorf("the joint below is at %v", got)
	}
	p.Turn(rig.None, &m) // nothing
	p.Turn(99, &m)
	p.Update()
	if p.World[1] != r.RestWorld()[1] {
		t.Error("Update does not take the move back")
	}
}

func TestTurns(t *testing.T) {
	r := arm()
	p := NewPose(r)
	m := quarter(mgl64.Vec3{1, 0, 0})
	p.Turn(1, &m)
	q := make([]float32, 16)
	NewDeformer(r, 0).Turns(p, r.RestWorld(), q)
	s, c := float32(math.Sqrt(.5)), float32(math.Sqrt(.5))
	for i, want := range []float32{0, 0, 0, 1, 0, 0, s / 2, (1 + c) / 2, 0, 0, s, c, 0, 0, 0, 1} {
		if math.Abs(float64(q[i]-want)) > 1e-6 {
			t.Errorf("number %d is %v, want %v", i, q[i], want)
		}
	}
}

// Turns by 100° to either side meet half way the short way round, at 180°; and weights
// that sum to a half blend as whole ones do.
func TestTurnsTheShortWay(t *testing.T) {
	r := arm()
	copy(r.Meshes[0].Weights[2:4], []float32{.25, .25})
	p := NewPose(r)
	at := p.World[1].Origin()
	turn := func(degrees float64) rig.Affine {
		m, to, from := about(0, 0, 1, degrees*degree), shift(at[0], at[1], at[2]), shift(-at[0], -at[1], -at[2])
		m = to.Mul(&m)
		return m.Mul(&from)
	}
	both, second := turn(100), turn(-200)
	p.Turn(0, &both)
	p.Turn(1, &second)
	q := make([]float32, 16)
	NewDeformer(r, 0).Turns(p, r.RestWorld(), q)
	// (q − q')/2 of two quaternions ±50° from the half turn: sin 50° along z.
	near(t, "half way", q[4:8], []float64{0, 0, math.Sin(50 * degree), 0}, 1e-6)
}
