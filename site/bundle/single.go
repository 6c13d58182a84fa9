package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// blocks are texts of the single file that are no scripts to the browser and need no
// hash. The page's shell reads each once by its id.
var blocks = []struct{ id, file string }{
	{"worker", "worker.js"},
	{"notices", "NOTICES.txt"},
}

// carried are the programs of the single file, in one stream, which is 13 % smaller than
// one each: they share much of Go's library and of the engine.
var carried = []string{"stage.wasm", "examiner.wasm"}

var (
	metaPolicy   = regexp.MustCompile(`<meta http-equiv="Content-Security-Policy" content="[^"]*">`)
	styleLink    = regexp.MustCompile(`<link rel="stylesheet" href="([^"]+)">\s*`)
	loaderTag    = regexp.MustCompile(`<script src="wasm_exec\.js"( defer)?></script>\s*`)
	aheadLink    = regexp.MustCompile(`<link rel="modulepreload" href="[^"]+">\s*`)
	manifestLink = regexp.MustCompile(`<link rel="manifest" href="[^"]+">\s*`)
	moduleTag    = regexp.MustCompile(`<script type="module" src="([^"]+)"></script>\s*`)
)

// writeSingle joins the folder into one HTML file: style and scripts inline under
// hashes, fonts as data, the programs packed in a block of text. unpacker is the module of
// the worker that unpacks them.
func writeSingle(dir, unpacker, to string) error {
	page, err := os.ReadFile(filepath.Join(dir, "index.html"))
	if err != nil {
		return err
	}
	html := string(page)
	style, err := styles(dir, html)
	if err != nil {
		return err
	}
	entry := moduleTag.FindStringSubmatch(html)
	if entry == nil || !metaPolicy.MatchString(html) || !loaderTag.MatchString(html) {
		return errors.New("index.html: want a policy in a meta tag, one wasm_exec.js and one module script")
	}
	script, err := joined(filepath.Join(dir, filepath.FromSlash(entry[1])))
	if err != nil {
		return err
	}
	loader, err := os.ReadFile(filepath.Join(dir, "wasm_exec.js"))
	if err != nil {
		return err
	}
	for name, text := range map[string]string{"styles": style, "wasm_exec.js": string(loader), "modules": script} {
		if err := inlineable(text); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	policy := fmt.Sprintf(`<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src %s %s 'wasm-unsafe-eval'; style-src %s; img-src blob: data:; font-src data:; worker-src blob:; base-uri 'none'; form-action 'none'">`,
		hash(string(loader)), hash(script), hash(style))
	data, err := dataBlocks(dir)
	if err != nil {
		return err
	}
	programs, err := programBlocks(dir, unpacker)
	if err != nil {
		return err
	}
	html = metaPolicy.ReplaceAllLiteralString(html, policy)
	html = styleLink.ReplaceAllLiteralString(html, "")
	html = aheadLink.ReplaceAllLiteralString(html, "")
	html = loaderTag.ReplaceAllLiteralString(html, "")
	html = moduleTag.ReplaceAllLiteralString(html, "")
	html = manifestLink.ReplaceAllLiteralString(html, "")
	html = strings.Replace(html, "</head>", "<style>"+style+"</style>\n</head>", 1)
	end := fmt.Sprintf("<script>%s</script>\n%s<script type=\"module\">%s</script>\n</body>", loader, data+programs, script)
	i := strings.LastIndex(html, "</body>")
	if i < 0 {
		return errors.New("index.html: no </body>")
	}
	return os.WriteFile(to, []byte(html[:i]+end+html[i+len("</body>"):]), 0o644)
}

// styles joins the style sheets in the order of their links, fonts as data.
func styles(dir, html string) (string, error) {
	entry := imported(html)
	if entry == "" {
		return "", errors.New("index.html links no style sheet")
	}
	r := api.Build(api.BuildOptions{
		Stdin:  &api.StdinOptions{Contents: entry, ResolveDir: absolute(dir), Loader: api.LoaderCSS},
		Bundle: true, MinifyWhitespace: true, Loader: map[string]api.Loader{".woff2": api.LoaderDataURL, ".png": api.LoaderDataURL},
		Target: api.ESNext,
	})
	return output(r)
}

// joined makes one module of all, with short names: nobody imports from it.
func joined(entry string) (string, error) {
	r := api.Build(api.BuildOptions{
		EntryPoints: []string{absolute(entry)}, Bundle: true, Format: api.FormatESModule,
		MinifyWhitespace: true, MinifyIdentifiers: true, MinifySyntax: true, Charset: api.CharsetUTF8, Target: api.ESNext,
	})
	return output(r)
}

func output(r api.BuildResult) (string, error) {
	if len(r.Errors) > 0 {
		m, where := r.Errors[0], ""
		if m.Location != nil {
			where = fmt.Sprintf("%s:%d: ", m.Location.File, m.Location.Line)
		}
		return "", fmt.Errorf("%s%s", where, m.Text)
	}
	return string(r.OutputFiles[0].Contents), nil
}

func absolute(p string) string {
	a, err := filepath.Abs(p)
	if err != nil {
		return p
	}
	return a
}

// inlineable refuses what would end a script or style element early.
func inlineable(text string) error {
	low := strings.ToLower(text)
	for _, s := range []string{"</script", "</style", "<!--"} {
		if i := strings.Index(low, s); i >= 0 {
			return fmt.Errorf("holds %q near %q and cannot stand inside the page; write it in two parts", s, text[max(0, i-40):min(len(text), i+20)])
		}
	}
	return nil
}

func dataBlocks(dir string) (string, error) {
	var b strings.Builder
	for _, block := range blocks {
		data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(block.file)))
		if err != nil {
			return "", err
		}
		if err := inlineable(string(data)); err != nil {
			return "", fmt.Errorf("%s: %w", block.file, err)
		}
		fmt.Fprintf(&b, "<script type=\"text/plain\" id=\"%s\">%s</script>\n", block.id, data)
	}
	return b.String(), nil
}

