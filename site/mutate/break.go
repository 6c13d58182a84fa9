package main

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"time"
)

// result is what came of a row.
type result struct {
	By   string // the test that saw it; "": none
	Err  string // why nothing can be said: not found, does not build
	Kept bool   // from an earlier run
	Took time.Duration
}

// patience is how long the tests of one row may run. A line that makes a test run for
// ever is seen: the test ends it.
var patience = 3 * time.Minute

// unbroken runs a row's tests on the code as it is.
func (w *row) unbroken(ctx context.Context, root string) result {
	if strings.HasSuffix(w.See, ".js") {
		return node(ctx, root, w.See)
	}
	return goTest(ctx, root, w, true, nil)
}

// broken runs a row's tests on the broken line, in their short form and, where that saw
// nothing, in the long one (inspect/rounds). Go reads the broken file in place of
// the real one (go help build, -overlay), so that nothing of the project is written;
// Node has no such thing and runs in a copy of what it reads.
func (w *row) broken(ctx context.Context, root string) result {
	file, text, err := w.place(root)
	if err != nil {
		return result{Err: err.Error()}
	}
	scratch, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return result{Err: err.Error()}
	}
	defer os.RemoveAll(scratch)
	if strings.HasSuffix(w.See, ".js") {
		if err := copySite(root, scratch, file, text); err != nil {
			return result{Err: err.Error()}
		}
		return node(ctx, scratch, w.See)
	}
	overlay, err := writeOverlay(root, scratch, file, text)
	if err != nil {
		return result{Err: err.Error()}
	}
	with := []string{"-overlay", overlay, "-count=1"}
	if x := goTest(ctx, root, w, false, with); x != (result{}) {
		return x
	}
	return goTest(ctx, root, w, true, with)
}

// writeOverlay writes the broken file and the note that puts it in the place of the
// real one.
func writeOverlay(root, scratch, file string, text []byte) (string, error) {
	real, err := filepath.Abs(filepath.Join(root, file))
	if err != nil {
		return "", err
	}
	broken := filepath.Join(scratch, filepath.Base(file))
	note, err := json.Marshal(map[string]map[string]string{"Replace": {real: broken}})
	if err != nil {
		return "", err
	}
	overlay := filepath.Join(scratch, "overlay.json")
	if err := os.WriteFile(broken, text, 0o644); err != nil {
		return "", err
	}
	return overlay, os.WriteFile(overlay, note, 0o644)
}

// event is one line of go test -json (go doc cmd/test2json).
type event struct {
	Action, Package, Test, Output, FailedBuild string
}

// goTest runs the packages of a row and answers the first test that fails; long: of all
// rounds of exhaustive tests.
func goTest(ctx context.Context, root string, w *row, long bool, more []string) result {
	args := append([]string{"test", "-json", "-vet=off", "-failfast", "-timeout", patience.String()}, more...)
	if w.Run != "" {
		args = append(args, "-run", w.Run)
	}
	cmd := exec.CommandContext(ctx, "go", append(args, strings.Fields(w.See)...)...)
	cmd.Dir = root
	cmd.WaitDelay = time.Second
	if long {
		cmd.Env = append(os.Environ(), "RIGLOUPE_LONG=1")
	}
	var errs bytes.Buffer
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if ctx.Err() != nil {
		return result{Err: "stopped"}
	}
	x := readEvents(out)
	if err != nil && x == (result{}) {
		x.Err = strings.TrimSpace(errs.String())
	}
	return x
}

// readEvents finds the first test that failed. A package that does not build, or in
// which no test ran, says nothing about the line.
func readEvents(out []byte) result {
	last := "" // begun
	said := ""
	for line := range bytes.Lines(out) {
		var e event
		if json.Unmarshal(line, &e) != nil {
			continue
		}
		switch {
		case e.Action == "build-output" && !strings.HasPrefix(e.Output, "#"):
			said += e.Output
		case e.Action == "run":
			last = e.Test
		case e.Action == "fail" && e.FailedBuild != "":
			return result{Err: "does not build: " + strings.TrimSpace(said)}
		case e.Action == "fail" && e.Test != "":
			return result{By: e.Test}
		case e.Action == "fail": // the whole package ended, as when time runs out
			return result{By: cmp.Or(last, e.Package)}
		}
	}
	if last == "" {
		return result{Err: "no test of that name ran"}
	}
	return result{}
}

// copySite puts what the tests of the page read into a scratch folder: small files as
// copies, the packages of npm and what was built as links.
func copySite(root, scratch, file string, text []byte) error {
	top, err := filepath.Abs(root)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Join(scratch, "site"), 0o755); err != nil {
		return err
	}
	for _, name := range []string{"js", "css", "test"} {
		if err := os.CopyFS(filepath.Join(scratch, "site", name), os.DirFS(filepath.Join(top, "site", name))); err != nil {
			return err
		}
	}
	links, err := filepath.Glob(filepath.Join(top, "*"))
	if err != nil {
		return err
	}
	inside, err := filepath.Glob(filepath.Join(top, "site", "*"))
	if err != nil {
		return err
	}
	for _, from := range append(links, inside...) {
		rel, err := filepath.Rel(top, from)
		if err != nil {
			return err
		}
		if to := filepath.Join(scratch, rel); !exists(to) {
			if err := os.Symlink(from, to); err != nil {
				return err
			}
		}
	}
	return os.WriteFile(filepath.Join(scratch, file), text, 0o644)
}

// notOK is a test of Node's that failed, in the Test Anything Protocol (version 14).
var notOK = regexp.MustCompile(`(?m)^\s*not ok \d+ - (.*)$`)

// node runs one file of the page's tests.
func node(ctx context.Context, root, file string) result {
	ctx, stop := context.WithTimeout(ctx, patience)
	defer stop()
	cmd := exec.CommandContext(ctx, "node", "--test", "--test-reporter=tap", strings.TrimPrefix(file, "site/"))
	cmd.Dir = filepath.Join(root, "site")
	cmd.WaitDelay = time.Second
	out, err := cmd.CombinedOutput()
	switch m := notOK.FindSubmatch(out); {
	case ctx.Err() == context.DeadlineExceeded:
		return result{By: "time ran out in " + file}
	case ctx.Err() != nil:
		return result{Err: "stopped"}
	case m != nil:
		return result{By: string(m[1])}
	case err != nil:
		return result{Err: fmt.Sprintf("node: %v: %s", err, bytes.TrimSpace(out[:min(400, len(out))]))}
	case !bytes.Contains(out, []byte("\nok ")):
		return result{Err: "no test ran in " + file}
	}
	return result{}
}

func exists(name string) bool {
	_, err := os.Lstat(name)
	return err == nil
}
