package mend

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"maps"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/original"
)

// parted is a GLB taken apart by hand, without the packages at test.
type parted struct {
	json  map[string]any
	views [][]byte
}

func part(t *testing.T, glb []byte) (p parted) {
	t.Helper()
	n := int(binary.LittleEndian.Uint32(glb[12:]))
	if err := json.Unmarshal(glb[20:20+n], &p.json); err != nil {
		t.Fatal(err)
	}
	var bin []byte
	if len(glb) > 28+n {
		bin = glb[28+n:]
	}
	list, _ := p.json["bufferViews"].([]any)
	buffers, _ := p.json["buffers"].([]any)
	for _, v := range list {
		v := v.(map[string]any)
		num := func(k string) int { f, _ := v[k].(float64); return int(f) }
		data := bin
		if uri, ok := buffers[num("buffer")].(map[string]any)["uri"].(string); ok {
			data, _ = base64.StdEncoding.DecodeString(uri[strings.Index(uri, ",")+1:])
		}
		p.views = append(p.views, data[num("byteOffset"):num("byteOffset")+num("byteLength")])
	}
	return p
}

// without takes out of a JSON tree what pointers name.
func without(root any, pointers []string) any {
	for _, p := range slices.Backward(slices.Sorted(slices.Values(pointers))) {
		steps := strings.Split(p, "/")[1:]
		v := root
		for i, s := range steps {
			s = strings.ReplaceAll(strings.ReplaceAll(s, "~1", "/"), "~0", "~")
			last := i == len(steps)-1
			switch x := v.(type) {
			case map[string]any:
				if last {
					delete(x, s)
				}
				v = x[s]
			case []any:
				n, _ := strconv.Atoi(s)
				if n >= len(x) {
					v = nil
				} else if last {
					x[n] = nil
				} else {
					v = x[n]
				}
			default:
				v = nil
			}
		}
	}
	return trimmed(root)
}

// trimmed drops the empty places that without leaves at the ends of lists, and lists and
// objects that hold nothing else.
func trimmed(v any) any {
	switch x := v.(type) {
	case map[string]any:
		for k := range x {
			if x[k] = trimmed(x[k]); x[k] == nil {
				delete(x, k)
			}
		}
		if len(x) == 0 {
			return nil
		}
		return x
	case []any:
		for i := range x {
			x[i] = trimmed(x[i])
		}
		for len(x) > 0 && x[len(x)-1] == nil {
			x = x[:len(x)-1]
		}
		if len(x) == 0 {
			return nil
		}
		return x
	}
	return v
}

// dressed is a document with an unknown extension, an unknown member and extras on every
// object but those of attributes.
func dressed(t *testing.T, d *original.Document) *original.Document {
	t.Helper()
	n := 0
	var dress func(v *original.Value, named bool)
	dress = func(v *original.Value, named bool) {
		for i := range v.Len() {
			dress(v.At(i), true)
		}
		if !v.IsObject() {
			return
		}
		for _, k := range v.Keys() {
			switch k {
			case "attributes", "targets", "extensions", "extras", "pbrMetallicRoughness", "sparse":
			default:
				dress(v.Get(k), k == "target" || k == "asset")
			}
		}
		if !named {
			return
		}
		n++
		v.Set("zz", original.Parse(fmt.Appendf(nil, `{"b": 1.50e0,"a":[%d,"\u00fc"]}`, n)))
		if v.Get("extras") == nil {
			v.Set("extras", original.Parse(fmt.Appendf(nil, `{"kept":  %d}`, n)))
		}
		if v.Get("extensions") == nil {
			v.Set("extensions", original.Parse(fmt.Appendf(nil, `{"ZZ_unknown":{"at":%d}}`, n)))
		}
	}
	dress(d.Root, true)
	b, err := d.GLB()
	if err != nil {
		t.Fatal(err)
	}
	out, err := original.Open([]gltfio.File{{Name: d.Name, Data: b}})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Every mend of the table on every real file, plain and dressed: all buffer views that the
// receipt does not name are byte-equal, all JSON outside its pointers is deep-equal, and no
// planted member is lost where its object stays. Files are compared by a reader of this
// test's own.
func TestBytesKept(t *testing.T) {
	names, _ := filepath.Glob(corpus + "/*.gl*")
	if len(names) == 0 {
		t.Skip("no folder of real models beside the repository")
	}
	values := map[string][]Values{"scale": {nil, {"factor": .5, "ground": true}}, "weld": {nil, {"distance": 1e-4, "unused": true}}}
	for _, name := range names {
		t.Run(filepath.Base(name), func(t *testing.T) {
			plain := corpusState(t, filepath.Base(name))
			full, err := Open(dressed(t, plain.Doc.Clone()))
			if err != nil {
				t.Fatal(err)
			}
			for _, s := range []*State{plain, full} {
				for _, m := range Table() {
					list := values[m.ID]
					if list == nil {
						list = []Values{nil}
					}
					for _, v := range list {
						x, err := s.Try(t.Context(), m, v)
						if err != nil {
							t.Errorf("%s %v: %v", m.ID, v, err)
							continue
						}
						if x.After == nil {
							t.Logf("%s %v: %s", m.ID, v, x.Refused())
							continue
						}
						c := original.Changes(s.Doc, x.After.Doc)
						a, b := part(t, s.Bytes), part(t, x.After.Bytes)
						touched := 0
						for i := range a.views {
							if !slices.Contains(c.Rewritten, i) && !bytes.Equal(a.views[i], b.views[i]) {
								t.Errorf("%s %v: view %d is not as it was, and the receipt does not name it", m.ID, v, i)
							} else if !bytes.Equal(a.views[i], b.views[i]) {
								touched++
							}
						}
						if touched != len(c.Rewritten) || c.Untouched+len(c.Rewritten) != len(a.views) || c.Added != len(b.views)-len(a.views) {
							t.Errorf("%s %v: %+v, %d views differ", m.ID, v, c, touched)
						}
						before, after := a.json, b.json
						if !reflect.DeepEqual(without(maps.Clone(before), c.Pointers), without(maps.Clone(after), c.Pointers)) {
							t.Errorf("%s %v: JSON outside %v has changed", m.ID, v, c.Pointers)
						}
						a, b = part(t, s.Bytes), part(t, x.After.Bytes) // without changed the trees
						for _, p := range c.Pointers {
							if shorter(a.json, b.json, p) {
								continue // things were taken out: others stand in their places
							}
							if strings.HasSuffix(p, "/zz") || strings.HasSuffix(p, "/extras") || strings.Contains(p, "ZZ_unknown") {
								t.Errorf("%s %v: %s has changed", m.ID, v, p)
							}
						}
					}
				}
			}
		})
	}
}

// shorter tells that a list on the way of a pointer lost items.
func shorter(was, is any, pointer string) bool {
	for _, s := range strings.Split(pointer, "/")[1:] {
		s = strings.ReplaceAll(strings.ReplaceAll(s, "~1", "/"), "~0", "~")
		switch x := was.(type) {
		case map[string]any:
			y, _ := is.(map[string]any)
			was, is = x[s], y[s]
		case []any:
			y, _ := is.([]any)
			if len(y) < len(x) {
				return true
			}
			n, _ := strconv.Atoi(s)
			if n >= len(x) {
				return false
			}
			was, is = x[n], y[n]
		}
	}
	return false
}
