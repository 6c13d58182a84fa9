package main

import (
	"path"
	"slices"
	"strings"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/rig"
)

// read opens what was handed over: a model with its side files or, where no model is
// among them, a file of motion capture.
func read(files []gltfio.File) (*rig.Rig, error) {
	model := slices.ContainsFunc(files, func(f gltfio.File) bool {
		switch strings.ToLower(path.Ext(f.Name)) {
		case ".glb", ".gltf", ".vrm", ".zip":
			return !bvh.Is(f.Data)
		}
		return false
	})
	for i := range files {
		f := &files[i]
		if bvh.Is(f.Data) || !model && strings.EqualFold(path.Ext(f.Name), ".bvh") {
			if !model {
				return bvh.Read(f.Name, f.Data)
			}
		}
	}
	return gltfio.Read(files, gltfio.Options{Memory: memoryLimit})
}
