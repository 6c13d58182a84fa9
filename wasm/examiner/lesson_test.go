package main

import (
	"context"
	"encoding/json"
	"strings"
	"testing"

	"rigloupe/inspect/desk"
	"rigloupe/inspect/lesson"
	"rigloupe/inspect/mark"
	"rigloupe/wasm/bridge"
)

// TestLessonAsked: lessons and faults are listed without a figure; a lesson is measured on
// the open one, where the dial is put; a faulty sample, its answer and its marks fit.
func TestLessonAsked(t *testing.T) {
	p := newPage()
	ask := func(a asked, into any) {
		t.Helper()
		p.told = nil
		p.ask(context.Background(), a, nil)
		if err := json.Unmarshal([]byte(last[bridge.Document](t, p).JSON), into); err != nil {
			t.Fatal(err)
		}
	}
	var all taught
	ask(asked{ID: 1, Kind: "lessons"}, &all)
	if len(all.Lessons) != len(lesson.All()) || len(all.Faults) != len(desk.Faults()) {
		t.Fatalf("%d lessons, %d faults", len(all.Lessons), len(all.Faults))
	}
	p.ask(context.Background(), asked{ID: 2, Kind: "lesson", Name: "rest"}, nil)
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, "open a file first") {
		t.Errorf("%+v", r)
	}
	var unbound desk.Planted
	for _, f := range all.Faults {
		if f.Check == "binding/unbound" {
			unbound = f
		}
	}
	faulty := small
	faulty.Fault = unbound.Number
	p.ask(context.Background(), faulty, nil)
	found := false
	for _, f := range p.result.Findings() {
		found = found || f.ID == unbound.Check
	}
	if !found {
		t.Errorf("the sample of number %d has no %s", unbound.Number, unbound.Check)
	}
	at := 30.0
	var told lesson.Told
	ask(asked{ID: 3, Kind: "lesson", Name: "rest", At: &at}, &told)
	if told.Dial == nil || told.Dial.At != 30 || told.Numbers[0].Says != "30°" {
		t.Errorf("%+v", told)
	}
	p.ask(context.Background(), asked{ID: 4, Kind: "lesson", Name: "none"}, nil)
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, "no lesson") {
		t.Errorf("%+v", r)
	}
	p.told = nil
	p.ask(context.Background(), asked{ID: 5, Kind: "answer", Fault: unbound.Number}, nil)
	answer := last[bridge.Document](t, p).JSON
	text, _ := json.Marshal(mark.Findings{Findings: 1, By: "Ada", Fault: unbound.Number, Found: []mark.Found{{Check: unbound.Check}}})
	var r mark.Report
	ask(asked{ID: 6, Kind: "mark", Answer: answer, Findings: []string{string(text)}}, &r)
	if len(r.Learner) != 1 || !r.Learner[0].Found {
		t.Errorf("%+v", r)
	}
	for _, a := range []asked{{ID: 7, Kind: "answer", Fault: 7}, {ID: 8, Kind: "mark", Answer: "{}"}, {ID: 9, Kind: "mark", Answer: answer, Findings: []string{"no"}}} {
		p.ask(context.Background(), a, nil)
		if r := last[bridge.Refused](t, p); r.Text == "" {
			t.Errorf("%d: %+v", a.ID, r)
		}
	}
}
