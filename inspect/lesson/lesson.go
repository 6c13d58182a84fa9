// Package lesson teaches with the figure on the desk: a lesson is one data file with one
// idea, one thing to do and one to notice, and names the numbers that go with it. The
// numbers are measured here, on whatever figure is open, where its dial stands.
package lesson

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"io/fs"
	"slices"
	"strings"
)

// Lesson is one data file.
type Lesson struct {
	ID      string   `json:"id"` // one word, as links name it
	Title   string   `json:"title"`
	Idea    string   `json:"idea"`
	Do      string   `json:"do"`
	Notice  string   `json:"notice"`
	Source  string   `json:"source"`
	Dial    Dial     `json:"dial"`
	Vertex  string   `json:"vertex" wire:"'shared' | 'held' | ''"` // that is followed: shared by the joint of the dial and others most evenly, held by it alone, none
	Stage   Stage    `json:"stage"`
	Formula bool     `json:"formula"`          // the sum of the vertex is written out
	Sample  string   `json:"sample,omitempty"` // fault of the sample that shows it, as lamplighter names it; "": the sample as it is does
	Numbers []string `json:"numbers"`          // names of Measures, in the order shown
}

// Dial is what a person turns: a joint about an axis, the moment of a clip, or the
// distance of a weld. One of the three.
type Dial struct {
	Turn string   `json:"turn,omitempty" wire:"'flexion' | 'abduction' | 'rotation'"`
	Of   []string `json:"of,omitempty"` // roles; the first whose joint can be turned so
	Time bool     `json:"time,omitempty"`
	Weld bool     `json:"weld,omitempty"`
	At   float64  `json:"at"` // where it stands first: degrees, share of the clip, step
}

// Stage is how the figure is shown.
type Stage struct {
	Lens   string `json:"lens"`
	Method string `json:"method" wire:"'linear' | 'dual' | 'both'"`
	From   string `json:"from,omitempty"`
}

//go:embed lessons/*.json
var files embed.FS

// All are the lessons of this program, in the order of their file names.
func All() []Lesson {
	dir, err := fs.Sub(files, "lessons")
	if err != nil {
		panic(err)
	}
	all, err := Read(dir)
	if err != nil {
		panic(err) // our own file; a test reads it
	}
	return all
}

// Read reads every .json of a folder as a lesson, in the order of their names. An error
// names the file and what is wrong in it.
func Read(dir fs.FS) ([]Lesson, error) {
	names, err := fs.Glob(dir, "*.json")
	if err != nil {
		return nil, err
	}
	slices.Sort(names)
	var all []Lesson
	for _, name := range names {
		data, err := fs.ReadFile(dir, name)
		if err != nil {
			return nil, err
		}
		l, err := parse(data)
		if err == nil && slices.ContainsFunc(all, func(x Lesson) bool { return x.ID == l.ID }) {
			err = fmt.Errorf("another lesson has the id %q", l.ID)
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		all = append(all, l)
	}
	return all, nil
}

func parse(data []byte) (l Lesson, err error) {
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&l); err != nil {
		return l, err
	}
	return l, l.check()
}

// check says what keeps a lesson from being taught.
func (l *Lesson) check() error {
	for name, text := range map[string]string{"id": l.ID, "title": l.Title, "idea": l.Idea, "do": l.Do, "notice": l.Notice, "source": l.Source} {
		if strings.TrimSpace(text) == "" {
			return fmt.Errorf("%s is empty", name)
		}
	}
	if strings.ContainsAny(l.ID, " &=#") {
		return fmt.Errorf("id %q: want one word, since links name it", l.ID)
	}
	kinds := 0
	for _, is := range []bool{l.Dial.Turn != "", l.Dial.Time, l.Dial.Weld} {
		if is {
			kinds++
		}
	}
	switch {
	case kinds != 1:
		return fmt.Errorf("dial: want one of turn, time and weld")
	case l.Dial.Turn != "" && !slices.Contains([]string{"flexion", "abduction", "rotation"}, l.Dial.Turn):
		return fmt.Errorf("dial turns by %q: want flexion, abduction or rotation", l.Dial.Turn)
	case !slices.Contains([]string{"", "shared", "held"}, l.Vertex):
		return fmt.Errorf("vertex %q: want shared, held or none", l.Vertex)
	case l.Vertex != "" && l.Dial.Turn == "":
		return fmt.Errorf("a vertex is followed with a dial that turns a joint")
	case l.Formula && l.Vertex == "":
		return fmt.Errorf("the sum of which vertex is written out is not said")
	case !slices.Contains([]string{"linear", "dual", "both"}, l.Stage.Method):
		return fmt.Errorf("method %q: want linear, dual or both", l.Stage.Method)
	case len(l.Numbers) == 0:
		return fmt.Errorf("no number goes with it")
	}
	for _, n := range l.Numbers {
		if measureOf(n) == nil {
			return fmt.Errorf("there is no number %q; there are %s", n, strings.Join(Measures(), ", "))
		}
	}
	return nil
}

// Named is the lesson with an id.
func Named(all []Lesson, id string) (*Lesson, error) {
	var ids []string
	for i := range all {
		if all[i].ID == id {
			return &all[i], nil
		}
		ids = append(ids, all[i].ID)
	}
	return nil, fmt.Errorf("there is no lesson %q; there are %s", id, strings.Join(ids, ", "))
}
