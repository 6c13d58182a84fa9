package binding

import (
	"context"
	"testing"
	"time"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// crowdedSeams is the sample with every vertex split in two that are bound unalike,
// on six joints each: all of it a seam, all of it cut to four.
func crowdedSeams(vertices int) *rig.Rig {
	r := checktest.Built(lamplighter.Options{Vertices: vertices})
	m := &r.Meshes[0]
	n, k := m.Vertices(), m.K
	var joints []uint16
	var weights []float32
	for copy := range 2 {
		for v := range n {
			for i := range 6 {
				j, w := uint16((v+i)%len(r.Skins[0].Joints)), float32(.1)
				if i < k {
					j, w = m.Joints[v*k+i], m.Weights[v*k+i]*.5+.05
				}
				if copy == 1 && i == 0 {
					w += .05
				}
				joints, weights = append(joints, j), append(weights, w)
			}
		}
	}
	m.K, m.Joints, m.Weights = 6, joints, weights
	m.Positions = append(m.Positions, m.Positions...)
	if m.Normals != nil {
		m.Normals = append(m.Normals, m.Normals...)
	}
	m.Primitives[0].Count = 2 * n
	for i := 1; i < len(m.Triangles); i += 3 {
		m.Triangles[i] += uint32(n)
	}
	return r
}

// stops counts the looks of a measure and ends it at the nth.
func stops(t *testing.T, e *exam.Exam, at int) (looks int, err error) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	e.Progress = func(string, int, int) {
		if looks++; looks == at {
			cancel()
		}
	}
	_, err = Measure(ctx, e)
	return looks, err
}

// Wherever the page asks to stop, the measure ends with the very next look, and
// answers nothing half done.
func TestStopsAnywhere(t *testing.T) {
	for name, r := range rounds.Named(map[string]*rig.Rig{"seams and crowds": crowdedSeams(4000), "scattered": scattered(6000, 60)}, 2) {
		e := exam.New(r)
		e.Mirror()
		all, err := stops(t, e, -1)
		if err != nil {
			t.Fatal(err)
		}
		if all < 12 {
			t.Errorf("%s: only %d looks", name, all)
		}
		for at := 1; at <= all; at++ {
			looks, err := stops(t, e, at)
			if err != context.Canceled {
				t.Errorf("%s: stopped at look %d of %d: %v", name, at, all, err)
			}
			if looks > at+1 {
				t.Errorf("%s: stopped at look %d, looked up %d times more", name, at, looks-at)
			}
		}
	}
}

// BenchmarkLooks tells the longest time between two looks, which is how long a stop
// waits. It is the worst figures of 100,000 vertices that count.
func BenchmarkLooks(b *testing.B) {
	for _, row := range []struct {
		name string
		rig  func() *rig.Rig
	}{
		{"sample", func() *rig.Rig { return checktest.Built(lamplighter.Options{Vertices: 100_000}) }},
		{"seams and crowds", func() *rig.Rig { return crowdedSeams(50_000) }},
		{"scattered", func() *rig.Rig { return scattered(100_000, 60) }},
	} {
		b.Run(row.name, func(b *testing.B) {
			e := exam.New(row.rig())
			e.Mirror()
			var longest, before time.Duration
			start := time.Now()
			e.Progress = func(string, int, int) {
				now := time.Since(start)
				longest, before = max(longest, now-before), now
			}
			least := time.Duration(1 << 62)
			for b.Loop() {
				longest, before = 0, time.Since(start)
				if _, err := Measure(context.Background(), e); err != nil {
					b.Fatal(err)
				}
				longest = max(longest, time.Since(start)-before)
				least = min(least, longest)
			}
			b.ReportMetric(float64(least.Microseconds())/1000, "ms-between-looks")
		})
	}
}
