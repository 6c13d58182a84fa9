package mend

import (
	"context"
	"fmt"
	"testing"

	"rigloupe/inspect/lamplighter"
)

// What a dial of a trial costs: the mend applied, the file written, read again and compared
// with what was meant; no examination. The figure is cut along its joints and shaken.
func BenchmarkTry(b *testing.B) {
	for _, n := range []int{30_000, 100_000, 1_000_000} {
		r := lamplighter.Build(lamplighter.Options{Vertices: n})
		lamplighter.Shake(2e-5)(r)
		s := ofRig(b, r)
		for _, id := range []string{"scale", "weld"} {
			b.Run(fmt.Sprintf("%s/%d", id, n), func(b *testing.B) {
				m, _ := Named(id)
				v := Values{"factor": 2.0}
				if id == "weld" {
					v = Values{"distance": 1e-4}
				}
				for b.Loop() {
					x, err := s.Try(context.Background(), m, v)
					if err != nil || x.After == nil {
						b.Fatal(err, x.Refused())
					}
				}
			})
		}
	}
}

// BenchmarkRebind is a trial of rest and bind: the arms lowered, fitted to the clips and
// every clip audited.
func BenchmarkRebind(b *testing.B) {
	s := ofRig(b, lamplighter.Build(lamplighter.Options{Vertices: 30_000}))
	m, _ := Named("rebind")
	for b.Loop() {
		x, err := s.Try(context.Background(), m, Values{"pose": "A", "price": 1.0})
		if err != nil || x.After == nil {
			b.Fatal(err, x.Refused())
		}
	}
}

// BenchmarkUndo takes the last of three steps back, where what stood before is held, and
// where it is done again from the start.
func BenchmarkUndo(b *testing.B) {
	s := ofRig(b, lamplighter.Build(lamplighter.Options{Vertices: 30_000}))
	for _, row := range []struct {
		name string
		most int64
	}{{"held", heldBytes}, {"again", 0}} {
		b.Run(row.name, func(b *testing.B) {
			slip := NewSlip(s, nil)
			slip.most = row.most
			for _, factor := range []float64{1.5, 0.8, 1.1} {
				m, _ := Named("scale")
				x, err := slip.State().Try(context.Background(), m, Values{"factor": factor})
				if err != nil || x.After == nil {
					b.Fatal(err, x.Refused())
				}
				if err := slip.Keep(x, &Receipt{Kept: true}, ""); err != nil {
					b.Fatal(err)
				}
			}
			for b.Loop() {
				if ok, err := slip.Back(context.Background()); err != nil || !ok {
					b.Fatal(ok, err)
				}
				b.StopTimer()
				if ok, err := slip.Forward(context.Background()); err != nil || !ok {
					b.Fatal(ok, err)
				}
				b.StartTimer()
			}
		})
	}
}
