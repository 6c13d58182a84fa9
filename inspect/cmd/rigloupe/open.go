package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"rigloupe/inspect"
	"rigloupe/inspect/ceiling"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/draco/native"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/rig"
)

const programName = "rigloupe " + inspect.Version

// sampleName stands for the built-in figure.
const sampleName = "sample"

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
		data, err := io.ReadAll(io.LimitReader(p.in, ceiling.File+1))
		if err == nil && len(data) > ceiling.File {
			err = errTooLarge
		}
		if err != nil {
			return nil, fmt.Errorf("standard input: %w", err)
		}
		return &place{p: p, name: "standard-input", data: data}, nil
	}
	if name == sampleName {
		if _, err := os.Stat(name); err != nil {
			file, err := desk.Sample{}.File()
			return &place{p: p, name: file.Name, data: file.Data}, err
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

var errTooLarge = fmt.Errorf("more than %d GiB, which is more than is read at once", ceiling.File>>30)

// take takes a file down as an input. A pipe or a device is refused: it need not end,
// and what it gives is gone afterwards.
func (p *program) take(name string, info fs.FileInfo) error {
	switch mode := info.Mode(); {
	case mode&fs.ModeNamedPipe != 0:
		return errors.New("a pipe is no file that can be read; hand it over as standard input and name it -")
	case !mode.IsRegular():
		return errors.New("a device is no file that can be read")
	case info.Size() > ceiling.File:
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

// with calls use with the file as a source; on disk no link is followed out of its
// folder.
func (at *place) with(use func(*desk.Source) error) error {
	if at.data != nil {
		s := desk.Files(gltfio.File{Name: at.name, Data: at.data})
		s.Draco = native.Start
		return use(s)
	}
	root, err := os.OpenRoot(at.dir)
	if err != nil {
		return fmt.Errorf("%s: %s", shown(at.dir), reason(err))
	}
	defer root.Close()
	s := desk.In(disk{root.FS(), at.p, at.dir}, at.name)
	s.Draco = native.Start
	return use(s)
}

func (at *place) read() (r *rig.Rig, err error) {
	err = at.with(func(s *desk.Source) (err error) {
		r, err = s.Open()
		return err
	})
	return r, err
}

// modelIn finds the one model of a folder.
func modelIn(dir string) (string, string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return "", "", fmt.Errorf("%s: %s", shown(dir), reason(err))
	}
	var models []string
	for _, e := range entries {
		if !e.IsDir() && desk.IsModel(e.Name()) {
			models = append(models, e.Name())
		}
	}
	if len(models) != 1 {
		return "", "", fmt.Errorf("%s holds %d models; name one of its files", shown(dir), len(models))
	}
	return dir, models[0], nil
}
