package inspect

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"io"
	"math"
	"os"
	"runtime"
	"runtime/debug"
	"slices"
	"sort"
	"strings"
	"testing"
	"time"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// A hostile file is a sound small figure with one thing wrong. The generator below goes
// through all there is in a file: every number of the JSON, every member and list, every
// kind of number in the binary part; so a place that nobody thought of is met as well.
// Nothing is asked of the answer but that there is one, whole, in little memory.

// hostile is one file and how it came to be.
type hostile struct {
	name string
	make func() []byte
}

func whole(data []byte) func() []byte { return func() []byte { return data } }

// survives reads and examines a file as the programs do. The error says what no file
// may do: panic, take much memory, answer what is no JSON. A refusal is an answer.
func survives(data []byte, most uint64) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v\n%s", p, debug.Stack())
		}
	}()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	var r *rig.Rig
	if bvh.Is(data) {
		r, err = bvh.Read("h.bvh", data)
	} else {
		r, err = gltfio.Read([]gltfio.File{{Name: "h.glb", Data: data}}, gltfio.Options{})
	}
	if err != nil {
		if strings.Contains(err.Error(), "fault of the reader") {
			return err
		}
		err = nil
	} else {
		res, err := Examine(context.Background(), r, Options{})
		if err != nil {
			return err
		}
		var b bytes.Buffer
		if err := res.WriteJSON(&b, false); err != nil {
			return err
		}
		if !json.Valid(b.Bytes()) {
			return fmt.Errorf("what it answers is no JSON")
		}
		for i := range res.Findings() {
			for _, m := range res.Findings()[i].Measures {
				if math.IsInf(m.Value, 0) {
					return fmt.Errorf("%s: %s is %g", res.Findings()[i].ID, m.Name, m.Value)
				}
			}
		}
	}
	runtime.ReadMemStats(&after)
	if took := after.TotalAlloc - before.TotalAlloc; took > most {
		return fmt.Errorf("%d MB were allocated for %d bytes", took>>20, len(data))
	}
	return err
}

// inTime fails where a file is at work without end. It is no test of speed: the files
// are small and take some milliseconds.
func inTime(t *testing.T, h hostile, most uint64) {
	t.Helper()
	done := make(chan error, 1)
	data := h.make()
	go func() { done <- survives(data, most) }()
	select {
	case err := <-done:
		if err != nil {
			t.Errorf("%s: %v", h.name, err)
			keep(h.name, data)
		}
	case <-time.After(3 * time.Minute):
		keep(h.name, data)
		buf := make([]byte, 1<<20)
		t.Fatalf("%s: no end\n%s", h.name, buf[:runtime.Stack(buf, true)])
	}
}

// keep leaves a file that failed where RIGLOUPE_KEEP says.
func keep(name string, data []byte) {
	if dir := os.Getenv("RIGLOUPE_KEEP"); dir != "" {
		sum := fnv.New32()
		io.WriteString(sum, name)
		os.WriteFile(fmt.Sprintf("%s/%08x.bin", dir, sum.Sum32()), data, 0o644)
	}
}

// part is a GLB taken apart.
type part struct {
	text []byte
	bin  []byte
}

func apart(glb []byte) part {
	n := binary.LittleEndian.Uint32(glb[12:])
	p := part{text: glb[20 : 20+n]}
	if rest := glb[20+n:]; len(rest) > 8 {
		p.bin = rest[8:]
	}
	return p
}

func (p part) glb() []byte {
	text := bytes.Clone(p.text)
	for len(text)%4 != 0 {
		text = append(text, ' ')
	}
	out := append([]byte("glTF"), 2, 0, 0, 0)
	out = binary.LittleEndian.AppendUint32(out, uint32(12+8+len(text)+8+len(p.bin)))
	out = binary.LittleEndian.AppendUint32(out, uint32(len(text)))
	out = append(append(out, "JSON"...), text...)
	out = binary.LittleEndian.AppendUint32(out, uint32(len(p.bin)))
	return append(append(append(out, "BIN"...), 0), p.bin...)
}

// leaf is a value of a JSON tree that can be set.
type leaf struct {
	path string
	at   any
	set  func(any)
}

