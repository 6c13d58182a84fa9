package meshopt

import (
	"encoding/binary"
	"math"
	"math/bits"
)

// Filters work in place on elements of four components (Appendix B). Values outside of what
// the text calls valid have no meaning there; here they come to some number in range.

// octahedral turns x, y and what 1 is stored as into a unit vector, and keeps the fourth
// component; elements of stride 4 or 8 bytes (Filter 1).
func octahedral(data []byte, stride int) {
	for at := 0; at < len(data); at += stride {
		one := max(signed(data, at, 2, stride), 1)
		x, y := signed(data, at, 0, stride)/one, signed(data, at, 1, stride)/one
		z := 1 - math.Abs(x) - math.Abs(y)
		t := min(z, 0)
		x -= math.Copysign(t, x)
		y -= math.Copysign(t, y)
		l := math.Sqrt(x*x + y*y + z*z)
		for k, v := range [3]float64{x, y, z} {
			store(data, at, k, stride, v/l, false)
		}
	}
}

// quaternions turns three components, and the place of the fourth with what 1 is stored as,
// into unit quaternions; elements of 8 bytes (Filter 2).
func quaternions(data []byte) {
	for at := 0; at < len(data); at += 8 {
		w := int(int16(binary.LittleEndian.Uint16(data[at+6:])))
		scale := 1 / (math.Max(float64(w|3), 1) * math.Sqrt2)
		x, y, z := signed(data, at, 0, 8)*scale, signed(data, at, 1, 8)*scale, signed(data, at, 2, 8)*scale
		last := math.Sqrt(max(0, 1-x*x-y*y-z*z))
		for k, v := range [4]float64{last, x, y, z} {
			store(data, at, (w&3+k)%4, 8, v, false)
		}
	}
}

// exponential turns words of a power of two (8 bits) above a mantissa (24), both signed, into
// float32 (Filter 3).
func exponential(data []byte) {
	for at := 0; at < len(data); at += 4 {
		v := int32(binary.LittleEndian.Uint32(data[at:]))
		f := float32(math.Ldexp(float64(v<<8>>8), int(v>>24)))
		binary.LittleEndian.PutUint32(data[at:], math.Float32bits(f))
	}
}

// colours turns brightness, two differences of colour and opacity below the bit that tells how
// many bits all have into red, green, blue and opacity; elements of stride 4 or 8 bytes (Filter 4).
func colours(data []byte, stride int) {
	for at := 0; at < len(data); at += stride {
		y, co, cg, a := int(unsigned(data, at, 0, stride)), int(signed(data, at, 1, stride)), int(signed(data, at, 2, stride)), int(unsigned(data, at, 3, stride))
		full := 1<<bits.Len(uint(a)) - 1
		a &= full >> 1
		a = a<<1 | a&1
		for k, v := range [4]int{y + co - cg, y + cg, y - co - cg, a} {
			store(data, at, k, stride, float64(v)/float64(max(full, 1)), true)
		}
	}
}

// signed and unsigned answer component k of the element at a byte; of stride 4 a component has
// one byte, of stride 8 two.
func signed(data []byte, at, k, stride int) float64 {
	if stride == 4 {
		return float64(int8(data[at+k]))
	}
	return float64(int16(binary.LittleEndian.Uint16(data[at+2*k:])))
}

func unsigned(data []byte, at, k, stride int) uint16 {
	if stride == 4 {
		return uint16(data[at+k])
	}
	return binary.LittleEndian.Uint16(data[at+2*k:])
}

// store writes a number from −1 (from 0 where noSign) to 1 as a normalised integer, halves away
// from zero.
func store(data []byte, at, k, stride int, v float64, noSign bool) {
	full, least := 127., -1.
	if stride == 8 {
		full = 32767
	}
	if noSign {
		full, least = 2*full+1, 0
	}
	n := int(math.Round(min(max(v, least), 1) * full))
	if stride == 4 {
		data[at+k] = byte(n)
	} else {
		binary.LittleEndian.PutUint16(data[at+2*k:], uint16(n))
	}
}
