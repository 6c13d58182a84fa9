package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/space"
)

// BenchmarkDescent asks a surface of 100,000 triangles what each way through its boxes
// answers, at places about it.
func BenchmarkDescent(b *testing.B) {
	points, triangles := welded(torus(500, 100))
	tree, cloud := NewTriangles(points, triangles), NewTree(points)
	rays, slicer, windings := NewRays(points, triangles), NewSlicer(points, triangles, 1000), NewWindings(points, triangles, nil)
	random := rand.New(rand.NewPCG(1, 2))
	var places [256]space.Vec
	for i := range places {
		for c := range 3 {
			places[i][c] = 3*random.Float64() - 1.5
		}
	}
	for name, ask := range map[string]func(p, q space.Vec){
		"closest": func(p, _ space.Vec) { tree.Closest(p, math.Inf(1)) },
		"pass":    func(p, q space.Vec) { tree.Pass(p, q, func(int, float64) bool { return true }) },
		"rays": func(p, _ space.Vec) {
			work := math.MaxInt
			rays.Cross(p, &work, func(uint32, int) {})
		},
		"within": func(p, _ space.Vec) {
			cloud.Within(float32(p[0]), float32(p[1]), float32(p[2]), .04, func(uint32) bool { return true })
		},
		"winding": func(p, _ space.Vec) { windings.At(p) },
		"section": func(p, q space.Vec) { slicer.Cut(Plane{p.Sub(q).Normalize(), .1}) },
	} {
		b.Run(name, func(b *testing.B) {
			i := 0
			for b.Loop() {
				ask(places[i&255], places[(i+1)&255])
				i++
			}
		})
	}
}
