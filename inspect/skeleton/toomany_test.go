package skeleton

import (
	"strings"
	"testing"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/say"
)

// Sections end where thousands of joints are strung through each other's triangles, and
// say so; what a cut looks at is counted whether it goes through a tree or not.
func TestTooManySections(t *testing.T) {
	at := func(tested ...int) (out []slice) {
		for _, n := range tested {
			out = append(out, slice{slicer: &geom.Slicer{Tested: n}})
		}
		return out
	}
	if why := tooMany(at(30_000_000, 19_000_000), 7, 60_000); why != "" {
		t.Error(why)
	}
	if why := tooMany(at(30_000_000, 21_000_000), 7, 60_000); !strings.Contains(why, "first 7 of "+say.Whole(60_000)+" joints") || !strings.Contains(why, "51 million") {
		t.Error(why)
	}
	points, triangles := []float32{}, []uint32{}
	for i := range uint32(40) { // a ladder of triangles up y
		y := float32(i)
		points = append(points, 0, y, 0, 1, y, 0, 0, y+1, 1)
		triangles = append(triangles, 3*i, 3*i+1, 3*i+2)
	}
	plane := geom.Plane{Normal: [3]float64{0, 1, 0}, Offset: 10.5}
	few, many := geom.NewSlicer(points, triangles, 2), geom.NewSlicer(points, triangles, 1000)
	for range 2 {
		few.Cut(plane)
		many.Cut(plane)
	}
	if few.Tested != 80 || many.Tested < 2 || many.Tested > 40 {
		t.Errorf("two cuts of 40 triangles look at %d, through a tree at %d", few.Tested, many.Tested)
	}
}
