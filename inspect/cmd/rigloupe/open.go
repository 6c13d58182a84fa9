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

// place is where a file's bytes are: in memory, or a name in a folder.
type place struct {
	name string
	data []byte // nil: in dir
	dir  string
}

// open reads a file with what lies beside it, never outside its folder; "-" is
// standard input and "sample" the built-in figure (a file of that name wins).
func (p *program) open(name string) (*rig.Rig, error) {
	at, err := p.find(name)
	if err != nil {
		return nil, err
	}
	return at.read()
}

// find tells where a file is; of standard input it takes all there is.
func (p *program) find(name string) (*place, error) {
	if name == "-" {
		data, err := io.ReadAll(p.in)
		if err != nil {
			return nil, fmt.Errorf("standard input: %w", err)
		}
		return &place{name: "standard-input", data: data}, nil
	}
	if name == sampleName {
		if _, err := os.Stat(name); err != nil {
			return &place{name: "lamplighter.glb", data: lamplighter.GLB(lamplighter.Options{})}, nil
		}
	}
	info, err := os.Stat(name)
	if err != nil {
		return nil, err
	}
	at := &place{dir: filepath.Dir(name), name: filepath.Base(name)}
	if info.IsDir() {
		if at.dir, at.name, err = modelIn(name); err != nil {
			return nil, err
		}
	}
	return at, nil
}

func (at *place) read() (*rig.Rig, error) {
	if at.data != nil {
		if bvh.Is(at.data) {
			return bvh.Read(at.name, at.data)
		}
		return gltfio.Read([]gltfio.File{{Name: at.name, Data: at.data}}, gltfio.Options{})
	}
	root, err := os.OpenRoot(at.dir) // follows no link out of the folder
	if err != nil {
		return nil, err
	}
	defer root.Close()
	if data, ok := capture(root, at.name); ok {
		return bvh.Read(at.name, data)
	}
	return gltfio.ReadFS(root.FS(), at.name, gltfio.Options{})
}

// appended is the model as one GLB with clips behind its own.
func (at *place) appended(clips []rig.ClipData) ([]byte, error) {
	if at.data != nil {
		return gltfio.Append([]gltfio.File{{Name: at.name, Data: at.data}}, clips)
	}
	root, err := os.OpenRoot(at.dir)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	return gltfio.AppendFS(root.FS(), at.name, clips)
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
