package gltfio

import (
	"strings"
	"testing"

	"rigloupe/inspect/rig"
)

// What reads back otherwise is told, whatever of it is.
func TestHoldsTellsWhatChanged(t *testing.T) {
	glb := figure().glb()
	read := func() *rig.Rig {
		r, err := Read([]File{{"f.glb", glb}}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	r := read()
	if err := Holds(glb, r, r.Clips); err != nil {
		t.Fatal(err)
	}
	if err := Holds(glb[:len(glb)-9], r, r.Clips); err == nil {
		t.Error("a cut file holds")
	}
	for want, change := range map[string]func(*rig.Rig){
		"nodes":  func(r *rig.Rig) { r.Nodes = r.Nodes[1:] },
		"node 0": func(r *rig.Rig) { r.Nodes[0].Name += "x" },
		"mesh 0": func(r *rig.Rig) { r.Meshes[0].Positions[4] += 1 },
		"skin 0": func(r *rig.Rig) { r.Skins[0].Bind[0][3] += 1 },
		"clip 0": func(r *rig.Rig) { r.Clips[0].Channels[0].Values[0] += 1 },
		"clips":  func(r *rig.Rig) { r.Clips = r.Clips[1:] },
	} {
		r := read()
		change(r)
		if err := Holds(glb, r, r.Clips); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v; want a word on %s", err, want)
		}
	}
}
