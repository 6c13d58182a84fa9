package plates

import (
	"bytes"
	"context"
	"image/png"
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/space"
)

// TestTwo: both views stand at one scale and one height, level, a quarter turn apart, and show
// the whole figure: a place of the body lies where ink or paper of the figure is, and what is
// read back from a pixel at its depth is the place itself.
func TestTwo(t *testing.T) {
	r, err := inspect.Examine(context.Background(), menagerie.Sculpt(), inspect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	pics, eyes, err := New(context.Background()).Two(r, space.Vec{0, 0, 1}, Paper{Width: 460, Height: 620})
	if err != nil {
		t.Fatal(err)
	}
	if eyes[0].Scale != eyes[1].Scale || eyes[0].Target[1] != eyes[1].Target[1] || eyes[0].Pitch != 0 || eyes[1].Pitch != 0 {
		t.Errorf("%+v, %+v", eyes[0], eyes[1])
	}
	if off := math.Abs(eyes[1].Yaw - eyes[0].Yaw - math.Pi/2); off > 1e-12 {
		t.Errorf("off by %g", off)
	}
	for i := range eyes {
		if _, err := png.Decode(bytes.NewReader(pics[i].PNG)); err != nil {
			t.Fatal(err)
		}
		for _, p := range []mgl64.Vec3{{0, 0, 0}, {0, 1.75, 0}, {.5, 1, 0}, {-.5, 1, 0}} { // soles, crown and hands of a person 1.76 m high
			x, y, depth, ok := eyes[i].Pixel(p)
			if !ok || x < 0 || y < 0 || x > 460 || y > 620 {
				t.Errorf("view %d: %v lies at %.0f, %.0f", i, p, x, y)
			}
			if back := eyes[i].World(x, y, depth); back.Sub(p).Len() > 1e-9 {
				t.Errorf("view %d: %v comes back as %v", i, p, back)
			}
		}
	}
	_, y0, _, _ := eyes[0].Pixel(mgl64.Vec3{0, 0, 0})
	_, y1, _, _ := eyes[0].Pixel(mgl64.Vec3{0, 1.76, 0})
	if y0-y1 < 380 {
		t.Errorf("the figure is %.0f pixels high of 620", y0-y1)
	}
}
