package scene

import (
	"context"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// BenchmarkDraw draws whole frames at 1280×800: pose, skin, lens, raster, marks.
// Sizes are vertices; triangles are twice as many.
func BenchmarkDraw(b *testing.B) {
	for _, size := range []struct {
		name     string
		vertices int
	}{{"4k", 4000}, {"10k", 10000}, {"100k", 100000}} {
		r := lamplighter.Build(lamplighter.Options{Vertices: size.vertices})
		p := prepared(b, r)
		arm := nodeNamed(b, r, "upperArm_L")
		for _, row := range []struct {
			name   string
			change func(st *State, i int)
		}{
			{"idle", func(st *State, i int) { st.Seconds = .01 * float64(i%200) }},
			{"moving clip", func(st *State, i int) { st.Moving, st.Seconds = true, .01*float64(i%200) }},
			{"moving camera", func(st *State, i int) { st.Moving, st.Camera = true, st.Camera.Turn(3, 0) }},
			{"moving influence", func(st *State, i int) {
				st.Moving, st.Lens, st.Joint, st.Seconds = true, Influence, arm, .01*float64(i%200)
			}},
		} {
			b.Run(size.name+"/"+row.name, func(b *testing.B) {
				s := New(r, p, nil)
				st := still(1280, 800)
				st.Clip = rig.Clip(0)
				st.Camera = s.View(&st, 0)
				i := 0
				for range 40 { // WebAssembly needs warming
					row.change(&st, i)
					s.Draw(&st)
					i++
				}
				for b.Loop() {
					row.change(&st, i)
					s.Draw(&st)
					i++
				}
			})
		}
	}
}

func BenchmarkPrepare(b *testing.B) {
	for _, size := range []struct {
		name     string
		vertices int
	}{{"10k", 10000}, {"100k", 100000}, {"1M", 1000000}} {
		b.Run(size.name, func(b *testing.B) {
			r := lamplighter.Build(lamplighter.Options{Vertices: size.vertices})
			for b.Loop() {
				if _, err := Prepare(context.Background(), r, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
