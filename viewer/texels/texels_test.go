package texels

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"slices"
	"testing"
)

// TestDecode: what the library wrote comes back (image/png), RGBA as bytes lie in memory,
// halved until no side is longer than asked; JPEG within its loss (image/jpeg); what is no
// picture, or claims more pixels than we take, gives none.
func TestDecode(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, 8, 4))
	for y := range 4 {
		for x := range 8 {
			img.SetNRGBA(x, y, color.NRGBA{uint8(10 * (x / 2)), uint8(20 * (y / 2)), 7, uint8(255 - x/2)})
		}
	}
	var b, j bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	if err := jpeg.Encode(&j, img, nil); err != nil {
		t.Fatal(err)
	}
	w, h, pix := Decode(b.Bytes(), 8)
	if w != 8 || h != 4 || pix[8+2] != 0xfe07000a {
		t.Errorf("%d × %d, %08x", w, h, pix)
	}
	if w, h, pix = Decode(b.Bytes(), 7); w != 4 || h != 2 || !slices.Equal(pix[:2], []uint32{0xff070000, 0xfe07000a}) || pix[4] != 0xff071400 {
		t.Errorf("halved: %d × %d, %08x", w, h, pix)
	}
	if w, h, pix = Decode(j.Bytes(), 8); w != 8 || h != 4 || len(pix) != 32 || pix[0]>>24 != 255 {
		t.Errorf("JPEG: %d × %d, %d pixels", w, h, len(pix))
	}
	huge := slices.Clone(b.Bytes())
	copy(huge[16:], []byte{0, 0, 0x40, 0, 0, 0, 0x40, 0}) // PNG specification §11.2.1: width and height, 16,384 each
	for _, data := range [][]byte{nil, []byte("no picture"), b.Bytes()[:40], huge} {
		if w, h, pix := Decode(data, 8); w != 0 || h != 0 || pix != nil {
			t.Errorf("%d bytes that are no picture: %d × %d", len(data), w, h)
		}
	}
}
