package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// manyJoints writes the sample with so many joints more in its skin, some with
// names that a spreadsheet would run.
func manyJoints(t *testing.T, more int) string {
	t.Helper()
	r := lamplighter.Clone(lamplighter.Build(lamplighter.Options{}))
	skin := &r.Skins[0]
	for i := range more {
		n := rig.Node(len(r.Nodes))
		parent := skin.Joints[i%20]
		d := r.Nodes[parent]
		d.Name, d.Parent, d.Children, d.Mesh, d.Skin = fmt.Sprintf("strand_%03d", i), parent, nil, rig.None, rig.None
		d.TRS = rig.TRS{T: [3]float64{0, .01, 0}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}
		d.Matrix = d.TRS.Affine()
		if i < 4 {
			d.Name = []string{`=1+1`, "+strand", "-strand", "@strand, \"quoted\""}[i]
		}
		r.Nodes = append(r.Nodes, d)
		r.Nodes[parent].Children = append(slices.Clone(r.Nodes[parent].Children), n)
		skin.Joints = append(skin.Joints, n)
		bind, _ := r.Nodes[n].Matrix.Inverse()
		skin.Bind = append(skin.Bind, bind)
	}
	r.SetOrder()
	name := filepath.Join(t.TempDir(), "many.glb")
	if err := os.WriteFile(name, lamplighter.Write(r), 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

// TestJointTable: the table of joints sorts, sifts and leads to the joint, and what
// it saves is the command line's file, byte by byte; with 500 joints, too.
func TestJointTable(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1440, 900)
	name := manyJoints(t, 466)
	p.give(name)
	p.poll("the figure", `document.querySelector('#file-name')?.textContent.includes('many') && `+doneJS)

	took := eval[float64](p, `(async () => { [...document.querySelectorAll('#card button')].find((b) => /all joints/i.test(b.textContent))?.click();
		const b = document.querySelector('[data-focus="table"]'); const t = performance.now(); b.click(); document.querySelector('.joint-rows').getBoundingClientRect(); return performance.now() - t; })()`)
	t.Logf("500 rows drawn in %.0f ms", took)
	rows := func() []string {
		return eval[[]string](p, `[...document.querySelectorAll('.joint-rows tbody tr')].map((r) => r.querySelector('th button')?.textContent)`)
	}
	if n := len(rows()); n != 500 {
		t.Errorf("%d rows for 500 joints", n)
	}
	took = eval[float64](p, `(() => { const b = document.querySelector('[data-focus="sort-vertices"]'); const t = performance.now(); b.click(); document.querySelector('.joint-rows').getBoundingClientRect(); return performance.now() - t; })()`)
	t.Logf("sorted in %.0f ms", took)
	counts := eval[[]float64](p, `[...document.querySelectorAll('.joint-rows tbody tr')].map((r) => Number(r.querySelectorAll('td')[0].textContent.replace(/[^0-9]/g, '')))`)
	if !slices.IsSortedFunc(counts, func(a, b float64) int { return int(b - a) }) || counts[0] == 0 {
		t.Errorf("sorted by vertices the table begins with %v", counts[:8])
	}
	p.settled()
	p.shot("25-joint-table")
	p.axe("table of joints")

	p.press(`[data-focus="csv"]`)
	got := string(p.file().data)
	file := filepath.Join(t.TempDir(), "joints.csv")
	runCommand(t, "examine", "--fail-on", "never", "--joints-csv", file, name)
	want, err := os.ReadFile(file)
	p.must(err)
	if got != string(want) {
		t.Errorf("the page saves %d bytes, the command line %d", len(got), len(want))
	}
	for _, harmless := range []string{",'=1+1,", ",'+strand,", ",'-strand,", "\"'@strand, \"\"quoted\"\"\""} {
		if !strings.Contains(got, harmless) {
			t.Errorf("the table does not hold %s", harmless)
		}
	}

	eval[any](p, `(() => { const f = document.querySelector('.table-tools input'); f.value = 'lowerleg'; f.dispatchEvent(new Event('input')); })()`)
	if left := rows(); len(left) != 2 {
		t.Errorf("%q answer to lowerleg", left)
	}
	p.press(`.joint-rows tbody th button`)
	p.poll("the joint", `!document.querySelector('#joint-table').open && /lowerLeg/.test(document.querySelector('#h-card')?.textContent)`)
	p.clean()
}

// TestTwoJoints: the histograms of a joint and of any other, overlaid or back to
// back, with the numbers of both.
func TestTwoJoints(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1440, 900)
	p.sample()
	p.chooseJoint("upperArm_L")
	if text := eval[string](p, `document.querySelector('[data-focus="second"]').selectedOptions[0].textContent`); text != "its partner, upperArm_R" {
		t.Errorf("the second joint is %q", text)
	}
	p.click(`.hist input[value="apart"] + span`)
	p.settled()
	p.shot("26-two-joints-mirrored")
	p.axe("two joints")
	// Clean sample: both sides are mirror images, bar by bar.
	widths := func(class string) []float64 {
		return eval[[]float64](p, fmt.Sprintf(`[...document.querySelectorAll('.hist svg.apart rect.%s')].map((r) => Number(r.getAttribute('width')))`, class))
	}
	if a, b := widths("bar"), widths("step"); len(a) == 0 || !slices.Equal(a, b) {
		t.Errorf("bars %v, partner's %v", a, b)
	}
	eval[any](p, `(() => { const s = document.querySelector('[data-focus="second"]'); s.value = [...s.options].find((o) => o.textContent === 'spine').value; s.dispatchEvent(new Event('change', { bubbles: true })); })()`)
	head := eval[string](p, `[...document.querySelectorAll('#card > .pairs thead th')].map((c) => c.textContent).join(' ')`)
	if !strings.Contains(head, "spine") {
		t.Errorf("the numbers are headed %q", head)
	}
	doc := commandLine(t, "examine", "--json", "sample")
	for _, j := range doc["facts_of"].(map[string]any)["binding"].(map[string]any)["skins"].([]any)[0].(map[string]any)["joints"].([]any) {
		j := j.(map[string]any)
		if j["name"] != "spine" {
			continue
		}
		got := eval[[]float64](p, `[...document.querySelectorAll('.hist table tbody tr')].map((r) => Number(r.querySelectorAll('td')[1].textContent.replace(/[^0-9]/g, '')))`)
		for i, n := range j["histogram"].([]any) {
			if got[i] != n.(float64) {
				t.Errorf("spine, bin %d: %v beside the arm, %v on the command line", i, got[i], n)
			}
		}
	}
	p.click(`.hist input[value="over"] + span`)
	p.click(`[data-act="paper"]`)
	p.settled()
	p.shot("27-two-joints-over-night")
	p.axe("two joints overlaid, night")
	p.clean()
}

// TestJointTableNarrow: on a phone the table scrolls in its own room, and two joints
// stand beside each other as well.
func TestJointTableNarrow(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 360, 740)
	p.sample()
	p.press(`[data-focus="table"]`)
	p.settled()
	p.shot("30-joint-table-phone")
	if w := eval[int](p, `(() => { const d = document.querySelector('#joint-table'); return Math.max(d.scrollWidth - d.clientWidth, d.getBoundingClientRect().right - innerWidth); })()`); w > 0 {
		t.Errorf("the table is %d pixels too wide on a screen of 360", w)
	}
	p.axe("table on a phone")
	p.pressThe("the button", `[...document.querySelectorAll('.joint-rows tbody th button')].find((b) => b.textContent === 'upperArm_L')`)
	p.press(`.hist input[value="apart"]`)
	p.settled()
	eval[any](p, `document.querySelector('.hist').scrollIntoView()`)
	p.shot("31-two-joints-phone")
	if w := eval[int](p, `document.querySelector('#card').scrollWidth - document.querySelector('#card').clientWidth`); w > 0 {
		t.Errorf("the card is %d pixels too wide on a screen of 360", w)
	}
	p.clean()
}
