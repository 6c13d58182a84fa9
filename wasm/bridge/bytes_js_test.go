package bridge

import (
	"bytes"
	"testing"

	"rigloupe/wasm/flat"
)

// TestPacked: what crosses piece by piece is what would lie in one piece, for pieces on both
// sides of the size up to which they are gathered.
func TestPacked(t *testing.T) {
	type figure struct {
		Name   string
		Places []float32
		Lists  [][]uint16
		Last   []byte
	}
	f := figure{Name: "figure", Places: make([]float32, 50_000), Last: []byte{1, 2, 3}}
	for i := range f.Places {
		f.Places[i] = float32(i)
	}
	for n := range 300 {
		f.Lists = append(f.Lists, make([]uint16, 131*n))
		for i := range f.Lists[n] {
			f.Lists[n][i] = uint16(n + i)
		}
	}
	want, err := flat.Pack(&f)
	if err != nil {
		t.Fatal(err)
	}
	array, err := Packed(&f)
	if err != nil {
		t.Fatal(err)
	}
	if got := Bytes(array); !bytes.Equal(got, want) {
		t.Errorf("%d bytes cross, want the %d of flat.Pack", len(got), len(want))
	}
	if _, err := Packed(func() {}); err == nil {
		t.Error("a function crosses")
	}
}
