package mend

import (
	"slices"
	"strings"

	"rigloupe/inspect/exam"
)

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
		name, _, _ := other.Doc.Source()
		x.beside = append(slices.DeleteFunc(slices.Clone(x.beside), func(b *State) bool { was, _, _ := b.Doc.Source(); return was == name }), other)
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
}

// SecondSurface is what can be taken from it.
type SecondSurface struct {
	Name      string `json:"name"` // as a step names it
	Vertices  int    `json:"vertices"`
	Triangles int    `json:"triangles"`
	Body      bool   `json:"body"` // of the figure itself, not what it wears or holds
}

// Second tells what can be taken from a file.
func (s *State) Second() *Second {
	name, sha, _ := s.Doc.Source()
	out := &Second{name, sha, []SecondSurface{}}
	e := s.looked()
	for i, x := range s.Rig.Surfaces {
		m := &s.Rig.Meshes[x.Mesh]
		out.Surfaces = append(out.Surfaces, SecondSurface{surfaceName(s.Rig, i), m.Vertices(), len(m.Triangles) / 3, e.IsBody(i)})
	}
	return out
}

// Seconds are the files at hand.
func (s *State) Seconds() []*State { return s.beside }

// second answers the file that a value names: by its hash, else by its name, else, where
// none is named, the only one there is. same tells that it is the very file that was meant.
func (s *State) second(v map[string]string) (found *State, same bool) {
	for _, b := range s.beside {
		if _, sha, _ := b.Doc.Source(); sha == v["sha256"] {
			return b, true
		}
	}
	for _, b := range s.beside {
		if name, _, _ := b.Doc.Source(); name != "" && name == v["name"] {
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
			name, sha, _ := b.Doc.Source()
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
			name, _, _ := x.Doc.Source()
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

func hashOf(s *State) string { _, sha, _ := s.Doc.Source(); return sha }

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
