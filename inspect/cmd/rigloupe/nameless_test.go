package main

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rigloupe/inspect/lamplighter"
)

// nameless is the sample without the name of anything, and with a clip.
func nameless(t *testing.T, dir string) string {
	t.Helper()
	r := lamplighter.Build(lamplighter.Options{Vertices: 4000, Sway: true})
	for i := range r.Nodes {
		r.Nodes[i].Name = ""
	}
	for i := range r.Clips {
		r.Clips[i].Name = ""
	}
	for i := range r.Meshes {
		r.Meshes[i].Name = ""
	}
	for i := range r.Materials {
		r.Materials[i].Name = ""
	}
	for i := range r.Skins {
		r.Skins[i].Name = ""
	}
	out := filepath.Join(dir, "nameless.glb")
	if err := os.WriteFile(out, lamplighter.Write(r), 0o644); err != nil {
		t.Fatal(err)
	}
	return out
}

// A name that is not there is null in every document, never a name of no letters.
func TestNoNameIsNull(t *testing.T) {
	file := nameless(t, t.TempDir())
	nulls := 0
	for _, args := range [][]string{
		{"examine", file}, {"match", "sample", file}, {"match", file, "sample"}, {"carry", file, "sample", "--clip", "0"}, {"carry", "sample", file, "--clip", "all"},
		{"bends", file}, {"clip", file, "--clip", "0"}, {"lineup", file}, {"road", file}, {"compare", file, "sample"}, {"probe", file, "--vertex", "0:0:0"},
	} {
		var out bytes.Buffer
		run(append(args, "--json"), nil, &out, io.Discard)
		var doc any
		if err := json.Unmarshal(out.Bytes(), &doc); err != nil {
			if args[0] != "probe" { // the node of the surface is another in another build
				t.Errorf("%v: %v", args, err)
			}
			continue
		}
		var walk func(v any, path string)
		walk = func(v any, path string) {
			switch v := v.(type) {
			case map[string]any:
				for k, x := range v {
					if k == "name" || strings.HasSuffix(k, "_name") {
						if x == "" {
							t.Errorf("%v: %s.%s is empty, not null", args, path, k)
						} else if x == nil {
							nulls++
						}
					}
					walk(x, path+"."+k)
				}
			case []any:
				for _, x := range v {
					walk(x, path+"[]")
				}
			}
		}
		walk(doc, "")
	}
	if nulls < 100 {
		t.Errorf("%d names are null", nulls)
	}
	// A table of pairs without names leads back to the same joints.
	table := filepath.Join(t.TempDir(), "pairs.json")
	var out bytes.Buffer
	if code := run([]string{"match", "sample", file, "--json"}, nil, &out, os.Stderr); code != exitDone {
		t.Fatal(code)
	}
	if err := os.WriteFile(table, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	var again bytes.Buffer
	if code := run([]string{"match", "sample", file, "--pins", table, "--json"}, nil, &again, os.Stderr); code != exitDone {
		t.Fatal(code)
	}
	pairs := func(b []byte) (list []string) {
		var d struct {
			Pairs []struct{ Source, Target struct{ Node int } }
		}
		if err := json.Unmarshal(b, &d); err != nil {
			t.Fatal(err)
		}
		for _, p := range d.Pairs {
			s, _ := json.Marshal(p)
			list = append(list, string(s))
		}
		return list
	}
	if a, b := pairs(out.Bytes()), pairs(again.Bytes()); len(a) < 10 || strings.Join(a, "\n") != strings.Join(b, "\n") {
		t.Errorf("%d pairs were saved, %d came back", len(a), len(b))
	}
}
