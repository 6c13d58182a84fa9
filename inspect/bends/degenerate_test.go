package bends

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// chained hangs a row of joints on the last joint of a skin, each a step further.
func chained(r *rig.Rig, joints int, step [3]float64) {
	k := &r.Skins[0]
	for len(k.Joints) < joints {
		n := rig.Node(len(r.Nodes))
		up := k.Joints[len(k.Joints)-1]
		d := rig.NodeData{Parent: up, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: step, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}}
		d.Matrix = d.TRS.Affine()
		r.Nodes = append(r.Nodes, d)
		r.Nodes[up].Children = append(r.Nodes[up].Children, n)
		k.Joints, k.Bind = append(k.Joints, n), append(k.Bind, rig.Identity)
	}
	r.SetOrder()
	world := r.RestWorld()
	for j, n := range k.Joints {
		k.Bind[j], _ = world[n].Inverse()
	}
}

// worm is a tube along x over a chain of joints at even steps, each handing over to
// the next along its bone.
func worm(joints, rings, sides int) *rig.Rig {
	r := tube(1, .1, rings, sides, true, even(0))
	chained(r, joints, [3]float64{2 / float64(joints), 0, 0})
	k := &r.Skins[0]
	for j, n := range k.Joints {
		at := -1 + 2*float64(j)/float64(joints)
		d := &r.Nodes[n]
		d.TRS.T = [3]float64{2 / float64(joints), 0, 0}
		if j == 0 {
			d.TRS.T[0] = -1
		}
		d.Matrix = d.TRS.Affine()
		k.Bind[j] = rig.Identity
		k.Bind[j][3] = -at
	}
	m := &r.Meshes[0]
	for v := range m.Vertices() {
		s := max(0, min((float64(m.Positions[3*v])+1)/2*float64(joints)-.5, float64(joints-1)))
		j := min(int(s), joints-2)
		w := float32(s - float64(j))
		copy(m.Joints[4*v:], []uint16{uint16(j), uint16(j + 1), 0, 0})
		copy(m.Weights[4*v:], []float32{1 - w, w, 0, 0})
	}
	return r
}

