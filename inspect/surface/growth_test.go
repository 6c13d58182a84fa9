package surface

import (
	"context"
	"errors"
	"math"
	"testing"
	"time"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rounds"
)

// BenchmarkGrowth measures the station on figures from 10 thousand to a million
// vertices and reports the exponent of time over vertices, by least squares of the
// logarithms: 1 is linear, n·log n comes to 1.08 over this range.
func BenchmarkGrowth(b *testing.B) {
	var x, y []float64
	for _, n := range []int{10_000, 30_000, 100_000, 300_000, 1_000_000} {
		r := checktest.Built(lamplighter.Options{Vertices: n})
		least := math.Inf(1)
		for range max(1, b.N) {
			start := time.Now()
			f, err := Measure(context.Background(), exam.New(r))
			if err != nil {
				b.Fatal(err)
			}
			Station.Judge(f, nil)
			least = min(least, time.Since(start).Seconds())
		}
		x, y = append(x, math.Log(float64(r.Meshes[0].Vertices()))), append(y, math.Log(least))
		b.Logf("%d vertices: %.3f s", r.Meshes[0].Vertices(), least)
	}
	mx, my := mean(x), mean(y)
	over, under := 0.0, 0.0
	for i := range x {
		over += (x[i] - mx) * (y[i] - my)
		under += (x[i] - mx) * (x[i] - mx)
	}
	b.ReportMetric(over/under, "exponent")
}

func mean(v []float64) (sum float64) {
	for _, x := range v {
		sum += x / float64(len(v))
	}
	return sum
}

// Inside one large surface the station looks up often, and ends when it is told to.
func TestLooksUpWithinOneSurface(t *testing.T) {
	rounds.Dear(t)
	r := checktest.Built(lamplighter.Options{Vertices: 100_000})
	looks := 0
	e := exam.New(r)
	e.Progress = func(string, int, int) { looks++ }
	if _, err := Measure(context.Background(), e); err != nil {
		t.Fatal(err)
	}
	// A look each million pieces of work, some tens of nanoseconds each.
	if looks < 15 {
		t.Errorf("%d looks in a surface of 100,000 vertices", looks)
	}
	for _, at := range []int{1, looks / 3, 2 * looks / 3, looks - 1} {
		ctx, stop := context.WithCancel(context.Background())
		e, seen := exam.New(r), 0
		e.Progress = func(string, int, int) {
			if seen++; seen == at {
				stop()
			}
		}
		if _, err := Measure(ctx, e); !errors.Is(err, context.Canceled) {
			t.Errorf("stopped at look %d of %d: %v after %d", at, looks, err, seen)
		}
		if seen > at+4 {
			t.Errorf("stopped at look %d, went on for %d more", at, seen-at)
		}
		stop()
	}
}
