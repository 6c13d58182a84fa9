package gltfio

import (
	"archive/zip"
	"bytes"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/rounds"
)

// Syllables and the letters that they are made of are one name: the first and the last of
// the block, one without and one with a final consonant (Unicode 15, §3.12: 0xAC00 is
// 1100 1161, 0xD7A3 is 1112 1175 11C2; 한 is 1112 1161 11AB).
func TestFoldHangul(t *testing.T) {
	for whole, letters := range map[string]string{"\uAC00": "\u1100\u1161", "\uD7A3": "\u1112\u1175\u11C2", "한": "\u1112\u1161\u11AB"} {
		if fold(whole) != fold(letters) {
			t.Errorf("%q and its letters %q fall apart: %q, %q", whole, letters, fold(whole), fold(letters))
		}
	}
	if fold("\uABFF") != "\uABFF" || fold("\uD7A4") != "\uD7A4" {
		t.Error("what stands beside the block is taken apart")
	}
}

// A zip of a megabyte that unpacks to 70 (real models reach about 20 times their size, a
// bomb 1000) is read; it lies above the 64 MiB that any zip may take.
func TestHonestGrowth(t *testing.T) {
	if !rounds.Long() {
		t.Skip("70 MB: in the long form only, RIGLOUPE_LONG=1")
	}
	content := make([]byte, 70<<20)
	rnd := rand.New(rand.NewPCG(1, 2))
	for i := range 1 << 20 {
		content[i] = byte(rnd.Uint32())
	}
	var packed bytes.Buffer
	z := zip.NewWriter(&packed)
	w, err := z.Create("big.bin")
	if err != nil {
		t.Fatal(err)
	}
	w.Write(content)
	z.Close()
	s, err := zipShelf(File{Name: "m.zip", Data: packed.Bytes()}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := s.read("big.bin"); err != nil || !bytes.Equal(got, content) {
		t.Errorf("%d bytes of a zip of %d: %v", len(got), packed.Len(), err)
	}
}
