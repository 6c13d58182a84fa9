package texels

import (
	"encoding/binary"
	"encoding/hex"
	"testing"
)

// Parts of WebP pictures of 8 × 4 pixels that Chromium's own encoder wrote (convertToBlob,
// 'image/webp'): (40·⌊x/2⌋, 80·⌊y/2⌋, 7), opaque, and with alpha 128 in the right half. Laid out
// as RFC 9649 says.
const (
	lossless    = "2f07c000003f201020244af5686250e660fe092669aaed182cca2f6090019a14524821851452b842febb4444ff03ca3dddd11d00"
	losslessCut = "2f07c000103f201048460c755c826c9be20ce758c716122444ff1f564050f49ce9d11a0ef80707c020033429a490420a29a47085fc778988fe470efa8eee6800"
	lossy       = "9002009d012a0800040001402625b00274b7006b807aff81e879f6c80000fefe5a9e3b6fe10db9c98b4c77fdc679abe16ca58798747b8d7fb4230a63113a44d1cf15c000"
	cut         = "010ff0c0ff888850f888fe07"
)

func riff(chunks ...string) []byte {
	body := []byte("WEBP")
	for i := 0; i < len(chunks); i += 2 {
		data, err := hex.DecodeString(chunks[i+1])
		if err != nil {
			panic(err)
		}
		body = binary.LittleEndian.AppendUint32(append(body, chunks[i]...), uint32(len(data)))
		body = append(body, data...)
		if len(data)%2 > 0 {
			body = append(body, 0)
		}
	}
	return append(binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(body))), body...)
}

// canvas is the first part of an extended file: flags, and 8 × 4.
func canvas(flags string) string { return flags + "000000070000030000" }

// TestWebP: a browser's pictures come back as it was given them, without loss to the bit, with
// loss within its loss, alpha in both; what is cut off or states other sizes gives none.
func TestWebP(t *testing.T) {
	for _, row := range []struct {
		name  string
		data  []byte
		loss  int
		alpha uint32 // of the right half
	}{
		{"lossless", riff("VP8L", lossless), 0, 255},
		{"lossless with alpha", riff("VP8L", losslessCut), 0, 128},
		{"lossy", riff("VP8 ", lossy), 40, 255},
		{"lossy with alpha", riff("VP8X", canvas("10"), "ALPH", cut, "VP8 ", lossy), 40, 128},
		{"lossy, extended", riff("VP8X", canvas("00"), "VP8 ", lossy), 40, 255},
		{"lossless, extended", riff("VP8X", canvas("10"), "VP8L", losslessCut), 0, 128},
	} {
		w, h, pix := Decode(row.data, 8)
		if w != 8 || h != 4 || len(pix) != 32 {
			t.Errorf("%s: %d × %d", row.name, w, h)
			continue
		}
		for i, p := range pix {
			x, y := i%8, i/8
			want := [4]int{40 * (x / 2), 80 * (y / 2), 7, 255}
			if x > 3 {
				want[3] = int(row.alpha)
			}
			for k := range 4 {
				got := int(p >> (8 * k) & 255)
				off := max(got-want[k], want[k]-got)
				if k == 3 && off > 0 || off > row.loss && !(row.loss == 0 && want[3] < 255 && off <= 1) {
					t.Errorf("%s: pixel %d, %d, part %d: %d, want %d", row.name, x, y, k, got, want[k])
				}
			}
		}
	}
	whole := riff("VP8L", lossless)
	for name, data := range map[string][]byte{
		"cut off": whole[:len(whole)-20], "head alone": whole[:20],
		"too many pixels": riff("VP8L", "2fffffffff0f"+lossless[10:]), // 16,384 each way
	} {
		if w, h, pix := Decode(data, 8); pix != nil {
			t.Errorf("%s: %d × %d", name, w, h)
		}
	}
}
