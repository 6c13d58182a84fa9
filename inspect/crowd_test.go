package inspect

import (
	"context"
	"math/rand/v2"
	"os"
	"runtime"
	"strconv"
	"testing"
	"time"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rounds"
)

// TestCrowd: a file whose vertices lie nearly all in one place, each within the weld
// distance of thousands of others, is examined in the order of its size, not of the
// pairs there are. RIGLOUPE_CROWD=2000000 takes that many, and says time and memory.
func TestCrowd(t *testing.T) {
	rounds.Dear(t)
	n := 20_000
	if s := os.Getenv("RIGLOUPE_CROWD"); s != "" {
		var err error
		if n, err = strconv.Atoi(s); err != nil {
			t.Fatal(err)
		}
	}
	r := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	m := &r.Meshes[0]
	random := rand.New(rand.NewPCG(11, 12))
	base := m.Vertices()
	for i := range n - n%3 {
		for k := range 3 {
			m.Positions = append(m.Positions, m.Positions[k]+float32(random.NormFloat64()*4e-6))
		}
		if len(m.Normals) > 0 {
			m.Normals = append(m.Normals, m.Normals[:3]...)
		}
		if len(m.UV) > 0 {
			m.UV = append(m.UV, m.UV[:2]...)
		}
		m.Joints = append(m.Joints, m.Joints[:m.K]...)
		m.Weights = append(m.Weights, m.Weights[:m.K]...)
		m.Triangles = append(m.Triangles, uint32(base+i))
	}
	runtime.GC()
	start := time.Now()
	res, err := Examine(context.Background(), r, Options{Clock: time.Now, Done: func(r *Result) {
		runtime.GC() // as the examiner of the page does
		var mem runtime.MemStats
		runtime.ReadMemStats(&mem)
		s := &r.Stations[len(r.Stations)-1]
		t.Logf("%s: %.1f s, up to here %d MiB from the system", s.Name, s.Took.Seconds(), mem.Sys>>20)
	}})
	if err != nil {
		t.Fatal(err)
	}
	took := time.Since(start)
	var mem runtime.MemStats
	runtime.ReadMemStats(&mem)
	near := false
	for _, f := range res.Findings() {
		near = near || f.ID == "surface/near-coincident"
	}
	if !near {
		t.Error("the crowd is not found")
	}
	t.Logf("%d near duplicates: %.1f s, %d MiB from the system", n, took.Seconds(), mem.Sys>>20)
}
