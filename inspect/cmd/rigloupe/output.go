package main

import (
	"bytes"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
)

// output is one file that a call writes. Nothing of a person's is ever opened for
// writing: the bytes go into a new file beside the place, which takes it only when it
// is whole, on the disk and, where somebody can, read back. So a full disk or a stop
// in the middle leaves what stood there.
type output struct {
	p      *program
	option string      // "--out", for words
	name   string      // as given
	path   string      // links followed
	mode   fs.FileMode // of what stands there, 0 for nothing
	direct bool        // a device that takes letters, as /dev/null: bytes go straight into it
	std    bool        // standard output
}

// output answers where an option wants its file; nil without a name. A name that is
// one of the inputs, under whatever name, is a wrong call. "-" is standard output; what is
// said for a person then goes to standard error.
func (p *program) output(option, name string, inputs ...string) (*output, error) {
	if name == "" {
		return nil, nil
	}
	o := &output{p: p, option: option, name: name}
	if name == "-" || name == "/dev/stdout" {
		if p.out == p.err {
			return nil, callError{fmt.Sprintf("%s %s: one output alone can be standard output", option, shown(name))}
		}
		o.std, p.out = true, p.err
		return o, nil
	}
	if err := o.look(); err != nil {
		return nil, err
	}
	for _, in := range inputs {
		if in == "" || in == "-" {
			continue
		}
		if info, err := os.Stat(in); err == nil {
			p.inputs = append(p.inputs, input{in, info})
		}
	}
	return o, o.spare()
}

// look finds out what stands at the place.
func (o *output) look() error {
	o.path, o.mode, o.direct = o.name, 0, false
	if info, err := os.Stat(o.name); err == nil && !info.Mode().IsRegular() && !info.IsDir() {
		// A pipe waits for a reader, perhaps for ever; a disk would lose all that is on it.
		if info.Mode()&fs.ModeCharDevice == 0 {
			what := "a device"
			switch {
			case info.Mode()&fs.ModeNamedPipe != 0:
				what = "a pipe"
			case info.Mode()&fs.ModeSocket != 0:
				what = "a socket"
			}
			return callError{fmt.Sprintf("%s %s: %s is no file that can be written whole; name a file, or - for standard output", o.option, shown(o.name), what)}
		}
		o.mode, o.direct = info.Mode(), true
		return nil
	}
	if _, err := os.Lstat(o.name); err == nil {
		if o.path, err = filepath.EvalSymlinks(o.name); err != nil {
			return callError{fmt.Sprintf("%s %s: a link to a file that is not there", o.option, shown(o.name))}
		}
	}
	info, err := os.Stat(o.path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if dir, err := os.Stat(filepath.Dir(o.path)); err != nil || !dir.IsDir() {
			return callError{fmt.Sprintf("%s %s: there is no such folder", o.option, shown(o.name))}
		}
	case err != nil:
		return callError{fmt.Sprintf("%s %s: %s", o.option, shown(o.name), reason(err))}
	case info.IsDir():
		return callError{fmt.Sprintf("%s %s: this is a folder; name a file", o.option, shown(o.name))}
	default:
		o.mode = info.Mode()
	}
	return nil
}

// spare refuses a place that is one of the files read: the same file, whatever its
// name, by link, by case or by a second name on the disk.
func (o *output) spare() error {
	info, err := os.Stat(o.path)
	if err != nil || o.direct {
		return nil
	}
	for _, in := range o.p.inputs {
		if os.SameFile(info, in.info) {
			return callError{fmt.Sprintf("%s %s: this is %s, which is read; give the result another name", o.option, shown(o.name), shown(in.name))}
		}
	}
	return nil
}

