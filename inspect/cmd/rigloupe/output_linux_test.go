package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"rigloupe/inspect/lamplighter"
)

// A full disk, a real one where this process may mount one: the person's own model
// stays to the byte, and the call says so.
func TestFullDisk(t *testing.T) {
	disk := t.TempDir()
	model := lamplighter.GLB(small)
	size := len(model) + 64<<10
	if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size="+strconv.Itoa(size)); err != nil {
		t.Skipf("no small disk can be mounted here: %v", err)
	}
	defer syscall.Unmount(disk, syscall.MNT_DETACH)
	home := t.TempDir()
	fill(t, home)
	for name, args := range map[string][]string{
		"carry":   {"carry", "sample", "mine.glb", "--clip", "0", "--out", filepath.Join(disk, "kept.glb")},
		"picture": {"picture", "mine.glb", "--size", "4000x4000", "--out", filepath.Join(disk, "kept.glb")},
		"pose":    {"pose", "sample", "--out", filepath.Join(disk, "kept.glb")},
	} {
		if err := os.WriteFile(filepath.Join(disk, "kept.glb"), model, 0o644); err != nil {
			t.Fatal(err)
		}
		code, out, errs := call(t, home, args...)
		got, _ := os.ReadFile(filepath.Join(disk, "kept.glb"))
		if code != exitUnread || !strings.Contains(errs, "no space left") || !bytes.Equal(got, model) || strings.Contains(out, "written to") {
			t.Errorf("%s: exit %d, %d of %d bytes kept\n%s%s", name, code, len(got), len(model), out, errs)
		}
		noneBeside(t, disk)
	}
}

// A device takes what it is given, or says that it does not; it is never replaced.
func TestDevices(t *testing.T) {
	dir := t.TempDir()
	fill(t, dir)
	if code, _, errs := call(t, dir, "pose", "sample", "--out", "/dev/null"); code != exitDone {
		t.Error(code, errs)
	}
	if info, err := os.Stat("/dev/null"); err != nil || info.Mode()&os.ModeDevice == 0 {
		t.Fatal("/dev/null is no device any more")
	}
	if code, _, errs := call(t, dir, "pose", "sample", "--out", "/dev/full"); code != exitUnread || !strings.Contains(errs, "no space left") {
		t.Error(code, errs)
	}
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip(err)
	}
	defer full.Close()
	for _, args := range [][]string{{"examine", "mine.glb"}, {"examine", "mine.glb", "--json"}, {"checks"}, {"clip", "mine.glb"}, {"match", "mine.glb", "sample"}} {
		var errs bytes.Buffer
		if code := run(args, strings.NewReader(""), full, &errs); code != exitUnread || strings.Count(errs.String(), "no space left") != 1 {
			t.Errorf("%v: exit %d, %s", args, code, errs.String())
		}
	}
}

// Pipes and devices as inputs, alone, beside a model and behind an option, are told in
// words and at once: opening a pipe would wait for ever.
func TestNoInputWaits(t *testing.T) {
	dir := t.TempDir()
	fill(t, dir)
	os.Remove(filepath.Join(dir, "side.bin"))
	for _, pipe := range []string{"pipe.glb", "side.bin"} {
		if err := syscall.Mkfifo(filepath.Join(dir, pipe), 0o644); err != nil {
			t.Skip(err)
		}
	}
	t.Chdir(dir)
	for _, row := range []struct {
		code int
		want string
		args []string
	}{
		{exitUnread, "a pipe is no file", []string{"examine", "pipe.glb"}},
		{exitUnread, "a device is no file", []string{"examine", "/dev/zero"}},
		{exitUnread, "a pipe is no file", []string{"examine", "text.gltf"}},
		{exitCall, "a pipe is no file", []string{"examine", "mine.glb", "--limits", "pipe.glb"}},
		{exitCall, "a device is no file", []string{"match", "mine.glb", "mine.glb", "--pins", "/dev/zero"}},
	} {
		done := make(chan struct{})
		var code int
		var errs string
		go func() {
			var e bytes.Buffer
			code = run(row.args, strings.NewReader(""), &bytes.Buffer{}, &e)
			errs = e.String()
			close(done)
		}()
		select {
		case <-done:
		case <-time.After(30 * time.Second):
			t.Fatalf("%v waits", row.args)
		}
		if code != row.code || !strings.Contains(errs, row.want) {
			t.Errorf("%v: exit %d, %s", row.args, code, errs)
		}
	}
}
