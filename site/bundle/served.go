package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// writeServed joins the page's modules and sheets: each file that a browser asks for costs
// a way to the server and back, and there are over a hundred. What starts first stays by
// itself, since it runs in browsers that cannot read the rest.
func writeServed(from, to string) error {
	data, err := os.ReadFile(filepath.Join(from, "index.html"))
	if err != nil {
		return err
	}
	html := string(data)
	entry := moduleTag.FindStringSubmatch(html)
	if entry == nil {
		return errors.New("index.html: want one module script")
	}
	modules, err := everyModule(filepath.Join(from, "js"))
	if err != nil {
		return err
	}
	start, err := output(api.Build(api.BuildOptions{
		EntryPoints: []string{absolute(filepath.Join(from, filepath.FromSlash(entry[1])))}, External: []string{"./page.js"},
		Bundle: true, Format: api.FormatESModule, MinifyWhitespace: true, Charset: api.CharsetUTF8, Target: api.ESNext,
	}))
	if err != nil {
		return err
	}
	page, err := output(api.Build(api.BuildOptions{
		Stdin:  &api.StdinOptions{Contents: modules, ResolveDir: absolute(filepath.Join(from, "js"))},
		Bundle: true, Format: api.FormatESModule, MinifyWhitespace: true, Charset: api.CharsetUTF8, Target: api.ESNext,
	}))
	if err != nil {
		return err
	}
	sheet, pictures, err := sheets(from, html)
	if err != nil {
		return err
	}
	worker, err := workerText(from, to)
	if err != nil {
		return err
	}
	for _, name := range pictures {
		if err := copyAll(filepath.Join(from, "css", name), filepath.Join(to, "css", name)); err != nil {
			return err
		}
	}
	html = styleLink.ReplaceAllLiteralString(html, "")
	html = strings.Replace(html, "</head>", "<link rel=\"stylesheet\" href=\"css/page.css\">\n<link rel=\"modulepreload\" href=\"js/page.js\">\n</head>", 1)
	for name, text := range map[string]string{"index.html": html, entry[1]: start, "js/page.js": page, "css/page.css": sheet, "worker.js": worker} {
		p := filepath.Join(to, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(p), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(p, []byte(text), 0o644); err != nil {
			return err
		}
	}
	return nil
}

// everyModule is the text of a module that runs the page and hands out each of its modules
// under its path, so that a test, or a person at the browser's console, gets at what is
// running: importing a source would run it a second time.
func everyModule(dir string) (string, error) {
	var imports, list strings.Builder
	n := 0
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(p, ".js") {
			return err
		}
		rel, err := filepath.Rel(dir, p)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		if rel == "page.js" || rel == "start.js" || rel == "programs/worker.js" || rel == "programs/draco.js" || rel == "programs/unpacker.js" { // they run, and hand out nothing
			return nil
		}
		fmt.Fprintf(&imports, "import * as m%d from %q;\n", n, "./"+rel)
		fmt.Fprintf(&list, "%q: m%d,\n", rel, n)
		n++
		return nil
	})
	return fmt.Sprintf("import './page.js';\n%sexport const modules = {%s};\n", &imports, &list), err
}

// sheets joins the style sheets in the order of their links, and names the pictures beside
// them; these and the fonts stay files.
func sheets(from, html string) (sheet string, pictures []string, err error) {
	entry := imported(html)
	if entry == "" {
		return "", nil, errors.New("index.html links no style sheet")
	}
	sheet, err = output(api.Build(api.BuildOptions{
		Stdin:  &api.StdinOptions{Contents: entry, ResolveDir: absolute(from), Loader: api.LoaderCSS},
		Bundle: true, MinifyWhitespace: true, External: []string{"*.woff2", "*.png"}, Target: api.ESNext,
	}))
	if err != nil {
		return "", nil, err
	}
	found, err := filepath.Glob(filepath.Join(from, "css", "*.png"))
	for _, p := range found {
		pictures = append(pictures, filepath.Base(p))
	}
	return sheet, pictures, err
}

// imported names the linked style sheets in their order, as one sheet that takes them in.
func imported(html string) string {
	var b strings.Builder
	for _, m := range styleLink.FindAllStringSubmatch(html, -1) {
		fmt.Fprintf(&b, "@import %q;\n", "./"+m[1])
	}
	return b.String()
}

// workerText is Go's loader and what starts the examiner, as one script.
func workerText(from, to string) (string, error) {
	var b strings.Builder
	for _, p := range []string{filepath.Join(to, "wasm_exec.js"), filepath.Join(from, "js", "programs", "draco.js"), filepath.Join(from, "js", "programs", "worker.js")} {
		data, err := os.ReadFile(p)
		if err != nil {
			return "", err
		}
		b.Write(data)
		b.WriteByte('\n')
	}
	return b.String(), nil
}
