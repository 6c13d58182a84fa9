package main

import (
	"context"
	"encoding/json"
	"strings"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/scene"
	"rigloupe/wasm/bridge"
	"rigloupe/wasm/flat"
)

const capture = `HIERARCHY
ROOT Hips
{
	OFFSET 0 0 0
	CHANNELS 6 Xposition Yposition Zposition Zrotation Xrotation Yrotation
	JOINT Spine
	{
		OFFSET 0 0.5 0
		CHANNELS 3 Zrotation Xrotation Yrotation
		End Site
		{
			OFFSET 0 0.3 0
		}
	}
}
MOTION
Frames: 3
Frame Time: 0.1
0 0.9 0 0 0 0 0 0 0
0 0.9 0.1 0 0 0 0 10 0
0 0.9 0.2 0 0 0 0 20 0
`

func captured() []gltfio.File { return []gltfio.File{{Name: "walk.bvh", Data: []byte(capture)}} }

// A second file is shown, summed up and matched with the open figure.
func TestSecond(t *testing.T) {
	p := newPage()
	p.ask(context.Background(), asked{ID: 1, Kind: "second"}, captured())
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, "open a file first") {
		t.Errorf("%+v", r)
	}
	p.ask(context.Background(), small, nil)
	p.ask(context.Background(), asked{ID: 2, Kind: "match"}, nil)
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, "no second file") {
		t.Errorf("%+v", r)
	}
	p.told = nil
	p.ask(context.Background(), asked{ID: 3, Kind: "second"}, captured())
	if got, want := p.kinds(), "secondRig secondPrepared secondFields second"; got != want {
		t.Fatalf("told %q, want %q", got, want)
	}
	var d secondDocument
	if err := json.Unmarshal([]byte(last[bridge.Document](t, p).JSON), &d); err != nil {
		t.Fatal(err)
	}
	if d.Name != "walk.bvh" || d.Kind != "bvh" || d.Joints != 3 || len(d.Clips) != 1 || d.Clips[0].Channels != 3 {
		t.Errorf("%+v", d)
	}
	if len(d.Source) != 3 || d.Source[1].Name != "Spine" || *d.Source[1].Parent != 0 || len(d.Target) < 22 {
		t.Errorf("%d and %d joints to draw: %+v", len(d.Source), len(d.Target), d.Source)
	}
	r, prepared, fields := &rig.Rig{}, &scene.Prepared{}, &scene.Fields{}
	for kind, to := range map[string]any{"secondRig": r, "secondPrepared": prepared, "secondFields": fields} {
		if err := flat.Unpack(p.parcels[kind], to); err != nil {
			t.Errorf("%s: %v", kind, err)
		}
	}
	if len(r.Nodes) != 3 || len(fields.Role) != 3 || fields.Role[0] != "hips" {
		t.Errorf("%d nodes, roles %q", len(r.Nodes), fields.Role)
	}
	for _, pins := range []string{"", "source,target\nSpine,chest\n"} {
		p.ask(context.Background(), asked{ID: 4, Kind: "match", Pins: pins}, nil)
		var table struct{ Pairs []struct{ Pinned bool } }
		m := last[bridge.Document](t, p)
		if err := json.Unmarshal([]byte(m.JSON), &table); err != nil || m.Kind != "match" {
			t.Fatal(m.Kind, err)
		}
		pinned := 0
		for _, q := range table.Pairs {
			if q.Pinned {
				pinned++
			}
		}
		if len(table.Pairs) < 2 || (pinned > 0) != (pins != "") {
			t.Errorf("%q: %d pairs, %d pinned", pins, len(table.Pairs), pinned)
		}
	}
	p.ask(context.Background(), asked{ID: 4, Kind: "match", Format: "csv"}, nil)
	if m := last[bridge.Document](t, p); !strings.HasPrefix(m.JSON, "source node,source,") {
		t.Errorf("no CSV: %.60s", m.JSON)
	}
	p.ask(context.Background(), asked{ID: 5, Kind: "match", Pins: "source,target\nSpine,tail\n"}, nil)
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, `"tail"`) {
		t.Errorf("%+v", r)
	}
	// Another figure on the desk: the second one has gone.
	p.ask(context.Background(), small, nil)
	p.ask(context.Background(), asked{ID: 6, Kind: "match"}, nil)
	if r := last[bridge.Refused](t, p); r.ID != 6 {
		t.Errorf("%+v", r)
	}
}
