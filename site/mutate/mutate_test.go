package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"rigloupe/inspect/rounds"
)

// Every row of the project's own lists breaks a text that stands once: a row whose
// line was changed says so here, in milliseconds, and not after an hour.
func TestEveryRowIsFound(t *testing.T) {
	rows, err := readLists(os.DirFS("../.."), "site/mutate/lines")
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 150 {
		t.Errorf("%d rows, want 150 at least", len(rows))
	}
	for i := range rows {
		if _, _, err := rows[i].place("../.."); err != nil {
			t.Errorf("%s: %s: %v", rows[i].List, rows[i].Title, err)
		}
	}
}

// Every word by which a row names its tests matches one: a test that took another name is
// not run, and what it holds would be told as unseen.
func TestEveryTestIsThere(t *testing.T) {
	rows, err := readLists(os.DirFS("../.."), "site/mutate/lines")
	if err != nil {
		t.Fatal(err)
	}
	asked := map[string]bool{}
	for _, r := range rows {
		if asked[r.See+" "+r.Run] || r.Run == "" {
			continue
		}
		asked[r.See+" "+r.Run] = true
		var tests []string
		for _, pkg := range strings.Fields(r.See) {
			files, _ := filepath.Glob(filepath.Join("../..", pkg, "*_test.go"))
			for _, name := range files {
				text, err := os.ReadFile(name)
				if err != nil {
					t.Fatal(err)
				}
				for _, m := range testName.FindAllSubmatch(text, -1) {
					tests = append(tests, string(m[1]))
				}
			}
		}
		for _, word := range strings.Split(r.Run, "|") {
			is, err := regexp.Compile(word)
			if err != nil {
				t.Errorf("%s: %q: %v", r.List, word, err)
			} else if !slices.ContainsFunc(tests, is.MatchString) {
				t.Errorf("%s: no test of %s is called %q", r.List, r.See, word)
			}
		}
	}
	if len(asked) < 20 {
		t.Errorf("%d lists name their tests", len(asked))
	}
}

var testName = regexp.MustCompile(`(?m)^func (Test\w+)\(`)

