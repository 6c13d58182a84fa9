package mend

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// worldAt is where every node is at a moment of a clip.
func worldAt(r *rig.Rig, clip int, seconds float64) []rig.Affine {
	p := deform.NewPose(r)
	p.Sample(rig.Clip(clip), seconds)
	p.Update()
	return slices.Clone(p.World)
}

// posesApart is how far nodes of two rigs stand apart at two moments, metres, and how far they
// are turned, radians.
func posesApart(a, b []rig.Affine) (far, turned float64) {
	for n := range a {
		far = max(far, a[n].Origin().Sub(b[n].Origin()).Len())
		turned = max(turned, space.Apart(space.FromXYZW(a[n].Decompose().R), space.FromXYZW(b[n].Decompose().R)))
	}
	return far, turned
}

// kinds are one movement of the hips and an arm on keys of each kind, beginning late, cut
// unevenly, with slopes that are no zero.
func kinds(i rig.Interpolation) *rig.Rig {
	r := lamplighter.Clone(coarse())
	hips, arm := lamplighter.Node("hips"), lamplighter.Node("upperArm_L")
	at := r.Nodes[hips].T
	move := rig.Channel{Node: hips, Path: rig.Translation, Interpolation: i, Width: 3, Times: []float32{.25, .5, 1.1, 2, 2.5}}
	turn := rig.Channel{Node: arm, Path: rig.Rotation, Interpolation: i, Width: 4, Times: []float32{.3, .9, 1.7, 2.25}}
	rest := space.FromXYZW(r.Nodes[arm].R)
	tangent := func(ch *rig.Channel, k float64) {
		if i == rig.Cubic {
			for j := range ch.Width {
				ch.Values = append(ch.Values, float32(.2*math.Sin(k+float64(j))))
			}
		}
	}
	for k := range move.Times {
		x := float64(k)
		tangent(&move, x)
		move.Values = append(move.Values, float32(at[0]+.1*math.Sin(x)), float32(at[1]+.03*math.Cos(2*x)), float32(at[2]+.4*x))
		tangent(&move, x+7)
	}
	for k := range turn.Times {
		x := float64(k)
		q := space.XYZW(rest.Mul(space.About(space.Vec{.6, 0, .8}, .5*math.Sin(1+x))))
		tangent(&turn, x)
		turn.Values = append(turn.Values, float32(q[0]), float32(q[1]), float32(q[2]), float32(q[3]))
		tangent(&turn, x+3)
	}
	r.Clips = []rig.ClipData{{Name: "go", Channels: []rig.Channel{move, turn}, Start: .25, Seconds: 2.5}}
	return r
}

var interpolations = []rig.Interpolation{rig.Linear, rig.Step, rig.Cubic}

// What is left of a trimmed clip is played as it was, on keys of every kind (glTF 2.0,
// Appendix C: pieces of each are exact); what it says of lengths is what the file holds.
func TestTrimmedPlaysAsBefore(t *testing.T) {
	for _, i := range interpolations {
		for _, row := range []struct{ from, to float64 }{{.4, 2.1}, {.25, 2.5}, {.6, .8}, {.25, .28}, {2.3, 2.5}, {0, 1}} {
			s := ofRig(t, kinds(i))
			x := try(t, s, "trim", Values{"from": row.from, "to": row.to})
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			c := &x.After.Rig.Clips[0]
			first := max(row.from, .25)
			if c.Start > first-row.from+1e-6 || math.Abs(c.Seconds-(row.to-row.from)) > 1e-6 {
				t.Errorf("%v %v: from %g to %g", i, row, c.Start, c.Seconds)
			}
			for k := range 101 {
				at := row.from + (row.to-row.from)*float64(k)/100
				if i == rig.Step && k%100 != 50 && onKey(s.Rig, at) {
					continue
				}
				far, turned := posesApart(worldAt(s.Rig, 0, at), worldAt(x.After.Rig, 0, at-row.from))
				if far > 2e-6 || turned > 2e-6 {
					t.Fatalf("%v %v at %g: %g m, %g", i, row, at, far, turned)
				}
			}
		}
	}
}

