// Package compare sets two examinations of what should be one figure side by side: what is
// gone, what is new, what is better or worse, and how the figure itself changed.
package compare

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

// Side is one examination, as far as it is compared.
type Side struct {
	File     string
	Findings []Finding
	Counts   []Count
	Partial  []Station // those that did not run: what they would find is not known
}

// Finding is a finding of one side.
type Finding struct {
	Number  int     `json:"number"`
	ID      string  `json:"id"`
	Grade   string  `json:"grade"`
	Title   string  `json:"title"`
	Subject string  `json:"subject"`
	Says    string  `json:"says"` // its first measure in words; "": it has none
	Figure  *string `json:"figure"`

	value *float64
	below bool
	place string // joints in the order of their names and the move, where it has joints
}

// Station is one by name and title.
type Station struct{ Name, Title string }

// Count is a figure of the file itself.
type Count struct {
	Name  string
	Value float64
	Unit  say.Unit
}

// Of takes a side from an examination.
func Of(r *inspect.Result) (*Side, error) {
	var b bytes.Buffer
	if err := r.WriteJSON(&b, false); err != nil {
		return nil, err
	}
	return Read(b.Bytes())
}

// Read takes a side from a document that examine --json wrote: its first line, or the
// line of the file that is named, where name is not empty and the document has several.
func Read(data []byte, name ...string) (*Side, error) {
	var first *Side
	for n, text := range bytes.Split(bytes.TrimSpace(data), []byte("\n")) {
		s, err := read(text)
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", n+1, err)
		}
		if first == nil {
			first = s
		}
		if slices.Contains(name, s.File) {
			return s, nil
		}
	}
	return first, nil
}

func read(text []byte) (*Side, error) {
	var d struct {
		Facts int
		Error string
		File  struct{ Name string }

		Findings []struct {
			Finding
			Measures []struct {
				Value *float64
				Says  string
				Below bool
			}
			Where struct {
				Joints []struct {
					Node int
					Name string
				}
				Move *struct{ Axis string }
			}
		}
		Stations []struct{ Name, Title, State string }
		FactsOf  struct {
			Intake *struct {
				Vertices, Triangles, Joints, Clips int
				Height                             float64 `json:"body_height"`
			}
		} `json:"facts_of"`
	}
	if err := json.Unmarshal(text, &d); err != nil {
		return nil, fmt.Errorf("no examination saved as JSON: %w", err)
	}
	switch {
	case d.Error != "":
		return nil, fmt.Errorf("the file was not read then: %s", d.Error)
	case d.Facts == 0:
		return nil, fmt.Errorf(`no examination saved as JSON: "facts" is missing`)
	case d.Facts != inspect.FactsVersion:
		return nil, fmt.Errorf("facts version %d, this program reads %d: examine the file anew", d.Facts, inspect.FactsVersion)
	}
	s := &Side{File: d.File.Name}
	for _, f := range d.Findings {
		if len(f.Measures) > 0 {
			m := f.Measures[0]
			f.Finding.Says, f.Finding.value, f.Finding.below = m.Says, m.Value, m.Below
		}
		var joints []string
		for _, j := range f.Where.Joints {
			joints = append(joints, cmp.Or(j.Name, fmt.Sprint(j.Node)))
		}
		if slices.Sort(joints); joints != nil {
			f.Finding.place = strings.Join(joints, "\n")
			if f.Where.Move != nil {
				f.Finding.place += "\n" + f.Where.Move.Axis
			}
		}
		s.Findings = append(s.Findings, f.Finding)
	}
	for _, st := range d.Stations {
		if st.State != "done" {
			s.Partial = append(s.Partial, Station{st.Name, st.Title})
		}
	}
	if f := d.FactsOf.Intake; f != nil {
		s.Counts = []Count{
			{"vertices", float64(f.Vertices), say.Vertices}, {"triangles", float64(f.Triangles), say.Triangles},
			{"joints", float64(f.Joints), say.Joints}, {"clips", float64(f.Clips), say.Clips}, {"height", f.Height, say.Metre},
		}
	}
	return s, nil
}

// Report is what changed from the old to the new side.
type Report struct {
	Old     string    `json:"old"`
	New     string    `json:"new"`
	Says    string    `json:"says"`
	Gone    []Finding `json:"gone"`
	Fresh   []Finding `json:"fresh"` // of the new side, without a partner in the old
	Worse   []Pair    `json:"worse"`
	Better  []Pair    `json:"better"`
	Same    []Pair    `json:"same"`
	Counts  []Change  `json:"counts"`  // of the file itself, those that differ as they are said as they are said
	Unknown []string  `json:"unknown"` // stations that did not run on one side: nothing is told of what they find
}

// Pair is one finding on both sides.
type Pair struct {
	Was Finding `json:"was"`
	Is  Finding `json:"is"`
}

// Change is one figure of the file, in words.
type Change struct {
	Name string `json:"name"`
	Was  string `json:"was"`
	Is   string `json:"is"`
}

