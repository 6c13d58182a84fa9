package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"rigloupe/inspect/desk"
)

// TestThreePresses: from the drop of a faulty figure to the remedy of its worst finding,
// and the mend that answers it, is one press, on a phone two at most; the three stand there
// with the pictures of their places, in the words and numbers of the document; N goes on in
// the verdict's order. That nothing holds the page meanwhile is TestNoBlock's.
func TestThreePresses(t *testing.T) {
	dir := t.TempDir()
	for _, fault := range []string{"binding/stray-island", "skeleton/bind-lost", "surface/inside-out"} {
		f, err := desk.Sample{Faults: []string{fault}}.File()
		if err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(dir, "lamp.glb")
		if err := os.WriteFile(name, f.Data, 0o644); err != nil {
			t.Fatal(err)
		}
		for _, size := range [][2]int64{{1440, 900}, {390, 844}} {
			p := open(t, serve(t, false).URL+"?present=plain", size[0], size[1])
			p.drop(name)
			p.poll("the figure", doneJS)
			p.poll("the pictures", `(() => { const all = [...document.querySelectorAll('.verdict .shot')]; return all.length > 0 && all.every((s) => s.classList.contains('none') || s.querySelector('img')?.naturalWidth >= 84); })()`)
			if got := eval[int](p, `[...document.querySelectorAll('.verdict .shot img')].filter((i) => i.offsetWidth > 40).length`); got < 1 {
				t.Errorf("%s, %v: no picture is seen", fault, size)
			}
			seen := `(() => { const c = document.querySelector(%q), r = c?.getBoundingClientRect(); return Boolean(r && c.offsetParent && r.top >= 0 && r.bottom <= innerHeight); })()`
			if !eval[bool](p, fmt.Sprintf(seen, ".verdict .find[data-matters]")) {
				t.Errorf("%s, %v: the first that matters is not in sight", fault, size)
			}
			first := eval[int](p, `Number(document.querySelector('.verdict .find').dataset.matters)`)
			p.press(`.verdict .find`) // the one press
			p.poll("its card", fmt.Sprintf(`document.querySelector('#card .finding h3 i')?.textContent === '%d' && document.querySelector('#card .shot.large:is(.none, :has(img))')`, first))
			remedy := eval[string](p, `document.querySelector('#card .remedy, #card h4 + .why')?.textContent ?? ''`)
			want := eval[string](p, `import('./js/state/desk.js').then((m) => m.desk.figure.findings[`+fmt.Sprint(first-1)+`].remedy)`)
			if len(remedy) < 20 || digitsOnly(remedy) != digitsOnly(want) {
				t.Errorf("%s, %v: the card's remedy is %q, the document's %q", fault, size, remedy, want)
			}
			if size[0] == 1440 && !eval[bool](p, fmt.Sprintf(seen, "#card .remedy, #card h4 + .why")) {
				t.Errorf("%s: the remedy is not in sight", fault)
			}
			// What, how much, picture, why, remedy: in this order, before the joint's own numbers.
			if !eval[bool](p, `(() => { const at = ['.finding h3', '.finding .shot', '.finding .why', '.finding h4', '.under'].map((s) => document.querySelector('#card ' + s)).filter(Boolean).map((e) => e.getBoundingClientRect().top); return at.length > 3 && at.every((y, i) => i === 0 || y >= at[i - 1]); })()`) {
				t.Errorf("%s, %v: the card stands in another order", fault, size)
			}
			p.shot(fmt.Sprintf("71-card-%s-%d", filepath.Base(fault), size[0]))
			if size[0] == 1440 {
				order := eval[[]int](p, `import('./js/state/desk.js').then((m) => m.desk.figure.doc.verdict.order)`)
				eval[any](p, `document.getElementById('pad').focus(); 0`)
				for _, n := range order[1:min(4, len(order))] {
					p.key("n")
					p.poll("the next in order", fmt.Sprintf(`document.querySelector('#card .finding h3 i')?.textContent === '%d'`, n))
				}
				// No row of the ledger needs more than two lines.
				for _, row := range eval[[]string](p, `[...document.querySelectorAll('#ledger .find')].filter((f) => f.offsetParent).flatMap((f) => {
					const tops = [];
					for (const w = document.createTreeWalker(f, NodeFilter.SHOW_TEXT); w.nextNode();) {
						if (w.currentNode.parentElement.closest('.vh')) continue;
						const r = document.createRange(); r.selectNode(w.currentNode);
						for (const x of r.getClientRects()) if (x.width > 2 && !tops.some((t) => Math.abs(t - x.bottom) < 8)) tops.push(x.bottom);
					}
					return tops.length > 2 ? [tops.length + ' lines: ' + f.textContent] : [];
				})`) {
					t.Errorf("%s: a row has %s", fault, row)
				}
			}
			p.axe("the card of " + fault)
			p.clean()
		}
	}
}

// digitsOnly leaves the letters and digits of a text.
func digitsOnly(s string) string {
	var b []rune
	for _, r := range s {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			b = append(b, r)
		}
	}
	return string(b)
}