// onKey tells a moment within rounding of a key, where a step has two values.
func onKey(r *rig.Rig, at float64) bool {
	for _, ch := range r.Clips[0].Channels {
		for _, s := range ch.Times {
			if math.Abs(float64(s)-at) < 1e-5 {
				return true
			}
		}
	}
	return false
}

func TestTrimRefuses(t *testing.T) {
	one, two := ofRig(t, kinds(rig.Linear)), ofRig(t, lamplighter.Clone(coarse()))
	for _, row := range []struct {
		s    *State
		v    Values
		want string
	}{
		{one, Values{"from": 2.0, "to": 1.0}, "nothing of clip"},
		{one, Values{"from": 2.5}, "nothing of clip"},
		{one, Values{"from": -1.0}, "no moments before 0 s"},
		{one, Values{"begin": false}, "that long already"},
		{two, nil, "several clips"},
		{two, Values{"clip": "run"}, "no clip"},
	} {
		x := try(t, row.s, "trim", row.v)
		if x.After != nil || !strings.Contains(x.Refused(), row.want) {
			t.Errorf("%v: %q", row.v, x.Refused())
		}
	}
}

// Travel on the root leaves every joint where it was; the hips keep what is not level (or, on
// the straight way, their sway), and the root has the rest. A loose joint with a way of its
// own stays where it was as well. Taken away, only the level line is missing.
func TestTravelSplit(t *testing.T) {
	for k := range 6 * len(interpolations) {
		i, to, rooted := interpolations[k/6], []string{"root", "root, straight", "nowhere"}[k/2%3], k%2 == 1
		if i == rig.Step && to != "root" || !rounds.Run(k, 5) {
			continue
		}
		t.Run(fmt.Sprint(i, " ", to, " ", rooted), func(t *testing.T) {
			r := kinds(i)
			root := rig.Node(len(r.Nodes))
			if rooted {
				root = rootOver(r, lamplighter.Node("hips"))
			}
			s := ofRig(t, r)
			x := try(t, s, "travel", Values{"to": to})
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			hips := lamplighter.Node("hips")
			begin, end := worldAt(s.Rig, 0, .25), worldAt(s.Rig, 0, 2.5)
			line := end[hips].Origin().Sub(begin[hips].Origin())
			line[1] = 0
			for k := range 51 {
				at := .25 + 2.25*float64(k)/50
				was, is := worldAt(s.Rig, 0, at), worldAt(x.After.Rig, 0, at)
				if to == "nowhere" {
					want := was[hips].Origin().Sub(line.Mul((at - .25) / 2.25))
					if d := is[hips].Origin().Sub(want).Len(); d > 3e-6 {
						t.Fatalf("at %g the hips are %g m off the way without its line", at, d)
					}
					continue
				}
				if rooted {
					was[root], was[root+1] = is[root], is[root+1] // they go; their own place is no joint's
				}
				if far, turned := posesApart(was, is); far > 3e-6 || turned > 1e-6 {
					t.Fatalf("at %g: %g m, %g", at, far, turned)
				}
				d := is[root].Origin().Sub(worldAt(x.After.Rig, 0, .25)[root].Origin())
				want := was[hips].Origin().Sub(begin[hips].Origin())
				if want[1] = 0; to == "root, straight" {
					want = line.Mul((at - .25) / 2.25)
				}
				if d.Sub(want).Len() > 3e-6 {
					t.Fatalf("at %g the root went %v, want %v", at, d, want)
				}
			}
			g := prove(t, x)
			if !g.Kept {
				t.Error(g.Sentence(), g.Planted)
			}
			if got := gradeOf(t, x.After, "motion/travel"); to == "nowhere" && got != 0 {
				t.Errorf("travel is %v", got)
			}
		})
	}
}

