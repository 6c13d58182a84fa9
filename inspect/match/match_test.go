package match

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// bodyJoints of the sample: all but the yoke and the two chains.
func bodyJoints(r *rig.Rig) (out []rig.Node) {
	for _, n := range r.Skins[0].Joints {
		if name := lamplighter.Build(lamplighter.Options{Vertices: 6000}).Nodes[n].Name; !strings.HasPrefix(name, "chain") && name != "yoke" {
			out = append(out, n)
		}
	}
	return out
}

// The sample against copies of itself: every body joint finds itself, and no pair
// crosses from left to right. The node is the truth: copies keep their node numbers.
func TestCopies(t *testing.T) {
	plain := lamplighter.Options{}
	mirror := func(_ rig.Node, p space.Vec) space.Vec { return space.Vec{-p[0], p[1], p[2]} }
	body := bodyJoints(sample(plain))
	names := sample(plain)
	for i, row := range []struct {
		name string
		copy *rig.Rig
	}{
		{"itself", sample(plain)},
		{"snake names", sample(lamplighter.Options{Names: lamplighter.Snake})},
		{"prefixed names", sample(lamplighter.Options{Names: lamplighter.Prefix})},
		{"no names", nameless(sample(plain))},
		{"A-pose", sample(lamplighter.Options{Pose: lamplighter.A})},
		{"A-pose, no names", nameless(sample(lamplighter.Options{Pose: lamplighter.A}))},
		{"other axes", reaxed(sample(plain))},
		{"other axes, no names", nameless(reaxed(sample(plain)))},
		{"A-pose, other axes, snake names", reaxed(sample(lamplighter.Options{Pose: lamplighter.A, Names: lamplighter.Snake}))},
		{"long legs, short arms", moved(sample(plain), func(_ rig.Node, p space.Vec) space.Vec {
			return space.Vec{0.7 * p[0], p[1] * (1.4 - 0.2*p[1]), p[2]}
		})},
		{"long legs, short arms, no names", nameless(moved(sample(plain), func(_ rig.Node, p space.Vec) space.Vec {
			return space.Vec{0.7 * p[0], p[1] * (1.4 - 0.2*p[1]), p[2]}
		}))},
		{"small and wide", moved(sample(plain), func(_ rig.Node, p space.Vec) space.Vec { return space.Vec{0.6 * p[0], 0.3 * p[1], 0.4 * p[2]} })},
		{"hundredfold", moved(sample(plain), func(_ rig.Node, p space.Vec) space.Vec { return p.Mul(100) })},
		{"shifted", moved(sample(plain), func(_ rig.Node, p space.Vec) space.Vec { return p.Add(space.Vec{30, -5, 8}) })},
		{"mirrored, names kept", moved(sample(plain), mirror)},
		{"turned by 90°", moved(sample(plain), func(_ rig.Node, p space.Vec) space.Vec { return space.Vec{p[2], p[1], -p[0]} })},
		{"turned by 90°, no names", nameless(moved(sample(plain), func(_ rig.Node, p space.Vec) space.Vec { return space.Vec{p[2], p[1], -p[0]} }))},
		{"spine split", split(t, sample(plain), "spine", "chest")},
		{"spine split, no names", nameless(split(t, sample(plain), "spine", "chest"))},
		{"spine and neck split", split(t, split(t, sample(plain), "spine", "chest"), "neck", "head")},
	} {
		for k, way := range []string{"to the copy", "from the copy"} {
			if !rounds.Run(2*i+k, 9) {
				continue
			}
			t.Run(row.name+" "+way, func(t *testing.T) {
				s, c := sample(plain), row.copy
				if way == "from the copy" {
					s, c = c, s
				}
				m := Find(s, c)
				isSplit := func(n rig.Node) bool { // shared out with a new joint beside it
					name := names.Nodes[n].Name
					return strings.Contains(row.name, "split") && (name == "spine" || name == "chest") || strings.Contains(row.name, "neck split") && name == "neck"
				}
				for _, n := range body {
					p, ok := m.Of(n)
					switch {
					case !ok:
						t.Errorf("%s has no pair", names.Nodes[n].Name)
					case isSplit(n):
						if p.Source != n && p.Beside != n {
							t.Errorf("%s is moved by node %d beside %d", names.Nodes[n].Name, p.Source, p.Beside)
						}
						if p.Confidence != .85 { // value chosen by us: less than two signs that agree, more than place alone
							t.Errorf("%s, whose turn is shared out, is %g sure", names.Nodes[n].Name, p.Confidence)
						}
					case p.Source != n || p.Beside >= 0:
						t.Errorf("%s is moved by node %d, want %d (%s)", names.Nodes[n].Name, p.Source, n, p.Evidence)
					}
				}
				for _, p := range m.Pairs {
					if int(p.Source) < len(names.Nodes) && int(p.Target) < len(names.Nodes) {
						if a, b := sideOf(names.Nodes[p.Source].Name), sideOf(names.Nodes[p.Target].Name); a != b {
							t.Errorf("%s moves %s", names.Nodes[p.Source].Name, names.Nodes[p.Target].Name)
						}
					}
				}
				if t.Failed() {
					t.Log(m.Remarks)
				}
			})
		}
	}
}

