package main

import (
	"bytes"
	"errors"
	"net"
	"os"
	"os/exec"
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

// Pipes, sockets and disks as outputs are refused at once: opening a pipe would wait for a
// reader. Standard output is named -, also where it is a pipe, and gets the file alone.
func TestNoOutputWaits(t *testing.T) {
	dir := t.TempDir()
	fill(t, dir)
	pipe := filepath.Join(dir, "pipe")
	if err := syscall.Mkfifo(pipe, 0o644); err != nil {
		t.Skip(err)
	}
	if err := os.Symlink(pipe, filepath.Join(dir, "link")); err != nil {
		t.Skip(err)
	}
	socket, err := net.Listen("unix", filepath.Join(dir, "socket"))
	if err != nil {
		t.Skip(err)
	}
	defer socket.Close()
	outputs := map[string]string{"pipe": "a pipe", "link": "a pipe", "socket": "a socket"}
	for _, disk := range []string{"/dev/loop0", "/dev/sda", "/dev/vda", "/dev/nvme0n1"} {
		if info, err := os.Stat(disk); err == nil && info.Mode()&os.ModeCharDevice == 0 && info.Mode()&os.ModeDevice != 0 {
			outputs[disk] = "a device"
		}
	}
	for name, want := range outputs {
		for _, args := range [][]string{{"sample", "--out", name}, {"pose", "sample", "--out", name}, {"examine", "sample", "--report", name}, {"examine", "sample", "--joints-csv", name}, {"examine", "sample", "--junit", name}, {"picture", "sample", "--out", name}} {
			done := make(chan string)
			go func() {
				code, _, errs := call(t, dir, args...)
				done <- strconv.Itoa(code) + " " + errs
			}()
			select {
			case got := <-done:
				if !strings.HasPrefix(got, strconv.Itoa(exitCall)+" ") || !strings.Contains(got, want+" is no file that can be written whole") {
					t.Errorf("%v: %s", args, got)
				}
			case <-time.After(30 * time.Second):
				t.Fatalf("%v waits", args)
			}
		}
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	want := lamplighter.GLB(small)
	for _, name := range []string{"-", "/dev/stdout"} {
		cmd := exec.Command(exe)
		cmd.Args = []string{"rigloupe", "sample", "--vertices", strconv.Itoa(small.Vertices), "--out", name}
		var errs bytes.Buffer
		cmd.Stderr = &errs
		if got, err := cmd.Output(); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s: %v, %d bytes of %d, %s", name, err, len(got), len(want), errs.String())
		}
	}
	if code, _, errs := call(t, dir, "examine", "sample", "--report", "-", "--joints-csv", "-"); code != exitCall || !strings.Contains(errs, "one output alone") {
		t.Error(code, errs)
	}
}

// Where a folder may not be written, which only a person who is not root can meet, the call
// says so and what stood there stays.
func TestReadOnlyFolder(t *testing.T) {
	dir := t.TempDir()
	fill(t, dir)
	was, err := os.ReadFile(filepath.Join(dir, "mine.glb"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "kept.glb"), was, 0o644); err != nil {
		t.Fatal(err)
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := func(args ...string) *exec.Cmd {
		c := exec.Command(exe)
		c.Args, c.Dir = append([]string{"rigloupe"}, args...), dir
		return c
	}
	who := func(*exec.Cmd) {}
	if os.Getuid() == 0 { // as nobody, who must be able to reach program and folder
		free, err := os.MkdirTemp("/tmp", "rigloupe-")
		if err != nil {
			t.Skip(err)
		}
		defer os.RemoveAll(free)
		program, err := os.ReadFile(exe)
		if err != nil {
			t.Fatal(err)
		}
		exe = filepath.Join(free, "rigloupe")
		if err := errors.Join(os.WriteFile(exe, program, 0o755), os.Chmod(free, 0o755), os.Rename(dir, filepath.Join(free, "d"))); err != nil {
			t.Skip(err)
		}
		dir = filepath.Join(free, "d")
		who = func(c *exec.Cmd) {
			c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
		}
	}
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(dir, 0o755)
	for _, args := range [][]string{{"pose", "sample", "--out", "new.glb"}, {"pose", "sample", "--out", "kept.glb"}, {"examine", "mine.glb", "--report", "new.html"}, {"picture", "mine.glb", "--out", "new.png"}} {
		c := cmd(args...)
		who(c)
		out, err := c.CombinedOutput()
		if c.ProcessState == nil {
			t.Skip(err)
		}
		if code := c.ProcessState.ExitCode(); code != exitUnread || !strings.Contains(string(out), "permission denied") || !strings.Contains(string(out), "what stood there is as it was") {
			t.Errorf("%v: exit %d, %s", args, code, out)
		}
	}
	now, err := os.ReadFile(filepath.Join(dir, "kept.glb"))
	if err != nil || !bytes.Equal(now, was) {
		t.Error("the model in the folder is not what it was", err)
	}
	noneBeside(t, dir)
}