// Between compares two sides. A finding is the same one when check, figure and subject
// agree; else where it has the same joints in the same move; else, where one check has but
// one left on either side, those two (its subject may hold a count).
func Between(old, new *Side) *Report {
	r := &Report{
		Old: old.File, New: new.File, Gone: []Finding{}, Fresh: []Finding{}, Worse: []Pair{}, Better: []Pair{}, Same: []Pair{},
		Counts: []Change{}, Unknown: []string{},
	}
	var unknown []string
	for _, s := range append(slices.Clone(old.Partial), new.Partial...) {
		if !slices.Contains(unknown, s.Name+"/") {
			unknown = append(unknown, s.Name+"/")
			r.Unknown = append(r.Unknown, s.Title)
		}
	}
	known := func(list []Finding) []Finding {
		return slices.DeleteFunc(slices.Clone(list), func(f Finding) bool {
			return slices.ContainsFunc(unknown, func(station string) bool { return strings.HasPrefix(f.ID, station) })
		})
	}
	left := known(old.Findings)
	take := func(is func(Finding) bool) (Finding, bool) {
		at := slices.IndexFunc(left, is)
		if at < 0 {
			return Finding{}, false
		}
		f := left[at]
		left = slices.Delete(left, at, at+1)
		return f, true
	}
	var others, rest []Finding
	for _, f := range known(new.Findings) {
		if was, ok := take(func(o Finding) bool { return o.about() == f.about() && o.Subject == f.Subject }); ok {
			r.pair(was, f)
		} else {
			others = append(others, f)
		}
	}
	for _, f := range others {
		if was, ok := take(func(o Finding) bool { return o.about() == f.about() && f.place != "" && o.place == f.place }); ok {
			r.pair(was, f)
		} else {
			rest = append(rest, f)
		}
	}
	for _, f := range rest {
		alike := func(o Finding) bool { return o.about() == f.about() }
		if count(left, alike) == 1 && count(rest, alike) == 1 {
			was, _ := take(alike)
			r.pair(was, f)
		} else {
			r.Fresh = append(r.Fresh, f)
		}
	}
	r.Gone = append(r.Gone, left...)
	if len(old.Counts) == len(new.Counts) {
		for i, c := range new.Counts {
			if was, is := say.Quantity(old.Counts[i].Value, c.Unit), say.Quantity(c.Value, c.Unit); was != is {
				r.Counts = append(r.Counts, Change{c.Name, was, is})
			}
		}
	}
	r.Says = r.sentence()
	return r
}

// about is what a finding is of, without its words.
func (f Finding) about() string {
	if f.Figure != nil {
		return f.ID + "\n" + *f.Figure
	}
	return f.ID
}

func count(list []Finding, is func(Finding) bool) (n int) {
	for _, f := range list {
		if is(f) {
			n++
		}
	}
	return n
}

// pair files a finding that stands on both sides: by its grade, then by its measure.
func (r *Report) pair(was, is Finding) {
	p := Pair{was, is}
	switch a, b := grade(was.Grade), grade(is.Grade); {
	case b > a:
		r.Worse = append(r.Worse, p)
	case b < a:
		r.Better = append(r.Better, p)
	case was.value == nil || is.value == nil || *was.value == *is.value:
		r.Same = append(r.Same, p)
	case (*is.value > *was.value) != is.below:
		r.Worse = append(r.Worse, p)
	default:
		r.Better = append(r.Better, p)
	}
}

func grade(words string) check.Grade {
	for g := check.Note; g <= check.Stop; g++ {
		if g.String() == words {
			return g
		}
	}
	return 0
}

// sentence says what changed by count.
func (r *Report) sentence() string {
	if len(r.Gone)+len(r.Fresh)+len(r.Worse)+len(r.Better) == 0 {
		return fmt.Sprintf("Nothing changed: %s stand as they stood.", say.Count(len(r.Same), "finding", "findings"))
	}
	return fmt.Sprintf("%d gone, %d new, %d worse, %d better, %d the same.", len(r.Gone), len(r.Fresh), len(r.Worse), len(r.Better), len(r.Same))
}

// Worst is the highest grade of what is new, or stands at a higher grade than before;
// 0: nothing is.
func (r *Report) Worst() (g check.Grade) {
	for _, f := range r.Fresh {
		g = max(g, grade(f.Grade))
	}
	for _, p := range r.Worse {
		if b := grade(p.Is.Grade); b > grade(p.Was.Grade) {
			g = max(g, b)
		}
	}
	return g
}

// IsNew tells whether a finding of the new side counts as new: it has no partner, or a
// higher grade than its partner had.
func (r *Report) IsNew(number int) bool {
	return slices.ContainsFunc(r.Fresh, func(f Finding) bool { return f.Number == number }) ||
		slices.ContainsFunc(r.Worse, func(p Pair) bool {
			return p.Is.Number == number && grade(p.Is.Grade) > grade(p.Was.Grade)
		})
}
