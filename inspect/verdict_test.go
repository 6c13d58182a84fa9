package inspect

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/check"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/intake"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// What matters most of figures with planted faults, as three of us would tell it after
// watching them move. The sample's chains hang stiff in both clips: whoever watches sees
// that after every fault that tears the surface, and before those that only show in a
// mirrored pose or a single moment. Of its notes the thighs that fold at 120° are seen
// first: half their volume goes.
func TestVerdictOfFaults(t *testing.T) {
	clean := lamplighter.Build(lamplighter.Options{})
	for _, row := range rounds.Rows([]struct {
		fault  string
		matter []string
		says   string
	}{
		{"", []string{"motion/still-chain", "bends/collapse"}, "A person, 1.86 m high. Bound, and moved by 2 clips; one thing will show: chain that stays still (12 joints)."},
		// It collapses to a heap wherever weights are missing: a stop, and no word of readiness.
		{"binding/unbound", []string{"binding/unbound", "motion/still-chain"}, "It will fail as it is: vertices bound to nothing (14 vertices)."},
		// A spike from shin to arm however small the patch: before twelve joints that hang.
		{"binding/stray-island", []string{"binding/stray-island", "motion/still-chain"}, "two things will show: weight far from joint ("},
		{"binding/cross-body", []string{"binding/cross-body", "motion/still-chain"}, ""},
		{"binding/split-seam", []string{"binding/split-seam", "motion/still-chain"}, ""},
		// Arms that follow each other's bones: at rest already.
		{"skeleton/bind-mixed", []string{"skeleton/bind-mixed", "motion/still-chain"}, ""},
		{"skeleton/bind-lost", []string{"skeleton/bind-lost", "motion/still-chain"}, "It will fail as it is: bind matrices lost"},
		// A hundred times too large: nothing else is seen before that.
		{"intake/odd-height", []string{"intake/odd-height", "motion/still-chain"}, "186 m high"},
		{"intake/unapplied-scale", []string{"intake/unapplied-scale", "motion/still-chain"}, ""},
		// Black or see-through from every side; the normals say the same again.
		{"surface/inside-out", []string{"surface/inside-out", "surface/bad-normals", "motion/still-chain"}, "three things will show: shell turned inside out"},
		// Toes that bear the other foot's name seem to hang on the wrong foot; a name alone moves nothing.
		{"skeleton/side-label", []string{"motion/still-chain", "skeleton/side-label"}, ""},
		// A seam that a bound figure does not open; keys 2 % off unit; one key of a clip.
		{"surface/near-coincident", []string{"motion/still-chain", "surface/near-coincident"}, ""},
		{"motion/off-unit", []string{"motion/still-chain", "motion/off-unit"}, ""},
		{"motion/stray-key", []string{"motion/still-chain", "motion/stray-key"}, ""},
	}, 3) {
		g := clean
		if row.fault != "" {
			at := slices.IndexFunc(lamplighter.Faults(), func(f lamplighter.Fault) bool { return f.ID == row.fault })
			g, _ = lamplighter.Faults()[at].On(clean)
		}
		matters(t, row.fault, examined(t, g), row.matter, row.says)
	}
}

