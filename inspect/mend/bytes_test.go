package mend

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"maps"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"rigloupe/inspect/mend/mendtest"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rounds"
)

// parted is a GLB taken apart by hand, without the packages at test.
type parted struct {
	json  map[string]any
	views [][]byte
}

func takenApart(t *testing.T, glb []byte) (p parted) {
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

// tried does a row of mendtest, the one before it first.
func tried(t testing.TB, s *State, row *mendtest.Row) *Trial {
	t.Helper()
	if row.After != nil {
		x := tried(t, s, row.After)
		if x.After == nil {
			return x
		}
		s = x.After
	}
	return try(t, s, row.Mend, row.Values)
}

// Every mend of the table on every real file, as it is and dressed, without weights, and
// without skeleton: all buffer views that the receipt does not name are byte-equal, all JSON
// outside its pointers is deep-equal, and no planted member is lost where its object stays.
// Files are compared by a reader of this test's own. Whatever cannot be done is refused in
// words, and each mend is done on some file.
func TestBytesKept(t *testing.T) {
	names, _ := filepath.Glob(corpus + "/*.gl*")
	if len(names) == 0 {
		t.Skip("no folder of real models beside the repository")
	}
	done, refused, k := map[string]int{}, 0, 0
	for _, name := range names {
		t.Run(filepath.Base(name), func(t *testing.T) {
			plain := corpusState(t, filepath.Base(name)).Doc
			was := map[string]bool{}
			for _, form := range mendtest.Forms {
				d, err := form.Of(plain)
				if err != nil {
					t.Fatal(err)
				}
				s, err := Open(d)
				if err != nil {
					t.Fatal(err)
				}
				s.Beside(s)
				for _, row := range mendtest.Rows(s.Rig) {
					if k++; !form.Asks(&row, was[row.Name]) || !rounds.Run(k, 19) {
						continue
					}
					if len(s.Rig.Clips) > 50 && k%4 != 0 { // a minute by itself; everymend.test.js does all of it
						continue
					}
					x := tried(t, s, &row)
					if x.After == nil {
						refused++
						if why := x.Refused(); len(why) < 20 || !strings.HasSuffix(why, ".") {
							t.Errorf("%s %s: refused without words: %q", form.Name, row.Name, why)
						}
						continue
					}
					was[row.Name] = true
					done[row.Mend]++
					bytesKept(t, form.Name+" "+row.Name, x.Before, x.After)
				}
			}
		})
	}
	for _, m := range Table() {
		if done[m.ID] == 0 && rounds.Long() {
			t.Errorf("%s is done on no file", m.ID)
		}
	}
	t.Logf("done %v, %d refused in words", done, refused)
}

// The proofs that walk mendtest's table leave no mend out.
func TestRowsHaveEveryMend(t *testing.T) {
	rows := mendtest.Rows(coarse())
	for _, m := range Table() {
		if !slices.ContainsFunc(rows, func(r mendtest.Row) bool { return r.Mend == m.ID && r.After == nil }) {
			t.Errorf("%s has no row in mendtest", m.ID)
		}
	}
	for _, r := range rows {
		if m, err := Named(r.Mend); err != nil {
			t.Error(err)
		} else if _, err := m.Complete(r.Values); err != nil {
			t.Errorf("%s: %v", r.Name, err)
		}
	}
}

// bytesKept holds what a receipt says of bytes and JSON against the two files.
func bytesKept(t *testing.T, name string, was, is *State) {
	t.Helper()
	c := original.Changes(was.Doc, is.Doc)
	a, b := takenApart(t, was.Bytes), takenApart(t, is.Bytes)
	if len(b.views) < len(a.views) {
		return // a sweep: what each list holds is asked by TestSweepCorpus
	}
	touched := 0
	for i := range a.views {
		if !slices.Contains(c.Rewritten, i) && !bytes.Equal(a.views[i], b.views[i]) {
			t.Errorf("%s: view %d is not as it was, and the receipt does not name it", name, i)
		} else if !bytes.Equal(a.views[i], b.views[i]) {
			touched++
		}
	}
	if touched != len(c.Rewritten) || c.Untouched+len(c.Rewritten) != len(a.views) || c.Added != len(b.views)-len(a.views) {
		t.Errorf("%s: %+v, %d views differ", name, c, touched)
	}
	if !reflect.DeepEqual(without(maps.Clone(a.json), c.Pointers), without(maps.Clone(b.json), c.Pointers)) {
		t.Errorf("%s: JSON outside %v has changed", name, c.Pointers)
	}
	a, b = takenApart(t, was.Bytes), takenApart(t, is.Bytes) // without changed the trees
	for _, p := range c.Pointers {
		if shorter(a.json, b.json, p) {
			continue // things were taken out: others stand in their places
		}
		if strings.HasSuffix(p, "/zz") || strings.HasSuffix(p, "/extras") || strings.Contains(p, "ZZ_unknown") {
			t.Errorf("%s: %s has changed", name, p)
		}
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
