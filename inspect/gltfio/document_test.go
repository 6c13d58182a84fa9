package gltfio

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"os"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"github.com/qmuntal/gltf"
)

// byLibrary decodes the JSON text with the library alone and brings both
// documents to the same form: data URIs are bytes here, strings there.
func byLibrary(text []byte) (*gltf.Document, error) {
	doc := new(gltf.Document)
	err := json.NewDecoder(bytes.NewReader(text)).Decode(doc)
	if err != nil {
		return nil, err
	}
	for _, b := range doc.Buffers {
		if b != nil && isData([]byte(b.URI)) {
			b.URI = ""
		}
	}
	for _, m := range doc.Images {
		if m != nil && isData([]byte(m.URI)) {
			m.URI = ""
		}
	}
	return doc, nil
}

func sameDocument(t testing.TB, text []byte) {
	t.Helper()
	want, err := byLibrary(text)
	if err != nil {
		t.Fatal(err)
	}
	got, _, bad := decode(text, 1<<40)
	if bad != nil {
		t.Fatalf("the library reads it, we say at byte %d: %s", bad.at, bad.what)
	}
	a, b := reflect.ValueOf(&got.Document).Elem(), reflect.ValueOf(want).Elem()
	for i := range a.NumField() {
		x, y := a.Field(i), b.Field(i)
		if x.Kind() == reflect.Slice && x.Len() == 0 && y.Len() == 0 {
			continue
		}
		if !reflect.DeepEqual(x.Interface(), y.Interface()) {
			name := a.Type().Field(i).Name
			if x.Kind() == reflect.Slice {
				for k := range min(x.Len(), y.Len()) {
					if !reflect.DeepEqual(x.Index(k).Interface(), y.Index(k).Interface()) {
						p, _ := json.Marshal(x.Index(k).Interface())
						q, _ := json.Marshal(y.Index(k).Interface())
						t.Fatalf("%s %d:\n%s\nlibrary:\n%s", name, k, p, q)
					}
				}
			}
			t.Fatalf("%s differ: %d, the library has %d", name, x.Len(), y.Len())
		}
	}
}

// The lean decoding must give what the library's gives, member for member.
func TestSameAsLibrary(t *testing.T) {
	texts := map[string][]byte{"figure": figure().json()}
	if raw, err := os.ReadFile("testdata/simpleskin.gltf"); err == nil {
		texts["simpleskin.gltf"] = raw
	} else {
		t.Error(err)
	}
	d := figure()
	d.doc["extras"] = object{"a": array{1, nil, "x"}}
	d.put("nodes/1/extras", object{"b": 1.5})
	d.put("nodes/1/scale", array{0, 0, 0})
	d.put("nodes/2/extensions", object{"EXT_something": object{"deep": array{object{}}}})
	d.put("nodes/2/camera", 0)
	d.put("nodes/2/skin", nil)
	d.doc["cameras"] = array{object{"perspective": object{"yfov": 1, "znear": .1}, "name": "c"}}
	d.put("accessors/0/extras", "text \"quoted\" \u00e9 \U0001F9B4")
	d.put("accessors/0/name", "né\"\\/\b")
	d.put("accessors/1/min", array{-1.5e-7, 12345678901234567890.0, 0.1})
	sparse(0, 1, 2)(d)
	d.put("animations/0/samplers/0/interpolation", "CUBICSPLINE")
	d.put("animations/0/extras", object{})
	d.put("meshes/0/primitives/0/mode", 5)
	d.put("materials/0/alphaMode", "MASK")
	texts["decorated"] = d.json()
	indented := new(bytes.Buffer)
	if err := json.Indent(indented, d.json(), "\r\n", "\t "); err != nil {
		t.Fatal(err)
	}
	texts["indented"] = indented.Bytes()
	for name, text := range texts {
		t.Run(name, func(t *testing.T) { sameDocument(t, text) })
	}
	t.Run("corpus", func(t *testing.T) {
		for _, path := range corpusModels(t) {
			raw, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			c, err := unpack(path, raw)
			if err != nil {
				t.Fatal(err)
			}
			sameDocument(t, c.json)
		}
	})
}

