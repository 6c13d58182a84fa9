package main

import (
	"bytes"
	"context"
	"image/png"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/report"
	"rigloupe/inspect/rounds"
	"rigloupe/viewer/found"
	"rigloupe/viewer/plates"
	"rigloupe/wasm/bridge"
)

// reported asks for the report of what lies on the desk.
func (p *page) reported(t *testing.T, date string, files ...gltfio.File) []byte {
	t.Helper()
	p.told = nil
	p.ask(context.Background(), asked{Kind: "report", Date: date}, files)
	if r, is := p.told[len(p.told)-1].(bridge.Refused); is {
		t.Fatalf("refused: %s", r.Text)
	}
	return p.parcels["reported"]
}

// TestReport: its pictures are counted as they are drawn, the last of them as the last; a
// date stands there where one is given, moved limits do, and stopped it ends at once
// without any bytes.
func TestReport(t *testing.T) {
	data := faulty(t, "binding/stray-island")
	p := newPage()
	lamp := func() gltfio.File { return gltfio.File{Name: "lamp.glb", Data: bytes.Clone(data)} }
	p.ask(context.Background(), asked{Kind: "examine", Limits: `{"surface/shells": {"shells": 9}}`}, []gltfio.File{lamp()})
	sheet := p.reported(t, "24 December", lamp())
	if !bytes.Contains(sheet, []byte("24 December")) || !bytes.Contains(sheet, []byte("as delivered: more than")) {
		t.Error("the date or the moved limit is missing")
	}
	var last *bridge.Progress
	for _, m := range p.told {
		if m, is := m.(bridge.Progress); is {
			last = &m
		}
	}
	if n := 1 + len(p.result.Findings()); last == nil || last.Station != "report" || last.Done != n || last.Total != n {
		t.Errorf("the last progress is %+v", last)
	}
	if plain := p.reported(t, "", lamp()); bytes.Contains(plain, []byte("24 December")) {
		t.Error("a date that nobody gave")
	}
	for after := range 4 {
		if !rounds.Run(after, 4) {
			continue
		}
		ctx, stop := context.WithCancel(context.Background())
		tell := p.tell
		n := 0
		p.tell = func(m any, parcel []byte, end bool) {
			if m, is := m.(bridge.Progress); is && m.Station == "report" {
				if n++; n > after {
					stop()
				}
			}
			tell(m, parcel, end)
		}
		p.told = nil
		delete(p.parcels, "reported")
		p.ask(ctx, asked{Kind: "report"}, []gltfio.File{lamp()})
		p.tell = tell
		if d, is := p.told[len(p.told)-1].(bridge.Done); !is || !d.Stopped || p.parcels["reported"] != nil || n > after+2 {
			t.Errorf("stopped after %d of %d: %+v", after, n, p.told[len(p.told)-1])
		}
		stop()
	}
}

// TestReportOfMended: with mends kept the report is about the file that is handed over, to
// the byte what an examination of that file gives.
func TestReportOfMended(t *testing.T) {
	rounds.Dear(t)
	data := faulty(t, "binding/stray-island", "skeleton/fragile-name")
	p, _ := mendable(t, data)
	p.does(t, asked{Kind: "suggest"})
	sheet := p.reported(t, "", gltfio.File{Name: "lamp.glb", Data: data})
	figure := p.handed(t, "figure")
	name := p.result.Exam.Rig.File.Name
	of := desk.Files(gltfio.File{Name: name, Data: figure})
	g, err := of.Open()
	if err != nil {
		t.Fatal(err)
	}
	res, err := inspect.Examine(t.Context(), g, inspect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	draws := plates.New(t.Context())
	want, err := desk.Report(res, nil, desk.Files(gltfio.File{Name: name, Data: figure}), "", "", report.Draw{Sides: draws.Sides, Finding: draws.Finding})
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(sheet, want.Data) {
		t.Error("the report of the mended figure is not that of its file")
	}
	d, err := paper.Read(sheet)
	if err != nil || !d.Whole || len(d.Files) != 1 || d.Files[0].Bytes != int64(len(figure)) {
		t.Errorf("%+v, %v", d, err)
	}
}

// TestPlace: a finding with a place is drawn as large as asked, one without ends without
// bytes; a picture of no size, or of a finding that is not there, is refused; of another
// examination the pictures are its own.
func TestPlace(t *testing.T) {
	p := newPage()
	examine := func(limits string, faults ...string) {
		p.ask(context.Background(), asked{Kind: "examine", Limits: limits}, []gltfio.File{{Name: "lamp.glb", Data: faulty(t, faults...)}})
	}
	examine("", "binding/stray-island", "intake/odd-height")
	place := func(a asked) []byte {
		t.Helper()
		a.Kind = "place"
		delete(p.parcels, "placed")
		p.does(t, a)
		return p.parcels["placed"]
	}
	drawn := map[bool]int{}
	for i, f := range p.result.Findings() {
		got := place(asked{Number: i + 1, Width: 96, Height: 64})
		has := len(found.Places(p.result, &f)) > 0
		drawn[has]++
		if has != (len(got) > 0) {
			t.Errorf("%s: %d bytes", f.ID, len(got))
		}
		if cfg, err := png.DecodeConfig(bytes.NewReader(got)); has && (err != nil || cfg.Width != 96 || cfg.Height != 64) {
			t.Errorf("%s: %+v, %v", f.ID, cfg, err)
		}
	}
	if drawn[true] < 3 {
		t.Errorf("%v", drawn)
	}
	number := func(id string) int {
		return 1 + slices.IndexFunc(p.result.Findings(), func(f check.Finding) bool { return f.ID == id })
	}
	was := place(asked{Number: number("binding/stray-island"), Width: 320, Height: 200})
	if bytes.Equal(was, place(asked{Number: number("binding/stray-island"), Width: 320, Height: 200, Night: true})) {
		t.Error("night is day")
	}
	examine("", "surface/inside-out")
	if got := place(asked{Number: number("surface/inside-out"), Width: 320, Height: 200}); bytes.Equal(got, was) || len(got) == 0 {
		t.Error("another figure has the picture of the one before")
	}
	for _, row := range []struct {
		asked
		want string
	}{
		{asked{Number: 0, Width: 96, Height: 64}, "finding 0: this file has"}, {asked{Number: 999, Width: 96, Height: 64}, "finding 999"},
		{asked{Number: 1, Width: 0, Height: 64}, "0 by 64"}, {asked{Number: 1, Width: 96, Height: 1 << 20}, "1048576"},
	} {
		row.Kind = "place"
		p.ask(context.Background(), row.asked, nil)
		if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, row.want) {
			t.Errorf("%+v", r)
		}
	}
}
