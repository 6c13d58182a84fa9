package mend

import (
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Both sides of the limits that are no limit of a check. The figures were worked out here;
// the units of length are the international ones (0.0254 m, 0.3048 m: agreement of 1959); a
// figure of 4 to 7 m is as often a giant as one in feet (common practice, no source).
func TestUnitsOfLength(t *testing.T) {
	for k, want := range map[float64]bool{0.01: true, 0.0254: true, 0.3048: false, 1 / 0.3048: false, 1 / 0.0254: true, 100: true, 0.01 * 1.005: false, 0.02: false, 1.1: false} {
		if isUnit(k) != want {
			t.Errorf("%g leads to a metre: %v", k, !want)
		}
	}
}

// Two factors of one scale count as even to a millionth.
func TestEvenScale(t *testing.T) {
	for off, want := range map[float64]bool{5e-7: true, 5e-4: false} {
		if evenly(space.Vec{2, 2, 2 * (1 + off)}) != want || evenly(space.Vec{2 * (1 + off), -2, 2}) != want {
			t.Errorf("factors %g apart are even: %v", off, !want)
		}
	}
}

// A figure within a fiftieth of its height (37 mm) of the origin stays there; farther off it
// is brought over it. Its lowest point stands on the ground.
func TestGroundAndOrigin(t *testing.T) {
	hips := lamplighter.Node("hips")
	for _, c := range []struct {
		aside float64
		comes bool
	}{{0.03, false}, {0.1, true}} {
		r := sample()
		lamplighter.Shift(c.aside, 0.3, 0)(r)
		x := try(t, ofRig(t, r), "scale", Values{"ground": true})
		if x.After == nil {
			t.Fatal(x.Refused())
		}
		w := x.After.Rig.RestWorld()[hips].Origin()
		if got := math.Abs(w[0]) < 1e-4; got != c.comes {
			t.Errorf("%g m aside: the hips stand at x = %g", c.aside, w[0])
		}
		low := math.Inf(1)
		for i := range x.After.Rig.Surfaces {
			p := exam.New(x.After.Rig).RestPositions(i)
			for v := 1; v < len(p); v += 3 {
				low = min(low, float64(p[v]))
			}
		}
		if math.Abs(low) > 1e-5 {
			t.Errorf("%g m aside: the lowest point at y = %g", c.aside, low)
		}
	}
}

// Arms up to 22.5° below level are brought to T, up to 65° to A first, and lower ones keep
// their angle.
func TestSuggestedPose(t *testing.T) {
	for angle, want := range map[float64]string{20: "T", 25: "A", 60: "A", 70: "angle"} {
		out := suggestRest(&Findings{All: []Found{{ID: "skeleton/rest-pose", Measures: map[string]float64{"left arm below level": angle, "right arm below level": angle}}}})
		if len(out) == 0 || out[0].Text("pose") != want {
			t.Errorf("arms %g° low: %v, want %s first", angle, out, want)
		}
	}
}

// A channel says the rest pose within 0.01° and a hundred thousandth of the figure.
func TestRestsWithin(t *testing.T) {
	r := sample()
	th := &thinner{w: &Work{Context: t.Context(), Rig: r, Exam: exam.New(r)}, is: *r}
	n := lamplighter.Node("lowerArm_L")
	about := func(degrees float64) []float32 {
		s, c := math.Sincos(degrees * math.Pi / 360)
		q := space.FromXYZW(r.Nodes[n].R).Mul(space.Quat{W: c, V: space.Vec{0, 0, s}})
		x := space.XYZW(q)
		return []float32{float32(x[0]), float32(x[1]), float32(x[2]), float32(x[3])}
	}
	off := func(v [3]float64, by float64) []float32 {
		return []float32{float32(v[0] + by), float32(v[1]), float32(v[2])}
	}
	const size = 2.0
	for _, c := range []struct {
		name  string
		path  rig.Path
		value []float32
		rests bool
	}{
		{"0.05°", rig.Rotation, about(0.05), false}, {"0", rig.Rotation, about(0), true},
		{"1e-4 m of 2", rig.Translation, off(r.Nodes[n].T, 1e-4), false}, {"1e-5 m of 2", rig.Translation, off(r.Nodes[n].T, 1e-5), true},
		{"5 thousandths of scale", rig.Scale, off(r.Nodes[n].S, 5e-3), false}, {"5 millionths", rig.Scale, off(r.Nodes[n].S, 5e-6), true},
	} {
		ch := rig.Channel{Node: n, Path: c.path, Width: len(c.value), Times: []float32{0}, Values: c.value}
		if th.rests(&ch, size) != c.rests {
			t.Errorf("%s off: rests %v", c.name, !c.rests)
		}
	}
}

// Turns off length 1 by more than rounding are made whole, and only those.
func TestUnitTurns(t *testing.T) {
	for _, c := range []struct {
		long float32
		mend int
	}{{1 + 5e-4, 1}, {1 + 4e-6, 0}} {
		r := sample()
		r.Clips = []rig.ClipData{{Seconds: 1, Channels: []rig.Channel{{Node: 1, Path: rig.Rotation, Width: 4, Times: []float32{0, 1}, Values: []float32{0, 0, 0, c.long, 0, 0, 0, 1}}}}}
		th := &thinner{w: &Work{Context: t.Context(), Rig: r, Exam: exam.New(r)}, is: *r}
		if th.unit(); th.lengths != c.mend {
			t.Errorf("a turn of length %v: %d mended", c.long, th.lengths)
		}
	}
}

// What a key's going costs, worked out: a turn by 60° goes a chord of one reach; a shift under
// a parent twice the size counts twice; a joint that three others move has a quarter of the
// tolerance.
func TestThinErrors(t *testing.T) {
	s, c := math.Sincos(30 * math.Pi / 180)
	r := &rig.Rig{Nodes: []rig.NodeData{
		{Parent: rig.None, Children: []rig.Node{1}, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{R: [4]float64{3: 1}, S: [3]float64{2, 2, 2}}, Matrix: rig.Affine{0: 2, 5: 2, 10: 2}},
		{Parent: 0, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}, Matrix: rig.Identity},
	}}
	r.SetOrder()
	th := &thinner{w: &Work{Rig: r, Exam: exam.New(r)}, reach: []float64{3, 3}, depth: []int{1, 4}}
	turn := rig.Channel{Node: 1, Path: rig.Rotation, Width: 4, Times: []float32{0, 1}, Values: []float32{0, 0, 0, 1, float32(s), 0, 0, float32(c)}}
	if e := th.error(&turn, 0, 0, 1); math.Abs(e-3) > 1e-5 {
		t.Errorf("60° at a reach of 3: %g", e)
	}
	shift := rig.Channel{Node: 1, Path: rig.Translation, Width: 3, Times: []float32{0, 1, 2}, Values: []float32{0, 0, 0, 0, 0.1, 0, 0, 0, 0}}
	if e := th.error(&shift, 0, 2, 1); math.Abs(e-0.2) > 1e-6 {
		t.Errorf("0.1 under a scale of 2: %g", e)
	}
	for tolerance, goes := range map[float64]int{0.85: 2, 0.75: 0} { // the budget is a quarter: 0.2125 and 0.1875
		ch := shift
		if n := th.channel(&ch, tolerance); n != goes {
			t.Errorf("a tolerance of %g: %d keys go, want %d", tolerance, n, goes)
		}
	}
}

