package lamplighter

import "testing"

func BenchmarkBuild(b *testing.B) {
	for _, c := range []struct {
		name string
		o    Options
	}{{"10k", Options{}}, {"100k", Options{Vertices: 100_000}}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				Build(c.o)
			}
		})
	}
}

func BenchmarkWrite(b *testing.B) {
	r := Build(Options{})
	for b.Loop() {
		Write(r)
	}
}
