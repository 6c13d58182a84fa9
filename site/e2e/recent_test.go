package e2e

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// TestRecent: a file that came with a handle stands on the first page at the next visit, opens
// by its name and is forgotten when asked; where no handle came nothing is kept, and one that
// is gone is said and taken off. The handles are of the browser's own file system for pages.
func TestRecent(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1280, 800)
	if eval[bool](p, `!document.getElementById('recent').hidden`) {
		t.Error("files are listed at the first visit")
	}
	bytes := toMend(t, t.TempDir())
	p.drop(bytes) // a drop by protocol may come with a handle or without: this one is forgotten
	p.poll("the figure", doneJS)
	eval[any](p, `import('./js/shared/recent.js').then((m) => m.forgetRecent())`)
	const again = `(async () => {
		const [{ open, heldFiles }] = await Promise.all([import('./js/talk/examine.js')]);
		const file = heldFiles()[0].file, root = await navigator.storage.getDirectory();
		const names = ['first.glb', 'second.glb', 'third.glb'];
		for (const name of names) {
			const handle = await root.getFileHandle(name, { create: true }), w = await handle.createWritable();
			await w.write(file);
			await w.close();
			await open([{ name, file: await handle.getFile(), handle: name === 'third.glb' ? null : handle }], false);
		}
		return names.length;
	})()`
	if n := eval[int](p, again); n != 3 {
		t.Fatal(n)
	}
	p.poll("the third", `document.getElementById('file-name').textContent.includes('third.glb') && `+doneJS)
	p.poll("two are kept", `import('./js/state/rooms.js').then(({ rooms }) => rooms.recent.list.map((r) => r.name).join(' ') === 'second.glb first.glb')`)
	p.must(chromedp.Do(p.ctx, chromedp.Reload()))
	p.poll("the page", readyJS)
	p.poll("both by name", `[...document.querySelectorAll('#recent [data-recent]')].map((b) => b.textContent).join(' ') === 'second.glb first.glb'`)
	p.shot("92-recent")
	p.axe("files opened before")
	eval[any](p, `navigator.storage.getDirectory().then((d) => d.removeEntry('second.glb'))`)
	p.click(`[data-recent="second.glb"]`)
	p.poll("it is gone", `/second.glb is no longer where it was/.test(document.getElementById('drop-says').textContent) && document.querySelectorAll('#recent [data-recent]').length === 1`)
	p.click(`[data-recent="first.glb"]`)
	p.poll("the first", `document.getElementById('file-name').textContent.includes('first.glb') && `+doneJS)
	p.press(`[data-act="help"]`)
	p.poll("what is remembered", `/1\sfile opened before/.test(document.getElementById('habits').textContent)`)
	p.press("#forget")
	p.poll("forgotten", `import('./js/state/rooms.js').then(({ rooms }) => rooms.recent.list.length === 0)`)
	p.must(chromedp.Do(p.ctx, chromedp.Reload()))
	p.poll("the page", readyJS)
	if eval[bool](p, `!document.getElementById('recent').hidden`) {
		t.Error("files are listed after they were forgotten")
	}
	p.clean()
}
