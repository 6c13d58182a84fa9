package hostile

import (
	"bytes"
	"encoding/binary"
	"regexp"
)

// numbers are what edits write into the JSON: sizes at the edges of types, and what no count may be.
var numbers = []string{"-1", "0", "1", "2", "3", "7", "255", "256", "65535", "65536", "2147483647", "4294967296", "9007199254740993",
	"1e38", "-1e38", "1e-45", "1e309", "0.5", "-0", "null", `""`, "[]", "{}", "true", "5120", "5121", "5123", "5125", "5126", "17"}

// words are what edits write into the data, each 32 bits.
var words = []uint32{0, 1, 0x3F800000, 0xBF800000, 0x7F800000, 0xFF800000, 0x7FC00000, 0x7F7FFFFF, 0xFF7FFFFF, 1 << 31,
	0x00000001, 0x00800000, 0xFFFFFFFF, 0x01010101, 0x00010000, 0x33D6BF95, 0x447A0000}

var numberOfJSON = regexp.MustCompile(`-?[0-9][0-9.eE+-]*`)

// Edit answers a GLB with some of its numbers written otherwise, and its frame right again:
// what a search by bytes alone hardly comes to, since nearly all it changes breaks the frame.
// Each four bytes of edits are one: which number (two bytes), what it becomes, and whether of
// the JSON (even) or of the data (odd). At most 64 are made. What is no GLB of two chunks comes
// back as it is.
func Edit(glb, edits []byte) []byte {
	if len(edits) < 4 || len(glb) < 28 || string(glb[:4]) != "glTF" {
		return glb
	}
	size := int(binary.LittleEndian.Uint32(glb[12:]))
	if size < 0 || size > len(glb)-28 {
		return glb
	}
	text, bin := bytes.Clone(glb[20:20+size]), bytes.Clone(glb[28+size:])
	for n := 0; len(edits) >= 4 && n < 64; n, edits = n+1, edits[4:] {
		which, what := int(binary.LittleEndian.Uint16(edits)), int(edits[2])
		if edits[3]%2 == 1 {
			if len(bin) >= 4 {
				binary.LittleEndian.PutUint32(bin[which%(len(bin)/4)*4:], words[what%len(words)])
			}
			continue
		}
		all := numberOfJSON.FindAllIndex(text, 1+which)
		if len(all) == 0 {
			continue
		}
		at := all[which%len(all)]
		text = append(append(bytes.Clone(text[:at[0]]), numbers[what%len(numbers)]...), text[at[1]:]...)
	}
	return pack(text, bin)
}
