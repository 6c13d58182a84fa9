package main

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
	"rigloupe/wasm/bridge"
	"rigloupe/wasm/flat"
)

// A clip is carried over, shown on the open figure and saved with its own file.
func TestCarryAndSave(t *testing.T) {
	p := newPage()
	p.ask(context.Background(), small, nil)
	own := p.parcels["file"]
	p.ask(context.Background(), asked{ID: 2, Kind: "second"}, captured())
	p.ask(context.Background(), asked{ID: 3, Kind: "save", Format: "glb"}, nil)
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, "nothing has been carried") {
		t.Errorf("%+v", r)
	}
	p.ask(context.Background(), asked{ID: 4, Kind: "carry", Clips: "[7]"}, nil)
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, "no clip 7") {
		t.Errorf("%+v", r)
	}
	p.told = nil
	p.ask(context.Background(), asked{ID: 5, Kind: "carry", Clips: "[0]", Rename: "captured"}, nil)
	if got, want := p.kinds(), "carriedRig secondPlaces carry"; got != want {
		t.Fatalf("told %q, want %q", got, want)
	}
	carried := last[bridge.Document](t, p).JSON
	shown := &rig.Rig{}
	if err := flat.Unpack(p.parcels["carriedRig"], shown); err != nil {
		t.Fatal(err)
	}
	if n := len(shown.Clips); n != 3 || shown.Clips[2].Name != "captured" {
		t.Fatalf("%d clips", n)
	}
	// Where the source's joints are: as the skinning's own poses have them.
	raw := p.parcels["secondPlaces"]
	value := func(i int) float64 { return float64(math.Float32frombits(binary.LittleEndian.Uint32(raw[4*i:]))) }
	src := p.other.source
	frames := int(value(2))
	if want := 4 * (3 + 3*frames*len(src.Joints)); len(raw) != want || frames < 2 || math.Abs(value(1)-shown.Clips[2].Seconds) > 1e-6 {
		t.Fatalf("%d bytes for %d frames to %g s, want %d", len(raw), frames, value(1), want)
	}
	pose := deform.NewPose(src.Rig)
	pose.Sample(0, value(1))
	for i, j := range src.Joints {
		o := pose.World[j].Origin()
		for c, want := range []float64{o.Dot(src.Left), o.Dot(src.Up), o.Dot(src.Forward)} {
			if got := value(3 + 3*((frames-1)*len(src.Joints)+i) + c); math.Abs(got-want/src.Size) > 1e-5 {
				t.Errorf("joint %d, way %d: %g, want %g", i, c, got, want/src.Size)
			}
		}
	}
	// The new clip is looked at joint by joint like the figure's own.
	p.ask(context.Background(), asked{ID: 51, Kind: "rows", Clip: new(2), Columns: 20}, nil)
	var rows struct{ Name string }
	if err := json.Unmarshal([]byte(last[bridge.Document](t, p).JSON), &rows); err != nil || rows.Name != "captured" {
		t.Errorf("%v %+v", err, rows)
	}
	if len(p.result.Exam.Rig.Clips) != 2 {
		t.Error("the open figure itself has changed")
	}
	var report struct{ Clips []struct{ Name string } }
	if err := json.Unmarshal([]byte(carried), &report); err != nil || len(report.Clips) != 1 || report.Clips[0].Name != "captured" {
		t.Errorf("%v %+v", err, report)
	}
	// It stays after a carrying that was refused, and while another second file is read.
	p.ask(context.Background(), asked{ID: 52, Kind: "carry", Clips: "[7]"}, nil)
	p.ask(context.Background(), asked{ID: 53, Kind: "second"}, captured())
	p.told = nil
	p.ask(context.Background(), asked{ID: 54, Kind: "rows", Clip: new(2), Columns: 20}, nil)
	if got := p.kinds(); got != "rows" {
		t.Errorf("told %q", got)
	}
	p.ask(context.Background(), asked{ID: 6, Kind: "save", Format: "glb"}, []gltfio.File{{Name: "lamplighter.glb", Data: own}})
	saved := last[bridge.Parcel](t, p)
	back, err := gltfio.Read([]gltfio.File{{Name: saved.Name, Data: p.parcels["saved"]}}, gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasSuffix(saved.Name, "-captured.glb") || len(back.Clips) != 3 || len(back.Clips[2].Channels) != len(shown.Clips[2].Channels) {
		t.Errorf("%q holds %d clips", saved.Name, len(back.Clips))
	}
	p.ask(context.Background(), asked{ID: 7, Kind: "save", Format: "bvh"}, nil)
	if text := string(p.parcels["saved"]); !strings.HasPrefix(text, "HIERARCHY") || !strings.Contains(text, "Frame Time") {
		t.Errorf("saved %.40q", text)
	}
	p.ask(context.Background(), asked{ID: 8, Kind: "save", Format: "png"}, nil)
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, "want glb or bvh") {
		t.Errorf("%+v", r)
	}
}

// The same skeleton is known by names, parents and places; another pose, other names
// or a joint elsewhere are another skeleton.
func TestSameSkeleton(t *testing.T) {
	of := func(o lamplighter.Options) *match.Skeleton { return match.NewSkeleton(lamplighter.Build(o)) }
	open := of(lamplighter.Options{})
	moved := lamplighter.Build(lamplighter.Options{})
	moved.Nodes[open.Joints[3]].Matrix[7] += 0.01
	text, err := bvh.Write(lamplighter.Build(lamplighter.Options{}), 0)
	if err != nil {
		t.Fatal(err)
	}
	capture, err := bvh.Read("walk.bvh", text)
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		name string
		s    *match.Skeleton
		want bool
	}{
		{"its own clip as motion capture", match.NewSkeleton(capture), true},
		{"the figure itself", of(lamplighter.Options{}), true},
		{"in A-pose", of(lamplighter.Options{Pose: lamplighter.A}), false},
		{"other names", of(lamplighter.Options{Names: lamplighter.Snake}), false},
		{"a joint a centimetre higher", match.NewSkeleton(moved), false},
	} {
		if got := same(row.s, open); got != row.want {
			t.Errorf("%s: %v", row.name, got)
		}
	}
}
