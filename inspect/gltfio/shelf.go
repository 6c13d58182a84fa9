package gltfio

import (
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"rigloupe/inspect/ceiling"
)

// shelf is where a model and its side files are looked for: the files handed over,
// a zip's entries or a folder. Names are as given, with / between folders.
type shelf struct {
	main    *main                             // already known, else chosen among names
	names   []string                          // all there is; nil for a folder, which lists on demand
	list    func(dir string) []string         // names in one folder of the shelf
	read    func(name string) ([]byte, error) // an entry of names
	used    map[string]bool                   // names that were read
	found   *index
	remarks []string
	memory  int64                  // Options.Memory, 0: the usual
	honest  func(size int64) int64 // of a zip: how many of size bytes count; see budget
}

// counts is how many of so many bytes count as handed over.
func (s *shelf) counts(size int64) int64 {
	if s.honest != nil {
		return s.honest(size)
	}
	return size
}

// main is the file that holds the model.
type main struct {
	name string // as handed over
	dir  string // folder of the shelf that side files are looked for in
	data []byte
	box  *container
	doc  *document
}

func tidy(name string) string {
	return strings.TrimPrefix(path.Clean(strings.ReplaceAll(name, `\`, "/")), "/")
}

func memoryShelf(files []File) (*shelf, error) {
	var zips []File
	models := 0
	for _, f := range files {
		if isZip(f.Data) {
			zips = append(zips, f)
		} else if isModelName(f.Name) || isGLB(f.Data) {
			models++
		}
	}
	if models == 0 && len(zips) == 1 {
		beside := slices.DeleteFunc(slices.Clone(files), func(f File) bool { return isZip(f.Data) })
		return zipShelf(zips[0], beside)
	}
	if models == 0 && len(zips) > 1 {
		return nil, &Refused{File: zips[0].Name, What: fmt.Sprintf("one of %d zips", len(zips)), Hint: "drop one zip at a time"}
	}
	s := &shelf{used: map[string]bool{}}
	byName := map[string]int{}
	for i, f := range files {
		name := tidy(f.Name)
		if _, twice := byName[name]; twice {
			continue
		}
		byName[name] = i
		s.names = append(s.names, name)
	}
	s.read = func(name string) ([]byte, error) {
		i, ok := byName[name]
		if !ok {
			return nil, fs.ErrNotExist
		}
		return files[i].Data, nil
	}
	if len(files) == 1 { // whatever its name, it is meant
		s.main = &main{name: files[0].Name, dir: path.Dir(s.names[0]), data: files[0].Data}
		s.used[s.names[0]] = true
	}
	return s, nil
}

func folderShelf(fsys fs.FS, name string, data []byte) *shelf {
	return &shelf{
		main: &main{name: name, dir: ".", data: data},
		used: map[string]bool{name: true},
		read: func(name string) ([]byte, error) {
			if !fs.ValidPath(name) {
				return nil, fs.ErrNotExist
			}
			return fs.ReadFile(fsys, name)
		},
		list: func(dir string) []string {
			entries, _ := fs.ReadDir(fsys, dir)
			names := make([]string, 0, len(entries))
			for _, e := range entries {
				names = append(names, path.Join(dir, e.Name()))
			}
			return names
		},
	}
}

// wholeFolder puts all files of a folder on the shelf, as if they were dropped.
func wholeFolder(fsys fs.FS) *shelf {
	s := &shelf{used: map[string]bool{}, read: func(name string) ([]byte, error) { return fs.ReadFile(fsys, name) }}
	fs.WalkDir(fsys, ".", func(name string, e fs.DirEntry, err error) error {
		switch {
		case len(s.names) >= ceiling.Folder: // one that was named by mistake ends somewhere
			return fs.SkipAll
		case err != nil || e.IsDir() && name != "." && (isHidden(name) || strings.Count(name, "/") > 4):
			return fs.SkipDir
		case e.Type().IsRegular():
			s.names = append(s.names, name)
		}
		return nil
	})
	return s
}

func isModelName(name string) bool {
	switch strings.ToLower(path.Ext(name)) {
	case ".glb", ".gltf", ".vrm":
		return true
	}
	return false
}

// model chooses the file that holds the model and decodes its JSON. Of several,
// the only one with a mesh or a skin is taken, and that is said.
func (s *shelf) model() (*main, error) {
	if s.main != nil {
		return s.main, s.open(s.main)
	}
	var found []*main
	for _, n := range s.names {
		if isModelName(n) && !isHidden(n) {
			found = append(found, &main{name: n, dir: path.Dir(n)})
		}
	}
	if len(found) == 0 {
		for _, n := range s.names[:min(len(s.names), 200)] { // a GLB under another name
			if data, err := s.read(n); err == nil && isGLB(data) {
				found = append(found, &main{name: n, dir: path.Dir(n)})
			}
		}
	}
	switch len(found) {
	case 0:
		return nil, &Refused{File: s.first(), What: "no model among " + listing(s.names),
			Hint: aModel}
	case 1:
		return found[0], s.load(found[0])
	}
	var models []*main
	names := make([]string, len(found))
	for i, m := range found {
		names[i] = m.name
		if s.load(m) == nil && (len(m.doc.Meshes) > 0 || len(m.doc.Skins) > 0) {
			models = append(models, m)
		}
	}
	if len(models) != 1 {
		return nil, &Refused{File: found[0].name, What: fmt.Sprintf("one of %d models: %s", len(found), listing(names)),
			Hint: "drop one model at a time, with its own files"}
	}
	s.remarks = append(s.remarks, fmt.Sprintf("of %s only %s holds a mesh; it was read", listing(names), quote(models[0].name)))
	return models[0], nil
}

func (s *shelf) first() string {
	if len(s.names) == 0 {
		return ""
	}
	return s.names[0]
}

func (s *shelf) load(m *main) (err error) {
	if m.data, err = s.read(m.name); err != nil {
		return &Refused{File: m.name, What: "cannot be read: " + reason(err), Hint: "copy or pack it again"}
	}
	s.used[m.name] = true
	return s.open(m)
}

func (s *shelf) open(m *main) (err error) {
	if m.doc != nil {
		return nil
	}
	if m.box, err = unpack(m.name, m.data); err != nil {
		return err
	}
	memoryLeft := s.memory
	if memoryLeft <= 0 {
		memoryLeft = ceiling.Memory
	}
	m.doc, err = m.box.document(m.name, room(s.counts(int64(len(m.data))), memoryLeft))
	return err
}

// strays says which files nobody asked for.
func (s *shelf) strays() {
	var left []string
	for _, n := range s.names {
		if !s.used[n] && !isHidden(n) {
			left = append(left, n)
		}
	}
	if len(left) > 0 {
		s.remarks = append(s.remarks, "not used by the model, ignored: "+listing(left))
	}
}

// isHidden tells the files that systems leave in folders and zips by themselves.
func isHidden(name string) bool {
	return strings.HasPrefix(path.Base(name), ".") || slices.Contains(strings.Split(name, "/"), "__MACOSX") ||
		strings.EqualFold(path.Base(name), "Thumbs.db") || strings.EqualFold(path.Base(name), "desktop.ini")
}

// listing quotes names, the first eight of them.
func listing(names []string) string {
	out := make([]string, 0, 9)
	for i, n := range names {
		if i == 8 {
			out = append(out, fmt.Sprintf("and %d more", len(names)-i))
			break
		}
		out = append(out, quote(n))
	}
	return strings.Join(out, ", ")
}
