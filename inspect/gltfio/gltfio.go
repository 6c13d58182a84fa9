// Package gltfio reads glTF 2.0 (.glb, .vrm, .gltf with its side files, or one
// .zip that holds them) into a rig.Rig.
//
// Nothing in a file is trusted: every index, offset and size is checked against
// what is there before it is used, and nothing is allocated by a size that the
// file merely states. What breaks the standard but leaves no doubt is read around
// and listed in rig.Malformed; what a surface, a skin or a clip needs and is not
// there refuses the file with an error that says what, where and what to do.
package gltfio

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"runtime/debug"
	"strings"

	"rigloupe/inspect/draco"
	"rigloupe/inspect/panics"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// File is one file as handed over: dropped, picked or read from a folder. Name may
// hold folders, parted by / or \.
type File struct {
	Name string
	Data []byte
}

// Options of a reading. The zero value is right for a person's own file.
type Options struct {
	// Memory limits the bytes of decoded numbers, 0: 2 GiB. Apart from it a file
	// may not decode to more than 64 times its own bytes and 32 MiB.
	Memory int64

	// Draco begins the decoder of shapes that are packed by KHR_draco_mesh_compression; nil:
	// such shapes are left empty and named.
	Draco draco.Start
}

// Refused says why a file cannot be read.
type Refused struct {
	File  string // as handed over
	Place string // where in it, outer to inner: `skin 0 "Body": joint 14`; may be empty
	What  string // what is wrong
	Hint  string // what to do
}

func (e *Refused) Error() string {
	s := ""
	if e.File != "" {
		s = fmt.Sprintf("%q: ", e.File)
	}
	if e.Place != "" {
		s += e.Place + ": "
	}
	s += e.What
	if e.Hint != "" {
		s += "; " + e.Hint
	}
	return s
}

// Missing lists the side files that surfaces, skins or clips need and that were
// not handed over. Handing over the same files and these as well opens it.
type Missing struct {
	File  string   // the model
	Names []string // as the model names them, without repeats
	Far   []string // addresses on a network that the model gives for some of them
}

func (e *Missing) Error() string {
	names := make([]string, len(e.Names))
	for i, n := range e.Names {
		names[i] = quote(n)
	}
	if len(e.Far) > 0 {
		return fmt.Sprintf("%q: the model names %s, %s on a network; nothing is fetched from there: fetch what you trust yourself and put %s beside the model",
			e.File, listing(e.Far), say.Word(len(e.Far), "an address", "addresses"), strings.Join(names, ", "))
	}
	return fmt.Sprintf("%q: the model needs %s, not found beside it; add the missing %s",
		e.File, strings.Join(names, ", "), say.Word(len(names), "file", "files"))
}

// Read reads one model from the files handed over: a single one, a .gltf with its
// side files, the content of a folder, or one .zip. Errors are *Missing or *Refused.
// Pictures share the memory of the files; everything else is copied out of them.
func Read(files []File, opt Options) (r *rig.Rig, err error) {
	if len(files) == 0 {
		return nil, &Refused{What: "no file was handed over", Hint: aModel}
	}
	name := files[0].Name
	defer func() { err = caught(recover(), name, err) }()
	s, err := memoryShelf(files)
	if err != nil {
		return nil, err
	}
	return readShelf(s, opt, &name)
}

// ReadFS reads the model with the given name, and its side files from the same
// folder or below it; of a folder, the one model in it. It never leaves that folder;
// for a folder on disk hand over os.Root.FS, which does not follow links out of it
// either.
func ReadFS(fsys fs.FS, name string, opt Options) (r *rig.Rig, err error) {
	defer func() { err = caught(recover(), name, err) }()
	if info, err := fs.Stat(fsys, name); err == nil && info.IsDir() {
		dir, err := fs.Sub(fsys, name)
		if err != nil {
			return nil, &Refused{File: name, What: "cannot be opened: " + reason(err)}
		}
		return readShelf(wholeFolder(dir), opt, &name)
	}
	data, err := fs.ReadFile(fsys, name)
	if err != nil {
		return nil, &Refused{File: name, What: "cannot be opened: " + reason(err)}
	}
	if isZip(data) {
		return Read([]File{{name, data}}, opt)
	}
	dir, err := fs.Sub(fsys, path.Dir(name))
	if err != nil {
		return nil, &Refused{File: name, What: "its folder cannot be opened: " + reason(err)}
	}
	return readShelf(folderShelf(dir, path.Base(name), data), opt, &name)
}

// reason is an error of fs without the name, which stands in front of it already.
func reason(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}

// caught is the last net: a panic is our own mistake, and becomes an error that
// says where we were. It tells nobody's files apart from it.
func caught(p any, name string, err error) error {
	if p == nil {
		return err
	}
	return &Refused{File: name, Place: panics.Place(debug.Stack()),
		What: fmt.Sprintf("the reader failed on this file: %v", p), Hint: "this is a fault of the reader; please report it with the file"}
}

// readShelf chooses the model on a shelf and reads it.
func readShelf(s *shelf, opt Options, name *string) (*rig.Rig, error) {
	s.memory = opt.Memory
	m, err := s.model()
	if err != nil {
		return nil, err
	}
	*name = m.name
	r := newReader(m, s, opt)
	if err := r.read(); err != nil {
		return nil, err
	}
	r.rig.CutNames()
	return r.rig, nil
}

// quote is text of a file as an error may show it: escaped, and cut when long.
func quote(s string) string {
	if len(s) > 80 {
		cut := 72
		for cut > 0 && s[cut]&0xC0 == 0x80 {
			cut--
		}
		return fmt.Sprintf("%q…", s[:cut])
	}
	return fmt.Sprintf("%q", s)
}