// The surface is looked at between keys as well: a clip with the same keys that jumps.
func TestThinLooksBetween(t *testing.T) {
	r := sample()
	th := &thinner{w: &Work{Context: t.Context(), Rig: r, Exam: exam.New(r)}, is: *r}
	th.prepare()
	for i := range th.is.Clips[0].Channels {
		th.is.Clips[0].Channels[i].Interpolation = rig.Step
	}
	if d := th.shift(NewPosed(r), NewPosed(&th.is), 0, r.Clips[0].Channels); d < 1e-3 {
		t.Errorf("keys that jump: the surface is %g m off", d)
	}
}

// Left out the tolerance is a 17,000th of the height.
func TestThinTolerance(t *testing.T) {
	s := ofRig(t, sample())
	height := exam.New(s.Rig).WholeHeight()
	keys := func(v Values) int {
		x := try(t, s, "thin", v)
		if x.After == nil {
			t.Fatal(x.Refused())
		}
		n, _ := keysOf(x.After.Rig)
		return n
	}
	usual := keys(nil)
	if same, half, twice := keys(Values{"tolerance": height / 17000}), keys(Values{"tolerance": height / 34000}), keys(Values{"tolerance": height / 8500}); usual != same || half <= same || twice >= same {
		t.Errorf("%d keys; %d, %d and %d at one, half and twice the tolerance", usual, same, half, twice)
	}
}