// Whatever a file brings, there is an answer and no figure that is none.
func TestDegenerate(t *testing.T) {
	nan := float32(math.NaN())
	crowd := 120
	if rounds.Long() {
		crowd = 500
	}
	plain := func() *rig.Rig { return tube(1, .2, 8, 8, true, ramp(1)) }
	for name, row := range map[string]struct {
		rig   func() *rig.Rig
		plant func(*rig.Rig)
	}{
		"no triangle":         {plain, func(r *rig.Rig) { r.Meshes[0].Triangles = nil }},
		"no skin":             {plain, func(r *rig.Rig) { r.Skins = nil; r.Nodes[3].Skin, r.Surfaces[0].Skin = rig.None, rig.None }},
		"idle skin":           {plain, func(r *rig.Rig) { r.Nodes[3].Skin, r.Surfaces[0].Skin = rig.None, rig.None }},
		"no weights at all":   {plain, func(r *rig.Rig) { m := &r.Meshes[0]; m.K, m.Joints, m.Weights = 0, nil, nil }},
		"all weights zero":    {plain, func(r *rig.Rig) { clear(r.Meshes[0].Weights) }},
		"all in one place":    {plain, func(r *rig.Rig) { clear(r.Meshes[0].Positions) }},
		"not a number":        {plain, func(r *rig.Rig) { r.Meshes[0].Positions[4], r.Meshes[0].Weights[0] = nan, nan }},
		"all on one joint":    {plain, func(r *rig.Rig) { clear(r.Meshes[0].Joints) }},
		"skin without joints": {plain, func(r *rig.Rig) { r.Skins[0].Joints, r.Skins[0].Bind = nil, nil }},
		"one joint": {plain, func(r *rig.Rig) {
			r.Skins[0].Joints, r.Skins[0].Bind = r.Skins[0].Joints[:1], r.Skins[0].Bind[:1]
		}},
		"a joint used by no vertex": {plain, func(r *rig.Rig) { chained(r, 5, [3]float64{.2, 0, 0}) }},
		"joints in one place": {plain, func(r *rig.Rig) {
			for i := range r.Nodes {
				r.Nodes[i].TRS.T = [3]float64{}
				r.Nodes[i].Matrix = rig.Identity
			}
		}},
		"a joint of scale 0": {plain, func(r *rig.Rig) {
			r.Nodes[1].S = [3]float64{}
			r.Nodes[1].Matrix = r.Nodes[1].TRS.Affine()
		}},
		"zero-area limb":      {func() *rig.Rig { return tube(1, 0, 8, 8, true, ramp(1)) }, func(*rig.Rig) {}},
		"flat limb":           {plain, func(r *rig.Rig) { flatten(r) }},
		"infinite weights":    {plain, func(r *rig.Rig) { r.Meshes[0].Weights[9] = float32(math.Inf(1)) }},
		"huge":                {plain, func(r *rig.Rig) { scale(r, 1e18) }},
		"tiny":                {plain, func(r *rig.Rig) { scale(r, 1e-18) }},
		"negative weights":    {plain, func(r *rig.Rig) { r.Meshes[0].Weights[8], r.Meshes[0].Weights[9] = 2, -1 }},
		"weights that cancel": {plain, func(r *rig.Rig) { r.Meshes[0].Weights[8], r.Meshes[0].Weights[9] = 1, -1 }},
		"a fan of triangles at one edge": {plain, func(r *rig.Rig) {
			m := &r.Meshes[0]
			for v := range uint32(40) {
				m.Triangles = append(m.Triangles, 30, 38, v)
			}
		}},
		"every other triangle turned": {plain, func(r *rig.Rig) {
			m := r.Meshes[0].Triangles
			for t := 0; t < len(m); t += 6 {
				m[t], m[t+1] = m[t+1], m[t]
			}
		}},
		"500 joints": {func() *rig.Rig { return worm(500, 600, 6) }, func(*rig.Rig) {}},
		"hundreds of joints at random": {func() *rig.Rig { return worm(crowd, 80, 6) }, func(r *rig.Rig) {
			draw := rand.New(rand.NewPCG(1, 2))
			for i := range r.Meshes[0].Joints {
				r.Meshes[0].Joints[i], r.Meshes[0].Weights[i] = uint16(draw.IntN(crowd)), .25
			}
		}},
	} {
		t.Run(name, func(t *testing.T) {
			r := row.rig()
			row.plant(r)
			checktest.Judge(t, &Station, r, nil)
			f := measured(t, r)
			for i := range f.Moves {
				m := &f.Moves[i]
				for _, v := range []*float64{m.Volume, m.VolumeDual, m.Radius, m.RadiusDual, m.P99, m.Max, m.P99Dual, m.MaxDual, m.Turned, &m.Crack, &m.Severity} {
					if v != nil && (math.IsNaN(*v) || math.IsInf(*v, 0)) {
						t.Fatalf("%s %s %g: %+v", f.called(m.Joint), m.Axis, m.Degrees, *m)
					}
				}
			}
		})
	}
}

func flatten(r *rig.Rig) {
	p := r.Meshes[0].Positions
	for i := 2; i < len(p); i += 3 {
		p[i] = 0
	}
}

func scale(r *rig.Rig, by float64) {
	for i := range r.Meshes[0].Positions {
		r.Meshes[0].Positions[i] *= float32(by)
	}
	for i := range r.Nodes {
		for k := range 3 {
			r.Nodes[i].T[k] *= by
		}
		r.Nodes[i].Matrix = r.Nodes[i].TRS.Affine()
	}
	for j := range r.Skins[0].Bind {
		for k := 3; k < 12; k += 4 {
			r.Skins[0].Bind[j][k] *= by
		}
	}
}

// Progress goes move by move, and a cancelled examination ends at the next one.
func TestTicks(t *testing.T) {
	e := exam.New(checktest.Built(lamplighter.Options{Vertices: 4000}))
	e.Station = "bends"
	var seen []int
	total := 0
	ctx, stop := context.WithCancel(context.Background())
	e.Progress = func(station string, done, of int) {
		seen, total = append(seen, done), of
	}
	f, err := Measure(ctx, e)
	if err != nil {
		t.Fatal(err)
	}
	if total != len(f.Moves) || len(seen) != total || seen[0] != 0 || seen[total-1] != total-1 {
		t.Errorf("%d ticks to %d, %d moves", len(seen), total, len(f.Moves))
	}
	e.Progress = func(string, int, int) { stop() }
	if _, err := Measure(ctx, e); !errors.Is(err, context.Canceled) {
		t.Errorf("goes on after it was cancelled: %v", err)
	}
}
