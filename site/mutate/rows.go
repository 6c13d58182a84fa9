package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
)

// row is one line to break. Of white space is only asked that there is some, so that a
// row outlives a change of indent and of the columns that gofmt makes.
type row struct {
	List  string // file of the list, without .txt
	Title string // what is wrong once the line is broken
	In    string // a file, a folder, or folder/... with what is below it
	Old   string // stands exactly once in the files of In that are no tests
	New   string
	See   string // packages of Go, or one file of Node's tests, that must see it
	Run   string // of go test; "": all of the package
}

// readLists reads every list of a folder. A list is a text of blocks:
//
//	# what is wrong then
//	in inspect/deform
//	see ./inspect/deform TestDual
//	- the text as it is
//	+ the text that takes its place
//
// in and see hold for the blocks below as well; further - and + lines are further
// lines of the text; a line that begins with // is a remark: what no test holds yet
// stands so at the end of its list.
func readLists(root fs.FS, folder string) ([]row, error) {
	names, err := fs.Glob(root, folder+"/*.txt")
	if err != nil {
		return nil, err
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("no list in %s", folder)
	}
	var rows []row
	titles := map[string]bool{}
	for _, name := range names {
		text, err := fs.ReadFile(root, name)
		if err != nil {
			return nil, err
		}
		list, err := parse(strings.TrimSuffix(path.Base(name), ".txt"), string(text))
		if err != nil {
			return nil, fmt.Errorf("%s:%w", name, err)
		}
		for _, r := range list {
			if titles[r.List+r.Title] {
				return nil, fmt.Errorf("%s: two rows are called %q", name, r.Title)
			}
			titles[r.List+r.Title] = true
		}
		rows = append(rows, list...)
	}
	return rows, nil
}

// parse reads one list.
func parse(list, text string) ([]row, error) {
	var rows []row
	var cur *row
	in, see, run := "", "", ""
	for at, line := range strings.Split(text, "\n") {
		word, rest, _ := strings.Cut(strings.TrimRight(line, " \t\r"), " ")
		rest = strings.TrimSpace(rest)
		fail := func(why string) ([]row, error) { return nil, fmt.Errorf("%d: %s", at+1, why) }
		switch word {
		case "", "//":
			continue
		case "#":
			rows = append(rows, row{List: list, Title: rest, In: in, See: see, Run: run})
			cur = &rows[len(rows)-1]
		case "in":
			if in = rest; cur != nil && cur.Old == "" {
				cur.In = in
			}
		case "see":
			see, run = seen(rest)
			if cur != nil && cur.Old == "" {
				cur.See, cur.Run = see, run
			}
		case "-", "+":
			if cur == nil {
				return fail("a text before the first title")
			}
			if cur.In == "" || cur.See == "" {
				return fail("no place (in) or no test (see) is named")
			}
			to := &cur.Old
			if word == "+" {
				if to = &cur.New; cur.Old == "" {
					return fail("a new text (+) without an old one (-)")
				}
			}
			if *to != "" {
				*to += "\n"
			}
			*to += rest
		default:
			return fail(fmt.Sprintf("a line begins with %q; want #, in, see, -, + or //", word))
		}
	}
	for _, r := range rows {
		if r.Old == "" || r.Old == r.New {
			return nil, fmt.Errorf("%q: nothing is broken", r.Title)
		}
	}
	return rows, nil
}

// seen parts what must see a row: packages (they begin with a dot) or a file of Node's
// tests, and the pattern for -run after them.
func seen(s string) (see, run string) {
	var places []string
	for _, w := range strings.Fields(s) {
		if strings.HasPrefix(w, "./") || strings.HasSuffix(w, ".js") {
			places = append(places, w)
		} else {
			run = w
		}
	}
	return strings.Join(places, " "), run
}

// place finds the file that a row breaks and the file's bytes once it is broken.
func (w *row) place(root string) (file string, broken []byte, err error) {
	lines := strings.Split(w.Old, "\n")
	for i := range lines {
		words := strings.Fields(lines[i])
		for k := range words {
			words[k] = regexp.QuoteMeta(words[k])
		}
		lines[i] = strings.Join(words, `[ \t]+`)
	}
	old := regexp.MustCompile(strings.Join(lines, `[ \t]*\n[ \t]*`))
	files, err := w.files(root)
	if err != nil {
		return "", nil, err
	}
	found := 0
	for _, name := range files {
		text, err := os.ReadFile(filepath.Join(root, name))
		if err != nil {
			return "", nil, err
		}
		at := old.FindAllIndex(text, -1)
		if found += len(at); len(at) == 1 {
			file = name
			broken = bytes.Join([][]byte{text[:at[0][0]], []byte(w.New), text[at[0][1]:]}, nil)
		}
	}
	if found != 1 {
		return "", nil, fmt.Errorf("%q stands %d times in %s, not once", w.Old, found, w.In)
	}
	return file, broken, nil
}

// files lists what is no test in a row's place.
func (w *row) files(root string) ([]string, error) {
	folder, below := strings.CutSuffix(w.In, "/...")
	top := filepath.Join(root, folder)
	if info, err := os.Stat(top); err != nil {
		return nil, errors.New("no " + w.In)
	} else if !info.IsDir() {
		return []string{w.In}, nil
	}
	var files []string
	err := filepath.WalkDir(top, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if p != top && !below {
				return fs.SkipDir
			}
			return nil
		}
		source := strings.HasSuffix(p, ".go") && !strings.HasSuffix(p, "_test.go") || strings.HasSuffix(p, ".js") && !strings.HasSuffix(p, ".test.js")
		if rel, err := filepath.Rel(root, p); source && err == nil {
			files = append(files, filepath.ToSlash(rel))
		}
		return nil
	})
	return files, err
}

// key names a row with all that decides whether its tests see it: its texts, the file
// it breaks, and the files beside its tests. What lies further away is not looked at;
// -fresh asks all again.
func (w *row) key(root string) string {
	h := sha256.New()
	fmt.Fprintf(h, "%q", *w)
	if file, _, err := w.place(root); err == nil {
		text, _ := os.ReadFile(filepath.Join(root, file))
		h.Write(text)
	}
	for _, see := range strings.Fields(w.See) {
		places := []string{see}
		if !strings.HasSuffix(see, ".js") {
			places, _ = filepath.Glob(filepath.Join(root, see, "*.go"))
		}
		for _, p := range places {
			text, _ := os.ReadFile(p)
			h.Write(text)
		}
	}
	return hex.EncodeToString(h.Sum(nil)[:12])
}