// rootOver puts two nodes above a joint, turned, doubled and apart, so that no way is the
// world's; the joint stays where it is.
func rootOver(r *rig.Rig, n rig.Node) rig.Node {
	root, low := rig.Node(len(r.Nodes)), rig.Node(len(r.Nodes)+1)
	turn := func(degrees float64) [4]float64 {
		return space.XYZW(space.About(space.Vec{0, 1, 0}, degrees*math.Pi/180))
	}
	r.Nodes = append(r.Nodes,
		rig.NodeData{Name: "top", Parent: rig.None, Children: []rig.Node{low}, TRS: rig.TRS{T: [3]float64{.3, 0, .2}, R: turn(90), S: [3]float64{2, 2, 2}}, Mesh: rig.None, Skin: rig.None},
		rig.NodeData{Name: "low", Parent: root, Children: []rig.Node{n}, TRS: rig.TRS{T: [3]float64{-.1, 0, .15}, R: turn(-90), S: [3]float64{.5, .5, .5}}, Mesh: rig.None, Skin: rig.None})
	top := r.Nodes[root].Affine()
	lower := r.Nodes[low].Affine()
	frame := top.Mul(&lower)
	inv, _ := frame.Inverse()
	bring := func(v space.Vec, point bool) space.Vec {
		if point {
			return inv.Point(v)
		}
		return inv.Direction(v)
	}
	at := bring(space.Vec(r.Nodes[n].T), true)
	r.Nodes[n].T, r.Nodes[n].Parent = at, low
	for s := range r.Scenes {
		for k, x := range r.Scenes[s].Roots {
			if x == n {
				r.Scenes[s].Roots[k] = root
			}
		}
	}
	for c := range r.Clips {
		for k := range r.Clips[c].Channels {
			ch := &r.Clips[c].Channels[k]
			if ch.Node != n || ch.Path != rig.Translation {
				continue
			}
			for i := 0; i < len(ch.Values); i += 3 {
				v := bring(space.Vec{float64(ch.Values[i]), float64(ch.Values[i+1]), float64(ch.Values[i+2])}, ch.Interpolation != rig.Cubic || i/3%3 == 1)
				ch.Values[i], ch.Values[i+1], ch.Values[i+2] = float32(v[0]), float32(v[1]), float32(v[2])
			}
		}
	}
	r.SetOrder()
	return root
}

// A joint beside the hips with a way of its own stays where it was when the root takes theirs.
func TestTravelBesideHips(t *testing.T) {
	r := kinds(rig.Linear)
	root := rootOver(r, lamplighter.Node("hips"))
	r.Nodes = append(r.Nodes, rig.NodeData{Name: "aim", Parent: root, TRS: rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}, Mesh: rig.None, Skin: rig.None})
	aim := rig.Node(len(r.Nodes) - 1)
	r.Nodes[root].Children = append(r.Nodes[root].Children, aim)
	r.SetOrder()
	r.Clips[0].Channels = append(r.Clips[0].Channels, rig.Channel{Node: aim, Path: rig.Translation, Width: 3, Times: []float32{.3, 2}, Values: []float32{1, 0, 0, 1, 0, 2}})
	s := ofRig(t, r)
	x := try(t, s, "travel", nil)
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	for k := range 41 {
		at := .25 + 2.25*float64(k)/40
		a, b := worldAt(s.Rig, 0, at)[aim].Origin(), worldAt(x.After.Rig, 0, at)[aim].Origin()
		if a.Sub(b).Len() > 3e-6 {
			t.Fatalf("at %g it is at %v, was at %v", at, b, a)
		}
	}
}

// Every loop of the sample that is opened closes again: the last pose is the first, what was
// played before the spread is untouched, and nothing jumps on the way.
func TestLoopCloses(t *testing.T) {
	for _, f := range planted("motion/loop-jump") {
		t.Run(f.Name, func(t *testing.T) {
			r, _ := f.On(sample())
			s := ofRig(t, r)
			if gradeOf(t, s, "motion/loop-jump") == 0 {
				t.Fatal("the fault is not found")
			}
			x := try(t, s, "loop", nil)
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			receipt := prove(t, x)
			if got := gradeOf(t, x.After, "motion/loop-jump"); got != 0 || !receipt.Kept || slices.ContainsFunc(receipt.Planted, func(id string) bool { return id != "motion/loop-jump" }) {
				t.Errorf("%v; %s; planted %v", got, receipt.Sentence(), receipt.Planted)
			}
		})
	}
}

