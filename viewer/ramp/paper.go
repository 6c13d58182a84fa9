// Package ramp holds the colours of both papers and the scales that values are
// read by. A colour is a uint32 whose bytes in memory (little endian) are
// R, G, B, A: what browsers and image.RGBA take.
package ramp

// Paper is one of the two grounds with all its colours. The page has the same
// ones in its style sheet; a test compares them.
type Paper struct {
	Night                      bool
	Paper, Sheet, Well, Figure uint32 // the stage, cards, tracks, surface with no value
	Ink, Ink2, Rule, Hair      uint32
	Brass, BrassLeaf, Wash     uint32 // text and line, area, ground of the chosen
	Stop, Flaw, Note           uint32 // grade marks
	Left, Right                uint32 // sides
	Ramp                       [11]uint32
	Press                      [4]uint32 // the pressed side of a two-sided scale; 0 equals Ramp[0]
	Category                   []uint32  // inks for unordered categories, see Assign
	Count                      []uint32  // 0 … 8, and 9 for more: steps of the ramp
}

func rgb(h uint32) uint32 { return 0xff000000 | h&0xff<<16 | h&0xff00 | h>>16&0xff }

func all(hex ...uint32) []uint32 {
	for i, h := range hex {
		hex[i] = rgb(h)
	}
	return hex
}

// Day is ink on paper.
func Day() *Paper {
	p := &Paper{
		Paper: rgb(0xefe9d8), Sheet: rgb(0xf9f5e8), Well: rgb(0xf1ebdb), Figure: rgb(0xfcf6eb),
		Ink: rgb(0x1b2a36), Ink2: rgb(0x48555c), Rule: rgb(0x827c67), Hair: rgb(0xd3cbb4),
		Brass: rgb(0x7d5a12), BrassLeaf: rgb(0xc39a45), Wash: rgb(0xf0e3bd),
		Stop: rgb(0x9b1f16), Flaw: rgb(0xa36a00), Note: rgb(0x1f6078),
		Left: rgb(0x0f5566), Right: rgb(0x85401a),
		Category: all(0x5ac8be, 0xb4795e, 0xbcbbf0, 0x666e35, 0x5695c2, 0xc9a97c,
			0x646ba2, 0xb4e2b3, 0x978595, 0x2c7377, 0x8c9c8b, 0x77675f),
	}
	p.scales(all(0xfcf6eb, 0xedddbf, 0xddc694, 0xd1ac6b, 0xc4933e, 0xad7e34, 0x956932, 0x775734, 0x55473b, 0x383736, 0x182832),
		all(0xa8cfd9, 0x5da6b7, 0x227c8e))
	return p
}

// Night is lines scratched out of the dark.
func Night() *Paper {
	p := &Paper{
		Night: true,
		Paper: rgb(0x0e2225), Sheet: rgb(0x142c30), Well: rgb(0x0f2529), Figure: rgb(0x1d3437),
		Ink: rgb(0xefe8d3), Ink2: rgb(0xb3bfb4), Rule: rgb(0x6d8683), Hair: rgb(0x2d4a4d),
		Brass: rgb(0xe0b968), BrassLeaf: rgb(0xc39a45), Wash: rgb(0x233b33),
		Stop: rgb(0xff8f7a), Flaw: rgb(0xe9b93f), Note: rgb(0x8cc9e0),
		Left: rgb(0x86cdd6), Right: rgb(0xe6a27a),
		Category: all(0x4aa198, 0x70425a, 0x97965c, 0x434175, 0xab6f75, 0x526251,
			0x3977ab, 0x7e6636, 0x9c8ec0, 0x4b3930, 0x766f80, 0x353e06),
	}
	p.scales(all(0x1d3437, 0x324547, 0x475656, 0x6a6659, 0x8b765b, 0xaa8753, 0xca9944, 0xdaaf60, 0xe7c783, 0xf3deb3, 0xfdf6e3),
		all(0x345961, 0x388394, 0x5cadbf))
	return p
}

func (p *Paper) scales(ramp, press []uint32) {
	copy(p.Ramp[:], ramp)
	p.Press[0] = ramp[0]
	copy(p.Press[1:], press)
	p.Count = append(append(p.Count, ramp[:9]...), ramp[10])
}

// At gives the ramp's colour for a value 0 … 1: eleven stops, straight between
// them in sRGB, as the page does it. NaN gives the figure's own colour.
func (p *Paper) At(v float32) uint32 { return between(p.Ramp[:], v) }

// AtTwo is the two-sided scale for −1 … 1: stretched above 0, pressed below.
func (p *Paper) AtTwo(v float32) uint32 {
	if v < 0 {
		return between(p.Press[:], -v)
	}
	return between([]uint32{p.Ramp[0], p.Ramp[2], p.Ramp[4], p.Ramp[6]}, v)
}

func between(stops []uint32, v float32) uint32 {
	if !(v > 0) {
		return stops[0]
	}
	n := len(stops) - 1
	x := min(v, 1) * float32(n)
	i := min(int(x), n-1)
	k := uint32((x-float32(i))*256 + .5)
	a, b := stops[i], stops[i+1]
	rb := (a&0xff00ff*(256-k) + b&0xff00ff*k) >> 8 & 0xff00ff
	g := (a&0xff00*(256-k) + b&0xff00*k) >> 8 & 0xff00
	return 0xff000000 | rb | g
}
