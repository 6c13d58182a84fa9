// Package bvh reads and writes BVH, the text format of motion capture: a tree of
// joints and one movement of it.
//
// The format has no standard. What stands here is what its files share: offsets
// are the rest pose, all joint axes parallel to the world's; angles are degrees;
// the first rotation channel named is the outermost (column vectors, "Zrotation
// Xrotation Yrotation" is Rz·Rx·Ry); a joint's own rotation moves what hangs on it.
// Units are not stated and are kept as stored. Files are read as leniently as they
// can be read without guessing at numbers; everything read around is listed in
// rig.Malformed with its line, every choice in rig.Remarks.
package bvh

import (
	"bytes"
	"fmt"
	"path"
	"strings"
	"unicode/utf8"

	"rigloupe/inspect/ceiling"
	"rigloupe/inspect/rig"
)

// Refused says why a file cannot be read.
type Refused struct {
	File string // as handed over
	Line int    // from 1; 0: the whole file
	What string // what is wrong
	Hint string // what to do
}

func (e *Refused) Error() string {
	s := ""
	if e.File != "" {
		s = fmt.Sprintf("%q: ", e.File)
	}
	if e.Line > 0 {
		s += fmt.Sprintf("line %d: ", e.Line)
	}
	s += e.What
	if e.Hint != "" {
		s += "; " + e.Hint
	}
	return s
}

// Is tells whether bytes look like a BVH file: the word HIERARCHY comes first.
func Is(data []byte) bool {
	s := &scanner{data: bytes.TrimPrefix(data, []byte{0xEF, 0xBB, 0xBF}), line: 1} // newScanner looks through all of it
	return strings.EqualFold(s.word(), "hierarchy")
}

// Read answers a BVH file as a rig without surfaces: one node a joint and a node for
// each end site, called after its joint, with offsets as translations in the file's
// own unit; and one clip, named after the file, that holds the movement. A file
// without MOTION, or without a complete row, has no clip. Errors are *Refused.
func Read(name string, data []byte) (r *rig.Rig, err error) {
	defer func() {
		if p := recover(); p != nil {
			r, err = nil, &Refused{File: name, What: fmt.Sprintf("the reader failed on this file: %v", p),
				Hint: "this is a fault of the reader; please report it with the file"}
		}
	}()
	f := &file{name: name, scanner: newScanner(data)}
	if err := f.check(data); err != nil {
		return nil, err
	}
	if !utf8.Valid(data) {
		at := 0
		for at < len(data) {
			if r, n := utf8.DecodeRune(data[at:]); r != utf8.RuneError || n > 1 {
				at += n
				continue
			}
			break
		}
		f.remark("line %d is not UTF-8; letters that cannot be read are shown as \uFFFD", 1+bytes.Count(data[:at], []byte{'\n'}))
	}
	if err := f.hierarchy(); err != nil {
		return nil, err
	}
	r = f.skeleton(int64(len(data)))
	if err := f.motion(r); err != nil {
		return nil, err
	}
	r.Malformed, r.Remarks = f.malformed, f.remarks
	r.CutNames()
	if more := f.more; more > 0 {
		r.Remarks = append(r.Remarks, fmt.Sprintf("%d more places were read around", more))
	}
	return r, nil
}

// file is one file while it is read.
type file struct {
	name      string
	scanner   *scanner
	joints    []joint
	columns   int
	hasMotion bool
	malformed []rig.Malformed
	more      int
	remarks   []string
}

func (f *file) check(data []byte) error {
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return &Refused{File: f.name, What: "the file is empty", Hint: "fetch it again and compare its size with the sender's"}
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}), bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		return &Refused{File: f.name, What: "the text is in UTF-16", Hint: "save it as UTF-8 or plain ASCII"}
	case bytes.IndexByte(data[:min(len(data), 4096)], 0) >= 0:
		return &Refused{File: f.name, What: "this is no text but binary data", Hint: "a BVH file begins with the word HIERARCHY"}
	}
	return nil
}

func (f *file) refuse(line int, hint, what string, args ...any) error {
	return &Refused{File: f.name, Line: line, What: fmt.Sprintf(what, args...), Hint: hint}
}

// around lists what was read around.
func (f *file) around(line int, node int, what string, args ...any) {
	if len(f.malformed) >= ceiling.CaptureMalformed {
		f.more++
		return
	}
	place := "the whole file"
	if line > 0 {
		place = fmt.Sprintf("line %d", line)
	}
	f.malformed = append(f.malformed, rig.Malformed{
		Place: place, What: fmt.Sprintf(what, args...),
		Node: rig.Node(node), Mesh: rig.None, Skin: rig.None, Clip: rig.None,
	})
}

func (f *file) remark(what string, args ...any) {
	f.remarks = append(f.remarks, fmt.Sprintf(what, args...))
}

// skeleton makes the rig: the offsets alone are the rest pose.
func (f *file) skeleton(size int64) *rig.Rig {
	r := &rig.Rig{
		File:  rig.File{Name: f.name, Bytes: size, Kind: "bvh"},
		Nodes: make([]rig.NodeData, len(f.joints)),
	}
	scene := rig.Scene{}
	for i := range f.joints {
		j, n := &f.joints[i], &r.Nodes[i]
		*n = rig.NodeData{
			Name: j.name, EndSite: j.end, Parent: rig.Node(j.parent), Mesh: rig.None, Skin: rig.None,
			TRS: rig.TRS{T: j.offset, R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}},
		}
		n.Matrix = n.TRS.Affine()
		if j.parent >= 0 {
			up := &r.Nodes[j.parent]
			up.Children = append(up.Children, rig.Node(i))
		} else {
			scene.Roots = append(scene.Roots, rig.Node(i))
		}
	}
	r.Scenes = []rig.Scene{scene}
	r.SetOrder()
	return r
}

// clipName is the file's name without folders and ending.
func clipName(name string) string {
	name = path.Base(strings.ReplaceAll(name, `\`, "/"))
	if ext := path.Ext(name); strings.EqualFold(ext, ".bvh") {
		name = strings.TrimSuffix(name, ext)
	}
	if name == "" || name == "." || name == "/" {
		return "motion"
	}
	return name
}