// What matters most of real figures, told after watching them, in the grade's order: what a
// rigger who gets the file says first, and why, above each row. All models of the corpus.
func TestVerdictOfRealFigures(t *testing.T) {
	const folder = "../../shared/corpus/models"
	if _, err := os.Stat(folder); err != nil {
		t.Skip("no corpus at " + folder)
	}
	for _, row := range []struct {
		file, says string
		matter     []string
	}{
		// Feet that slide come third: two metres a second in a spin that is meant to slide.
		// Seven of his clips hold a pose (their keys are equal). His two sides crease differently in every pose, the surface differs when mirrored.
		{"Knight.glb", "A person, 2.31 m high. Bound, and moved by 69 of 76 clips; two things will show: weights differ by side", []string{"binding/mirror-mismatch", "surface/lopsided", "motion/foot-skate"}},
		// Three times a person's height, then a trunk that no clip bends, then feet that part.
		{"robot.glb", "A person, 4.56 m high. Bound, and moved by 14 clips; six things will show: unlikely height", []string{"intake/odd-height", "motion/still-chain", "skeleton/uneven-pair"}},
		// 79 of whatever its unit is: worth knowing first; without normals each viewer shades it differently; then low-poly weights that jump from edge to edge. Joints that collapse do so where none of the three clips bends them.
		{"Fox.glb", "A four-legged figure, 79 m high. Bound, and moved by 3 clips; nothing was found that will show.", []string{"intake/odd-height", "surface/bad-normals", "binding/rough"}},
		// A wrist turns and the fingers stay behind; two vertices of the little finger fly; what collapses is a palm bone bent farther than a palm bends.
		{"hand_left.glb", "A hand alone, 0.212 m high. Bound and ready to animate; two things will show: chain hangs on nothing (19 chains)", []string{"skeleton/loose-chain", "binding/stray-island", "bends/collapse"}},
		{"hand_right.glb", "A hand alone, ", []string{"skeleton/loose-chain", "binding/stray-island"}},
		// 210 vertices lack up to four fifths of their weight: what follows the standard throws them as far as 0.85 m, in every picture. Then each step drags a part of one thigh with the other, by a tenth.
		{"cesium_man.gltf", "A person, 1.51 m high. Bound, and moved by 1 clip; three things will show: weights off one", []string{"binding/sum-off", "binding/cross-body", "skeleton/axes"}},
		// Inches of a studio read as metres; finger tips of other lengths matter to who carries it over; then a forearm that flips between two keys.
		{"01_01.bvh", "A person of 31 joints and 1 clip, without a surface. It can be carried over to a figure; two things will show: unit is not metres", []string{"intake/odd-height", "skeleton/uneven-pair", "motion/jump"}},
		// Nothing is wrong with it; who binds it lifts it onto the ground, and learns of nine shells before the third thing, which the sentence says already.
		{"MorphStressTest.gltf", "not bound to joints. Ready to be bound.", []string{"intake/off-ground", "surface/shells", "intake/nothing-bound"}},
		// The declared box cuts it from view; two vertices name a joint that pulls them by nothing; no normals.
		{"SimpleSkin.gltf", "one thing will show: box off the surface", []string{"intake/bounds-off", "binding/unplugged", "surface/bad-normals"}},
		{"simple_skin.gltf", "one thing will show: box off the surface", []string{"intake/bounds-off", "binding/unplugged", "surface/bad-normals"}},
		// Nine bones apart from each other under a hundredfold scale; then four corners that most players put elsewhere, since they take four of ten influences. Which half mirrors which is no question of a square, nor is its height.
		{"quad_skin.glb", "A figure lying flat, ", []string{"skeleton/loose-chain", "intake/unapplied-scale", "binding/cut-to-four"}},
		// A bending cylinder whose box leaves out what the clip does, whose one bone is a matrix that nobody can key, and half of which is under the floor. That its clip starts a key late and has no name is housekeeping.
		{"rigged_simple.gltf", "nothing was found that will show.", []string{"intake/bounds-off", "skeleton/scaled-joint", "intake/off-ground"}},
		// Nine boxes that clips turn and stretch: scale first, then what was cut into several clips.
		{"interpolation_test.gltf", "not bound to joints.", []string{"intake/unapplied-scale", "intake/uneven-scale", "motion/split-clip"}},
	} {
		path := filepath.Join(folder, row.file)
		var g *rig.Rig
		var err error
		if filepath.Ext(path) == ".bvh" {
			data, _ := os.ReadFile(path)
			g, err = bvh.Read(row.file, data)
		} else {
			g, err = gltfio.ReadFS(os.DirFS(folder), row.file, gltfio.Options{})
		}
		if err != nil {
			t.Fatal(err)
		}
		matters(t, row.file, examined(t, g), row.matter, row.says)
	}
}

