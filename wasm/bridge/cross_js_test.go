package bridge

import (
	"reflect"
	"strings"
	"syscall/js"
	"testing"
)

// Every message crosses to JavaScript and back whole. Named basic types would
// panic on the way out; see the package comment.
func TestMessagesCross(t *testing.T) {
	for _, m := range []any{
		&Ask{1, "examine"}, &AskExamine{`{"a":{"b":1}}`}, &AskSample{"{}", "T", "plain", 5, 3}, &AskWarm{500}, &AskJudge{"{}"}, &AskList{7},
		&AskField{"bleed", .01, new(3), &Move{1, "flexion", 30}}, &AskOverlay{0, new(4)}, &AskRows{new(2), 60}, &AskCurves{new(2), new(5)},
		&AskMatch{"a,b", "csv"}, &AskCarry{"[2]", "a,b", true, "walk"}, &AskSave{"glb"}, &AskRow{"x.glb", "{}", 96, 64}, &AskLineup{"[]"},
		&Progress{1, "progress", "surface", "Surface", 2, 3, "Surface: 2 of 3", 1e7},
		&Document{1, "result", `{"facts":1,"name":"höher 🙂"}`},
		&Lineup{1, "lineup", "{}", "a,b", []int{2, 0, 1}},
		&Parcel{1, "file", "lamp.glb"},
		&Done{1, "done", 12.5, true, 1e7},
		&Refused{1, "refused", "text", "hint", []string{"a.bin", "b.png"}},
		&Show{
			Paper: new("night"), Lens: new("count"), Joint: new(1), Clip: new(2), Seconds: new(.5), Method: new("dual"),
			Playing: new(true), Speed: new(.25), Bones: new(false), Pointers: new(true), Loupe: new(true), Staff: new(false),
			Inset: []float64{1, 2, 3, 4}, From: new("left"), Chosen: &Chosen{"vertex", new(1), new(2), new(3), new(4), new(5), []float64{1, 2, 3}, .25},
			Hover: &Chosen{Kind: "none"}, PointerList: []Pointer{{1, "flaw", new(0), new(1), new(2), new(3), []float64{1, 2, 3}}},
			Move: &Move{1, "flexion", 30}, Degrees: new(40.5), Split: new(true), Sum: new(true), Terms: new(2), ReducedMotion: new(true), Camera: &Camera{[]float64{1, 2, 3}, 1, 2, 3, 4, 5, 6, 7, 8, []float64{1, 2, 3, 4}, true},
		},
		&Place{new(1), new(0), []int{1, 2}, new(3), []float64{1, 2, 3}, .5, 2},
		&Hit{"joint", 1, "hips", -1, 2, 3, 4, []float64{1, 2, 3}, 5},
		&Probe{1, 2, 3, "coat", 4, "Coat", 5, 6, []float64{1, 2, 3}, []float64{4, 5, 6}, []Hold{{1, "hips", .5}}, 1, 7, 8, new(.1), new(.2)},
		&Sum{
			1, 2, []float64{1, 2, 3}, true, []Term{{"A", 1, "hips", 0, .5, make([]float64, 12), []float64{1, 2, 3}, []float64{1, 2, 3}, []float64{1, 2, 3}, []float64{1, 2, 3}}},
			1, []float64{1, 2, 3}, .1, []float64{1, 2, 3}, []float64{1, 2, 3},
			Rule{[]float64{1, 2, 3}, .1, 4}, Rule{[]float64{1, 2, 3}, .1, 4}, Rule{[]float64{1, 2, 3}, .1, 4}, Rule{[]float64{1, 2, 3}, .1, 4},
		},
		&StageState{
			Shown: true, Paper: "day", Lens: "plain", Joint: -1, Clip: 1, Seconds: 2, Method: "linear", Playing: true, Speed: 1, Moving: true,
			Move: Move{2, "rotation", -30}, Split: true,
			Fine: true, Plain: true, Frames: 3, Uploads: 4, DrawMS: 5.5, W: 6, H: 7, Ratio: 1,
			Camera: Camera{Target: []float64{1, 2, 3}, Inset: []float64{0, 0, 0, 0}}, From: "back", Away: true, Fault: "none",
		},
		&Legend{"caption", "ramp", "m", []string{"0", "1"}},
		&Changed{1.5, 40, true, false, 9, "left", true},
		&Left{1, "left", []string{"words"}},
		&Move{3, "flexion", 40.5},
		&Turn{"flexion", -10, 150, "a handbook"},
	} {
		t.Run(reflect.TypeOf(m).Elem().Name(), func(t *testing.T) {
			back := reflect.New(reflect.TypeOf(m).Elem()).Interface()
			if err := In(Out(m), back); err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(m, back) {
				t.Errorf("got %+v, want %+v", back, m)
			}
			named(t, reflect.TypeOf(m).Elem())
		})
	}
}

// named looks for fields without a name on the other side.
func named(t *testing.T, typ reflect.Type) {
	for i := range typ.NumField() {
		if tag := typ.Field(i).Tag.Get("js"); tag == "" || strings.Contains(tag, ",") {
			t.Errorf("%s.%s: tag %q", typ.Name(), typ.Field(i).Name, tag)
		}
	}
}

// What a message lacks is nil, so a change leaves the rest alone.
func TestMissingStaysNil(t *testing.T) {
	var s Show
	if err := In(js.Global().Get("JSON").Call("parse", `{"lens":"plain","joint":null,"chosen":{"kind":"joint","node":3,"surface":null}}`), &s); err != nil {
		t.Fatal(err)
	}
	if s.Lens == nil || *s.Lens != "plain" || s.Joint != nil || s.Bones != nil || s.PointerList != nil || s.Chosen == nil || *s.Chosen.Node != 3 || s.Chosen.Surface != nil {
		t.Errorf("%+v", s)
	}
	for _, wrong := range []string{`{"lens":5.5}`, `{"pointerList":3}`, `{"chosen":"joint"}`} {
		if err := In(js.Global().Get("JSON").Call("parse", wrong), &Show{}); err == nil {
			t.Errorf("%s was taken", wrong)
		}
	}
	if err := In(js.Undefined(), &s); err == nil {
		t.Error("undefined was taken for a message")
	}
}

func TestBytes(t *testing.T) {
	in := []byte{0, 1, 254, 255}
	array := Array(in)
	if got := Bytes(array); string(got) != string(in) {
		t.Errorf("got %v", got)
	}
	if got := Bytes(array.Get("buffer")); string(got) != string(in) {
		t.Errorf("from a buffer: got %v", got)
	}
	view := js.Global().Get("Uint8Array").New(array.Get("buffer"), 1, 2)
	if got := Bytes(view); string(got) != string(in[1:3]) {
		t.Errorf("from a view: got %v", got)
	}
}

// Each breath ends. That messages get in meanwhile is seen in browsers only: Node
// serves one channel until it is empty (the browser tests stop an examination).
func TestBreather(t *testing.T) {
	breathe := Breather()
	for range 50 {
		breathe()
	}
}

// A function that panics answers undefined, tells where, and the next call works.
func TestHooksCatch(t *testing.T) {
	var told any
	h := NewHooks(func(what any, stack []byte) { told = what })
	calls := 0
	h.Add("break", func([]js.Value) any {
		calls++
		var list []int
		return list[calls]
	})
	for range 2 {
		if v := h.Object.Call("break"); !v.IsUndefined() {
			t.Errorf("answered %v", v)
		}
	}
	if calls != 2 || told == nil {
		t.Errorf("%d calls, told %v", calls, told)
	}
	h.Release()
}
