package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/wasm/bridge"
)

// TestQuestions: a kind stands once in the table, and no two kinds that take something
// share a struct but where they take the same.
func TestQuestions(t *testing.T) {
	seen := map[string]bool{}
	for _, q := range questions() {
		if seen[q.kind] || q.answer == nil || q.ask.Kind() != reflect.Struct || q.ends == nil {
			t.Errorf("%q: twice, or not whole", q.kind)
		}
		seen[q.kind] = true
		if q.ask.NumField() > 0 && !strings.EqualFold(q.ask.Name(), "Ask"+q.kind) {
			t.Errorf("%q is asked with %s", q.kind, q.ask.Name())
		}
	}
}

// TestNothingOpen: what is about the open figure is refused without one, and every ask
// ends, also one that the page stops.
func TestNothingOpen(t *testing.T) {
	p := newPage()
	for _, q := range questions() {
		if q.figure {
			p.ask(context.Background(), asked{ID: 3, Kind: q.kind}, nil)
			if r := last[bridge.Refused](t, p); r.ID != 3 || r.Text != errNothingOpen.Error() {
				t.Errorf("%s: %+v", q.kind, r)
			}
		}
	}
	p.ask(context.Background(), small, nil)
	p.ask(context.Background(), asked{ID: 4, Kind: "second"}, captured())
	stopped, stop := context.WithCancel(context.Background())
	stop()
	for _, a := range []asked{{ID: 5, Kind: "carry"}, {ID: 6, Kind: "second"}, {ID: 7, Kind: "row"}, {ID: 8, Kind: "paint"}} {
		files := captured()
		if a.Kind == "paint" {
			files = []gltfio.File{{Name: "1"}}
		}
		p.told = nil
		p.ask(stopped, a, files)
		if d, is := p.told[len(p.told)-1].(bridge.Done); !is || !d.Stopped {
			t.Errorf("%s, stopped, ends with %+v", a.Kind, p.told[len(p.told)-1])
		}
	}
}

