package flat

import (
	"bytes"
	"math"
	"reflect"
	"strings"
	"testing"
)

type id int32

type part struct {
	Name   string
	Matrix [12]float64
	Next   *part
	Open   []bool
	Table  map[string]id
	hidden int
}

type point struct {
	X, Y float32
	N    uint64
}

type everything struct {
	B          bool
	I          int
	I8         int8
	U16        uint16
	F          float32
	D          float64
	S          string
	Floats     []float32
	Same       []float32
	Tail       []float32
	Empty, Nil []uint16
	Points     []point
	Rows       [][12]float32
	Lists      [][]float32
	Parts      []part
	Flags      []bool
	ByNumber   map[id][]byte
	Word       struct{ A, B uint8 }
	Grid       [2][3]uint16
}

func sample() everything {
	f := []float32{1, 2, float32(math.Inf(-1)), 4}
	return everything{
		B: true, I: -7, I8: -8, U16: 65535, F: 1.5, D: math.MaxFloat64, S: "höher",
		Floats: f, Same: f, Tail: f[1:], Empty: []uint16{},
		Points: []point{{1, 2, 3}, {4, 5, 1 << 60}}, Rows: [][12]float32{{1}, {2}},
		Lists: [][]float32{nil, {}, {9}, f},
		Parts: []part{{Name: "a", Matrix: [12]float64{0: 1}, Next: &part{Name: "b"}, Open: []bool{true, false}, Table: map[string]id{"z": 1, "a": 2}}},
		Flags: []bool{true, false, true}, ByNumber: map[id][]byte{-1: {1, 2}, 5: nil},
		Word: struct{ A, B uint8 }{3, 4}, Grid: [2][3]uint16{{1, 2, 3}, {4, 5, 6}},
	}
}

func TestRoundTrip(t *testing.T) {
	in := sample()
	data, err := Pack(&in)
	if err != nil {
		t.Fatal(err)
	}
	if cap(data) != len(data) {
		t.Errorf("counted %d bytes, wrote %d", cap(data), len(data))
	}
	again, _ := Pack(in)
	if !bytes.Equal(data, again) {
		t.Error("the same value gives other bytes the second time")
	}
	for shift := range 3 { // wherever the bytes start
		moved := append(make([]byte, shift), data...)[shift:]
		var out everything
		if err := Unpack(moved, &out); err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(in, out) {
			t.Errorf("got\n%+v, want\n%+v", out, in)
		}
		if &out.Floats[0] != &out.Same[0] || &out.Floats[0] != &out.Lists[3][0] {
			t.Error("one slice has become two")
		}
		out.Floats[0] = 5
		if in.Floats[0] != 1 {
			t.Error("the copy is not one")
		}
	}
}

func TestUnexportedFieldsStayBehind(t *testing.T) {
	data, err := Pack(part{Name: "a", hidden: 7})
	if err != nil {
		t.Fatal(err)
	}
	var out part
	if err := Unpack(data, &out); err != nil || out.Name != "a" || out.hidden != 0 {
		t.Errorf("%+v, %v", out, err)
	}
}

func TestNaNKeepsItsBits(t *testing.T) {
	in := struct {
		F []float32
		D float64
	}{[]float32{math.Float32frombits(0x7fc00001)}, math.Float64frombits(0x7ff8000000000009)}
	data, err := Pack(in)
	if err != nil {
		t.Fatal(err)
	}
	out := in
	out.F, out.D = nil, 0
	if err := Unpack(data, &out); err != nil {
		t.Fatal(err)
	}
	if math.Float32bits(out.F[0]) != 0x7fc00001 || math.Float64bits(out.D) != 0x7ff8000000000009 {
		t.Error("the bits of a NaN were lost")
	}
}

// Numbers lie in the bytes themselves: no copy of what is large.
func TestNoCopy(t *testing.T) {
	type big struct{ F []float32 }
	data, err := Pack(big{make([]float32, 100)})
	if err != nil {
		t.Fatal(err)
	}
	var out big
	if err := Unpack(data, &out); err != nil {
		t.Fatal(err)
	}
	data[len(data)-1], data[len(data)-2] = 0x3f, 0x80
	if out.F[99] != 1 {
		t.Error("the slice is a copy")
	}
}

