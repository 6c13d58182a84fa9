package skeleton

import (
	"math"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// A joint without a role that holds some of the surface stands between shoulder and elbow
// where the way over it is at most 8 % longer than straight and a tenth of it lies on
// either side. Worked out: a joint at the middle, h bones aside, makes the way
// 2·√(¼ + h²) times as long.
func TestBetween(t *testing.T) {
	upper, lower := lamplighter.Node("upperArm_L"), lamplighter.Node("lowerArm_L")
	aside := func(detour float64) float64 { return math.Sqrt(detour*detour/4 - 0.25) }
	for _, c := range []struct {
		name        string
		along, side float64 // of the bone
		want        bool
	}{
		{"halfway", 0.5, 0, true},
		{"nearer than a tenth to the shoulder", 0.09, 0, false},
		{"farther than a tenth from it", 0.11, 0, true},
		{"nearer than a tenth to the elbow", 0.91, 0, false},
		{"farther than a tenth from that", 0.89, 0, true},
		{"7.5 % longer", 0.5, aside(1.075), true},
		{"8.5 % longer", 0.5, aside(1.085), false},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := checktest.Built(lamplighter.Options{Vertices: 4000})
			world := r.RestWorld()
			bone := world[lower].Origin().Sub(world[upper].Origin())
			at := world[upper].Origin().Add(bone.Mul(c.along))
			at[2] += c.side * bone.Len() // arms lie level, so across the bone
			x := rig.Node(len(r.Nodes))
			chest := lamplighter.Node("chest")
			m := rig.Identity
			m[3], m[7], m[11] = at[0], at[1], at[2]
			inverse, _ := world[chest].Inverse()
			local := inverse.Mul(&m)
			d := rig.NodeData{Name: "thing", Parent: chest, Mesh: rig.None, Skin: rig.None, Matrix: local}
			o := local.Origin()
			d.TRS = rig.TRS{T: o, R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}
			r.Nodes = append(r.Nodes, d)
			r.Nodes[chest].Children = append(r.Nodes[chest].Children, x)
			r.SetOrder()
			s := &r.Skins[0]
			bind, _ := m.Inverse()
			s.Joints, s.Bind = append(s.Joints, x), append(s.Bind, bind)
			hold := &r.Meshes[0]
			for v := range hold.Vertices() {
				if k := v * hold.K; s.Joints[hold.Joints[k]] == upper && hold.Weights[k] == 1 {
					hold.Joints[k+1], hold.Weights[k], hold.Weights[k+1] = uint16(len(s.Joints)-1), 0.75, 0.25
				}
			}
			f, err := Measure(t.Context(), exam.New(r))
			if err != nil {
				t.Fatal(err)
			}
			got, is := f.between[lower]
			if is != c.want || is && got != x {
				t.Errorf("between shoulder and elbow: %v (joint %d), want %v", is, got, c.want)
			}
		})
	}
}
