package surface

import (
	"context"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Which half to keep, and why, in every case of the argument.
func TestArgueSides(t *testing.T) {
	for _, row := range []struct {
		name                   string
		v0, faults0, v1, fault int
		keep, reason           string
	}{
		{"alike", 500, 2, 500, 2, "", "both halves have 500 vertices and 2 faults"},
		{"more vertices", 500, 0, 499, 0, "left", "the left half has 1 vertex more than the right half"},
		{"fewer faults", 500, 3, 500, 1, "right", "the right half has 2 faults fewer than the left half"},
		{"both for one", 490, 1, 500, 0, "right", "the right half has 10 vertices more and 1 fault fewer than the left half"},
		{"a few vertices against faults", 500, 1, 475, 0, "right", "the right half has 1 fault fewer than the left half, though 25 vertices fewer"},
		{"a part against faults", 500, 2, 474, 0, "left", "the left half has 26 vertices more than the right half, though 2 faults more"},
		{"nothing on one side", 0, 0, 40, 9, "right", "the right half has 40 vertices more than the left half, though 9 faults more"},
	} {
		s := Sides{Halves: [2]Half{{"left", row.v0, row.faults0}, {"right", row.v1, row.fault}}}
		s.argue()
		if s.Keep != row.keep || s.Reason != row.reason {
			t.Errorf("%s: keep %q, %q; want %q, %q", row.name, s.Keep, s.Reason, row.keep, row.reason)
		}
		s.Halves[0], s.Halves[1] = s.Halves[1], s.Halves[0]
		if s.argue(); s.Keep != row.keep {
			t.Errorf("%s, listed the other way: keep %q, want %q", row.name, s.Keep, row.keep)
		}
	}
}

// cut takes away the triangles that have a corner in a ball, and with them some
// vertices.
func cut(x, y, z, radius float64) func(*rig.Rig) {
	return func(r *rig.Rig) {
		m := &r.Meshes[0]
		in := func(v uint32) bool { return space.At(m.Positions, v).Sub([3]float64{x, y, z}).Len() < radius }
		var kept []uint32
		for t := 0; t < len(m.Triangles); t += 3 {
			if a, b, c := m.Triangles[t], m.Triangles[t+1], m.Triangles[t+2]; !in(a) && !in(b) && !in(c) {
				kept = append(kept, a, b, c)
			}
		}
		m.Triangles = kept
		m.Primitives[0].TriCount = len(kept) / 3
	}
}

// unbind takes the surface off its skeleton, which stays.
func unbind(r *rig.Rig) {
	for i := range r.Surfaces {
		r.Surfaces[i].Skin = rig.None
		r.Nodes[r.Surfaces[i].Node].Skin = rig.None
	}
}

// A fault planted on one side of the sample, seen wherever the figure stands: the
// other half is the one to keep.
func TestKeepBetterSide(t *testing.T) {
	p := lamp.Meshes[0].Positions
	tip := 0
	for v := range len(p) / 3 {
		if p[3*v] > p[3*tip] {
			tip = v
		}
	}
	x, y, z := float64(p[3*tip]), float64(p[3*tip+1]), float64(p[3*tip+2])
	bent := func(r *rig.Rig) { // the left arm raised, evenly: nothing is torn or turned over
		p := r.Meshes[0].Positions
		for v := 0; v < len(p); v += 3 {
			p[v+1] += 0.2 * max(0, p[v]-0.3)
		}
	}
	oneOut := func(side float64) func(*rig.Rig) { // a hole of one triangle: no vertex is lost
		return func(r *rig.Rig) {
			m := &r.Meshes[0]
			for t := 0; t < len(m.Triangles); t += 3 {
				if a := space.At(m.Positions, m.Triangles[t]); side*a[0] > 0.3 {
					m.Triangles = slices.Delete(m.Triangles, t, t+3)
					m.Primitives[0].TriCount--
					return
				}
			}
		}
	}
	for _, row := range []struct {
		name   string
		plant  func(*rig.Rig)
		keep   string
		says   string
		faults map[string]int
	}{
		{"left lantern gone", cut(x, y, z, 0.3), "right", "vertices more and 1 fault fewer than the left half", map[string]int{"left": 1, "right": 0}},
		{"right lantern gone", cut(-x, y, z, 0.3), "left", "vertices more and 1 fault fewer than the right half", map[string]int{"left": 0, "right": 1}},
		{"right lantern gone, leaning, turned and far", both(cut(-x, y, z, 0.3), place(turn(2, 12)), place(turn(1, 130)), place(shift(5, 1, -2))), "left", "1 fault fewer than the right half", nil},
		{"right lantern gone, 100 times as large", both(cut(-x, y, z, 0.3), place(scale(100))), "left", "1 fault fewer than the right half", nil},
		{"left arm raised", bent, "", "both halves have", map[string]int{"left": 0, "right": 0}},
		{"the same, and a hole on the left", both(bent, oneOut(1)), "right", "1 fault fewer than the left half", map[string]int{"left": 1, "right": 0}},
		{"the same, and a hole on the right", both(bent, oneOut(-1)), "left", "1 fault fewer than the right half", map[string]int{"left": 0, "right": 1}},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := clean()
			row.plant(r)
			bound, _ := checktest.Judge(t, &Station, r, nil)
			for _, f := range bound {
				if f.ID == lopsided.ID && f.Title != planeTitle && (strings.Contains(f.Remedy, "elete the other") || !strings.Contains(f.Remedy, "weights stay")) {
					t.Errorf("bound: remedy %q", f.Remedy)
				}
			}
			unbind(r)
			found, _ := checktest.Judge(t, &Station, r, nil)
			i := slices.IndexFunc(found, func(f check.Finding) bool { return f.ID == lopsided.ID && f.Measures[0].Name == "share" })
			if i < 0 {
				t.Fatal("not found lopsided")
			}
			f := &found[i]
			want := "Keep the " + row.keep + " half: "
			if row.keep == "" {
				want = "Keep the half that looks right ("
			}
			if !strings.HasPrefix(f.Remedy, want) || !strings.Contains(f.Remedy, row.says) {
				t.Errorf("remedy %q, want %q … %q", f.Remedy, want, row.says)
			}
			for name, n := range row.faults {
				k := slices.IndexFunc(f.Measures, func(m check.Measure) bool { return m.Name == "faults of the "+name+" half" })
				if k < 0 || f.Measures[k].Value != float64(n) {
					t.Errorf("faults of the %s half: %+v, want %d", name, f.Measures, n)
				}
			}
		})
	}
}

