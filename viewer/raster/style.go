package raster

import "math"

// Colours are one paper's colours, as pixels (see Plate). Package ramp has them.
type Colours struct {
	Night                    bool // lines are light on dark and thicken in light
	Paper, Figure, Ink, Rule uint32
	Ramp                     [11]uint32
	Press                    [4]uint32 // 0 equals Ramp[0]; then the three steps of the pressed side
	Category, Count          []uint32  // inks by Frame.Category
}

// Style is a paper's colours and the engraver's habits, with its tables cut.
// Weights are in page pixels.
type Style struct {
	Colours
	Outer    float32 // outline against the ground
	Inner    float32 // outline against a surface far behind
	Crease   float32
	Contact  float32
	Edge     float32 // mesh edges in the loupe
	Parted   float32 // between categories
	LineTurn float32 // how much heavier the outline is on its shade side
	Reach    float32 // inverse of the relative depth jump that earns Inner in full
	Pitch    float32 // between lines
	Most     float32 // widest share of ink: half the paper always shows
	Cross    float32 // darkness from which the second set starts

	base     [64]uint32      // flat shade by darkness
	dark     [128 * 32]uint8 // darkness by n·l, n·v
	share    [256]float32    // share of ink by darkness
	crossK   float32
	ramp     [8 * 256]uint32 // lens colour by shade step and value
	two      [8 * 256]uint32 // the same for −1 … 1
	rampInk  [256]uint32     // line colour on the lens: ink, or scratched out of the dark half
	twoInk   [256]uint32
	category []uint32 // 8 a category
	count    []uint32
	countInk []uint32
	none     [8]uint32   // where a lens has no value
	paint    [256]uint32 // what shade leaves of a painted colour, of 256
	mesh     uint32      // strongest coverage of a mesh edge
}

// NewStyle cuts the tables for one paper. Constants are the engraver's, found by
// looking at plates of real rigs at 1× and 2×.
func NewStyle(c Colours) *Style {
	s := &Style{
		Colours: c,
		Outer:   1.55, Inner: 1.25, Crease: .9, Contact: 1, Edge: .62, Parted: .9, LineTurn: .42, Reach: 9,
		Pitch: 4.4, Most: .5, Cross: .86, mesh: 150,
	}
	if c.Night { // light on dark looks bolder; a crossed set would speckle the lights
		s.Outer, s.Inner, s.Crease, s.Contact = 1.45, 1.15, .85, .95
		s.LineTurn, s.Most, s.Cross = -.42, .46, 1.1
	}
	s.cut()
	return s
}

// smooth is the cubic step from 0 at a to 1 at b (a > b: falling).
func smooth(a, b, x float32) float32 {
	t := min(1, max(0, (x-a)/(b-a)))
	return t * t * (3 - 2*t)
}

