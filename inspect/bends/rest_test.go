package bends

import (
	"math"
	"runtime"
	"slices"
	"testing"
	"weak"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
)

// TestRest: what moves are worked out on is given back, and worked out again when a lens asks:
// the same field, of the exam that the facts were told to ask.
func TestRest(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{})
	e := exam.New(r)
	f, err := Measure(t.Context(), e)
	if err != nil {
		t.Fatal(err)
	}
	m := f.Moves[0]
	ask := func() *Field {
		x, ok := f.Field(m.Joint, m.Axis, m.Degrees, deform.Linear)
		if !ok {
			t.Fatalf("no field of node %d", m.Joint)
		}
		return x
	}
	before := ask()
	body, old := weak.Make(f.body), weak.Make(e)
	f.Rest(exam.New(r))
	e = nil
	runtime.GC()
	runtime.GC()
	if body.Value() != nil || old.Value() != nil {
		t.Error("facts at rest hold what they can work out again")
	}
	after := ask()
	for i, of := range [][2][][]float32{{before.Stretch, after.Stretch}, {before.Turned, after.Turned}, {before.Bleed, after.Bleed}} {
		if !slices.EqualFunc(of[0], of[1], func(a, b []float32) bool {
			return slices.EqualFunc(a, b, func(x, y float32) bool { return math.Float32bits(x) == math.Float32bits(y) })
		}) {
			t.Errorf("asked again, the lens shows something else (%d)", i)
		}
	}
	if f.body == nil {
		t.Error("worked out again and not kept: each question would do it anew")
	}
}
