package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/bvh"
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
		if bvh.Is(data) {
			return bvh.Read("standard-input", data)
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
		if dir, base, err = modelIn(name); err != nil {
			return nil, err
		}
	}
	root, err := os.OpenRoot(dir) // follows no link out of the folder
	if err != nil {
		return nil, err
	}
	defer root.Close()
	if data, ok := capture(root, base); ok {
		return bvh.Read(base, data)
	}
	return gltfio.ReadFS(root.FS(), base, gltfio.Options{})
}

// capture answers the bytes of a file of motion capture: told by its ending, else by
// its first word.
func capture(root *os.Root, name string) ([]byte, bool) {
	f, err := root.Open(name)
	if err != nil {
		return nil, false // said by the other reader
	}
	defer f.Close()
	if !strings.EqualFold(filepath.Ext(name), ".bvh") {
		head := make([]byte, 512)
		n, _ := io.ReadFull(f, head)
		if !bvh.Is(head[:n]) {
			return nil, false
		}
	}
	data, err := root.ReadFile(name)
	return data, err == nil
}

// modelIn finds the one model of a folder.
func modelIn(dir string) (string, string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return "", "", err
	}
	var models []string
	for _, e := range entries {
		if ext := strings.ToLower(filepath.Ext(e.Name())); !e.IsDir() && (ext == ".glb" || ext == ".gltf" || ext == ".vrm" || ext == ".bvh") {
			models = append(models, e.Name())
		}
	}
	if len(models) != 1 {
		return "", "", fmt.Errorf("%q holds %d models; name one of its files", dir, len(models))
	}
	return dir, models[0], nil
}