func TestNumbers(t *testing.T) {
	for _, s := range []string{"0", "-0", "1", "12", "-7.25", "0.1", "1e3", "1E-7", "-1.5e+10", "0.9238795042037964", "123456789012345",
		"1234567890123456", "12345678901234567", "3.4028234663852886e38", "1e-400", "0.30000000000000004", "5e-324", "179769313486231570000"} {
		var want float64
		if err := json.Unmarshal([]byte(s), &want); err != nil {
			t.Fatal(err)
		}
		for _, after := range []string{",", "]", " ", ""} {
			c := &cursor{b: []byte(s + after)}
			if got := c.float(); c.err != nil || got != want || c.i != len(s) {
				t.Errorf("%q: got %g, %v, want %g", s+after, got, c.err, want)
			}
		}
	}
	n := rand.New(rand.NewPCG(1, 2))
	for range 100_000 { // numbers of every length around the limit of the short way
		s := strconv.FormatInt(n.Int64N(1<<62)>>n.IntN(62), 10)
		point := n.IntN(len(s) + 1)
		s = s[:point] + "." + s[point:]
		if point == 0 {
			s = "0" + s
		}
		if strings.HasSuffix(s, ".") {
			s += "0"
		}
		if s[0] == '0' && s[1] != '.' {
			continue
		}
		want, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		if c := (&cursor{b: []byte(s + "]")}); c.float() != want || c.err != nil {
			c.i = 0
			t.Fatalf("%s: got %v, %v", s, c.float(), c.err)
		}
	}
	for _, s := range []string{"", "-", "01", "-01.5", "1.", ".5", "1e", "1e+", "+1", "0x10", "NaN", "Infinity", "00", "1..2", "--1", "0.", "1_000"} {
		c := &cursor{b: []byte(s + ",")}
		if c.float(); c.err == nil && c.peek() == ',' {
			t.Errorf("%q passes as a number", s)
		}
		c = &cursor{b: []byte(s + ",")}
		if c.whole(); c.err == nil && c.peek() == ',' {
			t.Errorf("%q passes as a whole number", s)
		}
	}
	for s, want := range map[string]int{"0": 0, "7": 7, "-7": -7, "3.0": 3, "1e3": 1000, "9007199254740992": largestWhole} {
		c := &cursor{b: []byte(s + "]")}
		if got := c.whole(); c.err != nil || got != want {
			t.Errorf("%q: got %d, %v", s, got, c.err)
		}
	}
	for _, s := range []string{"1.5", "1e300", "9007199254740994", "99999999999999999999", "-1e99"} {
		c := &cursor{b: []byte(s + "]")}
		if c.whole(); c.err == nil {
			t.Errorf("%q passes as a whole number", s)
		}
	}
}

// BenchmarkDecode shows what the lean decoding is worth.
func BenchmarkDecode(b *testing.B) {
	raw, err := os.ReadFile(corpus + "/models/Knight.glb")
	name := "Knight"
	if err != nil {
		raw, name = manyClips(60, 40, 8).glb(), "made"
	}
	c, err := unpack("", raw)
	if err != nil {
		b.Fatal(err)
	}
	b.Run(name+"/lean", func(b *testing.B) {
		b.SetBytes(int64(len(c.json)))
		for b.Loop() {
			if _, _, bad := decode(c.json, 1<<40); bad != nil {
				b.Fatal(bad)
			}
		}
	})
	b.Run(name+"/library", func(b *testing.B) {
		b.SetBytes(int64(len(c.json)))
		for b.Loop() {
			if _, err := byLibrary(c.json); err != nil {
				b.Fatal(err)
			}
		}
	})
}
