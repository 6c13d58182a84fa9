package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"rigloupe/inspect/hostile"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rounds"
)

// shelve fills a folder with n small models in folders of it, of which every fifth cannot be read.
func shelve(t *testing.T, dir string, n int) (names []string) {
	t.Helper()
	for i := range n {
		name := filepath.Join("models", fmt.Sprintf("d%02d", i/10), fmt.Sprintf("m%04d.glb", i))
		data := hostile.Figure(fmt.Sprintf("figure %d", i))
		if i%5 == 2 {
			data = data[:len(data)/2]
		}
		if err := os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
		names = append(names, name)
	}
	return names
}

// told reads lines of JSON: the path of each, and whether it is an error.
func told(t *testing.T, text string) (paths []string, errors int) {
	t.Helper()
	for one := range strings.Lines(text) {
		var l struct {
			Path, SHA256, Error string
			Facts               int
			File                any
		}
		if err := json.Unmarshal([]byte(one), &l); err != nil {
			t.Fatalf("%v: %.200s", err, one)
		}
		if l.Error != "" {
			errors++
		} else if l.Facts != 1 || len(l.SHA256) != 64 {
			t.Errorf("%.200s", one)
		}
		paths = append(paths, l.Path)
	}
	return paths, errors
}

// A folder, a list on standard input and a pattern are answered in order, the same bytes
// whatever the number at work; a bad file is one line of its own and stops nothing; a line is
// the document that examine prints, behind path and hash.
func TestLibrary(t *testing.T) {
	dir := t.TempDir()
	names := shelve(t, dir, 30)
	t.Chdir(dir)
	ask := func(in string, args ...string) (int, string, string) {
		var o, e bytes.Buffer
		code := run(append([]string{"examine", "--json"}, args...), strings.NewReader(in), &o, &e)
		return code, o.String(), e.String()
	}
	code, one, errs := ask("", "--jobs", "1", "models")
	paths, bad := told(t, one)
	if code != exitUnread || strings.Join(paths, " ") != strings.Join(names, " ") || bad != 6 || strings.Count(errs, "\n") != 6 {
		t.Fatalf("exit %d, %d of %d lines, %d errors\n%s", code, len(paths), len(names), bad, errs)
	}
	for _, row := range []struct {
		in   string
		args []string
	}{
		{"", []string{"--jobs", "4", "models"}},
		{strings.Join(names, "\n") + "\n", []string{"--list", "-", "--jobs", "3"}},
		{strings.Join(names, "\r\n"), []string{"--list", "-"}},
		{"", []string{"--jobs", "7", "models/*/*.glb"}},
		{"", append([]string{"--jobs", "40"}, names...)},
	} {
		if _, got, _ := ask(row.in, row.args...); got != one {
			t.Errorf("%v: other bytes", row.args)
		}
	}
	_, plain, _ := ask("", names[0])
	first, _, _ := strings.Cut(one, "\n")
	if !strings.HasSuffix(first+"\n", plain[1:]) {
		t.Error("a line holds another document than examine prints")
	}
	for _, args := range [][]string{{"examine", "--jobs", "2", "models"}, {"examine", "--json", "--jobs", "0", "models"}, {"examine", "--json", "--jobs", "2", "models", "--report", "r.html"}, {"examine", "--json", "--list", "none.txt"}} {
		if code, _, errs := call(t, dir, args...); code != exitCall {
			t.Errorf("%v: exit %d, %s", args, code, errs)
		}
	}
	if code, out, errs := ask("nothing.glb\n", "--list", "-"); code != exitUnread || !strings.Contains(out, `"error"`) || !strings.Contains(errs, "nothing.glb") {
		t.Error(code, out, errs)
	}
}

// What an output holds is not done again, by path and hash: after a stop in the middle of a
// line the rest is added, and a changed file is answered anew.
func TestResume(t *testing.T) {
	dir := t.TempDir()
	names := shelve(t, dir, 20)
	t.Chdir(dir)
	ask := func() string {
		var e bytes.Buffer
		run([]string{"examine", "--json", "--jobs", "2", "--resume", "out.jsonl", "models"}, strings.NewReader(""), &bytes.Buffer{}, &e)
		data, err := os.ReadFile("out.jsonl")
		if err != nil {
			t.Fatal(err, e.String())
		}
		return string(data)
	}
	whole := ask()
	if paths, _ := told(t, whole); strings.Join(paths, " ") != strings.Join(names, " ") {
		t.Fatal(paths)
	}
	if ask() != whole {
		t.Error("a second call added something")
	}
	for _, share := range []int{0, 1, 30, 55, 99} {
		if err := os.WriteFile("out.jsonl", []byte(whole[:len(whole)*share/100]), 0o644); err != nil {
			t.Fatal(err)
		}
		if ask() != whole {
			t.Errorf("stopped at %d %%: other lines", share)
		}
	}
	if err := os.WriteFile(names[3], hostile.Figure("another"), 0o644); err != nil {
		t.Fatal(err)
	}
	rest, ok := strings.CutPrefix(ask(), whole)
	if paths, _ := told(t, rest); !ok || len(paths) != 1 || paths[0] != names[3] {
		t.Error("a changed file:", paths)
	}
	// A file of somebody's is no output.
	for _, other := range []string{"a line\n", `{"facts":1}` + "\n"} {
		if err := os.WriteFile("other.txt", []byte(other), 0o644); err != nil {
			t.Fatal(err)
		}
		code, _, errs := call(t, dir, "examine", "--json", "--resume", "other.txt", "models")
		if got, _ := os.ReadFile("other.txt"); code != exitCall || string(got) != other {
			t.Error(code, errs, string(got))
		}
	}
}