// Places whose weights differ by less than a tenth in all are welded; more are held apart.
func TestWeldWeights(t *testing.T) {
	for _, c := range []struct {
		shift float32 // from one joint to another: it counts twice
		welds bool
	}{{0.03, true}, {0.15, false}} {
		r := sample()
		p := lamplighter.SplitCorner(6e-6)(r)
		m := &r.Meshes[0]
		v := int(slices.Max(p.Vertices))
		at := v * m.K
		if m.Weights[at+1] == 0 {
			m.Joints[at+1] = (m.Joints[at] + 1) % uint16(len(r.Skins[0].Joints))
		}
		m.Weights[at] -= c.shift
		m.Weights[at+1] += c.shift
		x := try(t, ofRig(t, r), "weld", nil)
		got := x.After != nil && surfaceVertices(x.After.Rig) < surfaceVertices(r)
		if x.After != nil && !got {
			a, b := space.At(x.After.Rig.Meshes[0].Positions, int(p.Vertices[0])), space.At(x.After.Rig.Meshes[0].Positions, int(p.Vertices[1]))
			got = a == b
		}
		if got != c.welds {
			t.Errorf("weights %g apart: welded %v (%s)", 2*c.shift, got, x.Refused())
		}
	}
}

func surfaceVertices(r *rig.Rig) (n int) {
	for i := range r.Meshes {
		n += r.Meshes[i].Vertices()
	}
	return n
}

// Sums are off where rounding to float32, a ten millionth a weight, does not explain it.
func TestSumIsOff(t *testing.T) {
	for _, c := range []struct {
		more float32
		off  bool
	}{{2e-7, false}, {2e-6, true}, {5e-3, true}} {
		r := &rig.Rig{Meshes: []rig.MeshData{{K: 4, Joints: make([]uint16, 4), Weights: []float32{.25 + c.more, .25, .25, .25}}}, Skins: []rig.SkinData{{Joints: make([]rig.Node, 1)}}}
		cl := &cleaner{w: &Work{Rig: r}, is: *r, skin: []rig.Skin{0}}
		if got := cl.sumIsOff(0, &rig.PrimitiveData{Count: 1}, 0); got != c.off {
			t.Errorf("a sum of 1 + %g is off: %v", c.more, got)
		}
	}
}

// A hung joint keeps its way where what moves it jumps: just before every step it is where it
// was.
func TestHangKeepsSteps(t *testing.T) {
	r := sample()
	for c := range r.Clips {
		for i := range r.Clips[c].Channels {
			r.Clips[c].Channels[i].Interpolation = rig.Step
		}
	}
	s := ofRig(t, r)
	x := try(t, s, "hang", Values{"on": map[string]any{"lowerArm_L": "chest"}})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	was, is, n := deform.NewPose(s.Rig), deform.NewPose(x.After.Rig), lamplighter.Node("hand_L")
	worst := 0.0
	for c := range s.Rig.Clips {
		for _, k := range s.Rig.Clips[c].Channels[0].Times[1:] {
			for _, at := range []float64{float64(k) - 1e-3, float64(k)} {
				was.Sample(rig.Clip(c), at)
				is.Sample(rig.Clip(c), at)
				worst = max(worst, was.World[n].Origin().Sub(is.World[n].Origin()).Len())
			}
		}
	}
	if worst > 1e-4 {
		t.Errorf("%g m off its way", worst)
	}
	for i, c := range x.After.Rig.Clips { // neighbours lie in one half, so that no player goes the long way
		for _, ch := range c.Channels {
			if had := len(s.Rig.Clips[i].Channels[0].Times); ch.Node == lamplighter.Node("lowerArm_L") && len(ch.Times) > 2*had {
				t.Errorf("%d keys for %d: one before and one at each step would do", len(ch.Times), had)
			}
			for k := 4; ch.Path == rig.Rotation && ch.Node == lamplighter.Node("lowerArm_L") && k+4 <= len(ch.Values); k += 4 {
				if a, b := ch.Values[k-4:k], ch.Values[k:k+4]; a[0]*b[0]+a[1]*b[1]+a[2]*b[2]+a[3]*b[3] < 0 {
					t.Fatalf("key %d has the other sign", k/4)
				}
			}
		}
	}
}

