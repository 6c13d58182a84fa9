package gltfio

import (
	"encoding/binary"
	"fmt"
	"math/bits"

	"rigloupe/inspect/rig"
)

// spareImages marks the images that are named by extensions of textures alone, each beside a
// picture that the texture itself names: that one is shown, and nothing is missing.
func (r *reader) spareImages() []bool {
	n := len(r.doc.Images)
	beside, wanted := make([]bool, n), make([]bool, n)
	for _, t := range r.doc.Textures {
		if t == nil {
			continue
		}
		if t.Source != nil && *t.Source >= 0 && *t.Source < n {
			wanted[*t.Source] = true
		}
		for _, i := range packedSources(t) {
			switch {
			case i < 0 || i >= n:
			case t.Source == nil:
				wanted[i] = true
			default:
				beside[i] = true
			}
		}
	}
	for i := range beside {
		beside[i] = beside[i] && !wanted[i]
	}
	return beside
}

// webp reads the size of a WebP picture (RFC 9649): that of the picture itself, since the
// canvas that an extended file states is held against it by nobody.
func (r *reader) webp(m *rig.Image, data []byte) {
	le := binary.LittleEndian
	m.MIME = "image/webp"
	canvas := [2]int{}
	for at := 12; at+8 <= len(data); {
		size := int(le.Uint32(data[at+4:]))
		body := data[at+8:]
		if size > len(body) && string(data[at:at+4]) == "VP8X" {
			break
		}
		switch string(data[at : at+4]) {
		case "VP8X":
			if size < 10 {
				m.Missing = "the picture is damaged: its first part is cut off"
				return
			}
			canvas = [2]int{int(le.Uint32(body[4:])&0xFFFFFF) + 1, int(le.Uint32(body[6:])>>8) + 1}
			if body[0]&2 != 0 {
				m.Width, m.Height = canvas[0], canvas[1]
				m.Missing = "WebP pictures that move are not shown"
				return
			}
		case "VP8 ":
			if len(body) < 10 || body[3] != 0x9D || body[4] != 1 || body[5] != 0x2A {
				m.Missing = "the picture is damaged: it does not begin with a whole frame"
				return
			}
			m.Width, m.Height = int(le.Uint16(body[6:]))&0x3FFF, int(le.Uint16(body[8:]))&0x3FFF
		case "VP8L":
			if len(body) < 5 || body[0] != 0x2F {
				m.Missing = "the picture is damaged: its signature is missing"
				return
			}
			b := le.Uint32(body[1:])
			m.Width, m.Height = int(b&0x3FFF)+1, int(b>>14&0x3FFF)+1
		}
		if m.Width > 0 || size < 0 || size > len(body) {
			break
		}
		at += 8 + size + size&1
	}
	switch {
	case m.Width == 0 || m.Height == 0:
		m.Missing = "the picture is damaged: it holds no picture"
	case canvas[0] > 0 && canvas != [2]int{m.Width, m.Height}:
		m.Missing = fmt.Sprintf("the picture is damaged: it states %d × %d and holds %d × %d", canvas[0], canvas[1], m.Width, m.Height)
	default:
		m.Data = data
	}
}

const ktxMagic = "\xABKTX 20\xBB\r\n\x1A\n"

// ktx reads the head of a KTX2 picture (KTX 2.0, Header): size, how it is packed, levels. None
// is shown: no browser decodes them by itself.
func (r *reader) ktx(m *rig.Image, data []byte) {
	le := binary.LittleEndian
	m.MIME = "image/ktx2"
	if len(data) < 48 {
		m.Missing = "the picture is damaged: its head is cut off"
		return
	}
	format, levels, scheme := le.Uint32(data[12:]), le.Uint32(data[40:]), le.Uint32(data[44:])
	m.Width, m.Height = int(le.Uint32(data[20:])), max(int(le.Uint32(data[24:])), 1)
	how := fmt.Sprintf("format %d", format)
	switch {
	case format == 0 && scheme == 1:
		how = "Basis Universal, ETC1S"
	case format == 0:
		how = "Basis Universal, UASTC"
	}
	switch most := uint32(bits.Len(uint(max(m.Width, m.Height, 1)))); {
	case levels > most:
		how += fmt.Sprintf("; it states %d levels, %d can be", levels, most)
	case levels == 1:
		how += ", 1 level"
	case levels > 1:
		how += fmt.Sprintf(", %d levels", levels)
	}
	m.Missing = "KTX2 pictures are not shown (" + how + ")"
}
