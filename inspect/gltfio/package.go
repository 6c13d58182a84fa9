package gltfio

import (
	"bytes"
	"io/fs"
	"path"
	"slices"
)

// Package is a model taken apart and not interpreted: its JSON as it stands in the file
// and the bytes that belong to it, side files included. What edits a file starts here, so
// that nothing is lost which the reader has no use for.
type Package struct {
	Name     string // as handed over
	Data     []byte // the main file as it was handed over
	JSON     []byte // the text of the root object alone, without what stands around it
	Buffers  []Buffer
	Pictures []Picture // one an image
	Chunks   []Chunk   // of a GLB, behind JSON and binary
	Unpacked []Unpacked
	Shapes   []Unshaped
}

// Unshaped is a primitive whose shape was packed by Draco, as it reads: lists of Points
// elements without gaps, each in the component type of its accessor, and the corners of its
// triangles, 4 bytes each.
type Unshaped struct {
	Mesh, Primitive int
	View            int // that held it
	Points          int
	Lists           []UnshapedList
	Corners         []byte
}

// UnshapedList is one attribute of it.
type UnshapedList struct {
	Name     string
	Accessor int
	Data     []byte
}

// Unpacked is a buffer view that was packed by an extension, as it reads.
type Unpacked struct {
	View int
	By   string // the extension
	Data []byte
}

// Buffer is the bytes of one buffer, as many as byteLength states where that many are
// there.
type Buffer struct {
	Data    []byte
	Missing string // why there are none; "": Data is all of it
	Beside  bool   // from a side file
}

// Picture is the bytes of a picture from a side file; nil where it lies in the model.
type Picture struct {
	Data []byte
	MIME string
}

// Chunk is one that glTF 2.0 does not know.
type Chunk struct {
	Kind uint32
	Data []byte
}

// Unpack takes one model apart; see Read for what files may be. Errors are *Missing or
// *Refused.
func Unpack(files []File, opt Options) (p *Package, err error) {
	if len(files) == 0 {
		return nil, &Refused{What: "no file was handed over", Hint: aModel}
	}
	name := files[0].Name
	defer func() { err = caught(recover(), name, err) }()
	s, err := memoryShelf(files)
	if err != nil {
		return nil, err
	}
	return s.unpack(opt, &name)
}

// UnpackFS is Unpack for a model on disk; see ReadFS.
func UnpackFS(fsys fs.FS, name string, opt Options) (p *Package, err error) {
	defer func() { err = caught(recover(), name, err) }()
	data, err := fs.ReadFile(fsys, name)
	if err != nil {
		return nil, &Refused{File: name, What: "cannot be opened: " + reason(err)}
	}
	if isZip(data) {
		return Unpack([]File{{name, data}}, opt)
	}
	dir, err := fs.Sub(fsys, path.Dir(name))
	if err != nil {
		return nil, &Refused{File: name, What: "its folder cannot be opened: " + reason(err)}
	}
	return folderShelf(dir, path.Base(name), data).unpack(opt, &name)
}

func (s *shelf) unpack(opt Options, name *string) (*Package, error) {
	m, err := s.model()
	if err != nil {
		return nil, err
	}
	*name = m.name
	r := newReader(m, s, opt)
	if err := r.asset(); err != nil {
		return nil, err
	}
	if err := r.open(); err != nil {
		return nil, err
	}
	c := &cursor{b: m.box.json}
	p := &Package{Name: m.name, Data: m.data, JSON: c.raw(), Chunks: m.box.more}
	for i, b := range m.doc.Buffers {
		s := &r.buffers[i]
		one := Buffer{Data: s.data, Beside: m.doc.data[i] == nil && b.URI != ""}
		if s.fault != nil {
			one = Buffer{Missing: s.fault.Error()}
		} else if n := b.ByteLength; n > len(s.data) && n-len(s.data) <= 3 { // padding that was not written
			one.Data = append(slices.Clone(s.data), make([]byte, n-len(s.data))...)
		}
		p.Buffers = append(p.Buffers, one)
	}
	for i := range m.doc.BufferViews {
		packed, is, err := r.stream(i)
		if !is || err != nil {
			continue
		}
		if data, err := r.unpackView(i, packed); err == nil { // else it stays, and is told by the reader
			p.Unpacked = append(p.Unpacked, Unpacked{i, packed.by, data})
		}
	}
	r.shapes(p)
	for i, img := range m.doc.Images {
		var one Picture
		if img.URI != "" && m.doc.pictures[i].data == nil && m.doc.pictures[i].odd == "" {
			if data, _, err := s.find(m, img.URI); err == nil {
				if one.MIME = pictureKind(data); one.MIME != "" {
					one.Data = data
				}
			}
		}
		p.Pictures = append(p.Pictures, one)
	}
	return p, nil
}

// pictureKind tells the kind of a picture by its first bytes; "" where it is none.
func pictureKind(b []byte) string {
	switch {
	case bytes.HasPrefix(b, []byte("\x89PNG\r\n\x1a\n")):
		return "image/png"
	case bytes.HasPrefix(b, []byte{0xFF, 0xD8, 0xFF}):
		return "image/jpeg"
	case len(b) > 12 && string(b[:4]) == "RIFF" && string(b[8:12]) == "WEBP":
		return "image/webp"
	case bytes.HasPrefix(b, []byte("\xABKTX 20\xBB\r\n\x1A\n")):
		return "image/ktx2"
	}
	return ""
}
