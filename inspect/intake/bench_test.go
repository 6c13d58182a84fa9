package intake

import (
	"context"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// BenchmarkMeasure is the whole station, with the shared values it is the first to
// ask for (rest positions, roles).
func BenchmarkMeasure(b *testing.B) {
	for _, row := range []struct {
		name string
		make func() *rig.Rig
	}{
		{"Lamplighter", func() *rig.Rig { return checktest.Built(lamplighter.Options{}) }},
		{"Lamplighter1M", func() *rig.Rig { return checktest.Built(lamplighter.Options{Vertices: 1_000_000}) }},
		{"Knight76Clips", func() *rig.Rig { return model(b, "Knight.glb") }},
	} {
		b.Run(row.name, func(b *testing.B) {
			r := row.make()
			for b.Loop() {
				if _, err := Measure(context.Background(), exam.New(r)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkClips is the boxes over all clips alone.
func BenchmarkClips(b *testing.B) {
	r := model(b, "Knight.glb")
	e := exam.New(r)
	f, err := Measure(context.Background(), e)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if err := f.clips(context.Background(), e); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(f.Safe.Moments), "ns/moment")
	b.ReportMetric(float64(f.Safe.Moments), "moments")
}

// BenchmarkFromSurface reads a figure of 10 thousand and of a million vertices from
// its surface, the mirror plane known.
func BenchmarkFromSurface(b *testing.B) {
	for name, n := range map[string]int{"10k": 10_000, "1M": 1_000_000} {
		r := baked(checktest.Built(lamplighter.Options{Vertices: n}), rig.Identity, false)
		b.Run(name, func(b *testing.B) {
			for range b.N {
				b.StopTimer()
				e := exam.New(r)
				e.Mirror()
				b.StartTimer()
				if e.FromSurface() == nil {
					b.Fatal("nothing told")
				}
			}
		})
	}
}