// write puts there what fill writes. verify, where there is one, gets the bytes as they
// are read back from the disk, before anything takes the place.
func (o *output) write(fill func(io.Writer) error, verify func([]byte) error) error {
	failed := func(err error) error {
		var call callError
		if errors.As(err, &call) {
			return err
		}
		return fmt.Errorf("%s %s: not written: %s; what stood there is as it was", o.option, shown(o.name), reason(err))
	}
	if o.std {
		return o.straight(o.p.csv, fill, verify)
	}
	if err := o.look(); err != nil { // it may have changed since
		return err
	}
	if err := o.spare(); err != nil { // side files are known only now
		return err
	}
	if o.direct {
		f, err := os.OpenFile(o.path, os.O_WRONLY, 0)
		if err != nil {
			return fmt.Errorf("%s %s: %s", o.option, shown(o.name), reason(err))
		}
		return errors.Join(o.straight(f, fill, verify), f.Close())
	}
	if o.mode != 0 { // a file that may not be written is no file to replace
		f, err := os.OpenFile(o.path, os.O_WRONLY, 0)
		if err != nil {
			return failed(err)
		}
		f.Close()
	}
	beside := filepath.Join(filepath.Dir(o.path), ".rigloupe-"+rand.Text()[:12])
	f, err := os.OpenFile(beside, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return failed(err)
	}
	defer os.Remove(beside) // gone already when all went well
	err = fill(f)
	if err == nil && o.mode != 0 {
		err = f.Chmod(o.mode.Perm())
	}
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return failed(err)
	}
	if verify != nil {
		data, err := os.ReadFile(beside)
		if err == nil {
			err = verify(data)
		}
		if err != nil {
			return failed(err)
		}
	}
	if err := os.Rename(beside, o.path); err != nil {
		return failed(err)
	}
	if dir, err := os.Open(filepath.Dir(o.path)); err == nil { // the name itself; not every disk can
		dir.Sync()
		dir.Close()
	}
	return nil
}

// straight writes what can be neither replaced nor read back: it is verified before.
func (o *output) straight(w io.Writer, fill func(io.Writer) error, verify func([]byte) error) error {
	var whole bytes.Buffer
	err := fill(&whole)
	if err == nil && verify != nil {
		err = verify(whole.Bytes())
	}
	if err != nil {
		return fmt.Errorf("%s %s: not written: %s", o.option, shown(o.name), reason(err))
	}
	if _, err := w.Write(whole.Bytes()); err != nil {
		return fmt.Errorf("%s %s: not all of it was written: %s", o.option, shown(o.name), reason(err))
	}
	return nil
}

// bytes puts a whole file there.
func (o *output) bytes(data []byte, verify func([]byte) error) error {
	return o.write(func(w io.Writer) error { _, err := w.Write(data); return err }, verify)
}

// stdout is standard output that remembers a failure: a full disk behind > is told at
// the end, whoever wrote.
type stdout struct {
	w   io.Writer
	err error
}

func (s *stdout) Write(b []byte) (int, error) {
	if s.err != nil {
		return 0, s.err
	}
	n, err := s.w.Write(b)
	s.err = err
	return n, err
}

// rescue makes an error of a panic: of our own mistake, met on one file.
func rescue(err *error) {
	if p := recover(); p != nil {
		*err = fmt.Errorf("a fault of the program, met in %s: %v; please report it with the file", fault(), p)
	}
}

// rescueFile is rescue for a call with several files: one costs only itself.
func rescueFile(name string, err *error) {
	if p := recover(); p != nil {
		*err = fmt.Errorf("%s: a fault of the program, met in %s: %v; please report it with the file", shown(name), fault(), p)
	}
}

// fault names the innermost function of ours that panicked.
func fault() string {
	pc := make([]uintptr, 64)
	frames := runtime.CallersFrames(pc[:runtime.Callers(0, pc)])
	panicked := false
	for f, more := frames.Next(); more; f, more = frames.Next() {
		switch {
		case f.Function == "runtime.gopanic":
			panicked = true
		case panicked && !strings.HasPrefix(f.Function, "runtime."):
			return fmt.Sprintf("%s, line %d", strings.TrimPrefix(f.Function, "rigloupe/"), f.Line)
		}
	}
	return "an unknown place"
}

// reason is an error of the system without the name, which stands before it already.
func reason(err error) string {
	var p *fs.PathError
	var l *os.LinkError
	switch {
	case errors.As(err, &p):
		return p.Err.Error()
	case errors.As(err, &l):
		return l.Err.Error()
	}
	return err.Error()
}
