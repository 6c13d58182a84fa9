package e2e

import (
	"encoding/json"
	"strings"
	"testing"
)

// TestClipJointByJoint: the clip's card lists its joints with keys and speed, sorts
// the still ones first, and leads to a joint's curves, whose numbers are the command
// line's.
func TestClipJointByJoint(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.sample()
	p.click(`#time button[data-focus="rows"]`)
	p.poll("the rows", `document.querySelectorAll('#card .clip-row').length > 30`)
	p.shot("20-clip-rows")
	p.click(`#card input[name="rows-order"][value="still"]`)
	p.poll("the still chains first", `document.querySelector('#card .clip-row b').textContent.startsWith('chain_')`)
	p.still()
	p.shot("21-clip-still-first")
	doc := commandLine(t, "clip", "--json", "--clip", "stroll", "--sort", "still", "sample")
	var want []string
	for _, j := range doc["joints"].([]any) {
		want = append(want, j.(map[string]any)["name"].(string))
	}
	if got := eval[[]string](p, `[...document.querySelectorAll('#card .clip-row b')].map((b) => b.textContent)`); strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("the page's order\n%v\nthe command line's\n%v", got, want)
	}
	p.pressThe("the button", `[...document.querySelectorAll('#card .clip-row')].find((b) => b.textContent.startsWith('lowerLeg_L'))`)
	p.poll("the curves", `document.querySelectorAll('#card .curve').length === 2 && document.querySelector('.curve-says').textContent`)
	eval[any](p, `document.querySelector('#time input[type=range]').value = 0.6; document.querySelector('#time input[type=range]').dispatchEvent(new Event('input', {bubbles: true}))`)
	p.still()
	p.poll("what the curves say at that moment", `document.querySelector('.curve-says').textContent.startsWith('at 0.60')`)
	eval[any](p, `document.querySelector('#card .curves').scrollIntoView({block: 'end'})`)
	p.shot("22-curves")
	curves := commandLine(t, "clip", "--json", "--clip", "stroll", "--joint", "lowerLeg_L", "sample")
	at, _ := json.Marshal(curves["times"])
	p.poll("the numbers", `(() => { const at = `+string(at)+`; let k = at.length - 1; while (at[k] > 0.6 + 1e-9) k--;
		const d = `+marshalled(curves["degrees"])+`[k];
		return document.querySelector('.curve-says').textContent.replace('\u2212', '-').includes(String(Number(d.toPrecision(3)))) })()`)
	p.poll("the right joint's curve", `document.querySelector('#h-curves').textContent.startsWith('In stroll')`)
	if why := eval[string](p, `(() => { const s = document.querySelector('#card .curve'); return s.getAttribute('aria-label') })()`); !strings.Contains(why, "lowerLeg_L over") {
		t.Errorf("the chart's label: %s", why)
	}
	p.clean()
}

func marshalled(v any) string {
	b, _ := json.Marshal(v)
	return string(b)
}