// matters asks for the findings that stand first, and for a part of the sentence.
func matters(t *testing.T, name string, res *Result, want []string, says string) {
	t.Helper()
	v, all := res.Verdict(), res.Findings()
	var got []string
	for _, n := range v.Matter {
		got = append(got, all[n-1].ID)
		if all[n-1].Cause != nil {
			t.Errorf("%s: %s matters, and it follows from another", name, all[n-1].ID)
		}
	}
	if len(got) < len(want) || !slices.Equal(got[:len(want)], want) {
		t.Errorf("%s: first are %v, want %v", name, got, want)
	}
	if !strings.Contains(plainSpaces(v.Says), says) {
		t.Errorf("%s: says %q, want %q in it", name, v.Says, says)
	}
	if sorted := slices.Sorted(slices.Values(v.Order)); len(sorted) != len(all) || !slices.Equal(v.Order[:len(v.Matter)], v.Matter) {
		t.Errorf("%s: the order %v of %d findings does not begin with %v", name, v.Order, len(all), v.Matter)
	}
	rest := v.Order[len(v.Matter):]
	for i := range rest {
		if i > 0 && (all[rest[i]-1].Grade > all[rest[i-1]-1].Grade || all[rest[i]-1].Grade == all[rest[i-1]-1].Grade && all[rest[i]-1].Cause == nil && all[rest[i-1]-1].Cause != nil) {
			t.Errorf("%s: %d stands after %d", name, rest[i], rest[i-1])
		}
	}
	if len(v.Matter) > 3 {
		t.Errorf("%s: %d that matter", name, len(v.Matter))
	}
}

func plainSpaces(s string) string {
	return strings.NewReplacer("\u00a0", " ", "\u202f", " ").Replace(s)
}

// TestVerdictIsWhole: nothing is said of an examination that was cut short, and every
// entry of the table of what is seen is a check, or a station.
func TestVerdictIsWhole(t *testing.T) {
	res := examined(t, lamplighter.Build(lamplighter.Options{}))
	res.Stations[3].Facts = nil
	if v := res.Verdict(); v.Says != "" || v.State != "" || len(v.Matter) != 0 {
		t.Errorf("a station is missing, and it says %+v", v)
	}
	known := map[string]bool{}
	for _, s := range Catalogue() {
		known[s.Name+"/"] = true
		for _, e := range s.Entries {
			known[e.ID] = true
			for _, l := range e.Limits {
				known[l.Grade.String()+" "+e.ID] = true
			}
		}
	}
	for key := range seen {
		if !known[key] {
			t.Errorf("%q is no check, no station and no grade of a check", key)
		}
	}
}

// TestVerdictCounts: what is told by name and what is told by number make up all there are.
func TestVerdictCounts(t *testing.T) {
	res := examined(t, lamplighter.Build(lamplighter.Options{}))
	for _, row := range []struct {
		flaws []string
		want  string
	}{
		{[]string{"a/a"}, "one thing will show: a."},
		{[]string{"a/a", "a/b"}, "two things will show: a and b."},
		{[]string{"a/a", "a/b", "a/c", "a/d", "a/e"}, "five things will show: a, b, c and two more."},
		{[]string{"a/a", "a/a", "a/b"}, "three things will show: a, b and one more."}, // one check twice is named once
		{slices.Repeat([]string{"a/a"}, 14), "14 things will show: a and 13 more."},
	} {
		for i := range res.Stations {
			res.Stations[i].Findings = nil
		}
		for _, id := range row.flaws {
			res.Stations[0].Findings = append(res.Stations[0].Findings, check.Finding{ID: id, Title: strings.ToUpper(id[2:]), Grade: check.Flaw, Where: check.Nowhere()})
		}
		if got := res.Verdict().Says; !strings.HasSuffix(got, row.want) {
			t.Errorf("%v: %s", row.flaws, got)
		}
	}
}