// TestBothDriversAnswerAlike: the same question through the examiner of the page and
// through the command line gives the same bytes.
func TestBothDriversAnswerAlike(t *testing.T) {
	dir := t.TempDir()
	cli := program(t)
	run := func(args ...string) string {
		t.Helper()
		c := exec.Command(cli, args...)
		c.Dir = dir
		var out, errs bytes.Buffer
		c.Stdout, c.Stderr = &out, &errs
		if err := c.Run(); err != nil && c.ProcessState.ExitCode() != 1 { // 1: a stop was found
			t.Fatalf("%v: %v: %s", args, err, errs.String())
		}
		return out.String()
	}
	put := func(name string, data []byte) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	file := func(name string) []byte {
		t.Helper()
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	p := newPage()
	ctx := context.Background()
	text := func(a asked, files ...gltfio.File) string {
		t.Helper()
		p.ask(ctx, a, files)
		if r, is := p.told[len(p.told)-1].(bridge.Refused); is {
			t.Fatalf("%+v: %s", a, r.Text)
		}
		return last[bridge.Document](t, p).JSON
	}
	same := func(what, page, terminal string) {
		t.Helper()
		if page != terminal || len(page) < 20 {
			i := 0
			for i < len(page) && i < len(terminal) && page[i] == terminal[i] {
				i++
			}
			t.Errorf("%s: the page says %d bytes, the terminal %d; they part at %d: %.80q, %.80q", what, len(page), len(terminal), i, page[max(0, i-20):], terminal[max(0, i-20):])
		}
	}

	p.ask(ctx, asked{ID: 1, Kind: "sample", Pose: "A", Names: "snake", Size: 6000}, nil)
	own := bytes.Clone(p.parcels["file"])
	run("sample", "--out", "lamp.glb", "--pose", "A", "--names", "snake", "--vertices", "6000")
	same("the sample's file", string(own), string(file("lamp.glb")))
	put("walk.bvh", []byte(capture))
	put("limits.json", []byte(`{"surface/shells": {"shells": 9}}`))
	put("pins.csv", []byte("source,target\nSpine,chest\n"))

	lamp := func() gltfio.File { return gltfio.File{Name: "lamp.glb", Data: bytes.Clone(own)} }
	same("an examination", text(asked{Kind: "examine"}, lamp()), run("examine", "--json", "lamp.glb"))
	same("judged again", text(asked{Kind: "judge", Limits: string(file("limits.json"))}), run("examine", "--json", "--limits", "limits.json", "lamp.glb"))
	same("a capture", text(asked{Kind: "examine"}, gltfio.File{Name: "walk.bvh", Data: []byte(capture)}), run("examine", "--json", "walk.bvh"))
	text(asked{Kind: "examine"}, lamp())
	same("the catalogue", text(asked{Kind: "catalogue"}), run("checks", "--json"))
	run("examine", "--joints-csv", "joints.csv", "lamp.glb")
	same("the joints", text(asked{Kind: "joints"}), string(file("joints.csv")))
	zero, one := 0, 1
	same("a clip", text(asked{Kind: "rows", Clip: &one, Columns: 40}), run("clip", "--json", "--clip", "1", "--columns", "40", "lamp.glb"))
	run("examine", "lamp.glb", "--report", "r.html", "--date", "24 December 2026", "--fail-on", "never")
	p.ask(ctx, asked{Kind: "report", Date: "24 December 2026"}, []gltfio.File{lamp()})
	same("a report", string(p.parcels["reported"]), string(file("r.html")))
	was := run("examine", "--json", "lamp.glb")
	put("old.json", []byte(was))
	run("sample", "--out", "newer.glb", "--pose", "A", "--names", "snake", "--vertices", "6000", "--fault", "binding/stray-island")
	text(asked{Kind: "examine"}, gltfio.File{Name: "newer.glb", Data: file("newer.glb")})
	same("what changed since", text(asked{Kind: "compare", Before: was}), run("compare", "--json", "old.json", "newer.glb"))
	p.ask(ctx, asked{Kind: "compare", Before: "{}"}, nil)
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, "older examination") {
		t.Errorf("%+v", r)
	}
	text(asked{Kind: "examine"}, lamp())
	node := -1
	for i := range p.result.Exam.Rig.Nodes {
		if p.result.Exam.Rig.Nodes[i].Name == "left_chain_1" {
			node = i
		}
	}
	same("curves", text(asked{Kind: "curves", Clip: &zero, Joint: &node}), run("clip", "--json", "--joint", "left_chain_1", "lamp.glb"))

	p.ask(ctx, asked{Kind: "second"}, captured())
	same("a match", text(asked{Kind: "match"}), run("match", "--json", "walk.bvh", "lamp.glb"))
	same("a match around pins", text(asked{Kind: "match", Pins: string(file("pins.csv")), Format: "csv"}), run("match", "--csv", "--pins", "pins.csv", "walk.bvh", "lamp.glb"))
	same("what was carried over", text(asked{Kind: "carry", Clips: "[0]", Rename: "captured"}), run("carry", "--json", "--name", "captured", "--out", "out.glb", "walk.bvh", "lamp.glb"))
	p.ask(ctx, asked{Kind: "save", Format: "glb"}, []gltfio.File{lamp()})
	same("a saved model", string(p.parcels["saved"]), string(file("out.glb")))
	run("carry", "--name", "captured", "--out", "out.bvh", "walk.bvh", "lamp.glb")
	p.ask(ctx, asked{Kind: "save", Format: "bvh"}, nil)
	same("a saved movement", string(p.parcels["saved"]), string(file("out.bvh")))

	rows := text(asked{Kind: "row", Name: "lamp.glb"}, lamp()) + "," + text(asked{Kind: "row", Name: "walk.bvh"}, gltfio.File{Name: "walk.bvh", Data: []byte(capture)})
	p.ask(ctx, asked{Kind: "lineup", Rows: "[" + rows + "]"}, nil)
	run("lineup", "--csv", "table.csv", "lamp.glb", "walk.bvh")
	table := last[bridge.Lineup](t, p)
	same("a line-up", table.JSON, run("lineup", "--json", "lamp.glb", "walk.bvh"))
	same("its table", table.CSV, string(file("table.csv")))
}
