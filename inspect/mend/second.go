package mend

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"strconv"
	"strings"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
)

// Capture puts motion capture at hand: its joints as a document, the rig as it was read, so
// that a clip is carried over from the same numbers as the command line takes. data are the
// file's own bytes.
func Capture(r *rig.Rig, data []byte) (*State, error) {
	bare, err := original.Bare(r, r.Clips)
	if err != nil {
		return nil, err
	}
	d, err := original.Open([]gltfio.File{{Name: r.File.Name, Data: bare}})
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(data)
	return &State{Doc: d, Bytes: bare, Rig: r, capture: hex.EncodeToString(sum[:])}, nil
}

// named is the name of a file and its hash, in hexadecimal digits.
func (s *State) named() (name, sha string) {
	if s.capture != "" {
		return s.Rig.File.Name, s.capture
	}
	name, sha, _ = s.Doc.Source()
	return name, sha
}

// FileValue is the value of a File parameter: which second file, by name and hash. The hash
// counts where a file has it; else the name does.
func FileValue(name, sha string) map[string]string {
	v := map[string]string{"name": name}
	if sha != "" {
		v["sha256"] = sha
	}
	return v
}

// Beside puts other files at hand, for mends that take something from one; all states that
// are made of this one have them, too.
func (s *State) Beside(others ...*State) { s.beside = append(s.beside, others...) }

// Beside puts another file at hand for all states of the slip, in the place of the one that
// has its name.
func (s *Slip) Beside(other *State) {
	put := func(x *State) {
		name, _ := other.named()
		x.beside = append(slices.DeleteFunc(slices.Clone(x.beside), func(b *State) bool { was, _ := b.named(); return was == name }), other)
	}
	put(s.start)
	if s.now != s.start {
		put(s.now)
	}
	for i := range s.steps {
		if x := s.steps[i].state; x != nil && x != s.now && x != s.start {
			put(x)
		}
	}
}

// Second is a file at hand as programs read it.
type Second struct {
	Name     string          `json:"name"`
	SHA256   string          `json:"sha256"`
	Surfaces []SecondSurface `json:"surfaces"`
	Clips    []SecondClip    `json:"clips"`
}

// SecondClip is a clip that can be carried over.
type SecondClip struct {
	Name    string  `json:"name"`  // of the file's own; "": it has none
	Named   string  `json:"named"` // as a step names it
	Start   float64 `json:"start"`
	Seconds float64 `json:"seconds"` // the last keyframe
}

// SecondSurface is what can be taken from it.
type SecondSurface struct {
	Name      string `json:"name"` // as a step names it
	Vertices  int    `json:"vertices"`
	Triangles int    `json:"triangles"`
	Body      bool   `json:"body"` // of the figure itself, not gear
	Worn      bool   `json:"worn"` // gear, or what lies close over another surface: proposed as what is to be taken
}

// Second tells what can be taken from a file.
func (s *State) Second() *Second {
	name, sha := s.named()
	out := &Second{name, sha, []SecondSurface{}, []SecondClip{}}
	for i := range s.Rig.Clips {
		c := &s.Rig.Clips[i]
		named := c.Name
		if k, err := findClip(s.Rig, named); named == "" || err != nil || k != rig.Clip(i) {
			named = strconv.Itoa(i)
		}
		out.Clips = append(out.Clips, SecondClip{c.Name, named, c.Start, c.Seconds})
	}
	e := s.looked()
	worn := worn(e)
	for i, x := range s.Rig.Surfaces {
		m := &s.Rig.Meshes[x.Mesh]
		out.Surfaces = append(out.Surfaces, SecondSurface{surfaceName(s.Rig, i), m.Vertices(), len(m.Triangles) / 3, e.IsBody(i), worn[i]})
	}
	return out
}

// Seconds are the files at hand.
func (s *State) Seconds() []*State { return s.beside }

// second answers the file that a value names: by its hash, else by its name, else, where
// none is named, the only one there is. same tells that it is the very file that was meant.
func (s *State) second(v map[string]string) (found *State, same bool) {
	for _, b := range s.beside {
		if _, sha := b.named(); sha == v["sha256"] {
			return b, true
		}
	}
	for _, b := range s.beside {
		if name, _ := b.named(); name != "" && name == v["name"] {
			return b, v["sha256"] == ""
		}
	}
	if v["name"] == "" && v["sha256"] == "" && len(s.beside) == 1 {
		return s.beside[0], true
	}
	return nil, false
}

// resolve fills in name and hash of the files at hand, so that a plan tells them.
func (s *State) resolve(m *Mend, v Values) {
	for _, p := range m.Parameters {
		if p.Kind != File {
			continue
		}
		given := v.Pairs(p.Name)
		if b, same := s.second(given); b != nil && same {
			name, sha := b.named()
			v[p.Name] = FileValue(name, sha)
		}
	}
}

// second answers the file that a parameter names, or refuses in words.
func (w *Work) second(parameter string) (*State, error) {
	v := w.Values.Pairs(parameter)
	b, same := w.before.second(v)
	switch {
	case b == nil && v["name"] != "":
		return nil, w.Refuse("The second file, %q, is not at hand: give it, too.", v["name"])
	case b == nil && len(w.before.beside) > 1:
		var names []string
		for _, x := range w.before.beside {
			name, _ := x.named()
			names = append(names, "“"+name+"”")
		}
		return nil, w.Refuse("There are several files to take from: %s. Say which.", exam.Listed(names))
	case b == nil:
		return nil, w.Refuse("There is no second file to take from: give it, too.")
	case !same:
		w.Say("%q is not the file that this was planned with: its bytes differ (SHA-256 %s…).", v["name"], strings.ToLower(hashOf(b))[:8])
	}
	return b, nil
}

func hashOf(s *State) string { _, sha := s.named(); return sha }

// looked answers the shared values of the figure, worked out once.
func (s *State) looked() *exam.Exam {
	if s.result != nil {
		return s.result.Exam
	}
	if s.exam == nil {
		s.exam = exam.New(s.Rig)
	}
	return s.exam
}