func (s *Style) cut() {
	s.crossK = .1 / (255 * max(.02, 1-s.Cross))
	for l := range 128 {
		for v := range 32 {
			nl, nv := float32(l)/127*2-1, (float32(v)+.5)/32
			rim := (1 - nv) * (1 - nv)
			var d float32
			if s.Night { // work done by light
				d = smooth(-.25, .98, nl) * (1 - .35*rim)
			} else {
				d = 1 - smooth(-.55, .62, nl)
				d = min(1, d+.16*rim*smooth(.9, .2, nl))
			}
			s.dark[l*32+v] = uint8(d*255 + .5)
		}
	}
	for i := range s.share {
		d := max(0, float32(i)/255-.06) / .94
		s.share[i] = s.Most * d * (.72 + .28*d)
	}
	for i := range s.base {
		s.base[i] = shade(s.Figure, s.fall(float32(i)/63))
	}
	for i := range s.paint { // 6 L* of a middling grey are 13 % of its byte value
		s.paint[i] = uint32(256 + 256*.13/6*s.fall(float32(i)/255) + .5)
	}
	for i := range 256 {
		c, t := s.stops(s.Ramp[:], float32(i)/255), float32(i)-128
		w := s.stops(s.Press[:], max(0, -t)/128)
		if t >= 0 {
			w = s.stops([]uint32{s.Ramp[0], s.Ramp[2], s.Ramp[4], s.Ramp[6]}, t/127)
		}
		for k := range 8 {
			f := s.fall(float32(k) / 7)
			s.ramp[k<<8|i], s.two[k<<8|i] = shade(c, f), shade(w, f)
		}
		s.rampInk[i], s.twoInk[i] = s.Ink, s.Ink
		if i > 128 { // the far half of the ramp is as dark as ink (by night as light)
			s.rampInk[i] = s.scratch()
		}
	}
	for k := range 8 {
		s.none[k] = shade(s.Figure, s.fall(float32(k)/7))
	}
	s.category, s.count = s.shades(s.Category), s.shades(s.Count)
	s.countInk = make([]uint32, len(s.Count))
	for i, c := range s.Count {
		s.countInk[i] = s.Ink
		if d := int(lightness(c)) - int(lightness(s.Ink)); d < 45 && d > -45 {
			s.countInk[i] = s.scratch()
		}
	}
}

// scratch is the line colour where the surface is as dark as ink (by night as
// light): the ramp's end drawn some way back to its middle.
func (s *Style) scratch() uint32 { return mix(s.Ramp[10], s.Ramp[5], 150) }

// fall is by how much L* moves at a darkness: 6 at most, so that a colour can
// still be read on the scale.
func (s *Style) fall(d float32) float32 {
	if s.Night {
		d = 1 - d
	}
	return -6 * d
}

func (s *Style) shades(inks []uint32) []uint32 {
	out := make([]uint32, 8*len(inks))
	for i, c := range inks {
		for k := range 8 {
			out[8*i+k] = shade(c, s.fall(float32(k)/7))
		}
	}
	return out
}

// stops reads a scale of even stops straight in sRGB.
func (s *Style) stops(c []uint32, x float32) uint32 {
	x *= float32(len(c) - 1)
	j := min(len(c)-2, int(x))
	return mix(c[j], c[j+1], uint32((x-float32(j))*256+.5))
}

// mix lays k/256 of b over a.
func mix(a, b, k uint32) uint32 {
	rb := (a&0xff00ff*(256-k) + b&0xff00ff*k) >> 8 & 0xff00ff
	g := (a&0xff00*(256-k) + b&0xff00*k) >> 8 & 0xff00
	return 0xff000000 | rb | g
}

func linear(v uint32) float64 {
	x := float64(v&255) / 255
	if x <= .04045 {
		return x / 12.92
	}
	return math.Pow((x+.055)/1.055, 2.4)
}

// lightness is L* of CIELAB (CIE 15:2004), 0 … 100, by the sRGB luminance.
func lightness(c uint32) float64 {
	y := .2126*linear(c) + .7152*linear(c>>8) + .0722*linear(c>>16)
	if y < .008856 {
		return 903.3 * y
	}
	return 116*math.Cbrt(y) - 16
}

// shade moves a colour by dl in L*, keeping its hue by scaling linear light.
func shade(c uint32, dl float32) uint32 {
	l := lightness(c)
	luminance := func(l float64) float64 {
		if l < 8 {
			return l / 903.3
		}
		return math.Pow((l+16)/116, 3)
	}
	k := luminance(max(0, l+float64(dl))) / max(luminance(l), 1e-6)
	encode := func(x float64) uint32 {
		x = min(1, max(0, x*k))
		if x <= .0031308 {
			x *= 12.92
		} else {
			x = 1.055*math.Pow(x, 1/2.4) - .055
		}
		return uint32(x*255 + .5)
	}
	return 0xff000000 | encode(linear(c)) | encode(linear(c>>8))<<8 | encode(linear(c>>16))<<16
}