// leaves lists every value below a node, in a stable order. drop takes it out.
func leaves(path string, v any, set func(any), out *[]leaf) {
	*out = append(*out, leaf{path, v, set})
	switch v := v.(type) {
	case map[string]any:
		keys := make([]string, 0, len(v))
		for k := range v {
			keys = append(keys, k)
		}
		sort.Strings(keys)
		for _, k := range keys {
			leaves(path+"/"+k, v[k], func(x any) {
				if x == drop {
					delete(v, k)
				} else {
					v[k] = x
				}
			}, out)
		}
	case []any:
		for i := range v {
			if len(v) > 4 && i > 1 && i < len(v)-1 {
				continue // one like the others
			}
			leaves(fmt.Sprintf("%s/%d", path, i), v[i], func(x any) {
				if x == drop {
					x = nil
				}
				v[i] = x
			}, out)
		}
	}
}

type dropped struct{}

var drop any = &dropped{}

// Values that a number of the JSON is set to: below and beyond every list, every width
// of integer, and what no float holds.
var oddNumbers = []any{-1, 0, 1, 3, 255, 65535, 65536, 2147483647, 2147483648, 4294967295, 4294967296, json.Number("9223372036854775807"),
	json.Number("9223372036854775808"), 0.5, -0.5, 1e18, 1e30, -1e30, 3.5e38, json.Number("1e308"), json.Number("-1e308"), 1e-45, json.Number("1e-310")}

// hostileJSON changes one value at a time.
func hostileJSON(base part, each func(hostile)) {
	var probe any
	decode(base.text, &probe)
	var all []leaf
	leaves("", probe, func(any) {}, &all)
	for i, l := range all {
		var values []any
		switch l.at.(type) {
		case json.Number:
			values = append(slices.Clone(oddNumbers), "x", drop)
		case string:
			values = []any{"", "\x00\x1b[2J\u202e\n", strings.Repeat("ä", 5000), 7, drop}
		case []any:
			values = []any{drop, []any{}, []any{nil}, []any{-1}, []any{json.Number("1e300")}, []any{map[string]any{}}, 3, many(l.at.([]any))}
		case map[string]any:
			values = []any{drop, map[string]any{}, []any{}, "x"}
		}
		for _, v := range values {
			if l.path == "" {
				continue
			}
			said := fmt.Sprint(v)
			if v == drop {
				said = "left out"
			}
			each(hostile{fmt.Sprintf("%s: %.40s", l.path, said), func() []byte {
				var tree any
				decode(base.text, &tree)
				var same []leaf
				leaves("", tree, func(any) {}, &same)
				same[i].set(v)
				text, err := json.Marshal(tree)
				if err != nil {
					panic(err)
				}
				return part{text, base.bin}.glb()
			}})
		}
	}
}

// many is a list with its items over and over.
func many(list []any) []any {
	out := slices.Clone(list)
	for len(out) > 0 && len(out) < 300 {
		out = append(out, list...)
	}
	return out
}

func decode(text []byte, to *any) {
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	if err := d.Decode(to); err != nil {
		panic(err)
	}
}

// Numbers that the binary part is filled with, by the width of a component.
var (
	oddFloats = []float64{math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat32, -math.MaxFloat32, 1e30, 1e18, 1e19, -1e18, 1e-45, 0, -1, 1e12}
	oddWhole  = []uint32{0, 1, 0x7F, 0x80, 0xFF, 0x7FFF, 0x8000, 0xFFFF, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF}
)

// hostileNumbers changes the numbers of one accessor: the first, one in the middle, every
// second, all.
func hostileNumbers(base part, each func(hostile)) {
	var doc struct {
		Accessors []struct {
			BufferView, ByteOffset, ComponentType, Count int
			Type                                         string
		}
		BufferViews []struct{ ByteOffset, ByteStride int }
	}
	if err := json.Unmarshal(base.text, &doc); err != nil {
		panic(err)
	}
	width := map[string]int{"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT4": 16}
	for i, a := range doc.Accessors {
		size := map[int]int{5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}[a.ComponentType]
		v := doc.BufferViews[a.BufferView]
		w := width[a.Type]
		stride := max(v.ByteStride, size*w)
		odd := len(oddWhole)
		if a.ComponentType == 5126 {
			odd = len(oddFloats)
		}
		for k := range odd {
			bits := uint32(0)
			if a.ComponentType == 5126 {
				bits = math.Float32bits(float32(oddFloats[k]))
			} else if bits = oddWhole[k]; size < 4 && bits>>(8*size) != 0 {
				continue
			}
			for n, name := range []string{"first", "middle", "every second", "all", "one axis"} {
				hit := func(e, c int) bool {
					return [...]bool{e == 0 && c == 0, e == a.Count/2, e%2 == 1, true, c == w-1}[n]
				}
				each(hostile{fmt.Sprintf("accessor %d (%s of %d), %s: %x", i, a.Type, a.ComponentType, name, bits), func() []byte {
					bin := bytes.Clone(base.bin)
					for e := range a.Count {
						for c := range w {
							if !hit(e, c) {
								continue
							}
							at := v.ByteOffset + a.ByteOffset + e*stride + c*size
							for b := range size {
								bin[at+b] = byte(bits >> (8 * b))
							}
						}
					}
					return part{base.text, bin}.glb()
				}})
			}
		}
	}
}

