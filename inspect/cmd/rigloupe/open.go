package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"rigloupe/inspect"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

const programName = "rigloupe " + inspect.Version

// sampleName stands for the built-in figure.
const sampleName = "sample"

// open reads a file with what lies beside it, never outside its folder; "-" is
// standard input and "sample" the built-in figure (a file of that name wins).
func (p *program) open(name string) (*rig.Rig, error) {
	if name == "-" {
		data, err := io.ReadAll(p.in)
		if err != nil {
			return nil, fmt.Errorf("standard input: %w", err)
		}
		return gltfio.Read([]gltfio.File{{Name: "standard-input", Data: data}}, gltfio.Options{})
	}
	if name == sampleName {
		if _, err := os.Stat(name); err != nil {
			return gltfio.Read([]gltfio.File{{Name: "lamplighter.glb", Data: lamplighter.GLB(lamplighter.Options{})}}, gltfio.Options{})
		}
	}
	info, err := os.Stat(name)
	if err != nil {
		return nil, err
	}
	dir, base := filepath.Dir(name), filepath.Base(name)
	if info.IsDir() {
		dir, base = name, "."
	}
	root, err := os.OpenRoot(dir) // follows no link out of the folder
	if err != nil {
		return nil, err
	}
	defer root.Close()
	return gltfio.ReadFS(root.FS(), base, gltfio.Options{})
}