// TestVerdictOfClips: only clips that move joints move the figure, and figures grown
// together are not called one.
func TestVerdictOfClips(t *testing.T) {
	for _, row := range rounds.Rows([]struct {
		stripped int // clips that lose their channels
		state    State
		says     string
	}{
		{0, Moving, "Bound, and moved by 2 clips; "},
		{1, Moving, "Bound, and moved by 1 of 2 clips; "},
		{2, Bound, "Bound and ready to animate; "},
	}, 2) {
		g := lamplighter.Build(lamplighter.Options{})
		for c := range row.stripped {
			g.Clips[c].Channels = nil
		}
		v := examined(t, g).Verdict()
		if v.State != row.state || !strings.Contains(plainSpaces(v.Says), row.says) {
			t.Errorf("%d clips without channels: %s, %q", row.stripped, v.State, v.Says)
		}
	}
	for _, n := range []int{0, 2} {
		res := examined(t, lamplighter.Build(lamplighter.Options{}))
		for i := range res.Stations {
			if f, ok := res.Stations[i].Facts.(*intake.Facts); ok {
				f.Fused = n
			}
		}
		if says := res.Verdict().Says; strings.HasPrefix(plainSpaces(says), "2 figures grown together. ") != (n == 2) {
			t.Errorf("%d figures in one shell: %q", n, says)
		}
	}
}

// TestSpread: the share of the figure by hand: the root of the vertices' share, or the
// joints', or the square of the height's, times the share of the clips.
func TestSpread(t *testing.T) {
	res := examined(t, lamplighter.Build(lamplighter.Options{}))
	vertices, joints := len(res.Exam.Rig.Meshes[0].Positions)/3, len(res.Exam.Rig.Skins[0].Joints)
	spot := func(n int) []check.Spot { return []check.Spot{{Vertices: make([]rig.Vertex, n)}} }
	for _, row := range []struct {
		name string
		id   string
		w    func(*check.Where)
		want float64
	}{
		{"no place", "binding/x", func(*check.Where) {}, 1},
		{"a hundredth of the vertices", "binding/x", func(w *check.Where) { w.Spots = spot(vertices / 100) }, .1},
		{"of the file", "intake/x", func(w *check.Where) { w.Spots = spot(vertices / 100) }, 1},
		{"a quarter of the joints", "motion/x", func(w *check.Where) { w.Joints = make([]rig.Node, joints/4) }, .485}, // 8 of 34
		{"one of two clips", "motion/x", func(w *check.Where) { w.Clip = 1 }, .5},
		{"both clips", "motion/x", func(w *check.Where) { w.Clip, w.Clips = 0, []rig.Clip{0, 1} }, 1},
		{"a quarter of the joints in one clip", "motion/x", func(w *check.Where) { w.Clip, w.Joints = 0, make([]rig.Node, joints/4) }, .2425},
		{"half as high as the figure", "bends/x", func(w *check.Where) { w.Point, w.Extent = new(space.Vec), res.Exam.Height()/2 }, .5},
	} {
		f := check.Finding{ID: row.id, Where: check.Nowhere()}
		row.w(&f.Where)
		if got := res.spread(&f); math.Abs(got-row.want) > .001 {
			t.Errorf("%s: %.4f, want %.4f", row.name, got, row.want)
		}
	}
}

// What is less high than a twentieth of its diagonal lies flat: a plank of .049 m on one of a metre.
func TestLyingFlat(t *testing.T) {
	r := examined(t, lamplighter.Build(lamplighter.Options{}))
	for height, says := range map[float64]string{.049: "lying flat, 1\u00a0m across", .051: "51\u00a0mm high"} {
		f := *FactsOf[intake.Facts](r)
		f.BodyHeight, f.Diagonal = height, 1
		if got := r.lead(&f, Bound); !strings.Contains(got, says) {
			t.Errorf("%g m of one: %q, want %q", height, got, says)
		}
	}
}
