// Package desk opens and saves for both drivers, the command line and the examiner of
// the page: which of the files that were handed over is the model, what it is read as,
// the built-in figure and its options, and what was carried over as a whole file. Bytes
// in, bytes out: files and messages are the drivers' own.
package desk

import (
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/draco"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
)

// Source is a model with what lies beside it: files in memory, or one in a folder that
// is read when it is asked for.
type Source struct {
	files []gltfio.File
	dir   fs.FS
	name  string // of the model in dir

	// Memory bounds what the numbers of a model may take when decoded, bytes; 0: no bound.
	Memory int64

	// Draco begins the decoder of packed shapes; nil: there is none.
	Draco draco.Start
}

// Files are some that were handed over together.
func Files(files ...gltfio.File) *Source { return &Source{files: files} }

// In is a file in a folder; its side files are found beside it and never outside dir.
func In(dir fs.FS, name string) *Source { return &Source{dir: dir, name: name} }

// IsModel tells that a file bears the name of one that can be opened by itself.
func IsModel(name string) bool {
	switch strings.ToLower(path.Ext(name)) {
	case ".glb", ".gltf", ".vrm", ".bvh":
		return true
	}
	return false
}

// Open reads the model: motion capture where a file is called so or begins so, and no
// glTF is among the others; glTF else. An error names the file and says what to do.
func (s *Source) Open() (*rig.Rig, error) {
	if s.dir != nil {
		if data, is := capture(s.dir, s.name); is {
			return readCapture(s.name, data)
		}
		return gltfio.ReadFS(s.dir, s.name, s.options())
	}
	model := slices.ContainsFunc(s.files, func(f gltfio.File) bool {
		switch strings.ToLower(path.Ext(f.Name)) {
		case ".glb", ".gltf", ".vrm", ".zip":
			return !bvh.Is(f.Data)
		}
		return false
	})
	for i := range s.files {
		if f := &s.files[i]; !model && (bvh.Is(f.Data) || strings.EqualFold(path.Ext(f.Name), ".bvh")) {
			return readCapture(f.Name, f.Data)
		}
	}
	return gltfio.Read(s.files, s.options())
}

func (s *Source) options() gltfio.Options { return gltfio.Options{Memory: s.Memory, Draco: s.Draco} }

// Original opens the model's own file, to be edited. Motion capture is none.
func (s *Source) Original() (*original.Document, error) {
	if s.dir != nil {
		if _, is := capture(s.dir, s.name); is {
			return nil, fmt.Errorf("%q is motion capture: it holds no figure to mend", s.name)
		}
		return original.OpenFS(s.dir, s.name, s.options())
	}
	if len(s.files) == 1 && bvh.Is(s.files[0].Data) {
		return nil, fmt.Errorf("%q is motion capture: it holds no figure to mend", s.files[0].Name)
	}
	return original.OpenBy(s.files, s.options())
}

// Second opens a model for a mend that takes from it: a part, or clips of motion capture.
func (s *Source) Second() (*mend.State, error) {
	data, is := []byte(nil), false
	switch {
	case s.dir != nil:
		data, is = capture(s.dir, s.name)
	case len(s.files) == 1 && (bvh.Is(s.files[0].Data) || strings.EqualFold(path.Ext(s.files[0].Name), ".bvh")):
		data, is = s.files[0].Data, true
	}
	if is {
		data = slices.Clone(data) // what reads it may not keep it
		r, err := s.Open()
		if err != nil {
			return nil, err
		}
		return mend.Capture(r, data)
	}
	d, err := s.Original()
	if err != nil {
		return nil, err
	}
	return mend.Open(d)
}

// readCapture reads motion capture; what only bears its name is called what it is.
func readCapture(name string, data []byte) (*rig.Rig, error) {
	if says, hint := gltfio.OtherType(data); says != "" && !bvh.Is(data) {
		return nil, &bvh.Refused{File: name, What: "this is " + says + ", no motion capture", Hint: hint}
	}
	return bvh.Read(name, data)
}

// appended is the model as one GLB with clips behind its own.
func (s *Source) appended(clips []rig.ClipData) ([]byte, error) {
	d, err := s.Original()
	if err != nil {
		return nil, err
	}
	return d.WithClips(clips)
}

// headBytes is how much of a file tells whether it is motion capture: its first word, with
// room for what may stand before that.
const headBytes = 512

// capture answers the bytes of a file of motion capture: told by its ending, else by its
// first word, so that a large model is not read twice.
func capture(dir fs.FS, name string) ([]byte, bool) {
	f, err := dir.Open(name)
	if err != nil {
		return nil, false // said by the other reader
	}
	defer f.Close()
	if !strings.EqualFold(path.Ext(name), ".bvh") {
		head := make([]byte, headBytes)
		n := 0
		for n < len(head) {
			k, err := f.Read(head[n:])
			if n += k; err != nil || k == 0 {
				break
			}
		}
		if !bvh.Is(head[:n]) {
			return nil, false
		}
	}
	data, err := fs.ReadFile(dir, name)
	return data, err == nil
}
