package main

import (
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
)

// A capture is opened where no model is among the files; told by its first word too.
func TestReadChooses(t *testing.T) {
	capture := []byte("HIERARCHY ROOT Hips { OFFSET 0 0 0 CHANNELS 1 Xrotation } MOTION Frames: 1 Frame Time: .1 5")
	model := lamplighter.GLB(lamplighter.Options{Vertices: 6000})
	for _, row := range []struct {
		name  string
		files []gltfio.File
		kind  string
	}{
		{"capture", []gltfio.File{{Name: "walk.bvh", Data: capture}}, "bvh"},
		{"capture by its first word", []gltfio.File{{Name: "walk.txt", Data: capture}}, "bvh"},
		{"capture called glb", []gltfio.File{{Name: "walk.glb", Data: capture}}, "bvh"},
		{"model beside a capture", []gltfio.File{{Name: "lamp.glb", Data: model}, {Name: "walk.bvh", Data: capture}}, "glb"},
	} {
		r, err := read(row.files)
		if err != nil {
			t.Errorf("%s: %v", row.name, err)
			continue
		}
		if r.File.Kind != row.kind {
			t.Errorf("%s: read as %s, want %s", row.name, r.File.Kind, row.kind)
		}
	}
}
