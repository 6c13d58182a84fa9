package lamplighter

import (
	"math"
	"testing"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// TestWeights: sums exactly one, at most four, none faint, no joint twice, empty
// places 0 with joint 0, every joint used, no joint of a side clearly beyond the
// middle (2 % of the diagonal; binding/cross-body).
func TestWeights(t *testing.T) {
	variants(t, func(t *testing.T, r *rig.Rig) {
		m, rest := &r.Meshes[0], r.RestWorld()
		used := make([]int, joints)
		faint, influences, over := 0, 0, 0.0
		for v := range m.Vertices() {
			sum := float32(0)
			seen := map[uint16]bool{}
			for k := range 4 {
				j, w := m.Joints[4*v+k], m.Weights[4*v+k]
				sum += w
				if w == 0 {
					if j != 0 {
						t.Fatalf("vertex %d: joint %d at weight 0", v, j)
					}
					continue
				}
				if w < 0 || seen[j] || int(j) >= joints {
					t.Fatalf("vertex %d: joint %d weight %v", v, j, w)
				}
				seen[j] = true
				used[j]++
				influences++
				if w < 0.01 {
					faint++
				}
				x := float64(m.Positions[3*v])
				if side := float64(rest[j].Origin()[0]); mirror(int(j)) != int(j) && x*side < 0 && math.Abs(x) > 0.02*2.68 {
					over = max(over, float64(w))
				}
			}
			if sum != 1 {
				t.Fatalf("vertex %d: sum %v", v, sum)
			}
		}
		for j, n := range used {
			if n == 0 {
				t.Errorf("joint %s moves nothing", r.Nodes[j].Name)
			}
		}
		if share := float64(faint) / float64(influences); share > 0.04 || over > 0.05 {
			t.Errorf("%.2f %% faint, %.3f beyond the middle", 100*share, over)
		}
	})
}

// TestWeightsAreSmooth: across no edge does a weight jump by more than 0.6, on the
// 10k figure; chain links, stiff by design, left out.
func TestWeightsAreSmooth(t *testing.T) {
	r := Build(Options{})
	m := &r.Meshes[0]
	worst, where := float32(0), [2]uint32{}
	dense := func(v uint32) (w [joints]float32) {
		for k := range uint32(4) {
			w[m.Joints[4*v+k]] += m.Weights[4*v+k]
		}
		return w
	}
	for i := 0; i < len(m.Triangles); i += 3 {
		for k := range 3 {
			a, b := m.Triangles[i+k], m.Triangles[i+(k+1)%3]
			wa, wb := dense(a), dense(b)
			for j := range chainL {
				if j != yoke && wa[j]-wb[j] > worst {
					worst, where = wa[j]-wb[j], [2]uint32{a, b}
				}
			}
		}
	}
	if worst > 0.6 {
		a, b := where[0], where[1]
		t.Errorf("weight jumps by %.2f from vertex %d %v to %d %v", worst, a, m.Positions[3*a:3*a+3], b, m.Positions[3*b:3*b+3])
	}
}

// TestKeepFour: values typed in.
func TestKeepFour(t *testing.T) {
	rows := []struct {
		name string
		in   map[int]float64
		want map[int]uint16
	}{
		{"one", map[int]float64{chest: 3}, map[int]uint16{chest: 2048}},
		{"halves", map[int]float64{chest: 1, neck: 1}, map[int]uint16{chest: 1024, neck: 1024}},
		{"fades under two hundredths", map[int]float64{chest: 0.985, neck: 0.015}, map[int]uint16{chest: 2048}},
		{"five, the weakest goes", map[int]float64{hips: 0.1, spine: 0.2, chest: 0.3, neck: 0.25, head: 0.15},
			// less 0.02: 0.18 0.28 0.23 0.13 of 0.82, times 2048: 449.6 → 450, 699.3, 574.4 → 574, 324.7 → 325; chest the rest
			map[int]uint16{spine: 450, neck: 574, head: 325, chest: 699}},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			var w [joints]float64
			for j, v := range row.in {
				w[j] = v
			}
			var j [4]uint8
			var n [4]uint16
			keepFour(&w, j[:], n[:])
			got := map[int]uint16{}
			for k := range 4 {
				if n[k] > 0 {
					got[int(j[k])] = n[k]
				}
			}
			for j, v := range row.want {
				if got[j] != v {
					t.Errorf("joint %d: %d, want %d (%v)", j, got[j], v, got)
				}
			}
			if len(got) != len(row.want) {
				t.Errorf("%v, want %v", got, row.want)
			}
		})
	}
}

// TestJointsInTheirLimbs: a joint of a limb stands in the middle of the ring of
// surface around it: the mean of the vertices whose weight it shares half and half
// with its parent lies within a third of the ring's radius.
func TestJointsInTheirLimbs(t *testing.T) {
	variants(t, func(t *testing.T, r *rig.Rig) {
		m := &r.Meshes[0]
		w := r.RestWorld()
		for _, j := range []int{spine, chest, head, lowerArmL, handL, footL, chainL + 2} {
			var mid space.Vec
			count := 0
			var ring []space.Vec
			for v := range m.Vertices() {
				for k := range 4 {
					if x := m.Weights[4*v+k]; int(m.Joints[4*v+k]) == j && x > 0.3 && x < 0.7 {
						p := space.Vec{float64(m.Positions[3*v]), float64(m.Positions[3*v+1]), float64(m.Positions[3*v+2])}
						ring, mid, count = append(ring, p), mid.Add(p), count+1
					}
				}
			}
			if count < 4 {
				t.Errorf("%s: %d vertices in its ring", r.Nodes[j].Name, count)
				continue
			}
			mid = mid.Mul(1 / float64(count))
			radius := 0.0
			for _, p := range ring {
				radius += p.Sub(mid).Len() / float64(count)
			}
			bone := w[j].Direction(space.Vec{0, 1, 0})
			off := w[j].Origin().Sub(mid)
			off = off.Sub(bone.Mul(off.Dot(bone))) // along the bone the ring may lie anywhere
			if off.Len() > radius/3 {
				t.Errorf("%s stands %.3f m off the middle of a ring of radius %.3f m", r.Nodes[j].Name, off.Len(), radius)
			}
		}
	})
}