// A small project of two packages: one whose test holds its number, one whose test
// looks at nothing.
func project(t *testing.T) string {
	t.Helper()
	root := t.TempDir()
	for name, text := range map[string]string{
		"go.mod":                   "module small\n\ngo 1.26\n",
		"held/held.go":             "package held\n\nfunc Near(d float64) bool {\n\tif d < 0.2 {\n\t\treturn true\n\t}\n\treturn false\n}\n",
		"held/held_test.go":        "package held\n\nimport \"testing\"\n\nfunc TestNear(t *testing.T) {\n\tif !Near(0.19) || Near(0.21) {\n\t\tt.Error(\"0.2\")\n\t}\n}\n",
		"loose/loose.go":           "package loose\n\nfunc Far(d float64) bool { return d > 5 }\n\nfunc Wait(n int) int {\n\tfor n > 0 {\n\t\tn--\n\t}\n\treturn n\n}\n",
		"loose/loose_test.go":      "package loose\n\nimport \"testing\"\n\nfunc TestFar(t *testing.T) { Far(1) }\n",
		"site/mutate/lines/a.txt":  "in held\nsee ./held\n# near is twice as far\n- if d < 0.2 {\n- return true\n+ if d < 0.4 {\n+ return true\n\n# far is nearer\nin loose\nsee ./loose TestFar\n- d > 5\n+ d > 4\n",
		"site/test/held.test.js":   "import test from 'node:test';\nimport assert from 'node:assert';\nimport { near } from '../js/held.js';\ntest('near', () => assert.ok(near(0.1) && !near(0.3)));\n",
		"site/js/held.js":          "export const near = (d) => d < 0.2;\n",
		"site/css/none.css":        "",
		"site/package.json":        "{\"type\":\"module\"}\n",
		"site/mutate/lines/js.txt": "# near is never\nin site/js/...\nsee site/test/held.test.js\n- d < 0.2\n+ d < 0\n",
	} {
		at := filepath.Join(root, name)
		if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(at, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return root
}

func run(t *testing.T, root string) (string, bool, error) {
	t.Helper()
	rows, err := readLists(os.DirFS(root), "site/mutate/lines")
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	r := runner{root: root, out: &out, memory: "site/dist/mutate.json"}
	ok, err := r.all(context.Background(), rows, 2)
	return out.String(), ok, err
}

func TestSeenAndUnseen(t *testing.T) {
	root := project(t)
	out, ok, err := run(t, root)
	if err != nil || ok {
		t.Fatalf("ok %v, %v; want two thirds not to be enough\n%s", ok, err, out)
	}
	for _, want := range []string{"near is twice as far: TestNear", "UNSEEN    a         far is nearer", "near is never: near", "66.7 % seen"} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in\n%s", want, out)
		}
	}
	if text, err := os.ReadFile(filepath.Join(root, "held/held.go")); err != nil || !strings.Contains(string(text), "0.2") {
		t.Errorf("the project's own file was written: %s %v", text, err)
	}
	// A second run takes over what was seen and asks only for the rest; a changed test is asked again.
	if out, _, _ = run(t, root); strings.Contains(out, "unbroken  ./held") || !strings.Contains(out, "unbroken  ./loose") {
		t.Errorf("second run:\n%s", out)
	}
	if err := os.WriteFile(filepath.Join(root, "held/held_test.go"), []byte("package held\n\nimport \"testing\"\n\nfunc TestNear(t *testing.T) {}\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, _, _ = run(t, root); !strings.Contains(out, "UNSEEN    a         near is twice as far") {
		t.Errorf("a test that lost its check:\n%s", out)
	}
}

// What only the long form of a test sees is seen; a line that neither form sees is not.
func TestSeenInTheLongForm(t *testing.T) {
	rounds.Dear(t)
	root := project(t)
	for name, text := range map[string]string{
		"loose/loose_test.go":     "package loose\n\nimport (\n\t\"os\"\n\t\"testing\"\n)\n\nfunc TestFar(t *testing.T) {\n\tif os.Getenv(\"RIGLOUPE_LONG\") != \"\" && Far(4.5) {\n\t\tt.Error(\"4.5 is not far\")\n\t}\n}\n",
		"site/mutate/lines/a.txt": "in loose\nsee ./loose TestFar\n# far is nearer\n- d > 5\n+ d > 4\n\n# far is a little nearer\n- d > 5\n+ d > 4.9\n",
	} {
		if err := os.WriteFile(filepath.Join(root, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Remove(filepath.Join(root, "site/mutate/lines/js.txt")); err != nil {
		t.Fatal(err)
	}
	out, _, err := run(t, root)
	if err != nil || !strings.Contains(out, "far is nearer: TestFar") || !strings.Contains(out, "UNSEEN    a         far is a little nearer") {
		t.Errorf("%v\n%s", err, out)
	}
}

// What cannot be judged is an error, never a line that was seen.
func TestNotJudged(t *testing.T) {
	rounds.Dear(t)
	for _, c := range []struct{ name, list, want string }{
		{"not there", "# a\nin held\nsee ./held\n- d < 7\n+ d < 8\n", "stands 0 times"},
		{"twice", "# a\nin held\nsee ./held\n- return\n+ return !\n", "stands 2 times"},
		{"does not build", "# a\nin held\nsee ./held\n- d < 0.2\n+ e < 0.2\n", "does not build"},
		{"no such test", "# a\nin held\nsee ./held TestNothing\n- d < 0.2\n+ d < 0.3\n", "no test of that name ran"},
		{"no such folder", "# a\nin nowhere\nsee ./held\n- d\n+ e\n", "no nowhere"},
	} {
		t.Run(c.name, func(t *testing.T) {
			root := project(t)
			if err := os.Remove(filepath.Join(root, "site/mutate/lines/js.txt")); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(root, "site/mutate/lines/a.txt"), []byte(c.list), 0o644); err != nil {
				t.Fatal(err)
			}
			out, ok, err := run(t, root)
			if err == nil || ok || !strings.Contains(out+err.Error(), c.want) {
				t.Errorf("ok %v, %v; want %q\n%s", ok, err, c.want, out)
			}
		})
	}
}

// A line that makes a test run on for ever is ended by go test, which names the test.
func TestEndless(t *testing.T) {
	rounds.Dear(t)
	root := project(t)
	if err := os.WriteFile(filepath.Join(root, "loose/loose_test.go"), []byte("package loose\n\nimport \"testing\"\n\nfunc TestWait(t *testing.T) { Wait(3) }\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	w := row{In: "loose", Old: "n--", New: "n += 0", See: "./loose"}
	was := patience
	patience = time.Second
	defer func() { patience = was }()
	if x := w.broken(context.Background(), root); x.By != "TestWait" {
		t.Errorf("%+v, want TestWait", x)
	}
}

func TestTestsFailAlready(t *testing.T) {
	rounds.Dear(t)
	root := project(t)
	if err := os.WriteFile(filepath.Join(root, "held/held_test.go"), []byte("package held\n\nimport \"testing\"\n\nfunc TestNear(t *testing.T) { t.Fail() }\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, _, err := run(t, root); err == nil || !strings.Contains(err.Error(), "with no line broken") {
		t.Errorf("%v", err)
	}
}

func TestLists(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"- a\n", "before the first title"},
		{"# a\n- b\n", "no place"},
		{"# a\nin x\nsee ./x\n+ b\n", "without an old one"},
		{"# a\nin x\nsee ./x\n- b\n+ b\n", "nothing is broken"},
		{"# a\nin x\nsee ./x\nold b\n", "begins with"},
		{"# a\nin x\nsee ./x\n- b\n+ c\n# a\n- d\n+ e\n", "two rows"},
	} {
		_, err := readLists(fstest.MapFS{"l/x.txt": {Data: []byte(c.text)}}, "l")
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %q", c.text, err, c.want)
		}
	}
	rows, err := readLists(fstest.MapFS{"l/x.txt": {Data: []byte("in x\nsee ./x ./y TestA|TestB\n# a\n- b\n+ c\n# d\nin y\n- e\n")}}, "l")
	if err != nil || len(rows) != 2 || rows[0].In != "x" || rows[1].In != "y" || rows[1].See != "./x ./y" || rows[1].Run != "TestA|TestB" || rows[1].New != "" {
		t.Errorf("%+v %v", rows, err)
	}
}

func TestChoose(t *testing.T) {
	rows := []row{{Title: "a"}, {Title: "b"}, {Title: "c"}, {Title: "ab"}}
	if got, err := choose(rows, "a", "1/1"); err != nil || len(got) != 2 {
		t.Errorf("%v %v", got, err)
	}
	n := 0
	for _, s := range []string{"1/3", "2/3", "3/3"} {
		got, err := choose(rows, "", s)
		if n += len(got); err != nil {
			t.Error(err)
		}
	}
	if n != len(rows) {
		t.Errorf("the shares hold %d of %d rows", n, len(rows))
	}
	for _, s := range []string{"0/3", "4/3", "x"} {
		if _, err := choose(rows, "", s); err == nil {
			t.Errorf("share %q is taken", s)
		}
	}
}
