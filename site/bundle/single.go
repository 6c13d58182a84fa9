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
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// blocks are the data blocks of the single file: they are no scripts to the
// browser and need no hash. The page's shell reads each once by its id.
var blocks = []struct {
	id, file string
	packed   bool
}{
	{"worker", "worker.js", false},
	{"notices", "NOTICES.txt", false},
	{"stage.wasm.gz", "stage.wasm", true},
	{"examiner.wasm.gz", "examiner.wasm", true},
}

var (
	metaPolicy   = regexp.MustCompile(`<meta http-equiv="Content-Security-Policy" content="[^"]*">`)
	styleLink    = regexp.MustCompile(`<link rel="stylesheet" href="([^"]+)">\s*`)
	loaderTag    = regexp.MustCompile(`<script src="wasm_exec\.js"( defer)?></script>\s*`)
	aheadLink    = regexp.MustCompile(`<link rel="modulepreload" href="[^"]+">\s*`)
	manifestLink = regexp.MustCompile(`<link rel="manifest" href="[^"]+">\s*`)
	moduleTag    = regexp.MustCompile(`<script type="module" src="([^"]+)"></script>\s*`)
)

// writeSingle joins the folder into one HTML file: style and scripts inline under
// hashes, fonts as data, the programs gzipped in data blocks.
func writeSingle(dir, to string) error {
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
	html = metaPolicy.ReplaceAllLiteralString(html, policy)
	html = styleLink.ReplaceAllLiteralString(html, "")
	html = aheadLink.ReplaceAllLiteralString(html, "")
	html = loaderTag.ReplaceAllLiteralString(html, "")
	html = moduleTag.ReplaceAllLiteralString(html, "")
	html = manifestLink.ReplaceAllLiteralString(html, "")
	html = strings.Replace(html, "</head>", "<style>"+style+"</style>\n</head>", 1)
	end := fmt.Sprintf("<script>%s</script>\n%s<script type=\"module\">%s</script>\n</body>", loader, data, script)
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

// joined makes one module of all.
func joined(entry string) (string, error) {
	r := api.Build(api.BuildOptions{
		EntryPoints: []string{absolute(entry)}, Bundle: true, Format: api.FormatESModule,
		MinifyWhitespace: true, Charset: api.CharsetUTF8, Target: api.ESNext,
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
		if block.packed {
			var z bytes.Buffer
			w, err := gzip.NewWriterLevel(&z, gzip.BestCompression)
			if err != nil {
				return "", err
			}
			if _, err := w.Write(data); err != nil {
				return "", err
			}
			if err := w.Close(); err != nil {
				return "", err
			}
			fmt.Fprintf(&b, "<script type=\"application/octet-stream\" id=\"%s\">%s</script>\n", block.id, base64.StdEncoding.EncodeToString(z.Bytes()))
			continue
		}
		if err := inlineable(string(data)); err != nil {
			return "", fmt.Errorf("%s: %w", block.file, err)
		}
		fmt.Fprintf(&b, "<script type=\"text/plain\" id=\"%s\">%s</script>\n", block.id, data)
	}
	return b.String(), nil
}

// hash is the source expression that lets exactly this inline text run.
func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}
