package mark

import (
	"encoding/json"
	"strings"
	"testing"
)

var planted = Answer{Answer: Version, Fault: 48213, Check: "binding/stray-island", Title: "Weight far from joint", Says: "six vertices",
	Joints: []string{"lowerArm_L"}, Point: []float64{0.1, 0.3, 0}, Reach: 0.2, Also: []string{"binding/rough"}}

// TestMark: every way to be right or wrong, by hand.
func TestMark(t *testing.T) {
	for _, row := range []struct {
		found   Found
		outcome Outcome
		because string
	}{
		{Found{Check: "binding/stray-island", Joint: "lowerArm_L"}, Hit, "six vertices"},
		{Found{Check: "binding/stray-island", Point: []float64{0.1, 0.49, 0}}, Hit, "six vertices"},
		{Found{Check: "binding/stray-island", Point: []float64{0.1, 0.51, 0}}, Named, "0.21\u00a0m from its place"},
		{Found{Check: "binding/stray-island", Joint: "head"}, Named, "it is at lowerArm_L"},
		{Found{Check: "binding/stray-island"}, Named, "no place was pointed at"},
		{Found{Check: "binding/rough", Joint: "lowerArm_L"}, Effect, "follows from: six vertices"},
		{Found{Check: "surface/lopsided", Joint: "lowerArm_L"}, Wrong, "nothing of the kind was planted"},
	} {
		r := Of(planted, []Findings{{Findings: 1, By: "A", Fault: 48213, Found: []Found{row.found}}})
		got := r.Learner[0].Rows[0]
		if got.Outcome != row.outcome || got.Because != row.because || r.Learner[0].Found != (row.outcome == Hit || row.outcome == Named) {
			t.Errorf("%+v: %s, %q", row.found, got.Outcome, got.Because)
		}
	}
	anywhere := Answer{Answer: Version, Fault: 48213, Check: "motion/no-clip"}
	if r := Of(anywhere, []Findings{{Fault: 48213, Found: []Found{{Check: "motion/no-clip"}}}}); r.Learner[0].Rows[0].Outcome != Hit {
		t.Error("a fault of the whole figure has no place to point at")
	}
}

// TestClass: lists of a class: who found it, who did not, who looked at another sample.
func TestClass(t *testing.T) {
	right, wrong := Found{Check: planted.Check, Joint: "lowerArm_L"}, Found{Check: "surface/lopsided"}
	r := Of(planted, []Findings{
		{By: "A", Fault: 48213, Found: []Found{wrong, right}}, {By: "B", Fault: 48213, Found: []Found{wrong, wrong}},
		{By: "C", Fault: 48213}, {By: "D", Fault: 10001, Found: []Found{right}}, {By: "E", Fault: 48213, Found: []Found{{Check: "binding/rough"}}},
	})
	if r.Says != "Weight far from joint: 1 of 5 learners found it." {
		t.Error(r.Says)
	}
	for i, want := range []string{"found it, in its place; 1 finding of what is not there", "did not find it; 2 findings of what is not there",
		"wrote nothing down", "looked at sample 10001, this is the answer to 48213", "saw what follows from it"} {
		if got := r.Learner[i].Says; got != want {
			t.Errorf("%s: %q, want %q", r.Learner[i].By, got, want)
		}
	}
}

func TestParse(t *testing.T) {
	data, err := json.Marshal(planted)
	if err != nil {
		t.Fatal(err)
	}
	if a, err := ParseAnswer(data); err != nil || a.Check != planted.Check {
		t.Error(a, err)
	}
	for _, text := range []string{"", "[]", "{}", `{"answer": 2, "check": "x"}`, `{"findings": 1}`} {
		if _, err := ParseAnswer([]byte(text)); err == nil || !strings.Contains(err.Error(), "this is no answer") {
			t.Errorf("%q: %v", text, err)
		}
	}
	for _, text := range []string{"", "[]", "{}", `{"findings": 2}`, string(data)} {
		if _, err := ParseFindings([]byte(text)); err == nil || !strings.Contains(err.Error(), "these are no findings") {
			t.Errorf("%q: %v", text, err)
		}
	}
}
