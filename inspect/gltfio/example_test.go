package gltfio_test

import (
	"errors"
	"fmt"
	"os"

	"rigloupe/inspect/gltfio"
)

// A model and its side files are handed over together, in any order.
func ExampleRead() {
	files := []gltfio.File{{Name: "ribbon.gltf", Data: []byte(`{
		"asset": {"version": "2.0"},
		"buffers": [{"uri": "ribbon.bin", "byteLength": 36}],
		"bufferViews": [{"buffer": 0, "byteLength": 36}],
		"accessors": [{"bufferView": 0, "componentType": 5126, "count": 3, "type": "VEC3", "min": [0, 0, 0], "max": [0, 0, 0]}],
		"meshes": [{"primitives": [{"attributes": {"POSITION": 0}}]}],
		"nodes": [{"name": "Ribbon", "mesh": 0}]
	}`)}}
	_, err := gltfio.Read(files, gltfio.Options{})
	var missing *gltfio.Missing
	if errors.As(err, &missing) {
		fmt.Println("missing:", missing.Names)
	}
	files = append(files, gltfio.File{Name: "RIBBON.BIN", Data: make([]byte, 36)})
	r, err := gltfio.Read(files, gltfio.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Nodes[0].Name, r.Meshes[0].Vertices(), "vertices")
	fmt.Println(r.Remarks[0])
	// Output:
	// missing: [ribbon.bin]
	// Ribbon 3 vertices
	// "ribbon.bin" was taken from "RIBBON.BIN": written otherwise (case or accents)
}

// On disk a model finds its side files in its own folder and nowhere else.
func ExampleReadFS() {
	r, err := gltfio.ReadFS(os.DirFS("testdata"), "simpleskin.gltf", gltfio.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(r.Skins[0].Joints), "joints,", r.Clips[0].Seconds, "s")
	// Output: 2 joints, 5.5 s
}

// What breaks the standard and can be read around is listed with its place.
func ExampleRead_malformed() {
	r, err := gltfio.Read([]gltfio.File{{Name: "loop.gltf", Data: []byte(`{
		"asset": {"version": "2.0"},
		"nodes": [{"children": [1]}, {"children": [0]}]
	}`)}}, gltfio.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range r.Malformed {
		fmt.Println(m.Place, m.What)
	}
	// Output: /nodes/1/children node 0 stands above its own parent; the ring is cut there and it becomes a root
}
