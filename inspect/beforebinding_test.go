package inspect

import (
	"context"
	"math"
	"runtime"
	"testing"
	"time"

	"rigloupe/inspect/lamplighter"
)

// BenchmarkBeforeBinding runs Surface and Skeleton, what a person asks before any
// binding, over the sample at five sizes. It reports the seconds of three of them,
// the exponent of time over vertices by least squares of the logarithms (1 is linear,
// n·log n comes to 1.08 over this range), the longest time without a sign of life at
// the largest, and the memory that the program then holds: in WebAssembly, which
// gives none back, that is its peak.
func BenchmarkBeforeBinding(b *testing.B) {
	sizes := []int{10_000, 30_000, 100_000, 300_000, 1_000_000}
	least, silence := make([]float64, len(sizes)), 0.0
	for i, n := range sizes {
		r := lamplighter.Build(lamplighter.Options{Vertices: n})
		least[i] = math.Inf(1)
		for range max(1, b.N) {
			start := time.Now()
			last, longest := start, time.Duration(0)
			seen := func(string, int, int) {
				now := time.Now()
				longest, last = max(longest, now.Sub(last)), now
			}
			if _, err := Examine(context.Background(), r, Options{Only: []string{"surface", "skeleton"}, Progress: seen}); err != nil {
				b.Fatal(err)
			}
			seen("", 0, 0)
			if took := time.Since(start).Seconds(); took < least[i] {
				least[i], silence = took, longest.Seconds()
			}
		}
	}
	var x, y, xx, xy float64
	for i, n := range sizes {
		lx, ly := math.Log(float64(n)), math.Log(least[i])
		x, y, xx, xy = x+lx, y+ly, xx+lx*lx, xy+lx*ly
	}
	k := float64(len(sizes))
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	b.ReportMetric((k*xy-x*y)/(k*xx-x*x), "exponent")
	b.ReportMetric(least[0], "s-10k")
	b.ReportMetric(least[2], "s-100k")
	b.ReportMetric(least[4], "s-1M")
	b.ReportMetric(1000*silence, "ms-silence-1M")
	b.ReportMetric(float64(m.Sys>>20), "MB-1M")
}