func TestRefused(t *testing.T) {
	in := sample()
	data, err := Pack(in)
	if err != nil {
		t.Fatal(err)
	}
	type other struct{ X int }
	ring := &part{}
	ring.Next = ring
	for _, w := range []struct {
		name, want string
		err        error
	}{
		{"another type", "another type", Unpack(data, &other{})},
		{"nothing", "not packed here", Unpack(nil, &everything{})},
		{"foreign bytes", "not packed here", Unpack(make([]byte, 100), &everything{})},
		{"no pointer", "want a pointer", Unpack(data, everything{})},
		{"cut", "end too early", Unpack(data[:len(data)-1], &everything{})},
		{"more", "left over", Unpack(append(bytes.Clone(data), 0), &everything{})},
		{"nil", "nothing to pack", errOf(Pack(nil))},
		{"a function", "F is a func(), which cannot cross", errOf(Pack(struct{ F func() }{}))},
		{"an interface", "A is a interface {}, which cannot cross", errOf(Pack(struct{ A any }{}))},
		{"no size", "no size", errOf(Pack(struct{ A []struct{} }{}))},
		{"a ring", "in a ring", errOf(Pack(ring))},
	} {
		if w.err == nil || !strings.Contains(w.err.Error(), w.want) {
			t.Errorf("%s: %v, want %q", w.name, w.err, w.want)
		}
	}
	for i := range len(data) { // cut anywhere: an error, never a panic
		if Unpack(bytes.Clone(data[:i]), &everything{}) == nil {
			t.Fatalf("%d of %d bytes were taken for whole", i, len(data))
		}
	}
}

func errOf(_ []byte, err error) error { return err }

// A length that the bytes cannot hold allocates nothing of that size.
func TestLyingLength(t *testing.T) {
	type lists struct{ L [][]float32 }
	data, err := Pack(lists{[][]float32{{1}}})
	if err != nil {
		t.Fatal(err)
	}
	data = append(data[:head], 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x0f)
	if err := Unpack(data, &lists{}); err == nil {
		t.Error("a length beyond the bytes was believed")
	}
}

func FuzzUnpack(f *testing.F) {
	in := sample()
	data, err := Pack(in)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data[head:])
	f.Add(data[head : len(data)/2])
	f.Fuzz(func(t *testing.T, body []byte) {
		var out everything
		if Unpack(append(bytes.Clone(data[:head]), body...), &out) != nil {
			return
		}
		// What was taken can be packed and taken again.
		again, err := Pack(out)
		if err != nil {
			t.Fatal(err)
		}
		if err := Unpack(again, &everything{}); err != nil {
			t.Fatal(err)
		}
	})
}

func BenchmarkFigure(b *testing.B) {
	type figure struct {
		Positions [][]float32
		Channels  []struct {
			Node   int32
			Times  []float32
			Values []float32
		}
	}
	var f figure
	f.Positions = [][]float32{make([]float32, 3_000_000)}
	times := make([]float32, 100)
	for i := range 9000 {
		f.Channels = append(f.Channels, struct {
			Node   int32
			Times  []float32
			Values []float32
		}{int32(i), times, make([]float32, 400)})
	}
	data, err := Pack(&f)
	if err != nil {
		b.Fatal(err)
	}
	b.Run("pack", func(b *testing.B) {
		b.SetBytes(int64(len(data)))
		for b.Loop() {
			if _, err := Pack(&f); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("unpack", func(b *testing.B) {
		b.SetBytes(int64(len(data)))
		for b.Loop() {
			var out figure
			if err := Unpack(data, &out); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// A number of any length comes back: seven bits a byte, the highest bit says that more
// follow (the variable-length quantity of MIDI files, least bits first).
func TestWholeNumbers(t *testing.T) {
	type list struct{ N []uint64 }
	in := list{}
	for bit := range 64 {
		in.N = append(in.N, 1<<bit, 1<<bit-1)
	}
	data, err := Pack(&in)
	if err != nil {
		t.Fatal(err)
	}
	var out list
	if err := Unpack(data, &out); err != nil || !reflect.DeepEqual(in, out) {
		t.Errorf("%v, %v", out, err)
	}
	for _, n := range []int{1, 5, 8} {
		u := unpacker{data: append(bytes.Repeat([]byte{0xff}, n), 1)}
		want := uint64(1)<<(7*n) | (1<<(7*n) - 1)
		if got, err := u.whole(); err != nil || got != want {
			t.Errorf("%d bytes: %d, %v, want %d", n+1, got, err, want)
		}
	}
	if _, err := (&unpacker{data: bytes.Repeat([]byte{0xff}, 20)}).whole(); err == nil {
		t.Error("a number without end is read")
	}
}