// Halves are named as the figure's own joints have it, else by the way it faces,
// else by the world; the names say where the halves are.
func TestSideNames(t *testing.T) {
	bareOf := func(r *rig.Rig) *rig.Rig { // the shape alone
		m := r.Meshes[0]
		return bare(m.Positions, m.Triangles)
	}
	p := lamp.Meshes[0].Positions
	right := 0
	for v := range len(p) / 3 {
		if p[3*v] < p[3*right] {
			right = v
		}
	}
	cutRight := cut(float64(p[3*right]), float64(p[3*right+1]), float64(p[3*right+2]), 0.3)
	for _, row := range []struct {
		name string
		rig  func() *rig.Rig
		keep string
	}{
		{"joints", func() *rig.Rig { r := clean(); cutRight(r); return r }, "left"},
		{"joints, facing back", func() *rig.Rig { r := clean(); cutRight(r); place(turn(1, 180))(r); return r }, "left"},
		{"no joints", func() *rig.Rig { r := clean(); cutRight(r); return bareOf(r) }, "+X"},
		{"no joints, turned", func() *rig.Rig { r := clean(); cutRight(r); r = bareOf(r); place(turn(1, 90))(r); return r }, "−Z"},
		{"A-pose", func() *rig.Rig {
			r := checktest.Built(lamplighter.Options{Pose: lamplighter.A})
			cutRight(r)
			return r
		}, "left"},
	} {
		f, err := Measure(context.Background(), exam.New(row.rig()))
		if err != nil {
			t.Fatal(err)
		}
		if f.Mirror == nil || f.Mirror.Sides == nil || f.Mirror.Sides.Keep != row.keep {
			t.Errorf("%s: %+v, want %q", row.name, f.Mirror.Sides, row.keep)
		}
	}
}
