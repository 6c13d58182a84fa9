package main

import (
	"bytes"
	"context"
	"encoding/json"
	"image/color"
	"image/png"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/lineup"
	"rigloupe/wasm/bridge"
)

// TestLineup: rows made a model a time, each by an examiner of its own, join to
// the bytes that the command line writes for the same files.
func TestLineup(t *testing.T) {
	models := map[string][]byte{}
	for _, id := range []string{"", "surface/lopsided", "intake/nothing-bound"} {
		r := lamplighter.Build(lamplighter.Options{Vertices: 4000})
		if i := slices.IndexFunc(lamplighter.Faults(), func(f lamplighter.Fault) bool { return f.ID == id }); i >= 0 {
			r, _ = lamplighter.Faults()[i].On(r)
		}
		models[strings.ReplaceAll(id, "/", "-")+".glb"] = lamplighter.Write(r)
	}
	var texts []string
	var rows []lineup.Row
	names := []string{"surface-lopsided.glb", ".glb", "intake-nothing-bound.glb"}
	for _, name := range names {
		p := newPage()
		p.ask(context.Background(), asked{ID: 1, Kind: "row", Name: name}, []gltfio.File{{Name: name, Data: bytes.Clone(models[name])}})
		if got := p.kinds(); got != "row" {
			t.Fatalf("told %q", got)
		}
		if p.breaths == 0 {
			t.Error("no request to stop could have come in")
		}
		texts = append(texts, last[bridge.Document](t, p).JSON)
		r, err := gltfio.Read([]gltfio.File{{Name: name, Data: models[name]}}, gltfio.Options{})
		if err != nil {
			t.Fatal(err)
		}
		res, err := inspect.Examine(context.Background(), r, inspect.Options{})
		if err != nil {
			t.Fatal(err)
		}
		rows = append(rows, lineup.Of(name, res))
	}
	var want, csv bytes.Buffer
	table := lineup.New(rows)
	if err := table.WriteJSON(&want); err != nil {
		t.Fatal(err)
	}
	if err := table.WriteCSV(&csv); err != nil {
		t.Fatal(err)
	}
	p := newPage()
	p.ask(context.Background(), asked{ID: 2, Kind: "lineup", Rows: "[" + strings.Join(texts, ",") + "]"}, nil)
	got := last[bridge.Lineup](t, p)
	if got.ID != 2 || got.JSON != want.String() || got.CSV != csv.String() {
		t.Errorf("the page's table is another:\n%s\n%s", got.JSON, want.String())
	}
	var doc struct{ Rows []struct{ File string } }
	if err := json.Unmarshal([]byte(got.JSON), &doc); err != nil || len(doc.Rows) != 3 {
		t.Fatal(err)
	}
	for i, from := range got.From {
		if names[from] != doc.Rows[i].File {
			t.Errorf("row %d is %s, said to be %s", i, doc.Rows[i].File, names[from])
		}
	}
}

// TestRowOfTheOpenFigure: its row is that of its own examination, no second one.
func TestRowOfTheOpenFigure(t *testing.T) {
	p := newPage()
	p.ask(context.Background(), asked{ID: 1, Kind: "row", Name: "x.glb"}, nil)
	if got := last[bridge.Refused](t, p); !strings.Contains(got.Text, "open a file first") {
		t.Errorf("%+v", got)
	}
	p.ask(context.Background(), small, nil)
	p.told = nil
	p.ask(context.Background(), asked{ID: 9, Kind: "row", Name: "x.glb"}, nil)
	if got := last[bridge.Document](t, p); got.Kind != "row" || !strings.Contains(got.JSON, `"path":"x.glb"`) || len(p.told) != 1 {
		t.Errorf("%s, %d messages", got.Kind, len(p.told))
	}
	p.ask(context.Background(), asked{ID: 10, Kind: "lineup", Rows: "no"}, nil)
	if got := last[bridge.Refused](t, p); !strings.Contains(got.Text, "line-up") {
		t.Errorf("%+v", got)
	}
}

// Stopped within a row, no row comes: half a row would be placed beside whole ones.
func TestRowStopped(t *testing.T) {
	p := newPage()
	ctx, cancel := context.WithCancel(context.Background())
	tell := p.tell
	p.tell = func(m any, parcel []byte, end bool) {
		if m, ok := m.(bridge.Progress); ok && m.Station == "surface" {
			cancel()
		}
		tell(m, parcel, end)
	}
	data := lamplighter.GLB(lamplighter.Options{Vertices: 4000})
	p.ask(ctx, asked{ID: 1, Kind: "row", Name: "x.glb"}, []gltfio.File{{Name: "x.glb", Data: data}})
	if got := p.kinds(); got != "done" || !last[bridge.Done](t, p).Stopped {
		t.Errorf("told %q", got)
	}
}

// TestPortraits: before its row come the figure's pictures by day and by night, of the size
// asked for and not alike; of motion capture, which has no surface, none come, nor where none
// were asked for.
func TestPortraits(t *testing.T) {
	lamp := func() []gltfio.File {
		return []gltfio.File{{Name: "lamp.glb", Data: lamplighter.GLB(lamplighter.Options{Vertices: 6000})}}
	} // the examiner lets go of their bytes
	shots := func(a asked, files []gltfio.File) (list [][]byte) {
		t.Helper()
		p := newPage()
		a.ID, a.Kind, a.Name = 1, "row", files[0].Name
		tell := p.tell
		p.tell = func(m any, bytes []byte, end bool) {
			if q, ok := m.(bridge.Parcel); ok && q.Kind == "portrait" {
				list = append(list, bytes)
			}
			tell(m, bytes, end)
		}
		p.ask(context.Background(), a, files)
		if r, refused := p.told[len(p.told)-1].(bridge.Refused); refused {
			t.Fatalf("%+v", r)
		}
		return list
	}
	two := shots(asked{Width: 104, Height: 128}, lamp())
	if len(two) != 2 || bytes.Equal(two[0], two[1]) {
		t.Fatalf("%d pictures", len(two))
	}
	for _, data := range two {
		img, err := png.Decode(bytes.NewReader(data))
		if err != nil || img.Bounds().Dx() != 104 || img.Bounds().Dy() != 128 {
			t.Fatal(err)
		}
		// The figure is there: not one colour, and none of it at the rim.
		inks := map[color.Color]bool{}
		for y := range 128 {
			for x := range 104 {
				inks[img.At(x, y)] = true
			}
		}
		if len(inks) < 20 {
			t.Errorf("%d inks", len(inks))
		}
	}
	if n := len(shots(asked{}, lamp())); n != 0 {
		t.Errorf("%d pictures that nobody asked for", n)
	}
	if n := len(shots(asked{Width: 104, Height: 128}, captured())); n != 0 {
		t.Errorf("%d pictures of what has no surface", n)
	}
}