// The hash of a .gltf changes with its side files.
func TestHashOfSides(t *testing.T) {
	dir := t.TempDir()
	fill(t, dir)
	t.Chdir(dir)
	hash := func() string {
		at, err := (&program{}).find("text.gltf")
		if err != nil {
			t.Fatal(err)
		}
		h, err := at.hash()
		if err != nil {
			t.Fatal(err)
		}
		return h
	}
	was := hash()
	if hash() != was {
		t.Error("not the same twice")
	}
	if err := os.WriteFile("side.bin", make([]byte, 36), 0o644); err != nil {
		t.Fatal(err)
	}
	if hash() == was {
		t.Error("a changed side file is not seen")
	}
}

// Memory does not grow with the number of models: of the long form alone, since it takes time.
func TestLibraryStaysSmall(t *testing.T) {
	if !rounds.Long() {
		t.Skip("long form")
	}
	dir := t.TempDir()
	t.Chdir(dir)
	if err := os.WriteFile("m.glb", lamplighter.GLB(small), 0o644); err != nil {
		t.Fatal(err)
	}
	heap := func(n int) uint64 {
		var e bytes.Buffer
		w := &heldWriter{}
		run([]string{"examine", "--json", "--list", "-", "--only", "intake"}, strings.NewReader(strings.Repeat("m.glb\n", n)), w, &e)
		if w.lines != n {
			t.Fatalf("%d of %d lines: %s", w.lines, n, e.String())
		}
		return w.most
	}
	few, many := heap(100), heap(1500)
	if many > few+few/2+8<<20 {
		t.Errorf("100 models: %d MB held, 1,500: %d MB", few>>20, many>>20)
	}
}

// heldWriter counts lines and looks at what is held on the heap from time to time.
type heldWriter struct {
	lines int
	most  uint64
}

func (w *heldWriter) Write(b []byte) (int, error) {
	w.lines += bytes.Count(b, []byte{'\n'})
	if w.lines%50 == 0 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		w.most = max(w.most, m.HeapAlloc)
	}
	return len(b), nil
}

// The recipe of README for several workers: GNU parallel hands each file to one of two, the
// program that one runs is killed in the middle, and every file is answered once.
func TestParallelRecipe(t *testing.T) {
	parallel, err := exec.LookPath("parallel")
	if err != nil {
		t.Skip("GNU parallel is not installed (Debian: parallel)")
	}
	if out, err := exec.Command(parallel, "--version").Output(); err != nil || !strings.Contains(string(out), "GNU parallel") {
		t.Skip("this parallel is another program")
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	names := shelve(t, dir, 20)
	// The first time that the seventh file is asked for, its worker is killed half way through a line.
	script := "#!/bin/bash\ncase \"$*\" in *m0007*) if mkdir killed 2>/dev/null; then echo -n '{\"path\":\"models'; kill -9 $$; fi;; esac\nexec -a rigloupe " + exe + " \"$@\"\n"
	if err := os.WriteFile(filepath.Join(dir, "rigloupe"), []byte(script), 0o755); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("bash", "-c", `find models -name '*.glb' | sort | parallel -k -j2 --retries 3 'rigloupe examine --json --jobs 1 --fail-on never {} || [ $? = 3 ]' > out.jsonl`)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "PATH="+dir+":"+os.Getenv("PATH"), "HOME="+dir, "SHELL=/bin/bash")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if _, err := os.Stat(filepath.Join(dir, "killed")); err != nil {
		t.Fatal("no worker was killed")
	}
	data, err := os.ReadFile(filepath.Join(dir, "out.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	if paths, bad := told(t, string(data)); strings.Join(paths, " ") != strings.Join(names, " ") || bad != 4 {
		t.Errorf("%d lines, %d errors: %v", len(paths), bad, paths)
	}
}