// Tables made by hand from names and places of the joints, before the matcher was
// asked: who moves whom. "A|B x": A and B in any shares; "#7" is a node without a
// name. Target joints that are not named stay without a pair; "? x" may have one.
//
// What was weighed: the last joint of a trunk carries arms and head, so it follows
// the source's last one. The capture's Spine1 has no length of its own but carries
// both. Its LFingers bends all fingers at once; the robot's three palms stand in one
// place and are one hand. Knight's hand.l is the fist, a bone beyond the wrist.
// The Fox walks on four legs and is in no table.
var tables = []struct{ source, target, table string }{
	{"01_01.bvh", "Knight.glb", `Hips hips, LowerBack|Spine spine, Spine1 chest, Head head,
		LeftArm upperarm.l, LeftForeArm lowerarm.l, LeftHand wrist.l, LFingers hand.l,
		RightArm upperarm.r, RightForeArm lowerarm.r, RightHand wrist.r, RFingers hand.r,
		LeftUpLeg upperleg.l, LeftLeg lowerleg.l, LeftFoot foot.l, LeftToeBase toes.l,
		RightUpLeg upperleg.r, RightLeg lowerleg.r, RightFoot foot.r, RightToeBase toes.r`},
	{"01_01.bvh", "robot.glb", `Hips Body, LowerBack|Hips Hips, Spine Abdomen, Spine1 Torso, Neck|Neck1 Neck, Head Head,
		LeftShoulder Shoulder.L, LeftArm UpperArm.L, LeftForeArm LowerArm.L,
		LeftHand Palm1.L, LeftHand Palm2.L, LeftHand Palm3.L, LFingers Index.L, LFingers Middle1.L, LFingers Ring1.L, LThumb Thumb.L,
		RightShoulder Shoulder.R, RightArm UpperArm.R, RightForeArm LowerArm.R,
		RightHand Palm1.R, RightHand Palm2.R, RightHand Palm3.R, RFingers Index.R, RFingers Middle1.R, RFingers Ring1.R, RThumb Thumb.R,
		LeftUpLeg UpperLeg.L, LeftLeg LowerLeg.L, LeftFoot Foot.L, RightUpLeg UpperLeg.R, RightLeg LowerLeg.R, RightFoot Foot.R`},
	{"Knight.glb", "robot.glb", `? Bone, hips Body, hips|spine Hips, spine|chest Abdomen, chest Torso, head Head,
		upperarm.l UpperArm.L, lowerarm.l LowerArm.L,
		wrist.l Palm1.L, wrist.l Palm2.L, wrist.l Palm3.L, hand.l Index.L, hand.l Middle1.L, hand.l Ring1.L,
		upperarm.r UpperArm.R, lowerarm.r LowerArm.R,
		wrist.r Palm1.R, wrist.r Palm2.R, wrist.r Palm3.R, hand.r Index.R, hand.r Middle1.R, hand.r Ring1.R,
		upperleg.l UpperLeg.L, lowerleg.l LowerLeg.L, foot.l Foot.L,
		upperleg.r UpperLeg.R, lowerleg.r LowerLeg.R, foot.r Foot.R`},
	{"robot.glb", "sample", `Body hips, Hips|Abdomen spine, Torso chest, Neck neck, Head head,
		Shoulder.L shoulder_L, UpperArm.L upperArm_L, LowerArm.L lowerArm_L, Palm2.L hand_L,
		Shoulder.R shoulder_R, UpperArm.R upperArm_R, LowerArm.R lowerArm_R, Palm2.R hand_R,
		UpperLeg.L upperLeg_L, LowerLeg.L lowerLeg_L, Foot.L foot_L,
		UpperLeg.R upperLeg_R, LowerLeg.R lowerLeg_R, Foot.R foot_R`},
	// Without names, facing along x: its left is at -z.
	{"cesium_man.gltf", "sample", `#2 hips, #11 spine, #12 chest, #19 neck, #20 head,
		#16 upperArm_L, #17 lowerArm_L, #18 hand_L, #13 upperArm_R, #14 lowerArm_R, #15 hand_R,
		#7 upperLeg_L, #8 lowerLeg_L, #9 foot_L, #10 toes_L, #3 upperLeg_R, #4 lowerLeg_R, #5 foot_R, #6 toes_R`},
	{"sample", "Knight.glb", `hips hips, spine spine, chest chest, head head,
		upperArm_L upperarm.l, lowerArm_L lowerarm.l, hand_L wrist.l, upperArm_R upperarm.r, lowerArm_R lowerarm.r, hand_R wrist.r,
		upperLeg_L upperleg.l, lowerLeg_L lowerleg.l, foot_L foot.l, toes_L toes.l,
		upperLeg_R upperleg.r, lowerLeg_R lowerleg.r, foot_R foot.r, toes_R toes.r`},
}

