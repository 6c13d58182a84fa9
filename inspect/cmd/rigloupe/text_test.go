package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"rigloupe/inspect/lamplighter"
)

// raw is all that no text of a stranger may bring to a terminal: control characters
// (ECMA-48), the letters that turn the writing round (UAX 9), line separators.
var raw = regexp.MustCompile("[\x00-\x09\x0b-\x1f\x7f-\u009f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\u2028\u2029]")

const evil = "x\x1b[2J\x1b]0;y\x07\r\n^ 1  forged\u202egnorw\u2066\u009b31m\u2028\x7f"

// Names, generators and paths full of such letters reach neither output raw, whatever
// the command; documents hold them whole.
func TestNothingRawReachesTheTerminal(t *testing.T) {
	dir := t.TempDir()
	r := lamplighter.Build(small)
	for i := range r.Nodes {
		r.Nodes[i].Name += evil
	}
	for i := range r.Clips {
		r.Clips[i].Name = evil
	}
	for i := range r.Meshes {
		r.Meshes[i].Name = evil
	}
	r.File.Generator = evil
	name := strings.NewReplacer("\x00", "", "/", "").Replace(evil) + ".glb"
	if err := os.WriteFile(filepath.Join(dir, name), lamplighter.Write(r), 0o644); err != nil {
		t.Skip(err)
	}
	os.WriteFile(filepath.Join(dir, evil+".bvh"), []byte("HIERARCHY\nROOT "+"a\x1b[2Jb\n{\nOFFSET 0 0 \n}"), 0o644)
	for _, args := range [][]string{
		{"examine", name}, {"examine", "--json", name}, {"examine", evil}, {"examine", evil + ".bvh"}, {"examine", "--json", evil + ".bvh"},
		{"lineup", name, "sample", evil + ".bvh"}, {"lineup", "--json", name, evil}, {"bends", name}, {"clip", name, "--clip", "0"}, {"match", name, "sample"},
		{"carry", name, "sample", "--clip", "0"}, {"carry", name, "sample", "--clip", evil + evil}, {"carry", name, "sample", "--clip", "0", "--out", evil + "o.glb"},
		{"pose", name, "--clip", evil, "--at", "0", "--out", evil + ".f32"}, {"picture", name, "--joint", evil, "--out", "p.png"}, {"probe", name, "--vertex", "34:0:0"},
		{evil}, {"examine", "--" + evil}, {"examine", "--only", evil, name}, {"examine", name, "--limits", evil},
	} {
		_, out, errs := call(t, dir, args...)
		for what, text := range map[string]string{"output": out, "errors": errs} {
			if at := raw.FindStringIndex(text); at != nil {
				t.Errorf("%q: %s holds %q", args, what, text[max(0, at[0]-40):min(len(text), at[1]+10)])
			}
			for l := range strings.Lines(text) {
				if strings.HasPrefix(l, "^ 1  forged") {
					t.Errorf("%q: a name begins a line of its own", args)
				}
			}
		}
		if len(args) > 1 && args[1] == "--json" {
			var doc struct{ File any }
			for l := range strings.Lines(out) {
				if err := json.Unmarshal([]byte(l), &doc); err != nil {
					t.Errorf("%q: %v", args, err)
				}
			}
			if f, ok := doc.File.(map[string]any); ok && args[2] == name && f["name"] != name {
				t.Errorf("the document says %q", f["name"])
			}
		}
	}
}

// A letter that two writes cut in two is one letter.
func TestTameAcrossWrites(t *testing.T) {
	var b bytes.Buffer
	w := &tame{w: &b}
	for _, c := range []byte("ä\u202e■\n\xff!") {
		w.Write([]byte{c})
	}
	if got, want := b.String(), "ä\\u202e■\n\uFFFD!"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
