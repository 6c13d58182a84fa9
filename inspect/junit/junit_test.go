package junit

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
)

// What may stand where, and which attributes an element may and must have: junit-10.xsd,
// published by the maintainers of a build server's reader; read on 2026-11-27, of it what
// we write.
var schema = map[string]struct{ within, may, must string }{
	"testsuites": {"", "name time tests failures errors", ""},
	"testsuite":  {"testsuites", "name tests failures errors skipped time timestamp", "name tests failures errors"},
	"testcase":   {"testsuite", "name classname time group", "name"},
	"skipped":    {"testcase", "type message", ""},
	"error":      {"testcase", "type message", ""},
	"failure":    {"testcase", "type message", ""},
	"system-out": {"testcase", "", ""},
}

func validate(t *testing.T, document []byte) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(document))
	stack := []string{""}
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			rule, ok := schema[e.Name.Local]
			if !ok || rule.within != stack[len(stack)-1] {
				t.Fatalf("<%s> within <%s>", e.Name.Local, stack[len(stack)-1])
			}
			var names []string
			for _, a := range e.Attr {
				if !slices.Contains(strings.Fields(rule.may), a.Name.Local) {
					t.Errorf("<%s> has an attribute %s", e.Name.Local, a.Name.Local)
				}
				names = append(names, a.Name.Local)
			}
			for _, a := range strings.Fields(rule.must) {
				if !slices.Contains(names, a) {
					t.Errorf("<%s> lacks %s", e.Name.Local, a)
				}
			}
			stack = append(stack, e.Name.Local)
		case xml.EndElement:
			stack = stack[:len(stack)-1]
		}
	}
}

func TestSuites(t *testing.T) {
	g := lamplighter.Build(lamplighter.Options{})
	at := slices.IndexFunc(lamplighter.Faults(), func(f lamplighter.Fault) bool { return f.ID == "binding/unbound" })
	g, _ = lamplighter.Faults()[at].On(g)
	g.File.Name = "a<b>&\"\x01\u202e.glb"
	g.SetOrder()
	res, err := inspect.Examine(context.Background(), g, inspect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	s := New()
	s.Add(res, func(_ int, f *check.Finding) bool { return f.Grade >= check.Flaw })
	s.Unread("broken.glb", errors.New("cut <short>"))
	var b bytes.Buffer
	if err := s.Write(&b); err != nil {
		t.Fatal(err)
	}
	validate(t, b.Bytes())
	var back Suites
	if err := xml.Unmarshal(b.Bytes(), &back); err != nil {
		t.Fatal(err)
	}
	// Failures count checks, of which unbound and still-chain are at least a flaw.
	if back.Failures != 2 || back.Errors != 1 || len(back.Suites) != 2 {
		t.Errorf("%d failures, %d errors, %d suites", back.Failures, back.Errors, len(back.Suites))
	}
	cases, skipped := 0, 0
	for _, st := range res.Stations {
		for _, c := range st.Checks {
			cases++
			if c.State == check.NotLookedAt {
				skipped++
			}
		}
	}
	if one := back.Suites[0]; one.Tests != cases || one.Skipped != skipped || len(one.Cases) != cases || one.Name != "a<b>&\"\uFFFD\u202e.glb" {
		t.Errorf("%d cases of %d, %d skipped of %d, name %q", one.Tests, cases, one.Skipped, skipped, one.Name)
	}
	failed := map[string]string{}
	for _, e := range back.Suites[0].Cases {
		for _, f := range e.Failure {
			failed[e.Name] = f.Type + " " + f.Message
		}
	}
	if got := strings.ReplaceAll(failed["Vertices bound to nothing (binding/unbound)"], "\u00a0", " "); !strings.HasPrefix(got, "stop Vertices bound to nothing, 14 vertices") {
		t.Errorf("failed: %q", failed)
	}
}
