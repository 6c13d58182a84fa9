package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rigloupe/inspect/lamplighter"
)

// planted writes the sample with one fault of a check.
func planted(t *testing.T, id string) string {
	t.Helper()
	for _, f := range lamplighter.Faults() {
		if f.ID == id {
			broken, _ := f.On(lamplighter.Build(lamplighter.Options{}))
			name := filepath.Join(t.TempDir(), "broken-"+filepath.Base(id)+".glb")
			if err := os.WriteFile(name, lamplighter.Write(broken), 0o644); err != nil {
				t.Fatal(err)
			}
			return name
		}
	}
	t.Fatalf("no fault is planted for %s", id)
	return ""
}

// TestFaultsOnTheFigure: a planted fault stands in the ledger as the command line
// has it; choosing it shows its card and inks its place; Esc takes that away.
func TestFaultsOnTheFigure(t *testing.T) {
	page := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	for _, id := range []string{"binding/unbound", "binding/mirror-mismatch", "surface/lopsided", "binding/stray-island", "surface/boundary-edges"} {
		t.Run(filepath.Base(id), func(t *testing.T) {
			name := planted(t, id)
			doc := commandLine(t, "examine", "--json", "--fail-on", "never", name)
			number, title := 0, ""
			for i, f := range doc["findings"].([]any) {
				if f := f.(map[string]any); f["id"] == id && number == 0 {
					number, title = i+1, f["title"].(string)
				}
			}
			if number == 0 {
				t.Fatalf("the command line does not find %s", id)
			}
			page.t = t
			p := page // one page for all: the next file takes the place of the one before
			p.give(name)
			p.poll("the figure", fmt.Sprintf(`document.querySelector('#file-name')?.textContent.includes(%q) && `, filepath.Base(name))+doneJS)
			if n := eval[int](p, `document.querySelectorAll('#ledger .find[data-number]').length`); n != len(doc["findings"].([]any)) {
				t.Errorf("%d findings in the ledger, %d on the command line", n, len(doc["findings"].([]any)))
			}
			row := fmt.Sprintf(`#ledger .find[data-number="%d"]`, number)
			p.unfold(number)
			p.click(row)
			p.still()
			chosen, _ := p.picture()
			p.shot("15-fault-" + filepath.Base(id))
			if got := eval[string](p, `document.querySelector('#card').textContent`); !strings.Contains(got, title) {
				t.Errorf("the card does not tell %q: %s", title, got)
			}
			eval[any](p, `document.querySelector('#pad').focus()`)
			p.key("\x1b")
			p.still()
			if after, _ := p.picture(); after == chosen {
				t.Error("Esc leaves the place inked")
			}
			p.clean()
		})
	}
}
