package e2e

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// The decoder of packed shapes is asked for when the first file needs it, and once; the page
// then tells of each what the command line does. The figure was packed by the npm package's
// encoder (inspect/draco/testdata/pack.mjs).
func TestDracoOnThePage(t *testing.T) {
	const folder = "../../inspect/gltfio/testdata/"
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1000, 700)
	if slices.ContainsFunc(s.asked(), func(u string) bool { return strings.HasSuffix(u, "draco.wasm") }) {
		t.Error("the decoder is loaded before a file needs it")
	}
	for _, name := range []string{"figure-draco.glb", "figure-draco-exact.glb"} {
		doc := commandLine(t, "examine", "--json", "--fail-on", "never", folder+name)
		p.give(folder + name)
		p.poll("the figure", fmt.Sprintf(`document.querySelector('#file-name')?.textContent.includes(%q) && `, strings.TrimSuffix(name, ".glb"))+doneJS)
		if n := eval[int](p, `document.querySelectorAll('#ledger .find[data-number]').length`); n != len(doc["findings"].([]any)) || n == 0 {
			t.Errorf("%s: %d findings in the ledger, %d on the command line", name, n, len(doc["findings"].([]any)))
		}
	}
	p.shot("60-draco")
	n := 0
	for _, u := range s.asked() {
		if strings.HasSuffix(u, "draco.wasm") {
			n++
		}
	}
	if n != 1 {
		t.Errorf("the decoder is asked for %d times", n)
	}
	p.clean()

	// The single file unpacks it from itself.
	one, err := filepath.Abs(filepath.Join(dist, "rigloupe.html"))
	if err != nil {
		t.Fatal(err)
	}
	doc := commandLine(t, "examine", "--json", "--fail-on", "never", folder+"figure-draco.glb")
	p = open(t, "file://"+one+"?present=plain", 1000, 700)
	p.quiet()
	p.give(folder + "figure-draco.glb")
	p.poll("the figure", `document.querySelector('#file-name')?.textContent.includes('figure-draco') && `+doneJS)
	if n := eval[int](p, `document.querySelectorAll('#ledger .find[data-number]').length`); n != len(doc["findings"].([]any)) {
		t.Errorf("one file: %d findings in the ledger, %d on the command line", n, len(doc["findings"].([]any)))
	}
	if a := p.asked(); len(a) > 0 {
		t.Errorf("the one file asked for %q", a)
	}
	p.clean()
}
