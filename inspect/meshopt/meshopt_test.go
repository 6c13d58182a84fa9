package meshopt

import (
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"encoding/json"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
)

// made is one stream that the npm package meshoptimizer (1.3.0) wrote, and what its own decoder
// answers for it; testdata/made.mjs makes them.
type made struct {
	View
	Packed, Want []byte
}

func streams(t testing.TB) (rows []made) {
	t.Helper()
	f, err := os.Open("testdata/made.json.gz")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.NewDecoder(z).Decode(&rows); err != nil {
		t.Fatal(err)
	}
	return rows
}

// Every mode, both versions and every filter against the npm package, byte for byte; filters of
// rounded numbers within one step of the stored integers (Appendix B: one unit in the last place).
func TestAsTheEncoderWrote(t *testing.T) {
	seen := map[string]int{}
	for i, row := range streams(t) {
		got, err := row.Unpack(row.Packed)
		if err != nil {
			t.Errorf("%d %+v: %v", i, row.View, err)
			continue
		}
		seen[row.Mode+" "+row.Filter+" "+string('0'+row.Packed[0]&1)]++
		switch row.Filter {
		case "OCTAHEDRAL", "QUATERNION", "COLOR":
			if d := apart(got, row.Want, row.Stride, row.Filter == "COLOR"); d > 1 {
				t.Errorf("%d %+v: %d steps apart", i, row.View, d)
			}
		default:
			if !bytes.Equal(got, row.Want) {
				t.Errorf("%d %+v: other bytes", i, row.View)
			}
		}
	}
	for _, want := range []string{"ATTRIBUTES  0", "ATTRIBUTES  1", "ATTRIBUTES OCTAHEDRAL 0", "ATTRIBUTES OCTAHEDRAL 1", "ATTRIBUTES QUATERNION 0",
		"ATTRIBUTES EXPONENTIAL 1", "ATTRIBUTES COLOR 1", "TRIANGLES  1", "INDICES  1"} {
		if seen[want] < 2 {
			t.Errorf("%q: %d streams", want, seen[want])
		}
	}
}

// apart is the largest difference of two lists of stored integers.
func apart(a, b []byte, stride int, noSign bool) (most int) {
	if len(a) != len(b) {
		return math.MaxInt
	}
	for i := 0; i < len(a); i += stride / 4 {
		var x, y int
		switch {
		case stride == 4 && noSign:
			x, y = int(a[i]), int(b[i])
		case stride == 4:
			x, y = int(int8(a[i])), int(int8(b[i]))
		case noSign:
			x, y = int(binary.LittleEndian.Uint16(a[i:])), int(binary.LittleEndian.Uint16(b[i:]))
		default:
			x, y = int(int16(binary.LittleEndian.Uint16(a[i:]))), int(int16(binary.LittleEndian.Uint16(b[i:])))
		}
		most = max(most, x-y, y-x)
	}
	return most
}

// The worked example of Appendix A: sixteen deltas of four bits, two of them behind.
func TestWorkedExample(t *testing.T) {
	s := stream{in: []byte{0x17, 0x5f, 0xf0, 0xbc, 0x77, 0xa9, 0x21, 0x00, 0x34, 0xb5}}
	var to [16]byte
	s.group(to[:], 4)
	var got []int
	for _, d := range to {
		got = append(got, int(int8(d>>1^-(d&1))))
	}
	if want := []int{-1, -4, -3, 26, -91, 0, -6, 6, -4, -4, 5, -5, 1, -1, 0, 0}; !slices.Equal(got, want) || s.done() != nil {
		t.Errorf("%v, want %v; %v", got, want, s.done())
	}
	// Whole numbers of seven bits a byte, the same appendix. Of its three examples the last, ff a0 05
	// as 0x1fd005, has the first group uppermost and contradicts the others, its own word for the
	// code (LEB128) and the encoder; here it is what LEB128 makes of it.
	for _, row := range []struct {
		in   []byte
		want uint32
	}{{[]byte{0x7f}, 0x7f}, {[]byte{0x81, 0x04}, 0x201}, {[]byte{0xff, 0xa0, 0x05}, 0x1507f}} {
		s := stream{in: row.in}
		if got := s.whole(); got != row.want || s.done() != nil {
			t.Errorf("% x: %#x, want %#x; %v", row.in, got, row.want, s.done())
		}
	}
}

