package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
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
// RIGLOUPE_HOSTILE, a regular expression of names, runs those alone and prints what they took.
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
	only := regexp.MustCompile(os.Getenv("RIGLOUPE_HOSTILE"))
	names := map[string]bool{}
	small := 0
	for _, f := range all {
		if names[f.Name] {
			t.Errorf("two files are called %s", f.Name)
		}
		names[f.Name] = true
		if !only.MatchString(f.Name) {
			continue
		}
		if f.Large && !rounds.Long() || beyond.MatchString(f.Name) && only.String() == "" {
			continue
		}
		if !f.Large {
			if small++; !rounds.Run(small, 40) {
				continue
			}
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
		peakTo := filepath.Join(dir, "peak")
		os.Remove(peakTo)
		cmd.Env = append(os.Environ(), "RIGLOUPE_PEAK="+peakTo)
		cmd.Run()
		stop()
		os.Remove(path)
		s := cmd.ProcessState
		if s == nil {
			t.Fatal("the program could not be started")
		}
		took := s.UserTime() + s.SystemTime()
		peak := peakOf(t, peakTo)
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
		if os.Getenv("RIGLOUPE_HOSTILE") != "" {
			fmt.Fprintf(os.Stderr, "%s,%d,%.2f,%d,%d\n", f.Name, len(data), took.Seconds(), peak>>20, s.ExitCode())
		}
		if took > mostSeconds*time.Second {
			t.Errorf("%s: %.1f s for %d bytes", f.Name, took.Seconds(), len(data))
		}
		if peak > 2*(int64(len(data))+mostBase) {
			t.Errorf("%s: %d MB for %d bytes", f.Name, peak>>20, len(data))
		}
	}
}

// beyond are files that are as large as they say and take more than that: tens of thousands of
// joints, near a million loose vertices, sixteen thousand nodes that carry a mesh. They run where they are named.
var beyond = regexp.MustCompile(`^(tree|tube)-\w+-[26]0000|^triangles-300k|^instances-16000`)

var highWater = regexp.MustCompile(`(?m)^VmHWM:\s*(\d+) kB$`)

// peakOf is the most memory that a process had resident, as it wrote down when it ended; 0
// where it was ended from outside, which is told by its exit.
func peakOf(t *testing.T, file string) int64 {
	t.Helper()
	status, err := os.ReadFile(file)
	if err != nil {
		return 0
	}
	m := highWater.FindSubmatch(status)
	if m == nil {
		t.Fatalf("no peak in %.100q", status)
	}
	kB, err := strconv.ParseInt(string(m[1]), 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	return kB << 10
}
