// Package junit writes examinations as the XML that build servers read: a suite a file, a
// case a check. Elements and attributes are those of the schema junit-10.xsd, which such
// servers publish; there is no standard.
package junit

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
)

// Suites is one call: every file that was examined.
type Suites struct {
	XMLName  xml.Name `xml:"testsuites"`
	Name     string   `xml:"name,attr"`
	Tests    int      `xml:"tests,attr"`
	Failures int      `xml:"failures,attr"`
	Errors   int      `xml:"errors,attr"`
	Suites   []suite  `xml:"testsuite"`
}

type suite struct {
	Name     string  `xml:"name,attr"`
	Tests    int     `xml:"tests,attr"`
	Failures int     `xml:"failures,attr"`
	Errors   int     `xml:"errors,attr"`
	Skipped  int     `xml:"skipped,attr"`
	Cases    []entry `xml:"testcase"`
}

type entry struct {
	Class   string   `xml:"classname,attr"`
	Name    string   `xml:"name,attr"`
	Error   *says    `xml:"error"`
	Failure []says   `xml:"failure"`
	Skipped *skipped `xml:"skipped"`
	Out     string   `xml:"system-out,omitempty"`
}

type says struct {
	Message string `xml:"message,attr"`
	Type    string `xml:"type,attr,omitempty"`
	Text    string `xml:",chardata"`
}

type skipped struct {
	Message string `xml:"message,attr"`
}

// New begins a call.
func New() *Suites { return &Suites{Name: "rigloupe"} }

// Add adds an examination. fails says which findings fail their check; the others are told
// in its output.
func (s *Suites) Add(r *inspect.Result, fails func(number int, f *check.Finding) bool) {
	all := r.Findings()
	out := suite{Name: clean(r.File.Name)}
	titles := map[string]string{}
	for _, st := range inspect.Catalogue() {
		for _, e := range st.Entries {
			titles[e.ID] = e.Title
		}
	}
	for i := range r.Stations {
		for _, c := range r.Stations[i].Checks {
			e := entry{Class: "rigloupe." + r.Stations[i].Name, Name: titles[c.ID] + " (" + c.ID + ")"}
			if c.State == check.NotLookedAt {
				e.Skipped = &skipped{clean(c.Reason)}
				out.Skipped++
			}
			for j := range all {
				f := &all[j]
				if f.ID != c.ID {
					continue
				}
				if fails(j+1, f) {
					e.Failure = append(e.Failure, says{Message: clean(short(f)), Type: f.Grade.String(), Text: clean(whole(r, f))})
				} else {
					e.Out += clean(f.Grade.String()+": "+short(f)) + "\n"
				}
			}
			if len(e.Failure) > 0 {
				out.Failures++
			}
			out.Cases = append(out.Cases, e)
		}
	}
	out.Tests = len(out.Cases)
	s.add(out)
}

// Unread adds a file that could not be read.
func (s *Suites) Unread(name string, err error) {
	s.add(suite{Name: clean(name), Tests: 1, Errors: 1, Cases: []entry{{Class: "rigloupe.file", Name: "The file can be read", Error: &says{Message: clean(err.Error())}}}})
}

func (s *Suites) add(out suite) {
	s.Suites = append(s.Suites, out)
	s.Tests, s.Failures, s.Errors = s.Tests+out.Tests, s.Failures+out.Failures, s.Errors+out.Errors
}

// Write writes the document.
func (s *Suites) Write(w io.Writer) error {
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	enc := xml.NewEncoder(w)
	enc.Indent("", " ")
	if err := enc.Encode(s); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}

// short is a finding in a line: title, measure, limit, subject.
func short(f *check.Finding) string {
	words := f.Title
	if len(f.Measures) > 0 {
		words += ", " + f.Measures[0].Says()
		if limit := f.Measures[0].Against(); limit != "" {
			words += " (" + limit + ")"
		}
	}
	if f.Subject != "" {
		words += ": " + f.Subject
	}
	return words
}

// whole is a finding with its reason and its remedy.
func whole(r *inspect.Result, f *check.Finding) string {
	text := short(f) + "\n\n" + f.Why + "\n"
	if f.Cause != nil {
		text += fmt.Sprintf("It follows from finding %d, %s.\n", r.NumberOf(f.Cause), f.Cause.Title)
	}
	for i, step := range strings.Split(f.Remedy, "\n") {
		if step != "" {
			text += fmt.Sprintf("%d. %s\n", i+1, step)
		}
	}
	return text
}

// clean leaves out what may not stand in XML 1.0 (section 2.2) even as a reference;
// names come out of strangers' files.
func clean(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t', r == '\n', r == '\r', r >= 0x20 && r <= 0xD7FF, r >= 0xE000 && r <= 0xFFFD, r >= 0x10000:
			return r
		}
		return '\uFFFD'
	}, text)
}