func open2(t testing.TB, name string) *rig.Rig {
	if name == "sample" {
		return sample(lamplighter.Options{})
	}
	return real(t, name)
}

// With names every row of the tables comes about and nothing beside them; with all
// names emptied nine rows of ten.
func TestHandMadeTables(t *testing.T) {
	for _, row := range tables {
		for _, bare := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s to %s, nameless %v", row.source, row.target, bare), func(t *testing.T) {
				s, d := open2(t, row.source), open2(t, row.target)
				want, open := map[rig.Node][]rig.Node{}, map[rig.Node]bool{}
				for pair := range strings.SplitSeq(row.table, ",") {
					f := strings.Fields(pair)
					to := named(t, d, f[1])
					if f[0] == "?" {
						open[to] = true
						continue
					}
					var from []rig.Node
					for name := range strings.SplitSeq(f[0], "|") {
						if n, ok := strings.CutPrefix(name, "#"); ok {
							k, _ := strconv.Atoi(n)
							from = append(from, rig.Node(k))
						} else {
							from = append(from, named(t, s, name))
						}
					}
					want[to] = from
				}
				from, to := open2(t, row.source), open2(t, row.target)
				if bare {
					nameless(s)
					nameless(d)
				}
				m := Find(s, d)
				right, extra := 0, 0
				say := t.Errorf
				if bare {
					say = t.Logf
				}
				for n, list := range want {
					p, ok := m.Of(n)
					if ok && slices.Contains(list, p.Source) && (p.Beside < 0 || slices.Contains(list, p.Beside)) {
						right++
					} else if !ok {
						say("%q has no pair, want %v", to.Nodes[n].Name, list)
					} else {
						say("%q is moved by %q beside %d, want %v", to.Nodes[n].Name, from.Nodes[p.Source].Name, p.Beside, list)
					}
				}
				for _, p := range m.Pairs {
					if want[p.Target] == nil && !open[p.Target] {
						extra++
						say("beyond the table: %q moves %q, %.2f", from.Nodes[p.Source].Name, to.Nodes[p.Target].Name, p.Confidence)
					}
					if a, b := sideByPlace(m.S, p.Source), sideByPlace(m.T, p.Target); a*b < 0 {
						t.Errorf("%q moves %q: left and right are crossed", from.Nodes[p.Source].Name, to.Nodes[p.Target].Name)
					}
				}
				t.Logf("%d of %d right, %d beyond", right, len(want), extra)
				if bare && right*100 < 90*len(want) {
					t.Errorf("without names %d of %d are right", right, len(want))
				}
			})
		}
	}
}