// programBlocks are the programs, packed and dense, and the worker's text that unpacks them.
func programBlocks(dir, unpacker string) (string, error) {
	var all []byte
	var sizes []string
	for _, name := range carried {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			return "", err
		}
		all = append(all, data...)
		sizes = append(sizes, strconv.Itoa(len(data)))
	}
	packed, err := zstandard(all)
	if err != nil {
		return "", err
	}
	text, err := output(api.Build(api.BuildOptions{
		EntryPoints: []string{absolute(unpacker)}, Bundle: true, Format: api.FormatIIFE,
		MinifyWhitespace: true, Charset: api.CharsetUTF8, Target: api.ESNext, LegalComments: api.LegalCommentsNone, // NOTICES.txt has them
	}))
	if err != nil {
		return "", err
	}
	if err := inlineable(text); err != nil {
		return "", fmt.Errorf("%s: %w", unpacker, err)
	}
	alone, err := aloneBlock(dir, "draco")
	if err != nil {
		return "", err
	}
	return alone + fmt.Sprintf("<script type=\"text/plain\" id=\"unpacker\">%s</script>\n<script type=\"application/octet-stream\" id=\"programs\" data-names=\"%s\" data-sizes=\"%s\" data-bytes=\"%d\">%s</script>\n",
		text, strings.Join(carried, " "), strings.Join(sizes, " "), len(packed), dense(packed)), nil
}

// aloneBlock is a program that is unpacked only when a file asks for it.
func aloneBlock(dir, name string) (string, error) {
	data, err := os.ReadFile(filepath.Join(dir, name+".wasm"))
	if err != nil {
		return "", err
	}
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err == nil {
		_, err = w.Write(data)
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		return "", err
	}
	return fmt.Sprintf("<script type=\"application/octet-stream\" id=\"%s\" data-bytes=\"%d\">%s</script>\n", name, b.Len(), dense(b.Bytes())), nil
}

// hash is the source expression that lets exactly this inline text run.
func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}