// On keys of every kind: the hips keep their way, and everything else comes back; before the
// spread nothing is changed, and it begins without a corner.
func TestLoopOnKeysOfEveryKind(t *testing.T) {
	for _, i := range interpolations {
		s := ofRig(t, kinds(i))
		x := try(t, s, "loop", Values{"clips": []string{"go"}, "over": .6})
		if x.After == nil {
			t.Fatal(i, x.Refused())
		}
		hips := lamplighter.Node("hips")
		first, last, was := worldAt(x.After.Rig, 0, .25), worldAt(x.After.Rig, 0, 2.5), worldAt(s.Rig, 0, 2.5)
		way, before := last[hips].Origin().Sub(first[hips].Origin()), was[hips].Origin().Sub(first[hips].Origin())
		if math.Abs(way[1]) > 1e-5 || math.Hypot(way[0]-before[0], way[2]-before[2]) > 1e-5 {
			t.Errorf("%v: the hips went %v, and %v before", i, way, before)
		}
		for n := range first { // without the way
			if !slices.Contains(above(s.Rig, rig.Node(n)), hips) {
				first[n] = last[n]
				continue
			}
			first[n][3], first[n][7], first[n][11] = first[n][3]+way[0], first[n][7]+way[1], first[n][11]+way[2]
		}
		if far, turned := posesApart(first, last); far > 2e-5 || turned > 2e-5 {
			t.Errorf("%v: open by %g m, %g", i, far, turned)
		}
		for k := range 60 {
			at := 1.9 * float64(k) / 60
			if i == rig.Step && onKey(s.Rig, at) {
				continue
			}
			if far, turned := posesApart(worldAt(s.Rig, 0, at), worldAt(x.After.Rig, 0, at)); far > 1e-6 || turned > 1e-6 {
				t.Fatalf("%v: at %g changed by %g m, %g", i, at, far, turned)
			}
		}
		if i == rig.Step {
			continue
		}
		// The ease itself: half of what is missing in the middle of it, by hand.
		arm := lamplighter.Node("upperArm_L")
		mid := 2.2
		missing := space.Apart(turnedAt(s.Rig, arm, 2.5), turnedAt(x.After.Rig, arm, 2.5))
		if got := space.Apart(turnedAt(s.Rig, arm, mid), turnedAt(x.After.Rig, arm, mid)); math.Abs(got-missing/2) > .03*missing {
			t.Errorf("%v: half way %g of %g rad are made up", i, got, missing)
		}
	}
}

func turnedAt(r *rig.Rig, n rig.Node, seconds float64) space.Quat {
	p := deform.NewPose(r)
	p.Sample(0, seconds)
	return space.FromXYZW(p.Local[n].Decompose().R)
}

// A sound loop is left alone, and what cannot be closed is refused in words.
func TestLoopRefuses(t *testing.T) {
	sound := ofRig(t, sample())
	still := kinds(rig.Linear)
	for c := range still.Clips[0].Channels {
		ch := &still.Clips[0].Channels[c]
		ch.Times, ch.Values = ch.Times[:1], ch.Values[:ch.Width]
	}
	for _, row := range []struct {
		s    *State
		v    Values
		want string
	}{
		{sound, nil, "No clip that reads as a loop is open"},
		{sound, Values{"clips": []string{"run"}}, "no clip"},
		{ofRig(t, kinds(rig.Linear)), Values{"clips": []string{"0"}, "over": 9.0}, "shorter than"},
		{ofRig(t, still), Values{"clips": []string{"0"}}, "The last pose is the first already"},
	} {
		x := try(t, row.s, "loop", row.v)
		if x.After != nil || !strings.Contains(x.Refused(), row.want) {
			t.Errorf("%v: %q", row.v, x.Refused())
		}
	}
}
