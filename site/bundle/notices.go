package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"rigloupe/inspect/draco"
)

// program is what is linked, and for what.
type program struct{ pkg, goos, goarch string }

// onThePage are the programs of the page; the command line carries notices of its own.
var (
	onThePage = []program{{"./wasm/plain", "js", "wasm"}, {"./wasm/gpu", "js", "wasm"}, {"./wasm/examiner", "js", "wasm"}}
	terminal  = program{"./inspect/cmd/rigloupe", "", ""}
)

// noticeFile tells the files of a module that its licence asks to hand on.
var noticeFile = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents)([-.].*)?$`)

// writeNotices gathers the licences of all that is linked or carried along: each Go
// module behind the programs, the Go library and its loader, the fonts.
func writeNotices(from, to string) error {
	modules, err := linked(append(onThePage, terminal)...)
	if err != nil {
		return err
	}
	for _, f := range fonts {
		modules = append(modules, module{f.pkg + " (font)", filepath.Join(from, "node_modules", filepath.FromSlash(f.pkg))})
	}
	modules = append(modules, module{"zstddec (unpacks the single file)", filepath.Join(from, "node_modules", "zstddec")})
	modules = append(modules, shapes)
	text, err := notices("the Go library and wasm_exec.js", modules)
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(to, "NOTICES.txt"), text, 0o644)
}

// terminalNotices are those that the command line prints (version --licences).
func terminalNotices() ([]byte, error) {
	modules, err := linked(terminal)
	if err != nil {
		return nil, err
	}
	return notices("the Go library", append(modules, shapes))
}

// shapes is the decoder of Draco, which both drivers carry; its package holds no licence.
var shapes = module{"Draco " + draco.Version + " (draco3dgltf, unpacks shapes), © The Draco Authors", filepath.Dir(decoder)}

// notices puts what the modules ask to hand on behind that of the Go library.
func notices(library string, modules []module) ([]byte, error) {
	out, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, fmt.Errorf("go env GOROOT: %w", err)
	}
	var b bytes.Buffer
	fmt.Fprintln(&b, "Rigloupe is made with the work of others. These are their notices.")
	told := map[string]string{}
	for _, m := range append([]module{{library, strings.TrimSpace(string(out))}}, modules...) {
		if err := m.write(&b, told); err != nil {
			return nil, err
		}
	}
	return b.Bytes(), nil
}

// module is something with a licence in its folder.
type module struct{ name, dir string }

// write puts the notices of a module behind the others; a text that stands there already, by
// its words, is named by whose it is.
func (m module) write(b *bytes.Buffer, told map[string]string) error {
	entries, err := os.ReadDir(m.dir)
	if err != nil {
		return fmt.Errorf("notices of %s: %w", m.name, err)
	}
	found := false
	for _, e := range entries {
		if e.IsDir() || !noticeFile.MatchString(e.Name()) {
			continue
		}
		data, err := os.ReadFile(filepath.Join(m.dir, e.Name()))
		if err != nil {
			return fmt.Errorf("notices of %s: %w", m.name, err)
		}
		found = true
		text := string(bytes.TrimSpace(bytes.ReplaceAll(data, []byte("\r\n"), []byte("\n"))))
		words := strings.Join(strings.Fields(text), " ")
		if whose := told[words]; whose != "" {
			text = "The same text, word for word, as that of " + whose + " above."
		} else {
			told[words] = m.name + ", " + e.Name()
		}
		fmt.Fprintf(b, "\n%s\n%s, %s\n\n%s\n", strings.Repeat("=", 78), m.name, e.Name(), text)
	}
	if !found {
		return fmt.Errorf("%s has no licence that could be handed on", m.name)
	}
	return nil
}

// linked lists the modules whose packages are in the programs, without our own.
func linked(programs ...program) (list []module, err error) {
	for _, p := range programs {
		c := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}\t{{.Dir}}{{end}}{{end}}", p.pkg)
		c.Env = os.Environ()
		if p.goos != "" {
			c.Env = append(c.Env, "GOOS="+p.goos, "GOARCH="+p.goarch)
		}
		var errs bytes.Buffer
		c.Stderr = &errs
		out, err := c.Output()
		if err != nil {
			return nil, fmt.Errorf("go list %s: %w: %s", p.pkg, err, errs.Bytes())
		}
		for l := range strings.Lines(string(out)) {
			name, dir, ok := strings.Cut(strings.TrimSpace(l), "\t")
			if m := (module{name, dir}); ok && !slices.Contains(list, m) {
				list = append(list, m)
			}
		}
	}
	slices.SortFunc(list, func(a, b module) int { return strings.Compare(a.name, b.name) })
	return list, nil
}
