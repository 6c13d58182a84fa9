package main

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
)

// library examines any number of models: one line of JSON each, in the order they were named
// whatever is done first. A line is kept no longer than until those before it are written, so
// memory does not grow with their number.
type library struct {
	p       *program
	options inspect.Options
	bar     check.Grade
	timings bool
	jobs    int
	resume  string          // the file that lines are added to; "": standard output
	held    map[string]bool // path and hash of the models it holds already
}

// answer is the line of one model.
type answer struct {
	text []byte
	code int
	said string // what went wrong, for standard error
}

// models lists what was named: files, folders with all that lies in them and below, patterns
// as a shell would spread them, and the lines of a list.
func (p *program) models(names []string, list string) (all []string, err error) {
	if list != "" {
		data, err := p.list(list)
		if err != nil {
			return nil, err
		}
		for text := range strings.Lines(string(data)) {
			if text = strings.TrimRight(text, "\r\n"); text != "" {
				names = append(names, text)
			}
		}
	}
	for _, name := range names {
		spread := []string{name}
		if _, err := os.Lstat(name); err != nil && strings.ContainsAny(name, "*?[") {
			if spread, err = filepath.Glob(name); err != nil {
				return nil, callError{fmt.Sprintf("%s: no pattern of file names: %v", shown(name), err)}
			}
			if len(spread) == 0 {
				spread = []string{name} // said as a file that is not there
			}
		}
		below, _, err := modelsIn(spread)
		if err != nil {
			return nil, err
		}
		all = append(all, below...)
	}
	return all, nil
}

// list reads the names of models, a line each; "-" is standard input.
func (p *program) list(name string) ([]byte, error) {
	if name != "-" {
		return p.text("--list", name)
	}
	data, err := io.ReadAll(io.LimitReader(p.in, mostList+1))
	if err == nil && len(data) > mostList {
		err = fmt.Errorf("a list of more than %d MB", mostList>>20)
	}
	if err != nil {
		return nil, callError{fmt.Sprintf("--list -: %v", err)}
	}
	return data, nil
}

// mostList is the longest list of names, bytes: a million models.
const mostList = 256 << 20

// examine examines the models that were named and answers the worst exit code.
func (l *library) examine(named []string, list string) (code int, err error) {
	names, err := l.p.models(named, list)
	if err != nil {
		return 0, err
	}
	if l.timings {
		l.options.Clock = time.Now
	}
	out := l.p.out
	if l.resume != "" {
		file, err := l.begin()
		if err != nil {
			return 0, err
		}
		defer file.Close()
		out = file
	}
	lines := make([]chan answer, l.jobs) // the next line of each worker, in turn
	for k := range lines {
		lines[k] = make(chan answer, 1)
	}
	stop := make(chan struct{})
	var workers sync.WaitGroup
	for k := range lines {
		workers.Go(func() {
			for i := k; i < len(names); i += l.jobs {
				select {
				case lines[k] <- l.one(names[i]):
				case <-stop:
					return
				}
			}
		})
	}
	defer workers.Wait()
	defer close(stop)
	for i := range names {
		a := <-lines[i%l.jobs]
		if a.said != "" {
			fmt.Fprintf(l.p.err, "rigloupe: %s\n", line(a.said))
		}
		if _, err := out.Write(a.text); err != nil {
			if l.resume != "" {
				return 0, fmt.Errorf("--resume %s: not all of it was written: %s", shown(l.resume), reason(err))
			}
			return 0, err
		}
		if a.code == exitUnread || code == exitDone {
			code = a.code
		}
	}
	return code, nil
}

// one answers the line of a model: what was found, or why it could not be read. No text where
// the output holds it already.
func (l *library) one(name string) (a answer) {
	q := &program{in: strings.NewReader(""), out: io.Discard, err: io.Discard} // takes down its own inputs
	head := struct {
		Path   string `json:"path"`
		SHA256 string `json:"sha256,omitempty"`
		File   string `json:"file,omitempty"`
		Error  string `json:"error,omitempty"`
	}{Path: name}
	err := func() (err error) {
		defer rescueFile(name, &err)
		at, err := q.find(name)
		if err != nil {
			return err
		}
		if head.SHA256, err = at.hash(); err != nil {
			return err
		}
		if l.held[name+"\n"+head.SHA256] {
			return nil
		}
		r, err := at.read()
		if err != nil {
			return err
		}
		res, err := inspect.Examine(context.Background(), r, l.options)
		if err != nil {
			return fmt.Errorf("%s: %w", shown(name), err)
		}
		for _, f := range res.Findings() {
			if f.Grade >= l.bar {
				a.code = exitGrade
			}
		}
		var document bytes.Buffer
		if err := res.WriteJSON(&document, l.timings); err != nil {
			return fmt.Errorf("%s: %w", shown(name), err)
		}
		first, err := json.Marshal(head)
		if err != nil {
			return err
		}
		// The members of the head, then those of the document.
		a.text = slices.Concat(first[:len(first)-1], []byte(","), bytes.TrimLeft(document.Bytes(), " ")[1:])
		return nil
	}()
	if err == nil {
		return a
	}
	if l.held[name+"\n"+head.SHA256] {
		return answer{}
	}
	head.File, head.Error = filepath.Base(name), err.Error()
	text, _ := json.Marshal(head) // texts alone
	return answer{append(text, '\n'), exitUnread, err.Error()}
}