// sideByPlace is +1 clearly left of the figure's middle, −1 clearly right.
func sideByPlace(s *Skeleton, n rig.Node) int {
	switch x := s.At(n).Sub(s.At(s.Bone("hips"))).Dot(s.Left); {
	case x > 0.03*s.Size:
		return 1
	case x < -0.03*s.Size:
		return -1
	}
	return 0
}

// Left hand to right hand: a flat skeleton, 25 joints side by side, mirrored.
func TestHands(t *testing.T) {
	for _, bare := range []bool{false, true} {
		l, r := real(t, "hand_left.glb"), real(t, "hand_right.glb")
		names := real(t, "hand_left.glb")
		if bare {
			nameless(l)
			nameless(r)
		}
		m := Find(l, r)
		right := 0
		for _, p := range m.Pairs {
			if real(t, "hand_right.glb").Nodes[p.Target].Name == names.Nodes[p.Source].Name {
				right++
			}
		}
		if right != 25 || len(m.Pairs) != 25 || !m.Mirrored {
			t.Errorf("nameless %v: %d of 25 right, %d pairs, mirrored %v", bare, right, len(m.Pairs), m.Mirrored)
		}
	}
}

func pin(s, t rig.Node) Pin { return Pin{Source: s, Target: t, Beside: rig.None} }

// A pinned pair stands and the rest is solved around it.
func TestPins(t *testing.T) {
	s, d := sample(lamplighter.Options{}), sample(lamplighter.Options{Names: lamplighter.Snake})
	n := func(name string) rig.Node { return named(t, s, name) }
	m := Find(s, d, pin(n("upperArm_L"), n("upperArm_R")), pin(n("head"), rig.None), pin(rig.None, n("foot_L")), pin(n("chest"), n("spine")))
	p, _ := m.Of(n("upperArm_R"))
	if p.Source != n("upperArm_L") || !p.Pinned || p.Confidence != 1 {
		t.Errorf("the pinned pair is %+v", p)
	}
	if _, ok := m.From(n("head")); ok {
		t.Error("head was pinned to nothing")
	}
	if _, ok := m.Of(n("foot_L")); ok {
		t.Error("foot_L was pinned to nothing")
	}
	if p, _ := m.Of(n("spine")); p.Source != n("chest") || !p.Pinned {
		t.Errorf("spine is moved by %+v", p)
	}
	if p, ok := m.Of(n("upperArm_L")); ok {
		t.Errorf("upperArm_L is moved by %q though its source is pinned away", s.Nodes[p.Source].Name)
	}
	if p, ok := m.Of(n("lowerArm_R")); !ok || p.Source != n("lowerArm_R") {
		t.Errorf("the rest changed: lowerArm_R is moved by %+v", p)
	}
	if i := slices.IndexFunc(m.Source, func(l Left) bool { return l.Node == n("head") }); i < 0 || m.Source[i].Why != "set by hand: no pair" {
		t.Errorf("head is listed %v", m.Source)
	}
	bad := Find(s, d, pin(9999, 0), pin(n("hips"), n("spine")), pin(n("chest"), n("spine")))
	if len(bad.Remarks) != 2 {
		t.Errorf("remarks %q", bad.Remarks)
	}
	if p, _ := bad.Of(n("spine")); p.Source != n("chest") {
		t.Errorf("the later pin should stand, spine is moved by %+v", p)
	}
}

