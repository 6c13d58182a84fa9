package lamplighter

import (
	"math"
	"strings"
	"testing"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func TestSkeleton(t *testing.T) {
	for _, p := range []Pose{T, A} {
		for _, n := range []Naming{Plain, Snake, Prefix} {
			o := Options{Pose: p, Names: n, Vertices: 4_000}
			t.Run(o.FileName(), func(t *testing.T) {
				r := Build(o)
				if len(r.Skins[0].Joints) != 34 || len(r.Nodes) != 35 || len(r.Order) != 35 {
					t.Fatalf("%d joints, %d nodes, %d in order", len(r.Skins[0].Joints), len(r.Nodes), len(r.Order))
				}
				world := r.RestWorld()
				names := map[string]bool{}
				for j := range joints {
					d := &r.Nodes[j]
					if names[d.Name] || d.Name == "" || strings.ContainsAny(d.Name, " .:/") {
						t.Errorf("name %q", d.Name)
					}
					names[d.Name] = true
					// World rest times inverse bind: identity, to float32.
					q := world[j].Mul(&r.Skins[0].Bind[j])
					for i, v := range q {
						if math.Abs(v-rig.Identity[i]) > 3e-7 {
							t.Errorf("%s: bind residual %v", d.Name, q)
							break
						}
					}
					// Mirrored in place, and in frame: x keeps its direction mirrored, y and z too.
					a, b := world[j].Origin(), world[mirror(j)].Origin()
					if a.Sub(flip(b)).Len() > 1e-12 {
						t.Errorf("%s at %v, partner at %v", d.Name, a, b)
					}
					for axis := range 3 {
						var e space.Vec
						e[axis] = 1
						x, y := world[j].Direction(e), flip(world[mirror(j)].Direction(e))
						if axis == 0 {
							y = y.Mul(-1) // both frames are right-handed
						}
						if x.Sub(y).Len() > 1e-9 {
							t.Errorf("%s: axis %d %v, partner's mirrored %v", d.Name, axis, x, y)
						}
					}
				}
				s, e, w := world[upperArmL].Origin(), world[lowerArmL].Origin(), world[handL].Origin()
				u := e.Sub(s)
				below := math.Atan2(-u[1], math.Hypot(u[0], u[2])) * 180 / math.Pi
				if want := [...]float64{0, 45}[p]; math.Abs(below-want) > 1e-9 {
					t.Errorf("arm %v° below level, want %v", below, want)
				}
				if bend := w.Sub(e).Normalize().Dot(u.Normalize()); bend < 1-1e-12 {
					t.Errorf("elbow bent: %v", bend)
				}
			})
		}
	}
}

func TestNames(t *testing.T) {
	rows := []struct {
		j    int
		want [3]string
	}{
		{hips, [3]string{"hips", "pelvis", "lampHips"}},
		{upperArmL, [3]string{"upperArm_L", "left_upper_arm", "lampUpperArmLeft"}},
		{lowerLegR, [3]string{"lowerLeg_R", "right_shin", "lampKneeRight"}},
		{chainR + 5, [3]string{"chain_R_6", "right_chain_6", "lampChainRight06"}},
		{chainL, [3]string{"chain_L_1", "left_chain_1", "lampChainLeft01"}},
	}
	for _, row := range rows {
		for n, want := range row.want {
			if got := jointName(row.j, Naming(n)); got != want {
				t.Errorf("%d in style %d: %q, want %q", row.j, n, got, want)
			}
		}
		if got := Node(row.want[0]); got != rig.Node(row.j) {
			t.Errorf("Node(%q) = %d", row.want[0], got)
		}
	}
	if Node("tail") != rig.None || Node("Lamplighter") != joints {
		t.Error("Node of a stranger, or of the surface")
	}
}
