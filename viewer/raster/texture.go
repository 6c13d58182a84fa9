package raster

// Wrap says how a texture goes on outside 0 … 1 (glTF 2.0 §Samplers).
type Wrap uint8

const (
	Repeat Wrap = iota
	Mirror
	Clamp
)

// Texture is a picture with its halved copies. The texel of a place is the one
// it lies in; which copy is read is chosen a triangle at a time, by how many
// texels fall on a pixel.
type Texture struct {
	WrapS, WrapT Wrap
	levels       []level
}

type level struct {
	w, h int
	pix  []uint32
}

// NewTexture takes w·h pixels (sRGB, Pixel order, alpha straight), keeps them and
// makes the halved copies. It returns nil when pix is shorter than that or empty.
func NewTexture(w, h int, pix []uint32, s, t Wrap) *Texture {
	if w <= 0 || h <= 0 || len(pix) < w*h {
		return nil
	}
	x := &Texture{WrapS: s, WrapT: t, levels: []level{{w, h, pix}}}
	for w > 1 || h > 1 {
		l := &x.levels[len(x.levels)-1]
		w, h = max(1, w/2), max(1, h/2)
		m := level{w, h, make([]uint32, w*h)}
		for j := range h {
			for i := range w {
				i0, j0 := min(2*i, l.w-1), min(2*j, l.h-1)
				i1, j1 := min(2*i+1, l.w-1), min(2*j+1, l.h-1)
				m.pix[j*w+i] = mean(l.pix[j0*l.w+i0], l.pix[j0*l.w+i1], l.pix[j1*l.w+i0], l.pix[j1*l.w+i1])
			}
		}
		x.levels = append(x.levels, m)
	}
	return x
}

// mean is the average of four pixels, channel by channel, alpha too.
func mean(a, b, c, d uint32) uint32 {
	const m = 0xff00ff // every second byte, so that sums of four have room
	lo := (a&m + b&m + c&m + d&m + 0x20002) >> 2 & m
	hi := (a>>8&m + b>>8&m + c>>8&m + d>>8&m + 0x20002) >> 2 & m
	return lo | hi<<8
}

// level chooses the copy where about one texel falls on a pixel: rho is texels
// of the full picture per pixel.
func (x *Texture) level(rho float32) int {
	k := 0
	for rho > 1.5 && k < len(x.levels)-1 {
		rho *= .5
		k++
	}
	return k
}

// floor is the texel a place lies in. What is no number, or out of all reason,
// lies in texel 0.
func floor(u float32) int {
	if !(u > -1e9 && u < 1e9) {
		return 0
	}
	i := int(u)
	if float32(i) > u {
		i--
	}
	return i
}

// wrap carries a texel outside 0 … n−1 into it.
func wrap(i, n int, how Wrap) int {
	switch how {
	case Clamp:
		return min(max(i, 0), n-1)
	case Mirror:
		i %= 2 * n
		if i < 0 {
			i += 2 * n
		}
		if i >= n {
			i = 2*n - 1 - i
		}
		return i
	}
	i %= n
	if i < 0 {
		i += n
	}
	return i
}

// times multiplies two colours channel by channel, as bytes: the sRGB curve is
// nearly a power, so this is close to multiplying light.
func times(a, b uint32) uint32 {
	if b == 0xffffffff {
		return a
	}
	var c uint32
	for s := 0; s < 32; s += 8 {
		c |= ((a>>s&255)*(b>>s&255) + 127) / 255 << s
	}
	return c
}