// Saved and loaded, as JSON and as CSV, the table is the same.
func TestSaveAndLoad(t *testing.T) {
	s, d := sample(lamplighter.Options{}), sample(lamplighter.Options{Pose: lamplighter.A, Names: lamplighter.Prefix})
	hand := pin(named(t, s, "hand_L"), 12)
	away := pin(named(t, s, "toes_R"), rig.None)
	first := Find(s, d, hand, away)
	for name, write := range map[string]func(*Match) []byte{
		"JSON": func(m *Match) []byte {
			var b bytes.Buffer
			if err := m.WriteJSON(&b); err != nil {
				t.Fatal(err)
			}
			return b.Bytes()
		},
		"CSV": func(m *Match) []byte {
			var b bytes.Buffer
			if err := m.WriteCSV(&b); err != nil {
				t.Fatal(err)
			}
			return b.Bytes()
		},
	} {
		text := write(first)
		pins, err := ReadPins(text, s, d)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if len(pins) != 2 || !slices.Contains(pins, hand) || !slices.Contains(pins, away) {
			t.Errorf("%s: pins %v", name, pins)
		}
		if again := write(Find(s, d, pins...)); !bytes.Equal(text, again) {
			t.Errorf("%s: loaded and saved again it differs", name)
		}
		// Without pins the whole table is taken.
		all, err := ReadPins(write(Find(s, d)), s, d)
		if err != nil || len(all) != len(Find(s, d).Pairs) {
			t.Errorf("%s: %d pins of %d pairs, %v", name, len(all), len(Find(s, d).Pairs), err)
		}
	}
}

func TestBadTables(t *testing.T) {
	s := sample(lamplighter.Options{})
	for text, want := range map[string]string{
		"":                             "empty",
		"{":                            "no JSON of ours",
		`{"match": 7}`:                 `says "match": 7`,
		"a,b\n1,2\n":                   "must name the columns",
		"source,target\nhips,nobody\n": `pair 1: target: no node of "lamplighter.glb" is called "nobody"`,
		"source node,source,target\nx,hips,hips\n": `line 2 of the table: node "x" is no number`,
	} {
		if _, err := ReadPins([]byte(text), s, s); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
	pins, err := ReadPins([]byte("source;target\nhips;spine\n"), s, s)
	if err != nil || len(pins) != 1 || pins[0] != (pin(0, 1)) {
		t.Errorf("semicolons: %v %v", pins, err)
	}
}

// Cells that a spreadsheet would run are text, and come back as they were.
func TestFormulaNames(t *testing.T) {
	s, d := sample(lamplighter.Options{}), sample(lamplighter.Options{})
	s.Nodes[9].Name, d.Nodes[9].Name = `=HYPERLINK("x")`, "-hand, left"
	m := Find(s, d, pin(9, 9))
	var b bytes.Buffer
	if err := m.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), `"'=HYPERLINK(""x"")"`) {
		t.Errorf("the name stands bare: %s", b.String())
	}
	pins, err := ReadPins(b.Bytes(), s, d)
	if err != nil || !slices.Contains(pins, pin(9, 9)) {
		t.Errorf("pins %v, %v", pins, err)
	}
}

// Nothing to match is an answer, not a crash.
func TestLittle(t *testing.T) {
	empty := &rig.Rig{Shown: rig.None}
	one := &rig.Rig{Shown: rig.None, Nodes: []rig.NodeData{{Parent: rig.None, Mesh: rig.None, Skin: rig.None, Matrix: rig.Identity}}}
	one.SetOrder()
	s := sample(lamplighter.Options{})
	for _, pair := range [][2]*rig.Rig{{empty, empty}, {empty, s}, {s, empty}, {one, one}, {one, s}, {s, one}} {
		m := Find(pair[0], pair[1])
		var b bytes.Buffer
		if err := m.WriteJSON(&b); err != nil || strings.Contains(b.String(), "NaN") {
			t.Errorf("%v %s", err, b.String())
		}
	}
}

// Equal input, equal bytes.
func TestDeterministic(t *testing.T) {
	var first []byte
	for range 3 {
		var b bytes.Buffer
		if err := Find(sample(lamplighter.Options{}), nameless(sample(lamplighter.Options{Pose: lamplighter.A}))).WriteJSON(&b); err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = b.Bytes()
		} else if !bytes.Equal(first, b.Bytes()) {
			t.Fatal("two runs differ")
		}
	}
}

func BenchmarkFind(b *testing.B) {
	s, d := sample(lamplighter.Options{}), sample(lamplighter.Options{Names: lamplighter.Snake})
	for b.Loop() {
		Find(s, d)
	}
}
