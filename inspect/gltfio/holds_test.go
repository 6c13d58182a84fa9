package gltfio

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/rig"
)

// A number that points just behind the end of a list is left out by the reader. When
// the list grows by a clip it would suddenly mean something: a normal read from the
// clip's times. Each place that can hold such a number refuses.
func TestAppendRefusesWhatWouldBecomeValid(t *testing.T) {
	const head = `{"asset":{"version":"2.0"},"nodes":[{"mesh":0}],"scenes":[{"nodes":[0]}],"buffers":[{"byteLength":36,"uri":"data:application/octet-stream;base64,AAAAAAAAAAAAAAAAAACAPwAAAAAAAAAAAAAAAAAAgD8AAAAA"}],`
	const view = `"bufferViews":[{"buffer":0,"byteLength":36}],`
	const position = `"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3","min":[0,0,0],"max":[1,1,0]}],`
	mesh := func(attributes, more string) string {
		return `"meshes":[{"primitives":[{"attributes":{"POSITION":0` + attributes + `}` + more + `}]}]`
	}
	clip := func(in, out int) string {
		return fmt.Sprintf(`,"animations":[{"channels":[{"sampler":0,"target":{"node":0,"path":"translation"}}],"samplers":[{"input":%d,"output":%d}]}]`, in, out)
	}
	for name, row := range map[string]struct{ text, place string }{
		"normal":         {head + view + position + mesh(`,"NORMAL":1`, "") + `}`, "attributes/NORMAL"},
		"colour, unread": {head + view + position + mesh(`,"COLOR_0":3`, "") + `}`, "attributes/COLOR_0"},
		"tangent target": {head + view + position + mesh("", `,"targets":[{"TANGENT":2}]`) + `}`, "targets/0/TANGENT"},
		"times":          {head + view + position + mesh("", "") + clip(1, 0) + `}`, "samplers/0/input"},
		"values":         {head + view + position + mesh("", "") + clip(0, 2) + `}`, "samplers/0/output"},
		"picture":        {head + view + position + mesh("", "") + `,"images":[{"bufferView":1,"mimeType":"image/png"}]}`, "images/0/bufferView"},
		"unread accessor": {head + view + strings.Replace(position, "}],", `},{"bufferView":1,"componentType":5126,"count":1,"type":"SCALAR"}],`, 1) +
			mesh("", "") + `}`, "accessors/1/bufferView"},
	} {
		t.Run(name, func(t *testing.T) {
			files := []File{{"m.gltf", []byte(row.text)}}
			if _, err := Read(files, Options{}); err != nil {
				t.Fatalf("the target itself is refused: %v", err)
			}
			_, err := Append(files, []rig.ClipData{turning(0)})
			if err == nil || !strings.Contains(err.Error(), row.place) {
				t.Errorf("%v; want a refusal that names %s", err, row.place)
			}
			far := strings.NewReplacer(`"NORMAL":1`, `"NORMAL":99`, `"COLOR_0":3`, `"COLOR_0":99`, `"TANGENT":2`, `"TANGENT":99`, `"input":1`, `"input":99`,
				`"output":2`, `"output":99`, `"bufferView":1,`, `"bufferView":99,`).Replace(row.text)
			glb, err := Append([]File{{"m.gltf", []byte(far)}}, []rig.ClipData{turning(0)})
			if err != nil {
				t.Fatalf("a number far behind the end stays without meaning, and yet: %v", err)
			}
			was, _ := Read([]File{{"m.gltf", []byte(far)}}, Options{})
			if err := Holds(glb, was, append(slices.Clone(was.Clips), turning(0))); err != nil {
				t.Error(err)
			}
		})
	}
}

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
