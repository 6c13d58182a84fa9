package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
)

// call runs the program in a folder and answers exit code and both outputs.
func call(t *testing.T, dir string, args ...string) (code int, out, errs string) {
	t.Helper()
	t.Chdir(dir)
	var o, e bytes.Buffer
	code = run(args, strings.NewReader(""), &o, &e)
	return code, o.String(), e.String()
}

var small = lamplighter.Options{Vertices: 2000}

// textModel is a model whose buffer lies beside it.
const textModel = `{"asset":{"version":"2.0"},"nodes":[{"mesh":0}],"scenes":[{"nodes":[0]}],"buffers":[{"byteLength":36,"uri":"side.bin"}],
"bufferViews":[{"buffer":0,"byteLength":36}],"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3","min":[0,0,0],"max":[1,1,0]}],
"meshes":[{"primitives":[{"attributes":{"POSITION":0}}]}]}`

var sideBytes = []byte("\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x80\x3f\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x80\x3f\x00\x00\x00\x00")

func fill(t *testing.T, dir string) {
	t.Helper()
	for name, data := range map[string][]byte{
		"mine.glb": lamplighter.GLB(small), "text.gltf": []byte(textModel), "side.bin": sideBytes, "limits.json": []byte("{}"), "pins.json": []byte("[]"),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// No output may take the place of a file that is read, whatever name it goes by: every
// option of every command that writes, against the file itself, a path with detours, a
// link and a second name on the disk.
func TestNoOutputReplacesAnInput(t *testing.T) {
	calls := map[string][]string{
		"pose":            {"pose", "mine.glb", "--out"},
		"picture":         {"picture", "mine.glb", "--size", "64x64", "--out"},
		"joints":          {"examine", "mine.glb", "--joints-csv"},
		"line-up":         {"lineup", "sample", "mine.glb", "--csv"},
		"carry to target": {"carry", "sample", "mine.glb", "--clip", "0", "--out"},
		"carry to source": {"carry", "mine.glb", "sample", "--clip", "0", "--out"},
	}
	for name, args := range calls {
		for _, to := range []string{"mine.glb", "./sub/../mine.glb", "link.glb", "second.glb"} {
			t.Run(name+" "+to, func(t *testing.T) {
				dir := t.TempDir()
				fill(t, dir)
				os.Mkdir(filepath.Join(dir, "sub"), 0o755)
				if err := errors.Join(os.Symlink("mine.glb", filepath.Join(dir, "link.glb")), os.Link(filepath.Join(dir, "mine.glb"), filepath.Join(dir, "second.glb"))); err != nil {
					t.Skip(err)
				}
				refused(t, dir, "mine.glb", append(args, to)...)
			})
		}
	}
	for name, args := range map[string][]string{
		"side file":        {"pose", "text.gltf", "--out", "side.bin"},
		"side file, again": {"picture", "text.gltf", "--size", "64x64", "--out", "side.bin"},
		"limits":           {"examine", "mine.glb", "--limits", "limits.json", "--joints-csv", "limits.json"},
		"limits, line-up":  {"lineup", "mine.glb", "--limits", "limits.json", "--csv", "limits.json"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			fill(t, dir)
			refused(t, dir, args[len(args)-1], args...)
		})
	}
}

func refused(t *testing.T, dir, keeps string, args ...string) {
	t.Helper()
	was, err := os.ReadFile(filepath.Join(dir, keeps))
	if err != nil {
		t.Fatal(err)
	}
	code, _, errs := call(t, dir, args...)
	if code != exitCall || !strings.Contains(errs, "which is read") {
		t.Errorf("exit %d, %q", code, errs)
	}
	if got, _ := os.ReadFile(filepath.Join(dir, keeps)); !bytes.Equal(got, was) {
		t.Errorf("%s was %d bytes and has %d", keeps, len(was), len(got))
	}
	noneBeside(t, dir)
}

// noneBeside asks that no half-written file is left.
func noneBeside(t *testing.T, dir string) {
	t.Helper()
	if left, _ := filepath.Glob(filepath.Join(dir, ".rigloupe-*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// What stood at the place stays to the byte when writing fails half way, when what was
// written does not read back, and when the disk is full.
func TestFailedOutputKeepsWhatStood(t *testing.T) {
	dir := t.TempDir()
	to := filepath.Join(dir, "out.glb")
	for name, row := range map[string]struct {
		fill   func(io.Writer) error
		verify func([]byte) error
	}{
		"half": {func(w io.Writer) error { w.Write([]byte("half")); return io.ErrShortWrite }, nil},
		"does not read back": {func(w io.Writer) error { _, err := w.Write([]byte("glTF no more")); return err },
			func(b []byte) error {
				_, err := gltfio.Read([]gltfio.File{{Name: "x", Data: b}}, gltfio.Options{})
				return err
			}},
	} {
		if err := os.WriteFile(to, []byte("mine"), 0o640); err != nil {
			t.Fatal(err)
		}
		o, err := (&program{}).output("--out", to)
		if err != nil {
			t.Fatal(err)
		}
		err = o.write(row.fill, row.verify)
		if got, _ := os.ReadFile(to); err == nil || string(got) != "mine" {
			t.Errorf("%s: %v, the file holds %q", name, err, got)
		}
		noneBeside(t, dir)
	}
	o, _ := (&program{}).output("--out", to)
	if err := o.bytes([]byte("new"), nil); err != nil {
		t.Fatal(err)
	}
	if info, _ := os.Stat(to); info.Mode().Perm() != 0o640 {
		t.Errorf("its rights became %v", info.Mode())
	}
}

// A link stays a link, and what it leads to is replaced.
func TestOutputThroughALink(t *testing.T) {
	dir := t.TempDir()
	to := filepath.Join(dir, "real.f32")
	link := filepath.Join(dir, "link.f32")
	if err := errors.Join(os.WriteFile(to, []byte("old"), 0o644), os.Symlink("real.f32", link)); err != nil {
		t.Skip(err)
	}
	if code, _, errs := call(t, dir, "pose", "sample", "--out", "link.f32"); code != exitDone {
		t.Fatal(code, errs)
	}
	if info, _ := os.Lstat(link); info.Mode()&os.ModeSymlink == 0 {
		t.Error("the link has become a file")
	}
	if info, _ := os.Stat(to); info.Size() < 1000 {
		t.Errorf("%d bytes lie where the link leads", info.Size())
	}
	os.Remove(to)
	if code, _, errs := call(t, dir, "pose", "sample", "--out", "link.f32"); code != exitCall || !strings.Contains(errs, "a link to a file that is not there") {
		t.Error(code, errs)
	}
}

// Places where nothing can be written are told as such.
func TestOutputPlaces(t *testing.T) {
	dir := t.TempDir()
	os.Mkdir(filepath.Join(dir, "folder"), 0o755)
	for to, want := range map[string]string{"folder": "this is a folder", "nowhere/p.f32": "there is no such folder"} {
		if code, _, errs := call(t, dir, "pose", "sample", "--out", to); code != exitCall || !strings.Contains(errs, want) {
			t.Errorf("%s: exit %d, %s", to, code, errs)
		}
	}
	if os.Getuid() == 0 {
		t.Log("a folder that takes no file is not tried: the administrator may write everywhere")
		return
	}
	os.Chmod(filepath.Join(dir, "folder"), 0o555)
	if code, _, errs := call(t, dir, "pose", "sample", "--out", "folder/p.f32"); code != exitUnread || !strings.Contains(errs, "permission denied") {
		t.Errorf("exit %d, %s", code, errs)
	}
	os.WriteFile(filepath.Join(dir, "locked.f32"), []byte("mine"), 0o444)
	if code, _, errs := call(t, dir, "pose", "sample", "--out", "locked.f32"); code != exitUnread {
		t.Errorf("a file that may not be written was replaced: exit %d, %s", code, errs)
	}
}

// lostWriter takes n bytes, then fails as a full disk does.
type lostWriter struct{ n int }

func (w *lostWriter) Write(b []byte) (int, error) {
	if w.n -= len(b); w.n < 0 {
		return 0, errors.New("no space left on device")
	}
	return len(b), nil
}

// An answer that is lost is no answer: exit 3, whatever the command and however much
// of it had been written.
func TestLostAnswer(t *testing.T) {
	dir := t.TempDir()
	fill(t, dir)
	t.Chdir(dir)
	for _, args := range [][]string{
		{"examine", "mine.glb"}, {"examine", "--json", "mine.glb"}, {"lineup", "mine.glb"}, {"lineup", "--json", "mine.glb"},
		{"pose", "mine.glb", "--out", "p.f32"}, {"probe", "mine.glb", "--vertex", "34:0:0"}, {"bends", "mine.glb"}, {"bends", "--csv", "mine.glb"},
		{"clip", "mine.glb"}, {"match", "mine.glb", "mine.glb"}, {"match", "--csv", "mine.glb", "mine.glb"}, {"carry", "mine.glb", "mine.glb", "--clip", "0"},
		{"checks"}, {"checks", "--json"}, {"checks", "--markdown"}, {"version"}, {"version", "--licences"}, {"help"}, {"examine", "--help"},
	} {
		for _, n := range []int{0, 9} {
			var errs bytes.Buffer
			if code := run(args, strings.NewReader(""), &lostWriter{n}, &errs); code != exitUnread || !strings.Contains(errs.String(), "no space left") {
				if strings.Contains(errs.String(), "no vertex") || strings.Contains(errs.String(), "carries no mesh") {
					t.Errorf("the call itself is wrong: %v: %s", args, errs.String())
				}
				t.Errorf("%v, %d bytes taken: exit %d, %s", args, n, code, errs.String())
			}
		}
	}
}

// One file that fails costs itself alone.
func TestOneFileCostsItself(t *testing.T) {
	dir := t.TempDir()
	fill(t, dir)
	os.WriteFile(filepath.Join(dir, "bad.glb"), []byte("glTF"), 0o644)
	code, out, errs := call(t, dir, "examine", "--only", "intake", "bad.glb", "mine.glb")
	if code != exitUnread || !strings.Contains(out, "mine.glb") || strings.Count(errs, "\n") != 1 {
		t.Errorf("exit %d\n%s\n%s", code, out, errs)
	}
	err := func() (err error) {
		defer rescueFile("x\ny.glb", &err)
		var none []int
		return fmt.Errorf("%d", none[len(dir)])
	}()
	if err == nil || strings.Contains(err.Error(), "\n") || !strings.Contains(err.Error(), "TestOneFileCostsItself") || !strings.Contains(err.Error(), `"x\ny.glb"`) {
		t.Error(err)
	}
}

// The largest file that is read has 2 GiB; one byte more is refused before it is opened. Both
// are holes on the disk.
func TestLargestFile(t *testing.T) {
	name := filepath.Join(t.TempDir(), "large.glb")
	for size, want := range map[int64]error{2 << 30: nil, 2<<30 + 1: errTooLarge} {
		if err := os.WriteFile(name, nil, 0o644); err != nil {
			t.Fatal(err)
		}
		if err := os.Truncate(name, size); err != nil {
			t.Skip(err)
		}
		info, err := os.Stat(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := (&program{}).take(name, info); err != want {
			t.Errorf("%d bytes: %v", size, err)
		}
	}
}