// hostileBytes cuts the file at every place that matters and turns bytes over.
func hostileBytes(base []byte, each func(hostile)) {
	for _, n := range []int{0, 1, 4, 8, 11, 12, 13, 19, 20, 21, 40, len(base) / 3, len(base) / 2, len(base) - 1000, len(base) - 9, len(base) - 4, len(base) - 1} {
		each(hostile{fmt.Sprintf("cut at %d", n), whole(base[:n])})
	}
	for at := range 20 {
		for _, x := range []byte{0, 1, 0x7F, 0x80, 0xFF} {
			each(hostile{fmt.Sprintf("byte %d: %x", at, x), func() []byte {
				b := bytes.Clone(base)
				b[at] = x
				return b
			}})
		}
	}
}

const smallCapture = `HIERARCHY
ROOT Hips
{
	OFFSET 0 90 0
	CHANNELS 6 Xposition Yposition Zposition Zrotation Xrotation Yrotation
	JOINT LeftUpLeg
	{
		OFFSET 10 0 0
		CHANNELS 3 Zrotation Xrotation Yrotation
		JOINT LeftLeg
		{
			OFFSET 0 -45 0
			CHANNELS 3 Zrotation Xrotation Yrotation
			End Site
			{
				OFFSET 0 -45 0
			}
		}
	}
	JOINT Spine
	{
		OFFSET 0 20 0
		CHANNELS 3 Zrotation Xrotation Yrotation
		End Site
		{
			OFFSET 0 40 0
		}
	}
}
MOTION
Frames: 3
Frame Time: 0.0333333
0 90 0 0 0 0 1 2 3 4 5 6 7 8 9
0 90 1 0 0 0 2 3 4 5 6 7 8 9 10
0 90 2 0 0 0 3 4 5 6 7 8 9 10 11
`

// hostileCapture changes one word of a capture at a time, and cuts it at every word.
func hostileCapture(each func(hostile)) {
	words := strings.Fields(smallCapture)
	join := func(w []string) []byte { return []byte(strings.Join(w, "\n")) }
	for i := range words {
		each(hostile{fmt.Sprintf("capture cut before word %d, %q", i, words[i]), whole(join(words[:i]))})
		for _, x := range []string{"", "-1", "0", "2.5", "999999999", "1e9", "1e18", "1e308", "-1e308", "1e999", "nan", "inf", "{", "}", "JOINT", "CHANNELS", "MOTION", "x", "\x00", "\xff\xfe", strings.Repeat("{ ", 50), strings.Repeat("9", 5000)} {
			w := slices.Clone(words)
			w[i] = x
			each(hostile{fmt.Sprintf("capture, word %d %q: %.20q", i, words[i], x), whole(join(w))})
		}
	}
}

// TestHostileFiles examines them: by default some of each kind, evenly spread, four times as
// many in the long form; all of them with RIGLOUPE_HOSTILE=1, which takes minutes.
func TestHostileFiles(t *testing.T) {
	glb := lamplighter.GLB(lamplighter.Options{Vertices: 300})
	base := apart(glb)
	kinds := []struct {
		name string
		make func(func(hostile))
		some int // one of so many
	}{
		{"json", func(each func(hostile)) { hostileJSON(base, each) }, 37},
		{"numbers", func(each func(hostile)) { hostileNumbers(base, each) }, 53},
		{"bytes", func(each func(hostile)) { hostileBytes(glb, each) }, 3},
		{"capture", hostileCapture, 7},
	}
	for _, k := range kinds {
		t.Run(k.name, func(t *testing.T) {
			step := 10 * k.some
			if rounds.Long() {
				step = k.some
			}
			if os.Getenv("RIGLOUPE_HOSTILE") != "" {
				step = 1
			}
			n, done := 0, 0
			k.make(func(h hostile) {
				if n++; n%step == 0 && !t.Failed() || os.Getenv("RIGLOUPE_HOSTILE") != "" {
					done++
					inTime(t, h, 600<<20)
				}
			})
			t.Logf("%d of %d files", done, n)
		})
	}
}
