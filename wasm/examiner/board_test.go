package main

import (
	"bytes"
	"context"
	"encoding/json"
	"image/png"
	"math"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/space"
)

// TestBoard: the eight points of a fit lie within the figure on both pictures, all proposed;
// one that is put on the front view goes to the middle of the leg there (the watchman's legs
// are round, their bones at z = 0), one put on the side view keeps its side, chin and groin
// stay on the plane, and a press beside the figure says so. What is set holds.
func TestBoard(t *testing.T) {
	data := menagerie.GLB(menagerie.Sculpt())
	p := newPage()
	file := func() []gltfio.File { return []gltfio.File{{Name: "lamp.glb", Data: bytes.Clone(data)}} }
	p.ask(context.Background(), asked{Kind: "examine"}, file())
	p.ask(context.Background(), asked{Kind: "settle", X: 1, Y: 1}, nil)
	if got := p.kinds(); len(got) < 7 || got[len(got)-7:] != "refused" {
		t.Errorf("a point without a board: %q", got)
	}
	p.ask(context.Background(), asked{Kind: "begin"}, file())
	board := func(values string, width int) (d boardDocument) {
		t.Helper()
		p.does(t, asked{Kind: "board", Values: values, Width: width, Height: 620 * width / 460})
		read(t, p, "board", &d)
		return d
	}
	d := board("", 460)
	for _, kind := range []string{"boardFront", "boardSide"} {
		pic, err := png.Decode(bytes.NewReader(p.parcels[kind]))
		if err != nil || pic.Bounds().Dx() != 460 {
			t.Fatalf("%s: %v", kind, err)
		}
	}
	if len(d.Spots) != 8 || len(d.Eyes) != 2 || len(d.Joints) != 21 || d.Refused != "" {
		t.Fatalf("%d points, %d eyes, %d joints, %q", len(d.Spots), len(d.Eyes), len(d.Joints), d.Refused)
	}
	pixel := func(e boardEye, at space.Vec) (x, y float64) {
		v := at.Sub(e.Target)
		k := e.Scale * e.Distance / (e.Distance - v.Dot(e.Back))
		return e.CX + k*v.Dot(e.Right), e.CY - k*v.Dot(e.Up)
	}
	settle := func(a asked) (s settledDocument) {
		t.Helper()
		a.Kind = "settle"
		p.does(t, a)
		read(t, p, "settled", &s)
		return s
	}
	for _, s := range d.Spots {
		if s.At == nil || s.Set || s.Sure <= 0 || s.Sure > 1 || s.At[0] < -1e-6 {
			t.Fatalf("%+v", s)
		}
	}
	knee := *d.Spots[5].At
	for _, z := range []float64{-.3, 0, .4} { // wherever it was before
		was := space.Vec{knee[0], knee[1], z}
		x, y := pixel(d.Eyes[0], knee)
		s := settle(asked{Name: "knee", X: x, Y: y, Was: pointText(was)})
		if !s.Inside || math.Abs(s.At[2]) > .005 || s.At.Sub(knee).Len() > .01 {
			t.Errorf("from %g m it settles at %v, want %v in the middle of the leg", z, s.At, knee)
		}
	}
	x, y := pixel(d.Eyes[1], knee.Add(space.Vec{0, .02, .03}))
	if s := settle(asked{Name: "knee", Side: true, X: x, Y: y, Was: pointText(knee)}); s.At.Sub(knee.Add(space.Vec{0, .02, .03})).Len() > 2e-4 {
		t.Errorf("from the side it goes to %v", s.At)
	}
	x, y = pixel(d.Eyes[0], space.Vec{.05, .9, 0})
	if s := settle(asked{Name: "groin", X: x, Y: y, Was: "0 0.85 0"}); math.Abs(s.At[0]) > 1e-6 || math.Abs(s.At[1]-.9) > .01 {
		t.Errorf("the groin goes to %v", s.At)
	}
	if s := settle(asked{Name: "toe", X: 1, Y: 1, Was: "0.1 0.02 0.1"}); s.Inside {
		t.Errorf("beside the figure it is inside, at %v", s.At)
	}
	values, _ := json.Marshal(map[string]any{"points": map[string]string{"knee": "0.11 0.5 0.01"}})
	if again := board(string(values), 0); !again.Spots[5].Set || *again.Spots[5].At != (space.Vec{.11, .5, .01}) || again.Spots[5].Sure != 1 || again.Spots[4].Set {
		t.Errorf("%+v", again.Spots)
	}
}

func pointText(p space.Vec) string {
	text, _ := json.Marshal(p)
	return string(bytes.ReplaceAll(bytes.Trim(text, "[]"), []byte(","), []byte(" ")))
}