// begin opens the file that lines are added to, with what it holds. A last line that was cut
// short, as a machine leaves it that stops in the middle, is taken off.
func (l *library) begin() (*os.File, error) {
	o, err := l.p.output("--resume", l.resume)
	if err != nil {
		return nil, err
	}
	if o.std || o.direct {
		return nil, callError{"--resume wants a file: what it holds is read"}
	}
	wrong := func(err error) error {
		return fmt.Errorf("--resume %s: %s", shown(l.resume), reason(err))
	}
	f, err := os.OpenFile(l.resume, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, wrong(err)
	}
	l.held = map[string]bool{}
	whole := int64(0)
	in := bufio.NewReaderSize(f, 1<<20)
	for n := 1; ; n++ {
		head, size, ended, err := headOf(in)
		if err != nil {
			f.Close()
			return nil, wrong(err)
		}
		if size == 0 {
			break
		}
		if !ended {
			break
		}
		m := heads.FindSubmatch(head)
		if m == nil {
			f.Close()
			return nil, callError{fmt.Sprintf("--resume %s: line %d is none of examine's with --resume; name another file", shown(l.resume), n)}
		}
		var name string
		if json.Unmarshal(m[1], &name) == nil {
			l.held[name+"\n"+string(m[2])] = true
		}
		whole += size
	}
	if err := f.Truncate(whole); err != nil {
		f.Close()
		return nil, wrong(err)
	}
	if _, err := f.Seek(whole, io.SeekStart); err != nil {
		f.Close()
		return nil, wrong(err)
	}
	return f, nil
}

// heads are the first members of a line.
var heads = regexp.MustCompile(`^\{"path":("(?:[^"\\]|\\.)*"),(?:"sha256":"([0-9a-f]{64})",|"file":)`)

// headOf reads one line and keeps its beginning; documents may be large.
func headOf(in *bufio.Reader) (head []byte, size int64, ended bool, err error) {
	const kept = 64 << 10
	for {
		part, err := in.ReadSlice('\n')
		size += int64(len(part))
		if room := kept - len(head); room > 0 {
			head = append(head, part[:min(room, len(part))]...)
		}
		switch {
		case err == nil:
			return head, size, true, nil
		case errors.Is(err, io.EOF):
			return head, size, false, nil
		case !errors.Is(err, bufio.ErrBufferFull):
			return nil, 0, false, err
		}
	}
}

// sides are the names of side files in the text of a .gltf.
var sides = regexp.MustCompile(`"uri"\s*:\s*"((?:[^"\\]|\\.)*)"`)

// hash is the SHA-256 of a model's bytes; of a .gltf those of its side files as well, each
// behind its name, so that a changed one changes it.
func (at *place) hash() (string, error) {
	h := sha256.New()
	if at.data != nil {
		h.Write(at.data)
		return hex.EncodeToString(h.Sum(nil)), nil
	}
	root, err := os.OpenRoot(at.dir)
	if err != nil {
		return "", fmt.Errorf("%s: %s", shown(at.dir), reason(err))
	}
	defer root.Close()
	dir := disk{root.FS(), at.p, at.dir}
	add := func(name string, into io.Writer) error {
		f, err := dir.Open(name)
		if err != nil {
			return err
		}
		defer f.Close()
		_, err = io.Copy(into, f)
		return err
	}
	if !strings.EqualFold(filepath.Ext(at.name), ".gltf") {
		if err := add(at.name, h); err != nil {
			return "", fmt.Errorf("%s: %s", shown(at.name), reason(err))
		}
		return hex.EncodeToString(h.Sum(nil)), nil
	}
	var text bytes.Buffer
	if err := add(at.name, io.MultiWriter(h, &text)); err != nil {
		return "", fmt.Errorf("%s: %s", shown(at.name), reason(err))
	}
	for _, m := range sides.FindAllSubmatch(text.Bytes(), -1) {
		name, err := url.PathUnescape(string(m[1]))
		if err != nil || strings.HasPrefix(name, "data:") || !fs.ValidPath(name) {
			continue
		}
		fmt.Fprintf(h, "\n%q\n", name)
		if err := add(name, h); err != nil {
			continue // the reader says what is missing
		}
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