// A stream that was cut, lengthened, or says another number of elements is refused; one of
// which a byte is another may be read as something else, and never more or less than asked.
func TestTornStreams(t *testing.T) {
	for i, row := range streams(t) {
		if i%5 != 0 {
			continue
		}
		for cut := 1; cut < len(row.Packed); cut += 1 + len(row.Packed)/40 {
			if _, err := row.Unpack(row.Packed[:len(row.Packed)-cut]); err == nil {
				t.Errorf("%d %+v: %d bytes cut off, and it is read", i, row.View, cut)
			}
		}
		if _, err := row.Unpack(append(slices.Clone(row.Packed), 0)); err == nil {
			t.Errorf("%d %+v: a byte too many, and it is read", i, row.View)
		}
		for at := 0; at < len(row.Packed); at += 1 + len(row.Packed)/60 {
			b := slices.Clone(row.Packed)
			b[at] ^= 0x55
			if got, err := row.Unpack(b); err == nil && len(got) != row.Count*row.Stride {
				t.Errorf("%d %+v: %d bytes", i, row.View, len(got))
			}
		}
	}
	for _, row := range []struct {
		v    View
		data []byte
		says string
	}{
		{View{Mode: "ATTRIBUTES", Count: 1 << 40, Stride: 4}, append([]byte{0xA1}, make([]byte, 100)...), "end early"},
		{View{Mode: "ATTRIBUTES", Count: 1 << 40, Stride: 256}, append([]byte{0xA0}, make([]byte, 500)...), "end early"},
		{View{Mode: "TRIANGLES", Count: 3 << 40, Stride: 4}, append([]byte{0xE1}, make([]byte, 100)...), "end early"},
		{View{Mode: "INDICES", Count: 1 << 40, Stride: 2}, append([]byte{0xD1}, make([]byte, 100)...), "end early"},
		{View{Mode: "ATTRIBUTES", Count: 1, Stride: 4}, nil, "begin with"},
		{View{Mode: "TRIANGLES", Count: 3, Stride: 4}, slices.Concat([]byte{0xE1, 0x00}, make([]byte, 16)), "before the first"},
		{View{Mode: "TRIANGLES", Count: 3, Stride: 4}, slices.Concat([]byte{0xE1, 0xF0}, []byte{0x11}, make([]byte, 15)), "before the first"},
		{View{Mode: "INDICES", Count: 1, Stride: 4}, []byte{0xD1, 0x80, 0x80, 0x80, 0x80, 0x80, 0, 0, 0, 0, 0}, "end early"},
		{View{Mode: "ATTRIBUTES", Count: 1, Stride: 6}, nil, "multiple of 4"},
		{View{Mode: "ATTRIBUTES", Count: 0, Stride: 4}, nil, "count is 0"},
		{View{Mode: "ATTRIBUTES", Count: 1, Stride: 12, Filter: "OCTAHEDRAL"}, nil, "does not go with"},
		{View{Mode: "ATTRIBUTES", Count: 1, Stride: 8, Filter: "SOFT"}, nil, "is none of"},
		{View{Mode: "TRIANGLES", Count: 4, Stride: 2}, nil, "no whole triangles"},
		{View{Mode: "INDICES", Count: 4, Stride: 3}, nil, "2 or 4"},
		{View{Mode: "INDICES", Count: 4, Stride: 2, Filter: "COLOR"}, nil, "not for indices"},
		{View{Mode: "POINTS", Count: 4, Stride: 4}, nil, "is none of"},
	} {
		if _, err := row.v.Unpack(row.data); err == nil || !strings.Contains(err.Error(), row.says) {
			t.Errorf("%+v: %v, want %q", row.v, err, row.says)
		}
	}
}

// FuzzUnpack: whatever the bytes, as many as were asked for or an error, and nothing is
// allocated beyond what a stream of that length can stand for.
func FuzzUnpack(f *testing.F) {
	modes, filters := []string{"ATTRIBUTES", "TRIANGLES", "INDICES"}, []string{"", "OCTAHEDRAL", "QUATERNION", "EXPONENTIAL", "COLOR"}
	for i, row := range streams(f) {
		if len(row.Packed) < 2000 && i%4 == 0 {
			f.Add(row.Packed, row.Count, row.Stride, uint8(slices.Index(modes, row.Mode)), uint8(slices.Index(filters, row.Filter)))
		}
	}
	f.Fuzz(func(t *testing.T, data []byte, count, stride int, mode, filter uint8) {
		v := View{Mode: modes[int(mode)%3], Filter: filters[int(filter)%5], Count: count, Stride: stride}
		got, err := v.Unpack(data)
		if err == nil && (len(got) != count*stride || len(got) > 1024*len(data)) {
			t.Errorf("%+v: %d bytes of %d", v, len(got), len(data))
		}
	})
}
