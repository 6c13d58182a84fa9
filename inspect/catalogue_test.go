package inspect

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"rigloupe/inspect/lamplighter"
)

// TestCatalogueIsWhole: every row can be shown to a person, and its id is its own.
func TestCatalogueIsWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range Catalogue() {
		if s.Name == "" || s.Title == "" || len(s.Entries) == 0 {
			t.Errorf("station %q: name, title and checks are needed", s.Name)
		}
		for _, e := range s.Entries {
			if seen[e.ID] {
				t.Errorf("%s stands twice", e.ID)
			}
			seen[e.ID] = true
			if !strings.HasPrefix(e.ID, s.Name+"/") {
				t.Errorf("%s: the id starts with its station, %s/", e.ID, s.Name)
			}
			for what, text := range map[string]string{"title": e.Title, "measure": e.Measure, "why": e.Why, "remedy": e.Remedy, "source": e.Source} {
				if strings.TrimSpace(text) == "" {
					t.Errorf("%s has no %s", e.ID, what)
				}
				if strings.ContainsAny(text, "!") {
					t.Errorf("%s: an exclamation mark in %s", e.ID, what)
				}
			}
			names := map[string]bool{}
			for _, l := range e.Limits {
				if l.Name == "" || l.Grade == 0 {
					t.Errorf("%s: limit %q needs a name and a grade", e.ID, l.Name)
				}
				if names[l.Name] {
					t.Errorf("%s: limit %q stands twice", e.ID, l.Name)
				}
				names[l.Name] = true
			}
		}
	}
}

// TestEveryCheckHasAPlantedFault: the sample can show each fault of the catalogue.
func TestEveryCheckHasAPlantedFault(t *testing.T) {
	planted := map[string]bool{}
	for _, f := range lamplighter.Faults() {
		planted[f.ID] = true
	}
	ids := map[string]bool{}
	for _, s := range Catalogue() {
		for _, e := range s.Entries {
			ids[e.ID] = true
			if !planted[e.ID] {
				t.Errorf("%s: no fault is planted for it in lamplighter", e.ID)
			}
		}
	}
	for id := range planted {
		if !ids[id] {
			t.Errorf("lamplighter plants %s, which is no check", id)
		}
	}
}

// TestEveryCheckHasItsTestBeside: subject.go has subject_test.go, which speaks of the check
// by its id or by the name of its value.
func TestEveryCheckHasItsTestBeside(t *testing.T) {
	head := regexp.MustCompile(`(?m)^var (\w+) = check\.Check\[Facts\]\{\n\s*ID:\s*"([^"]+)"`)
	checks := 0
	for _, s := range Catalogue() {
		files, err := filepath.Glob(filepath.Join(s.Name, "*.go"))
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: %v", s.Name, err)
		}
		for _, file := range files {
			source, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			m := head.FindSubmatch(source)
			if m == nil {
				continue
			}
			checks++
			beside := strings.TrimSuffix(file, ".go") + "_test.go"
			test, err := os.ReadFile(beside)
			if err != nil {
				t.Errorf("%s has no test beside it: %s", m[2], beside)
			} else if !bytes.Contains(test, m[2]) && !regexp.MustCompile(`\b`+string(m[1])+`\b`).Match(test) {
				t.Errorf("%s says nothing of %s", beside, m[2])
			}
		}
		checks -= len(s.Entries)
	}
	if checks != 0 {
		t.Errorf("%+d checks were found in files of their own against the catalogue", checks)
	}
}
