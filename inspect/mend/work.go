package mend

import (
	"context"
	"errors"
	"fmt"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
)

// Work is one mend at work on one figure.
type Work struct {
	Context context.Context // long work looks at Err now and then
	Doc     *original.Document
	Rig     *rig.Rig   // as it was before; read only
	Exam    *exam.Exam // its shared values: roles, figures, mirror plane, rest positions
	Values  Values     // complete

	before   *State // the figure as it was
	says     []string
	measures []check.Measure
	refused  []string
	uncovers []string
	later    []func() error
	named    map[rig.Mesh][]int32
	bound    []Piece  // of a binding, for who tells which joints may hold them
	byName   []string // their names
}

// Refusal is why a mend cannot be done rightly, in words for a person.
type Refusal struct{ Why string }

func (r *Refusal) Error() string { return r.Why }

// Refuse makes the error of a mend that leaves the figure as it is.
func (w *Work) Refuse(format string, args ...any) error {
	return &Refusal{fmt.Sprintf(format, args...)}
}

// Refused tells a refusal from a fault.
func Refused(err error) (why string, ok bool) {
	var r *Refusal
	if errors.As(err, &r) {
		return r.Why, true
	}
	return "", false
}

// Leave notes a part that was left as it is, in words: "125 vertices have no partner; left
// as they are."
func (w *Work) Leave(format string, args ...any) {
	w.refused = append(w.refused, fmt.Sprintf(format, args...))
}

// Say adds a sentence to the receipt.
func (w *Work) Say(format string, args ...any) { w.says = append(w.says, fmt.Sprintf(format, args...)) }

// Measure adds a number to the receipt: a price that is paid, a count of what was done.
func (w *Work) Measure(m check.Measure) { w.measures = append(w.measures, m) }

// Later is work for the receipt alone: done when the step is proved, so that the figure as
// it would be can be shown before it.
func (w *Work) Later(f func() error) { w.later = append(w.later, f) }

// findings answers what one station finds in the figure as it was, with the default
// limits, so that a mend is the same whatever limits a person set. Worked out once a state.
func (w *Work) findings(station string) (*inspect.Result, error) {
	if w.before.found == nil {
		w.before.found = map[string]*inspect.Result{}
	}
	if r := w.before.found[station]; r != nil {
		return r, nil
	}
	r, err := inspect.Examine(w.Context, w.Rig, inspect.Options{Only: []string{station}})
	if err == nil {
		w.before.found[station] = r
	}
	return r, err
}

// Renumbered tells where the vertices of a mesh come from, where their number changed: by
// new vertex the old one, −1 where it is new. Without it vertices of equal number are the
// same.
func (w *Work) Renumbered(m rig.Mesh, from []int32) {
	if w.named == nil {
		w.named = map[rig.Mesh][]int32{}
	}
	w.named[m] = from
}

// Uncovers names a check that left out vertices before and looks at them now, while the
// mend puts nothing there that it could find: what it finds came to light.
func (w *Work) Uncovers(id string) { w.uncovers = append(w.uncovers, id) }

// measure does what was put off, once; where ctx ends meanwhile, the next time.
func (w *Work) measure(ctx context.Context) error {
	was := len(w.measures)
	w.Context = ctx
	for _, f := range w.later {
		if err := f(); err != nil {
			w.measures = w.measures[:was]
			return err
		}
	}
	w.later = nil
	return nil
}
