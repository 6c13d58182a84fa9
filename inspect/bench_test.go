package inspect

import (
	"context"
	"fmt"
	"testing"

	"rigloupe/inspect/lamplighter"
)

// BenchmarkExamine runs every station over the sample at three sizes.
func BenchmarkExamine(b *testing.B) {
	for _, vertices := range []int{10_000, 100_000, 1_000_000} {
		b.Run(fmt.Sprint(vertices), func(b *testing.B) {
			if vertices > 100_000 && testing.Short() {
				b.Skip("large")
			}
			r := lamplighter.Build(lamplighter.Options{Vertices: vertices})
			for b.Loop() {
				if _, err := Examine(context.Background(), r, Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