// A parent whose scale differs by axis by a thousandth would shear what is turned below it.
func TestHangShear(t *testing.T) {
	for _, c := range []struct {
		scale   float64
		refused bool
	}{{1.001, true}, {1 + 1e-7, false}} {
		r := sample()
		r.Clips = nil
		up := lamplighter.Node("upperArm_R")
		r.Nodes[up].S = [3]float64{c.scale, 1, 1}
		r.Nodes[up].Matrix = r.Nodes[up].TRS.Affine()
		turn := lamplighter.Node("lowerArm_L")
		q := space.Quat{W: math.Cos(math.Pi / 8), V: space.Vec{0, 0, math.Sin(math.Pi / 8)}}
		r.Nodes[turn].R = space.XYZW(q)
		r.Nodes[turn].Matrix = r.Nodes[turn].TRS.Affine()
		x := try(t, ofRig(t, r), "hang", Values{"on": map[string]any{"lowerArm_L": "upperArm_R"}})
		if got := strings.Contains(x.Refused(), "sheared"); got != c.refused {
			t.Errorf("a scale of %v: %q", c.scale, x.Refused())
		}
	}
}

// followers counts who has weight on a joint or below, not who names it at weight 0.
func TestFollowers(t *testing.T) {
	r := sample()
	hand := lamplighter.Node("hand_L")
	n := followers(r, hand)
	m, skin := &r.Meshes[0], r.Skins[0].Joints
	place := uint16(slices.Index(skin, hand))
	for v := range m.Vertices() {
		if k := v*m.K + m.K - 1; m.Weights[k] == 0 {
			m.Joints[k] = place
		}
	}
	if again := followers(r, hand); again != n || n == 0 {
		t.Errorf("%d follow, %d once others name it at weight 0", n, again)
	}
}

// A move under a millionth of the diagonal is none.
func TestMovedAtAll(t *testing.T) {
	for _, c := range []struct {
		by    float64
		moved bool
	}{{1e-7, false}, {2e-5, true}} {
		s := ofRig(t, sample())
		x := try(t, s, "scale", Values{"factor": 1 + c.by})
		if x.After == nil {
			continue // nothing to write is nothing moved
		}
		if got := prove(t, x).Moved.Count > 0; got != c.moved {
			t.Errorf("larger by %g: moved %v", c.by, got)
		}
	}
}

// Of gear that is morphed the channel of its morphs goes, the others stay.
func TestGearMorphsOfTheSample(t *testing.T) {
	r := sample()
	hat := lamplighter.Clone(r).Meshes[0]
	hat.Targets, hat.Morph = []rig.Target{{Name: "puff", Positions: make([]float32, len(hat.Positions))}}, []float32{0}
	r.Meshes = append(r.Meshes, hat)
	n := rig.Node(len(r.Nodes))
	r.Nodes = append(r.Nodes, rig.NodeData{Name: "hat", Parent: rig.None, Mesh: 1, Skin: 0, Matrix: rig.Identity, TRS: rig.TRS{R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}})
	r.Surfaces = append(r.Surfaces, rig.Surface{Node: n, Mesh: 1, Skin: 0})
	r.Scenes[0].Roots = append(r.Scenes[0].Roots, n)
	r.SetOrder()
	had := len(r.Clips[0].Channels)
	r.Clips[0].Channels = append(r.Clips[0].Channels, rig.Channel{Node: n, Path: rig.Weights, Width: 1, Times: []float32{0, 1}, Values: []float32{0, 1}})
	x := try(t, ofRig(t, r), "gear", Values{"surfaces": []any{"hat"}})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	// The file is asked: a reader passes over a channel that moves nothing.
	if got := x.After.Doc.Object(original.Clips, 0).Get("channels").Len(); got != had {
		t.Errorf("%d channels in the file, want %d", got, had)
	}
}

// What thinning leaves behind goes; a skin that nothing names is told and goes.
func TestSweepOfTheSample(t *testing.T) {
	s := ofRig(t, sample())
	first := try(t, s, "thin", Values{"tolerance": 1e-3})
	if first.After == nil {
		t.Fatal(first.Refused())
	}
	x := try(t, first.After, "sweep", nil)
	if x.After == nil || len(x.After.Bytes) >= len(first.After.Bytes) || !reflect.DeepEqual(x.After.Rig.Clips, first.After.Rig.Clips) {
		t.Fatalf("%q: %d bytes of %d", x.Refused(), len(x.After.Bytes), len(first.After.Bytes))
	}
	d := s.Doc.Clone()
	d.Add(original.Skins, original.Parse(d.Object(original.Skins, 0).Bytes()))
	again, err := Open(d)
	if err != nil {
		t.Fatal(err)
	}
	if x := try(t, again, "sweep", nil); x.After == nil || x.After.Doc.Count(original.Skins) != 1 {
		t.Errorf("a skin that nothing names: %q", x.Refused())
	}
}
