// Package texels unpacks the encoded pictures of a file. It stands apart so that the stage,
// which is handed unpacked ones, links no decoder.
package texels

import (
	"bytes"
	"image"
	"image/draw"
	_ "image/jpeg" // glTF 2.0 §Images allows JPEG
	_ "image/png"  // and PNG
	"unsafe"

	_ "golang.org/x/image/webp" // EXT_texture_webp WebP

	"rigloupe/inspect/ceiling"
)

// Decode decodes a picture and halves it until no side is longer than longest. pix is w·h,
// RGBA as bytes lie in memory; none: it cannot be decoded, or claims to be larger than we
// take.
func Decode(data []byte, longest int) (w, h int, pix []uint32) {
	if len(data) == 0 {
		return 0, 0, nil
	}
	cfg, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil || cfg.Width <= 0 || cfg.Height <= 0 || cfg.Width > ceiling.Pixels/cfg.Height {
		return 0, 0, nil
	}
	img, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return 0, 0, nil
	}
	b := img.Bounds()
	flat, ok := img.(*image.NRGBA)
	if !ok || flat.Stride != 4*b.Dx() || len(flat.Pix) < 4*b.Dx()*b.Dy() {
		flat = image.NewNRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
		draw.Draw(flat, flat.Rect, img, b.Min, draw.Src)
	}
	w, h = b.Dx(), b.Dy()
	if w*h == 0 {
		return 0, 0, nil
	}
	// The bytes as they lie: a copy of 8192² would take another 268 MB.
	pix = unsafe.Slice((*uint32)(unsafe.Pointer(unsafe.SliceData(flat.Pix))), w*h)
	for max(w, h) > longest && w > 1 && h > 1 {
		pix, w, h = halved(pix, w, h)
	}
	return w, h, pix
}

// halved averages 2×2 pixels; an odd last row or column is dropped.
func halved(pix []uint32, w, h int) ([]uint32, int, int) {
	hw, hh := w/2, h/2
	out := make([]uint32, hw*hh)
	for y := range hh {
		for x := range hw {
			q := [4]uint32{pix[2*y*w+2*x], pix[2*y*w+2*x+1], pix[(2*y+1)*w+2*x], pix[(2*y+1)*w+2*x+1]}
			var c uint32
			for s := uint(0); s < 32; s += 8 {
				c |= (q[0]>>s&255 + q[1]>>s&255 + q[2]>>s&255 + q[3]>>s&255 + 2) >> 2 << s
			}
			out[y*hw+x] = c
		}
	}
	return out, hw, hh
}
