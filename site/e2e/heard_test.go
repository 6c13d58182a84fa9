package e2e

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/chromedp"
)

// heard is one thing in the accessibility tree.
type heard struct{ role, name string }

// heard answers the accessibility tree as a screen reader goes through it, without what has
// neither a name nor a role of its own.
func (p *tab) heard() (out []heard) {
	p.t.Helper()
	tree, err := chromedp.Call(p.ctx, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
	p.must(err)
	nodes := map[accessibility.NodeID]*accessibility.Node{}
	for _, n := range tree.Nodes {
		nodes[n.NodeID] = n
	}
	text := func(v *accessibility.Value) string {
		if v == nil {
			return ""
		}
		var s string
		if json.Unmarshal([]byte(v.Value), &s) != nil {
			return ""
		}
		return strings.ReplaceAll(s, "\u00a0", " ")
	}
	var walk func(n *accessibility.Node)
	walk = func(n *accessibility.Node) {
		if !n.Ignored {
			out = append(out, heard{text(n.Role), text(n.Name)})
		}
		for _, id := range n.ChildIDs {
			if c := nodes[id]; c != nil {
				walk(c)
			}
		}
	}
	walk(tree.Nodes[0])
	return out
}

// TestHeard: what is read out comes in the order in which the page is read: head, verdict, what
// matters most, ledger with its stations, plate, time, card; every picture and control has a
// name, and nothing is named twice in a row.
func TestHeard(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.sample()
	p.settled()
	order := func(want ...heard) {
		t.Helper()
		all, at := p.heard(), 0
		for _, h := range all {
			if at < len(want) && h.role == want[at].role && strings.Contains(h.name, want[at].name) {
				at++
			}
		}
		if at < len(want) {
			t.Errorf("%v is not heard after %v", want[at], want[:at])
			for _, h := range all {
				if h.role != "StaticText" && h.role != "InlineTextBox" && h.role != "LayoutTable" && h.name != "" {
					t.Log(h)
				}
			}
		}
		for i, h := range all {
			switch h.role {
			case "image", "button", "checkbox", "radio", "combobox", "textbox", "searchbox", "slider", "link", "dialog", "region", "complementary", "navigation", "table", "group":
				if h.name == "" && h.role != "group" {
					t.Errorf("%s %d has no name; before it %v", h.role, i, all[max(0, i-3):i])
				}
			}
			if i > 0 && h.name != "" && h == all[i-1] {
				t.Errorf("%v is heard twice", h)
			}
		}
	}
	sheets := []heard{
		{"link", "To the ledger"}, {"heading", "Rigloupe"}, {"button", "lamplighter.glb"}, {"status", ""}, {"navigation", "Files"}, {"button", "Nothing leaves this machine"}, {"navigation", "Road"}, {"list", "Progress by station"},
		{"application", "lamplighter.glb"}, {"heading", "Verdict"}, {"StaticText", "A person, 1.86"}, {"button", "Chain that stays still"}, {"heading", "Ledger"},
		{"heading", "Intake"}, {"heading", "Surface"}, {"heading", "Skeleton"}, {"heading", "Binding"}, {"heading", "Bends"}, {"heading", "Motion"}, {"heading", "Mending slip"},
		{"group", "Seen from"}, {"group", "Lens"}, {"heading", "Time strip"},
	}
	order(append(sheets, heard{"heading", "34 joints"})...)
	p.chooseJoint("upperArm_L")
	order(append(sheets[:len(sheets):len(sheets)], heard{"heading", "upperArm_L"}, heard{"heading", "Influence"}, heard{"table", ""}, heard{"heading", "Moves"})...)
	p.press(`#ledger .find`)
	p.poll("the card", `document.querySelector('#card .finding')`)
	order(heard{"heading", "Verdict"}, heard{"heading", "Ledger"}, heard{"heading", "Chain that stays still"}, heard{"heading", "Remedy"}, heard{"heading", "Mends"})
	// On the page what stands lower is read later, in each sheet.
	for _, sheet := range []string{"ledger", "card", "time"} {
		if bad := eval[string](p, fmt.Sprintf(downwardsJS, sheet)); bad != "" {
			t.Errorf("%s: %s", sheet, bad)
		}
	}
	// Which of it is spoken of itself, and how often: a filter of the joints says its count once.
	eval[any](p, `globalThis.spoken = []; new MutationObserver(() => { const s = document.querySelector('#state').textContent.trim(); if (s !== spoken.at(-1)) spoken.push(s); }).observe(document.querySelector('#state'), { childList: true, subtree: true, characterData: true }); 0`)
	p.press(`#card [data-focus="list"]`)
	p.poll("the list", `document.querySelector('#card [data-focus="search"]')`)
	eval[any](p, `(() => { const s = document.querySelector('#card [data-focus="search"]'); s.value = 'chain_L'; s.dispatchEvent(new Event('input', { bubbles: true })); return 0; })()`)
	p.poll("what is spoken", `spoken.at(-1)?.endsWith('6\u00a0joints.') || spoken.at(-1)?.endsWith('6 joints.')`)
	if got := eval[[]string](p, `spoken`); len(got) != 1 {
		t.Errorf("spoken: %q", got)
	}
	p.clean()
}

// downwardsJS answers the first line of words in a sheet that stands above the one read before it.
const downwardsJS = `((id) => { const walk = document.createTreeWalker(document.getElementById(id), NodeFilter.SHOW_TEXT); let last = null;
	for (let n = walk.nextNode(); n; n = walk.nextNode()) {
		const e = n.parentElement; if (!n.data.trim() || !e.checkVisibility() || e.closest('svg, .vh, .vh *, table, [aria-hidden="true"], .joints, .row, select, header')) continue;
		const r = document.createRange(); r.selectNodeContents(n); const b = r.getBoundingClientRect(); if (b.width < 2) continue;
		const box = e.closest('.find') ?? e, o = box.getBoundingClientRect();
		if (last && b.bottom < last.top && box !== last.box) return '"' + n.data.trim() + '" stands above "' + last.text + '"';
		last = { top: o === b ? b.top : Math.min(b.top, o.top), text: n.data.trim(), box };
	} return ''; })(%q)`
