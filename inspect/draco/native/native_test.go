package native

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"rigloupe/inspect/draco"
)

// stream answers the packed shape of the first primitive of a file that the npm package's
// encoder packed (testdata/pack.mjs), and what its attributes are.
func stream(t testing.TB, name string) ([]byte, []draco.Attribute) {
	t.Helper()
	b, err := os.ReadFile("../../gltfio/testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	size := binary.LittleEndian.Uint32(b[12:])
	var doc struct {
		BufferViews []struct{ ByteOffset, ByteLength int }
		Accessors   []struct {
			ComponentType int
			Type          string
		}
		Meshes []struct {
			Primitives []struct {
				Attributes map[string]int
				Extensions map[string]struct {
					BufferView int
					Attributes map[string]int
				}
			}
		}
	}
	if err := json.Unmarshal(b[20:20+size], &doc); err != nil {
		t.Fatal(err)
	}
	p := doc.Meshes[0].Primitives[0]
	x := p.Extensions["KHR_draco_mesh_compression"]
	v := doc.BufferViews[x.BufferView]
	var want []draco.Attribute
	for _, k := range []string{"POSITION", "NORMAL", "TEXCOORD_0", "JOINTS_0", "WEIGHTS_0"} {
		a := doc.Accessors[p.Attributes[k]]
		want = append(want, draco.Attribute{ID: x.Attributes[k], Type: a.ComponentType, Width: map[string]int{"VEC2": 2, "VEC3": 3, "VEC4": 4}[a.Type]})
	}
	return b[28+int(size)+v.ByteOffset:][:v.ByteLength], want
}

func anything(int, int) error { return nil }

func begun(t testing.TB, limit int64) draco.Program {
	t.Helper()
	p, err := Start(limit)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(p.Close)
	return p
}

// The program is the one that the names were taken for.
func TestProgram(t *testing.T) {
	if sum := sha256.Sum256(program); hex.EncodeToString(sum[:]) != draco.SHA256 {
		t.Errorf("another program than that of draco3dgltf %s", draco.Version)
	}
}

// Several copies decode side by side, one after the other by the same copy as well, and
// answer the same each time: 72 points and 128 triangles of the tube (hostile.Figure).
func TestSideBySide(t *testing.T) {
	data, want := stream(t, "figure-draco-exact.glb")
	shapes := make([]draco.Shape, 8)
	var all sync.WaitGroup
	for i := range 4 {
		all.Go(func() {
			p, err := Start(64 << 20)
			if err != nil {
				t.Error(err)
				return
			}
			defer p.Close()
			for k := range 2 {
				if shapes[2*i+k], err = draco.Unpack(p, data, want, anything); err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	for _, s := range shapes {
		if s.Points != 72 || len(s.Corners) != 12*128 || len(s.Attributes) != 5 || string(s.Corners) != string(shapes[0].Corners) || string(s.Attributes[0]) != string(shapes[0].Attributes[0]) {
			t.Fatalf("%d points, %d corners, %d attributes", s.Points, len(s.Corners)/4, len(s.Attributes))
		}
	}
}

// What a stream cannot give is refused in words; the same copy goes on after that.
func TestRefusals(t *testing.T) {
	data, want := stream(t, "figure-draco.glb")
	p := begun(t, 64<<20)
	poor := errors.New("no more")
	for _, row := range []struct {
		name   string
		stream []byte
		want   []draco.Attribute
		take   func(int, int) error
		says   string
	}{
		{"empty", nil, want, anything, "no stream of Draco"},
		{"something else", []byte("glTF and more of it"), want, anything, "no stream of Draco: Not a Draco file"},
		{"half of it", data[:len(data)/2], want, anything, "no stream of Draco: "},
		{"an attribute that is not there", data, []draco.Attribute{{ID: 77, Type: 5126, Width: 3}}, anything, "it holds no attribute 77"},
		{"a negative number", data, []draco.Attribute{{ID: -1, Type: 5126, Width: 3}}, anything, "it holds no attribute -1"},
		{"another width", data, []draco.Attribute{{ID: want[0].ID, Type: 5126, Width: 4}}, anything, "has 3 numbers a point, 4 are wanted"},
		{"no type", data, []draco.Attribute{{ID: want[0].ID, Type: 5124, Width: 3}}, anything, "component type 5124"},
		{"too much", data, want, func(n, size int) error {
			if n == 72 && size == 12 {
				return poor
			}
			return nil
		}, "no more"},
	} {
		if _, err := draco.Unpack(p, row.stream, row.want, row.take); err == nil || !strings.Contains(err.Error(), row.says) {
			t.Errorf("%s: %v, want %q", row.name, err, row.says)
		}
	}
	if _, err := draco.Unpack(p, data, want, anything); err != nil {
		t.Errorf("after all that: %v", err)
	}
}

// A stream that states more than a small file can hold is ended by the memory that it may
// take, in time. The bytes of the header that are changed: draco's own "number of vertices"
// and "of faces" of a sequential mesh stand behind the eleven bytes of its header as numbers
// of seven bits a byte (bitstream specification of Draco, Sequential Connectivity).
func TestBombs(t *testing.T) {
	data, want := stream(t, "figure-draco-exact.glb")
	if data[7] != 1 || data[8] != 0 {
		t.Fatal("no sequential mesh")
	}
	huge := []byte{0xFF, 0xFF, 0xFF, 0xFF, 0x0F}
	at := 11
	skip := func(i int) int {
		for data[i]&0x80 != 0 {
			i++
		}
		return i + 1
	}
	faces := skip(at)
	points := skip(faces)
	for name, bomb := range map[string][]byte{
		"faces":   append(append(append([]byte{}, data[:at]...), huge...), data[faces:]...),
		"points":  append(append(append([]byte{}, data[:faces]...), huge...), data[points:]...),
		"both":    append(append(append(append([]byte{}, data[:at]...), huge...), huge...), data[points:]...),
		"a tenth": append(append(append(append([]byte{}, data[:at]...), 0xFF, 0xFF, 0xFF, 0x3F), 0xFF, 0xFF, 0xFF, 0x3F), data[points:]...),
	} {
		began := time.Now()
		p := begun(t, 64<<20)
		if _, err := draco.Unpack(p, bomb, want, anything); err == nil {
			t.Errorf("%s: no error", name)
		}
		if took := time.Since(began); took > longest/2 {
			t.Errorf("%s took %v", name, took)
		}
	}
}

// The memory ends where it was told to.
func TestBounded(t *testing.T) {
	data, want := stream(t, "figure-draco-exact.glb")
	if p, err := Start(64 << 10); err == nil {
		p.Close()
		t.Error("it starts in one page")
	}
	p := begun(t, 17<<20) // it begins with 16 MiB
	if _, err := draco.Unpack(p, data, want, anything); err != nil {
		t.Errorf("%v", err)
	}
	if _, err := draco.Unpack(p, make([]byte, 32<<20), want, anything); err == nil || !strings.Contains(err.Error(), "more memory") && !strings.Contains(err.Error(), "want of memory") {
		t.Errorf("%v", err)
	}
}

// Whatever the bytes are, an answer or an error comes back, within the time of one call.
func FuzzUnpack(f *testing.F) {
	for _, name := range []string{"figure-draco.glb", "figure-draco-exact.glb"} {
		data, _ := stream(f, name)
		f.Add(data, 0, byte(0), 0, byte(0))
		f.Add(data, 11, byte(0xFF), 12, byte(0xFF))
	}
	f.Fuzz(func(t *testing.T, data []byte, at int, to byte, other int, also byte) {
		data = append([]byte{}, data...)
		if len(data) > 0 {
			data[uint(at)%uint(len(data))] ^= to
			data[uint(other)%uint(len(data))] ^= also
		}
		p, err := Start(64 << 20)
		if err != nil {
			t.Fatal(err)
		}
		defer p.Close()
		s, err := draco.Unpack(p, data, []draco.Attribute{{ID: 0, Type: 5123, Width: 4}, {ID: 2, Type: 5126, Width: 3}}, func(n, size int) error {
			if n*size > 32<<20 {
				return errors.New("too much")
			}
			return nil
		})
		if err == nil && (len(s.Attributes) != 2 || len(s.Attributes[1]) != 12*s.Points || len(s.Corners)%12 != 0) {
			t.Fatalf("%d points, %d bytes of corners", s.Points, len(s.Corners))
		}
	})
}
