package lamplighter

import (
	"fmt"
	"testing"
)

func TestScratch(t *testing.T) {
	for _, p := range []Pose{T, A} {
		r := Build(Options{Pose: p})
		m := &r.Meshes[0]
		fmt.Println(m.Vertices(), len(m.Triangles)/3, m.Primitives[0].Min, m.Primitives[0].Max)
		type e struct{ a, b uint32 }
		half := map[e]int{}
		for i := 0; i < len(m.Triangles); i += 3 {
			for k := range 3 {
				half[e{m.Triangles[i+k], m.Triangles[i+(k+1)%3]}]++
			}
		}
		bad := 0
		for h, n := range half {
			if n != 1 || half[e{h.b, h.a}] != 1 {
				bad++
			}
		}
		fmt.Println("bad", bad, "euler", m.Vertices()-len(half)/2+len(m.Triangles)/3)
	}
}
func BenchmarkBuild(b *testing.B) {
	for b.Loop() {
		Build(Options{})
	}
}
