package mend

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/rig"
)

// Every row is whole: an id, words, checks that exist, parameters that complete, and a
// place in the order of the work.
func TestTable(t *testing.T) {
	checks := map[string]bool{}
	for _, s := range inspect.Catalogue() {
		for _, e := range s.Entries {
			checks[e.ID] = true
		}
	}
	ids, last := map[string]bool{}, Stage(0)
	for _, m := range Table() {
		if m.ID == "" || ids[m.ID] || strings.ContainsAny(m.ID, " /") {
			t.Errorf("id %q", m.ID)
		}
		ids[m.ID] = true
		if n := len(strings.Fields(m.Title)); n == 0 || n > 4 {
			t.Errorf("%s: title %q has %d words", m.ID, m.Title, n)
		}
		if m.Does == "" || m.Source == "" || m.Apply == nil {
			t.Errorf("%s: Does, Source or Apply is missing", m.ID)
		}
		if m.Stage < last {
			t.Errorf("%s stands behind a mend of stage %v", m.ID, last)
		}
		last = m.Stage
		for _, c := range m.Answers {
			if !checks[c] {
				t.Errorf("%s answers %q, which is no check", m.ID, c)
			}
		}
		for _, c := range m.Beside {
			if !checks[c] || slices.Contains(m.Answers, c) {
				t.Errorf("%s is offered beside %q, which is no check or one that it answers", m.ID, c)
			}
		}
		if len(m.Answers)+len(m.Beside) == 0 {
			t.Errorf("no finding's card offers %s", m.ID)
		}
		v, err := m.Complete(nil)
		if err != nil {
			t.Errorf("%s: its defaults: %v", m.ID, err)
		}
		if again, err := m.Complete(v); err != nil || len(again) != len(v) {
			t.Errorf("%s: its defaults, given: %v", m.ID, err)
		}
		seen := map[string]bool{}
		for _, p := range m.Parameters {
			if p.Where != nil {
				for _, x := range p.Where.Is {
					if !m.stands(p.Where.Name, x) {
						t.Errorf("%s: %s does something where %s is %q, which it never is", m.ID, p.Name, p.Where.Name, x)
					}
				}
			}
			if p.Name == "" || seen[p.Name] || p.Title == "" || p.Says == "" || p.Kind == Choice && !slices.Contains(p.Choices, p.Default.(string)) {
				t.Errorf("%s: parameter %+v", m.ID, p)
			}
			seen[p.Name] = true
		}
	}
	var b bytes.Buffer
	if err := WriteTable(&b); err != nil || !json.Valid(b.Bytes()) {
		t.Error(err, b.String())
	}
}

func TestComplete(t *testing.T) {
	m := Mend{ID: "m", Parameters: []Parameter{
		{Name: "n", Kind: Number, Least: 1, Most: 4, Default: 2.0}, {Name: "free", Kind: Number}, {Name: "t", Kind: Truth, Default: true},
		{Name: "c", Kind: Choice, Choices: []string{"a", "b"}, Default: "a"}, {Name: "l", Kind: List}, {Name: "p", Kind: Pairs},
	}}
	for _, row := range []struct {
		in, want string // want "": an error
	}{
		{`{}`, `{"c":"a","n":2,"t":true}`},
		{`{"n":4,"t":false,"l":["x"],"p":{"a":"b"},"free":-9}`, `{"c":"a","free":-9,"l":["x"],"n":4,"p":{"a":"b"},"t":false}`},
		{`{"n":4.5}`, ``}, {`{"n":"4"}`, ``}, {`{"c":"z"}`, ``}, {`{"l":[1]}`, ``}, {`{"t":1}`, ``}, {`{"nn":1}`, ``}, {`{"p":["a"]}`, ``},
	} {
		var v Values
		if err := json.Unmarshal([]byte(row.in), &v); err != nil {
			t.Fatal(err)
		}
		got, err := m.Complete(v)
		if row.want == "" {
			if err == nil {
				t.Errorf("%s was taken as %v", row.in, got)
			}
			continue
		}
		if text, _ := json.Marshal(got); err != nil || string(text) != row.want {
			t.Errorf("%s: %s, %v", row.in, text, err)
		}
	}
}

func TestPlanOrder(t *testing.T) {
	early := Plan{Steps: []Step{{Mend: "scale"}, {Mend: "scale"}}}
	if err := early.Check(); err != nil {
		t.Error(err)
	}
	for _, bad := range []string{`{"rigloupe_plan":2,"steps":[]}`, `{"rigloupe_plan":1,"order":"any","steps":[]}`, `{"rigloupe_plan":1,"step":[]}`,
		`{"rigloupe_plan":1,"steps":[{"mend":"scale","parameters":{"factor":0}}]}`, `{"rigloupe_plan":1,"steps":[],"limits":{"no/check":{"a":1}}}`} {
		if _, err := ParsePlan([]byte(bad)); err == nil {
			t.Errorf("%s was taken", bad)
		}
	}
}

// Vertices keep their names through another order of the list.
func TestVertexNames(t *testing.T) {
	r := sample()
	for _, v := range []int{0, 17, 4000} {
		n := NameVertex(r, 0, rig.Vertex(v))
		again, err := ParseVertexName(n.String())
		if err != nil || again != n {
			t.Fatalf("%v, %v", again, err)
		}
		if s, w, ok := FindVertex(r, again); !ok || s != 0 || int(w) != v {
			t.Errorf("vertex %d is found at %d, %d", v, s, w)
		}
	}
	for _, bad := range []string{"", "a", "a@1,2", "a@1,2,x", "a@1,2,3!x"} {
		if _, err := ParseVertexName(bad); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
}

// stands tells that a choice or a truth can have a value.
func (m *Mend) stands(name, value string) bool {
	return slices.ContainsFunc(m.Parameters, func(p Parameter) bool {
		return p.Name == name && (p.Kind == Choice && slices.Contains(p.Choices, value) || p.Kind == Truth && (value == "true" || value == "false"))
	})
}

// A dial is shown where it does something: how many joints a chain has is nothing to ask of a
// person, nor where the hips stand of a chain.
func TestDialsThatDoNothing(t *testing.T) {
	shown := func(id string, v Values) (names []string) {
		m, err := Named(id)
		if err != nil {
			t.Fatal(err)
		}
		if v, err = m.Complete(v); err != nil {
			t.Fatal(err)
		}
		for _, p := range m.Parameters {
			if p.Where == nil || slices.Contains(p.Where.Is, fmt.Sprint(v[p.Where.Name])) {
				names = append(names, p.Name)
			}
		}
		return names
	}
	for _, row := range []struct {
		mend   string
		values Values
		with   string
		not    string
	}{
		{"fit", nil, "hips", "joints"}, {"fit", Values{"kind": "chain"}, "joints", "hips"}, {"fit", Values{"kind": "four-legged"}, "without", "points"},
		{"rebind", Values{"pose": "T"}, "knees", "seconds"}, {"rebind", Values{"pose": "moment"}, "clip", "angle"}, {"rest", Values{"knees": true}, "bend", "seconds"},
		{"part", Values{"lay": "by size"}, "near", "bend"}, {"part", Values{"weights": "its own"}, "bend", "near"}, {"even", Values{"form": "halve"}, "from", "weights"},
	} {
		if names := shown(row.mend, row.values); !slices.Contains(names, row.with) || slices.Contains(names, row.not) {
			t.Errorf("%s %v shows %v; want %s, not %s", row.mend, row.values, names, row.with, row.not)
		}
	}
}
