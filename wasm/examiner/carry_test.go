package main

import (
	"context"
	"encoding/json"
	"strings"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/rig"
	"rigloupe/wasm/bridge"
	"rigloupe/wasm/flat"
)

// A clip is carried over, shown on the open figure and saved with its own file.
func TestCarryAndSave(t *testing.T) {
	p := newPage()
	p.answer(context.Background(), small, nil)
	own := p.parcels["file"]
	p.answer(context.Background(), bridge.Ask{ID: 2, Kind: "second"}, captured())
	p.answer(context.Background(), bridge.Ask{ID: 3, Kind: "save", Format: "glb"}, nil)
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, "nothing has been carried") {
		t.Errorf("%+v", r)
	}
	p.answer(context.Background(), bridge.Ask{ID: 4, Kind: "carry", Clip: new(7)}, nil)
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, "no clip 7") {
		t.Errorf("%+v", r)
	}
	p.told = nil
	p.answer(context.Background(), bridge.Ask{ID: 5, Kind: "carry", Clip: new(0), Rename: "captured"}, nil)
	if got, want := p.kinds(), "carriedRig carry"; got != want {
		t.Fatalf("told %q, want %q", got, want)
	}
	shown := &rig.Rig{}
	if err := flat.Unpack(p.parcels["carriedRig"], shown); err != nil {
		t.Fatal(err)
	}
	if n := len(shown.Clips); n != 3 || shown.Clips[2].Name != "captured" {
		t.Fatalf("%d clips", n)
	}
	if len(p.result.Exam.Rig.Clips) != 2 {
		t.Error("the open figure itself has changed")
	}
	var report struct{ Clips []struct{ Name string } }
	if err := json.Unmarshal([]byte(last[bridge.Document](t, p).JSON), &report); err != nil || len(report.Clips) != 1 || report.Clips[0].Name != "captured" {
		t.Errorf("%v %+v", err, report)
	}
	p.answer(context.Background(), bridge.Ask{ID: 6, Kind: "save", Format: "glb"}, []gltfio.File{{Name: "lamplighter.glb", Data: own}})
	saved := last[bridge.Parcel](t, p)
	back, err := gltfio.Read([]gltfio.File{{Name: saved.Name, Data: p.parcels["saved"]}}, gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasSuffix(saved.Name, "-captured.glb") || len(back.Clips) != 3 || len(back.Clips[2].Channels) != len(shown.Clips[2].Channels) {
		t.Errorf("%q holds %d clips", saved.Name, len(back.Clips))
	}
	p.answer(context.Background(), bridge.Ask{ID: 7, Kind: "save", Format: "bvh"}, nil)
	if text := string(p.parcels["saved"]); !strings.HasPrefix(text, "HIERARCHY") || !strings.Contains(text, "Frame Time") {
		t.Errorf("saved %.40q", text)
	}
	p.answer(context.Background(), bridge.Ask{ID: 8, Kind: "save", Format: "png"}, nil)
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, "want glb or bvh") {
		t.Errorf("%+v", r)
	}
}
