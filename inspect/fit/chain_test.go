package fit

import (
	"math"
	"testing"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/space"
)

// A snake's joints run along its middle, evenly, from its thick end to the thin one: each
// within a cube and a half of the line that it was built around.
func TestChain(t *testing.T) {
	r := menagerie.Snake(menagerie.Options{})
	b, _, _ := stripped(r)
	list, err := Chain(b.Points, b.Triangles, 12, nil)
	if err != nil {
		t.Fatal(err)
	}
	size := geom.BoxOf(b.Points).Size()
	cell := max(size[0], size[1], size[2]) / grid
	world := r.RestWorld()
	first, last := world[0].Origin(), world[11].Origin()
	if list[0].At.Sub(first).Len() > list[0].At.Sub(last).Len() {
		t.Error("it begins at the tail")
	}
	step := list[1].At.Sub(list[0].At).Len()
	for i, j := range list {
		if j.Parent != i-1 {
			t.Errorf("joint %d hangs on %d", i, j.Parent)
		}
		off := math.Inf(1)
		for k := range 11 {
			off = min(off, space.ToSegment(j.At, world[k].Origin(), world[k+1].Origin()))
		}
		if i > 0 && off > 1.5*cell {
			t.Errorf("joint %d lies %.3f m off the middle", i, off)
		}
		if i > 0 {
			if d := j.At.Sub(list[i-1].At).Len(); math.Abs(d-step) > .15*step {
				t.Errorf("joint %d is %.3f m from the one before, the first step %.3f", i, d, step)
			}
		}
	}
	if _, err := Chain(nil, nil, 5, nil); err == nil {
		t.Error("a chain through nothing")
	}
}
