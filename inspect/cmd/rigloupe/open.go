package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
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

// mostBytes is the largest file that is read: what a browser can hold as well.
const mostBytes = 2 << 30

// input is a file that the call reads; no output may take its place.
type input struct {
	name string
	info fs.FileInfo
}

// place is where a file's bytes are: in memory, or a name in a folder.
type place struct {
	p    *program
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
		data, err := io.ReadAll(io.LimitReader(p.in, mostBytes+1))
		if err == nil && len(data) > mostBytes {
			err = errTooLarge
		}
		if err != nil {
			return nil, fmt.Errorf("standard input: %w", err)
		}
		return &place{p: p, name: "standard-input", data: data}, nil
	}
	if name == sampleName {
		if _, err := os.Stat(name); err != nil {
			return &place{p: p, name: "lamplighter.glb", data: lamplighter.GLB(lamplighter.Options{})}, nil
		}
	}
	info, err := os.Stat(name)
	if err != nil {
		return nil, fmt.Errorf("%s: %s", shown(name), reason(err))
	}
	at := &place{p: p, dir: filepath.Dir(name), name: filepath.Base(name)}
	if info.IsDir() {
		if at.dir, at.name, err = modelIn(name); err != nil {
			return nil, err
		}
	} else if err := p.take(name, info); err != nil {
		return nil, fmt.Errorf("%s: %w", shown(name), err)
	}
	return at, nil
}

var errTooLarge = fmt.Errorf("more than %d GiB, which is more than is read at once", mostBytes>>30)

// take takes a file down as an input. A pipe or a device is refused: it need not end,
// and what it gives is gone afterwards.
func (p *program) take(name string, info fs.FileInfo) error {
	switch mode := info.Mode(); {
	case mode&fs.ModeNamedPipe != 0:
		return errors.New("a pipe is no file that can be read; hand it over as standard input and name it -")
	case !mode.IsRegular():
		return errors.New("a device is no file that can be read")
	case info.Size() > mostBytes:
		return errTooLarge
	}
	for _, in := range p.inputs {
		if os.SameFile(in.info, info) {
			return nil
		}
	}
	p.inputs = append(p.inputs, input{name, info})
	return nil
}

// text reads the small file of an option; a mistake in it is a wrong call.
func (p *program) text(option, name string) ([]byte, error) {
	info, err := os.Stat(name)
	if err == nil {
		err = p.take(name, info)
	}
	var data []byte
	if err == nil {
		data, err = os.ReadFile(name)
	}
	if err != nil {
		return nil, callError{fmt.Sprintf("%s %s: %s", option, shown(name), reason(err))}
	}
	return data, nil
}

// disk is a folder as the readers see it: files alone, each taken down as an input.
type disk struct {
	fs.FS
	p   *program
	dir string
}

func (d disk) Open(name string) (fs.File, error) {
	info, err := fs.Stat(d.FS, name) // first: opening a pipe would wait for a writer
	if err == nil && !info.IsDir() {
		err = d.p.take(filepath.Join(d.dir, filepath.FromSlash(name)), info)
	}
	if err != nil {
		return nil, &fs.PathError{Op: "open", Path: name, Err: errors.New(reason(err))}
	}
	return d.FS.Open(name)
}

// in calls use with the folder of a file on disk; no link is followed out of it.
func (at *place) in(use func(fs.FS) error) error {
	root, err := os.OpenRoot(at.dir)
	if err != nil {
		return fmt.Errorf("%s: %s", shown(at.dir), reason(err))
	}
	defer root.Close()
	return use(disk{root.FS(), at.p, at.dir})
}

func (at *place) read() (r *rig.Rig, err error) {
	if at.data != nil {
		if bvh.Is(at.data) {
			return bvh.Read(at.name, at.data)
		}
		return gltfio.Read([]gltfio.File{{Name: at.name, Data: at.data}}, gltfio.Options{})
	}
	err = at.in(func(dir fs.FS) (err error) {
		if data, ok := capture(dir, at.name); ok {
			r, err = bvh.Read(at.name, data)
		} else {
			r, err = gltfio.ReadFS(dir, at.name, gltfio.Options{})
		}
		return err
	})
	return r, err
}

// appended is the model as one GLB with clips behind its own.
func (at *place) appended(clips []rig.ClipData) (glb []byte, err error) {
	if at.data != nil {
		return gltfio.Append([]gltfio.File{{Name: at.name, Data: at.data}}, clips)
	}
	err = at.in(func(dir fs.FS) (err error) {
		glb, err = gltfio.AppendFS(dir, at.name, clips)
		return err
	})
	return glb, err
}

// capture answers the bytes of a file of motion capture: told by its ending, else by
// its first word.
func capture(dir fs.FS, name string) ([]byte, bool) {
	f, err := dir.Open(name)
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
	data, err := fs.ReadFile(dir, name)
	return data, err == nil
}

// modelIn finds the one model of a folder.
func modelIn(dir string) (string, string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return "", "", fmt.Errorf("%s: %s", shown(dir), reason(err))
	}
	var models []string
	for _, e := range entries {
		if ext := strings.ToLower(filepath.Ext(e.Name())); !e.IsDir() && (ext == ".glb" || ext == ".gltf" || ext == ".vrm" || ext == ".bvh") {
			models = append(models, e.Name())
		}
	}
	if len(models) != 1 {
		return "", "", fmt.Errorf("%s holds %d models; name one of its files", shown(dir), len(models))
	}
	return dir, models[0], nil
}
