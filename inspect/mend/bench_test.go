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
