package scene

import (
	"bytes"
	"image"
	"image/draw"
	_ "image/jpeg" // glTF 2.0 §Images allows JPEG
	_ "image/png"  // and PNG
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/viewer/raster"
)

// largestTexture is the longest side a texture is kept at: more than a plate
// shows of it, and a quarter of the memory of the usual 2048.
const largestTexture = 1024

// decodeLimit is the most pixels an encoded picture may claim before we refuse to
// unpack it: 8192 × 8192.
const decodeLimit = 1 << 26

// paint makes the materials of the painted lens, once. Pictures that cannot be
// decoded leave the plain colour.
func paint(r *rig.Rig, figure uint32) (materials []raster.Material) {
	type key struct {
		image int
		wrap  [2]uint16
	}
	made := map[key]*raster.Texture{}
	for i := range r.Materials {
		m := &r.Materials[i]
		out := raster.Material{Colour: encoded(m.Color), Cutoff: m.Cutoff}
		if m.Image >= 0 && m.Image < len(r.Images) {
			k := key{m.Image, m.Wrap}
			t, ok := made[k]
			if !ok {
				t = texture(r.Images[m.Image].Data, m.Wrap)
				made[k] = t
			}
			out.Texture = t
		}
		materials = append(materials, out)
	}
	return append(materials, raster.Material{Colour: figure})
}

// encoded takes a linear colour to sRGB bytes.
func encoded(c [4]float32) uint32 {
	var out uint32
	for k := range 3 {
		x := float64(min(1, max(0, c[k])))
		if x <= .0031308 {
			x *= 12.92
		} else {
			x = 1.055*math.Pow(x, 1/2.4) - .055
		}
		out |= uint32(x*255+.5) << (8 * k)
	}
	return out | 0xff000000
}

// texture decodes a picture and halves it until it is small enough.
func texture(data []byte, wrap [2]uint16) *raster.Texture {
	if len(data) == 0 {
		return nil
	}
	cfg, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil || cfg.Width <= 0 || cfg.Height <= 0 || cfg.Width > decodeLimit/cfg.Height {
		return nil
	}
	img, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil
	}
	b := img.Bounds()
	flat, ok := img.(*image.NRGBA)
	if !ok || flat.Stride != 4*b.Dx() {
		flat = image.NewNRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
		draw.Draw(flat, flat.Rect, img, b.Min, draw.Src)
	}
	w, h := b.Dx(), b.Dy()
	pix := make([]uint32, w*h)
	for i := range pix {
		q := flat.Pix[4*i : 4*i+4]
		pix[i] = uint32(q[0]) | uint32(q[1])<<8 | uint32(q[2])<<16 | uint32(q[3])<<24
	}
	for max(w, h) > largestTexture && w > 1 && h > 1 {
		pix, w, h = halved(pix, w, h)
	}
	return raster.NewTexture(w, h, pix, wrapped(wrap[0]), wrapped(wrap[1]))
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

// wrapped reads a glTF sampler's wrap mode (glTF 2.0 §Samplers).
func wrapped(mode uint16) raster.Wrap {
	switch mode {
	case 33071:
		return raster.Clamp
	case 33648:
		return raster.Mirror
	}
	return raster.Repeat
}

// coordinates gathers the texture places of the drawn vertices; nil: there are none.
func coordinates(r *rig.Rig, p *Prepared) []float32 {
	any := false
	for _, s := range p.Surface {
		any = any || r.Meshes[r.Surfaces[s].Mesh].UV != nil
	}
	if !any {
		return nil
	}
	out := make([]float32, 0, 2*len(p.Source))
	for part, s := range p.Surface {
		uv := r.Meshes[r.Surfaces[s].Mesh].UV
		for _, v := range p.Source[p.First[part]:p.end(part)] {
			if 2*int(v)+1 < len(uv) {
				out = append(out, uv[2*v], uv[2*v+1])
			} else {
				out = append(out, 0, 0)
			}
		}
	}
	return out
}
