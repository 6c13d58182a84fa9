package scene

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/viewer/raster"
)

// largestTexture is the longest side a texture is kept at: more than a plate
// shows of it, and a quarter of the memory of the usual 2048.
const largestTexture = 1024

// Texture is one picture of a file, decoded and small enough to be drawn.
type Texture struct {
	Image int // place in Rig.Images
	W, H  int
	Pix   []uint32 // W·H, RGBA as bytes lie in memory
}

// Decoder unpacks an encoded picture and halves it until no side is longer than longest;
// no pixels: it cannot. The stage has none: it is handed textures.
type Decoder func(data []byte, longest int) (w, h int, pix []uint32)

// Texture unpacks the picture at a place of Rig.Images; nil: it cannot.
func (d Decoder) Texture(place int, data []byte) *Texture {
	if d == nil {
		return nil
	}
	w, h, pix := d(data, largestTexture)
	if len(pix) == 0 {
		return nil
	}
	return &Texture{Image: place, W: w, H: h, Pix: pix}
}

// DecodeBy lets the scene unpack the rig's own pictures when they are first painted.
func (s *Scene) DecodeBy(d Decoder) { s.decode = d }

// wrappedImage is a picture with the wrap modes of one material.
type wrappedImage struct {
	image int
	wrap  [2]uint16
}

// SetTexture hands over a picture; the next Draw paints it. Without one, what the rig
// itself holds is decoded when it is first painted, where DecodeBy said how.
func (s *Scene) SetTexture(t *Texture) {
	if s.pictures == nil {
		s.pictures = map[int]*Texture{}
	}
	s.pictures[t.Image] = t
	for k := range s.textures {
		if k.image == t.Image {
			delete(s.textures, k)
		}
	}
	s.painted, s.drawn = false, false
}

// paint makes the materials of the painted lens. Pictures that cannot be decoded, or
// are not there yet, leave the plain colour.
func (s *Scene) paint(figure uint32) (materials []raster.Material) {
	if s.textures == nil {
		s.textures = map[wrappedImage]*raster.Texture{}
	}
	r := s.rig
	for i := range r.Materials {
		m := &r.Materials[i]
		out := raster.Material{Colour: encoded(m.Color), Cutoff: m.Cutoff}
		if m.Image >= 0 && m.Image < len(r.Images) {
			k := wrappedImage{m.Image, m.Wrap}
			t, ok := s.textures[k]
			if !ok {
				p := s.pictures[m.Image]
				if p == nil {
					p = s.decode.Texture(m.Image, r.Images[m.Image].Data)
				}
				if p != nil && len(p.Pix) == p.W*p.H && p.W > 0 {
					t = raster.NewTexture(p.W, p.H, p.Pix, wrapped(m.Wrap[0]), wrapped(m.Wrap[1]))
				}
				s.textures[k] = t
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
