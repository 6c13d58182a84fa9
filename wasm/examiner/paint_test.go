package main

import (
	"bytes"
	"context"
	"image"
	"image/png"
	"strings"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/viewer/scene"
	"rigloupe/wasm/bridge"
	"rigloupe/wasm/flat"
)

// TestPaint: pictures come back decoded, one by one; what is none is left out, and the
// ask ends all the same.
func TestPaint(t *testing.T) {
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewNRGBA(image.Rect(0, 0, 2048, 8))); err != nil {
		t.Fatal(err)
	}
	p := newPage()
	p.ask(context.Background(), asked{ID: 3, Kind: "paint"}, []gltfio.File{{Name: "4", Data: []byte("no picture")}, {Name: "7", Data: b.Bytes()}})
	if got := p.kinds(); got != "texture painted" {
		t.Fatalf("told %q", got)
	}
	x := &scene.Texture{}
	if err := flat.Unpack(p.parcels["texture"], x); err != nil {
		t.Fatal(err)
	}
	if x.Image != 7 || x.W != 1024 || x.H != 4 || len(x.Pix) != x.W*x.H {
		t.Errorf("image %d, %d×%d, %d pixels", x.Image, x.W, x.H, len(x.Pix))
	}
	p.ask(context.Background(), asked{ID: 4, Kind: "paint"}, []gltfio.File{{Name: "skin.png", Data: b.Bytes()}})
	if got := last[bridge.Refused](t, p); !strings.Contains(got.Text, "skin.png") {
		t.Errorf("%+v", got)
	}
}
