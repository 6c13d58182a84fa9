package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"rigloupe/inspect/hostile"
	"rigloupe/inspect/rounds"
)

// What a file may cost (issue of trust): ten seconds of processor time, twice that on a
// machine slower than the one these were measured on, and twice its bytes and 256 MiB.
const (
	mostSeconds = 20
	mostBase    = 256 << 20
)

// TestHostile examines each hostile file in a process of its own: it answers or refuses in a
// line, ends, and stays within time and memory. In the short form one small file in forty.
func TestHostile(t *testing.T) {
	all := hostile.Files()
	if len(all) < 400 {
		t.Fatalf("%d files; there were over 400", len(all))
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	names := map[string]bool{}
	small := 0
	for _, f := range all {
		if names[f.Name] {
			t.Errorf("two files are called %s", f.Name)
		}
		names[f.Name] = true
		if only := os.Getenv("RIGLOUPE_HOSTILE"); only != "" && !strings.HasPrefix(f.Name, only) {
			continue
		}
		if f.Large && !rounds.Long() {
			continue
		}
		if small++; !f.Large && !rounds.Run(small, 40) {
			continue
		}
		data := f.Make()
		path := filepath.Join(dir, f.Name)
		if err := os.WriteFile(path, data, 0o644); err != nil {
			t.Fatal(err)
		}
		ctx, stop := context.WithTimeout(context.Background(), 5*time.Minute)
		cmd := exec.CommandContext(ctx, exe)
		cmd.Args = []string{"rigloupe", "examine", path}
		var out, errs bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &errs
		cmd.Run()
		stop()
		os.Remove(path)
		s := cmd.ProcessState
		if s == nil {
			t.Fatal("the program could not be started")
		}
		took := s.UserTime() + s.SystemTime()
		peak := int64(s.SysUsage().(*syscall.Rusage).Maxrss) << 10
		if took > time.Second || peak > mostBase {
			t.Logf("%s: %d bytes, %.1f s, %d MB", f.Name, len(data), took.Seconds(), peak>>20)
		}
		said := strings.TrimSpace(errs.String())
		switch code := s.ExitCode(); {
		case code != exitDone && code != exitGrade && code != exitUnread:
			t.Errorf("%s: exit %d: %.300s", f.Name, code, said)
		case code == exitUnread && (said == "" || strings.Contains(said, "\n") || !strings.HasPrefix(said, "rigloupe: ")):
			t.Errorf("%s: refused in other than a line: %.300q", f.Name, said)
		case strings.Contains(said, "fault of the reader") || strings.Contains(said, "failed on this file"):
			t.Errorf("%s: %s", f.Name, said)
		case strings.ContainsAny(out.String()+said, "\x1b\x07\x00"):
			t.Errorf("%s: control characters reach the terminal", f.Name)
		}
		if took > mostSeconds*time.Second {
			t.Errorf("%s: %.1f s for %d bytes", f.Name, took.Seconds(), len(data))
		}
		if peak > 2*(int64(len(data))+mostBase) {
			t.Errorf("%s: %d MB for %d bytes", f.Name, peak>>20, len(data))
		}
	}
}
