package binding

import (
	"context"
	"fmt"
	"os"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// BenchmarkMeasure times the station alone: rest positions, roles and the mirror
// are worked out before, by whoever asks first.
func BenchmarkMeasure(b *testing.B) {
	for _, n := range []int{10_000, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) { station(b, checktest.Built(lamplighter.Options{Vertices: n})) })
	}
	if _, err := os.Stat(checktest.Corpus + "/models/Knight.glb"); err == nil {
		b.Run("Knight", func(b *testing.B) { station(b, checktest.Open(b, checktest.Corpus+"/models/Knight.glb")) })
	}
}

func station(b *testing.B, r *rig.Rig) {
	b.Run("shared values", func(b *testing.B) {
		for b.Loop() {
			exam.New(r).Mirror()
		}
	})
	e := exam.New(r)
	e.Mirror()
	b.Run("station", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := Measure(context.Background(), e); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkParts(b *testing.B) {
	r := checktest.Built(lamplighter.Options{Vertices: 100_000})
	e := exam.New(r)
	e.Mirror()
	f, err := Measure(context.Background(), e)
	if err != nil {
		b.Fatal(err)
	}
	k := f.Skins[0]
	bones := findBones(e)
	g := buildGraph(e, 0, f.places[0])
	parts := countIslands(e, 0, &k)
	for _, row := range []struct {
		name string
		do   func()
	}{
		{"tally", func() { tally(e, 0, &k, f.Counts[0]) }},
		{"islands", func() { countIslands(e, 0, &k) }},
		{"reach", func() { measureReach(e, 0, bones, &k) }},
		{"sides", func() { f.compareSides(e) }},
		{"graph", func() { buildGraph(e, 0, f.places[0]) }},
		{"rigid", func() { f.RigidParts = nil; f.findRigid(e, 0, &k, g) }},
		{"rough", func() { f.Roughs = nil; f.findRough(e, 0, &k, g) }},
		{"strays", func() {
			f.Strays = nil
			f.findStrays(e, &k, []*elements{parts}, []*graph{g}, f.RigidJoint, bones)
		}},
		{"cross", func() { f.Crosses = nil; f.findCross(e) }},
		{"loose", func() { f.Loose = Loose{}; f.findLoose(e) }},
	} {
		b.Run(row.name, func(b *testing.B) {
			for b.Loop() {
				row.do()
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(r.Meshes[0].Vertices()), "ns/vertex")
		})
	}
}
