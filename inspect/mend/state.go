package mend

import (
	"context"
	"fmt"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
)

// State is a figure after some steps: the file as it would be handed over, read again and,
// when asked for, examined. It does not change.
type State struct {
	Doc   *original.Document
	Bytes []byte // Doc written
	Rig   *rig.Rig

	result  *inspect.Result
	found   map[string]*inspect.Result // of single stations, with the default limits
	exam    *exam.Exam                 // without an examination: what it would share
	beside  []*State                   // other files at hand
	capture string                     // hash of motion capture that Doc was made of
	watch   func(station string, done, total int)
}

// Watch is told how far an examination of the figure is, and of each that is made of it.
func (s *State) Watch(told func(station string, done, total int)) { s.watch = told }

// Open reads a document as it is: the state before the first step. The document must not
// be changed afterwards.
func Open(d *original.Document) (*State, error) {
	b, err := d.GLB()
	if err != nil {
		return nil, err
	}
	r, err := gltfio.Read([]gltfio.File{{Name: d.Name, Data: b}}, gltfio.Options{})
	if err != nil {
		return nil, err
	}
	return &State{Doc: d, Bytes: b, Rig: r}, nil
}

// Examine answers the examination of the figure, made once.
func (s *State) Examine(ctx context.Context, limits check.Overrides) (*inspect.Result, error) {
	if s.result == nil {
		r, err := inspect.Examine(ctx, s.Rig, inspect.Options{Limits: limits, Progress: s.watch})
		if err != nil {
			return nil, err
		}
		s.result = r
	}
	return s.result, nil
}

// judge holds what was measured against other limits; without an examination the next one
// does.
func (s *State) judge(limits check.Overrides) {
	if s.result != nil {
		s.result.Judge(limits)
	}
}

// rest gives back what an examination of a large figure worked out beside its findings and
// facts (partners of vertices, places at rest, openness: more than the figure itself takes): it
// is worked out again when it is asked for.
func (s *State) rest(large int64) {
	if sizeOf(s) < large {
		return
	}
	s.exam, s.found = nil, nil
	if s.result != nil {
		r := *s.result
		r.Rest(exam.New(s.Rig))
		s.result = &r
	}
}

// Rest gives back what the examination of a large figure holds beside its findings and facts,
// where nothing more is looked at for now.
func (s *State) Rest() { s.rest(largeBytes) }

// Examined takes over an examination that was made of the same figure.
func (s *State) Examined(r *inspect.Result) { s.result = r }

// Result is the examination, nil where none was made.
func (s *State) Result() *inspect.Result { return s.result }

// Holds tells whether a file that was written reads back as the document: nil, or what is
// not as it was meant.
func (s *State) Holds(glb []byte) error {
	again, err := original.Open([]gltfio.File{{Name: s.Doc.Name, Data: glb}})
	if err != nil {
		return fmt.Errorf("the mended file cannot be opened: %w", err)
	}
	if c := original.Changes(s.Doc, again); len(c.Rewritten)+c.Added+len(c.Pointers) > 0 {
		return fmt.Errorf("the mended file reads back otherwise at %v, views %v", c.Pointers, c.Rewritten)
	}
	return nil
}

// Trial is one mend tried: the figure as it would be, before it is examined.
type Trial struct {
	Mend   Mend
	Values Values
	Before *State
	After  *State // nil: refused

	work   *Work
	reason string
}

// Try applies a mend to a copy. It is quick: nothing is examined. A refusal of the mend is
// no error: the trial then has no After.
func (s *State) Try(ctx context.Context, m Mend, v Values) (*Trial, error) {
	v, err := m.Complete(v)
	if err != nil {
		return nil, err
	}
	s.resolve(&m, v)
	t := &Trial{Mend: m, Values: v, Before: s}
	t.work = &Work{Context: ctx, Doc: s.Doc.Clone(), Rig: s.Rig, Values: v, before: s}
	t.work.Exam = s.looked()
	if err := m.Apply(t.work); err != nil {
		why, refused := Refused(err)
		if !refused {
			return nil, fmt.Errorf("%s: %w", m.ID, err)
		}
		t.reason = why
		return t, nil
	}
	if t.After, err = Open(t.work.Doc); err != nil {
		return nil, fmt.Errorf("%s: the mended file cannot be read: %w", m.ID, err)
	}
	t.After.watch, t.After.beside = s.watch, s.beside
	if err := t.After.Holds(t.After.Bytes); err != nil {
		return nil, fmt.Errorf("%s: %w", m.ID, err)
	}
	return t, nil
}

// Refused is why the mend was not done, "" where it was.
func (t *Trial) Refused() string { return t.reason }
