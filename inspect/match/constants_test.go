package match

import (
	"math"
	"testing"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Worked tables: every weight of the score, by hand, on skeletons of one or two joints.

// bare is a skeleton of joints in a row that says nothing: no name, no role, in the
// middle. known gives it four roles, so that roles are gone by.
func bare(n int, known bool, names ...string) *Skeleton {
	s := &Skeleton{Rig: &rig.Rig{Nodes: make([]rig.NodeData, n)}, Size: 1, bone: map[string]rig.Node{}, f: make([]features, n), kids: make([][]int, n)}
	for i := range n {
		s.Joints, s.Parent = append(s.Joints, rig.Node(i)), append(s.Parent, i-1)
		s.f[i].side, s.f[i].anchor, s.f[i].tokens = anatomy.Centre, -1, map[string]bool{}
		if i > 0 {
			s.kids[i-1] = []int{i}
		}
		if i < len(names) {
			s.Rig.Nodes[i].Name = names[i]
			for _, w := range anatomy.Tokens(names[i]) {
				s.f[i].tokens[w] = true
			}
		}
	}
	if known {
		for _, role := range []string{"hips", "spine", "head", "neck"} {
			s.bone[role] = 0
		}
	}
	return s
}

// The score of the last joints: two alike gain 3.2 + 1.6 − 2.2, and the rest by features.
func TestScoreConstants(t *testing.T) {
	const alikeGain = 3.2 + 1.6 - 2.2
	gauss := func(x float64) float64 { return math.Exp(-x * x / (2 * .15 * .15)) }
	// Place, way and reach count in the pair's own likeness, and by half of that in its
	// family: three rounds of ½ own + ¼ above + ¼ below, these two being 1 for single joints.
	own := func(lost float64) float64 { return -(3.2 + 1.6*.5) * lost }
	for _, row := range []struct {
		name   string
		joints int
		known  bool
		change func(a, b *Skeleton, x, y *features)
		want   float64
	}{
		{"nothing tells them apart", 1, false, func(_, _ *Skeleton, _, _ *features) {}, alikeGain},
		{"one role, half sure", 1, false, func(_, _ *Skeleton, x, y *features) { x.role, y.role, x.sure, y.sure = "hips", "hips", .5, .9 }, alikeGain + 6*.5},
		{"two roles, half sure", 1, false, func(_, _ *Skeleton, x, y *features) { x.role, y.role, x.sure, y.sure = "hips", "head", .5, .9 }, alikeGain - 8*.5},
		{"a role against none", 1, true, func(_, _ *Skeleton, x, _ *features) { x.role = "hips" }, alikeGain - 1.2},
		{"a role against none, on other parts", 2, true, func(a, _ *Skeleton, x, _ *features) { x.role, x.anchor, a.f[0].role = "hips", 0, "neck" }, alikeGain - 1.2 - 3},
		{"one name", 1, false, func(a, b *Skeleton, _, _ *features) { a.Rig.Nodes[0].Name, b.Rig.Nodes[0].Name = "tail", "tail" }, alikeGain + 2},
		{"a third of the words", 1, false, func(a, b *Skeleton, x, y *features) {
			a.Rig.Nodes[0].Name, b.Rig.Nodes[0].Name = "a", "b"
			x.tokens, y.tokens = map[string]bool{"tail": true, "end": true}, map[string]bool{"tail": true, "tip": true}
		}, alikeGain + 1.5/3},
		{"left against the middle", 1, false, func(_, _ *Skeleton, x, _ *features) { x.side = anatomy.Left }, alikeGain - 1.5},
		{"left against right", 1, false, func(_, _ *Skeleton, x, y *features) { x.side, y.side = anatomy.Left, anatomy.Right }, alikeGain - 100},
		{"a limb against what carries both sides", 1, false, func(_, _ *Skeleton, x, y *features) { x.side, y.side, y.both = anatomy.Left, anatomy.Left, true }, alikeGain - 100},
		{"a helper against none", 1, false, func(_, _ *Skeleton, x, _ *features) { x.helper = true }, alikeGain - 2.5},
		{"two helpers of other names", 1, false, func(a, b *Skeleton, x, y *features) {
			x.helper, y.helper = true, true
			a.Rig.Nodes[0].Name = "roll"
		}, alikeGain - 1},
		{"an idle one against a busy one", 1, false, func(_, _ *Skeleton, x, _ *features) { x.idle = true }, alikeGain - 4},
		{"two idle ones", 1, false, func(_, _ *Skeleton, x, y *features) { x.idle, y.idle = true, true }, alikeGain - 1.5},
		{"0.15 of the figure apart", 1, false, func(_, _ *Skeleton, x, _ *features) { x.unit = space.Vec{.15} }, alikeGain + own(.45*(1-gauss(.15)))},
		{"0.3 of the figure apart", 1, false, func(_, _ *Skeleton, x, _ *features) { x.unit = space.Vec{.3} }, alikeGain + own(.45*(1-gauss(.3)))},
		{"0.15 of the way from the top apart", 1, false, func(_, _ *Skeleton, x, _ *features) { x.arc = .15 }, alikeGain + own(.15*(1-gauss(.15)))},
		{"reaches 0.15 farther", 1, false, func(_, _ *Skeleton, x, _ *features) { x.reach = .15 }, alikeGain + own(.2*(1-gauss(.15)))},
		{"hangs at a right angle", 1, false, func(_, _ *Skeleton, x, y *features) { x.into, y.into = space.Vec{1}, space.Vec{0, 1} }, alikeGain + own(.1)},
		{"leads on at a right angle", 1, false, func(_, _ *Skeleton, x, y *features) { x.along, y.along = space.Vec{1}, space.Vec{0, 1} }, alikeGain + own(.1)},
		{"leads on, the other does not", 1, false, func(_, _ *Skeleton, x, _ *features) { x.along = space.Vec{1} }, alikeGain + own(.1*.7)},
	} {
		a, b := bare(row.joints, row.known), bare(row.joints, row.known)
		last := row.joints - 1
		row.change(a, b, &a.f[last], &b.f[last])
		got := scores(a, b, false)[last*row.joints+last]
		if math.Abs(got-row.want) > 1e-9 {
			t.Errorf("%s: %.4f, want %.4f", row.name, got, row.want)
		}
	}
	// Both hang on something, one in its place and one off it.
	a, b := bare(2, false), bare(2, false)
	b.f[1].into = space.Vec{0, 1}
	with := scores(a, b, false)[3]
	a.f[1].role, b.f[1].role = "hips", "hips" // with a role it is no matter
	if got := with - scores(a, b, false)[3]; math.Abs(got+0.8) > 1e-9 {
		t.Errorf("one in its parent's place: %.3f, want −0.8", got)
	}
	// Below another part of the body places count as 0.3 farther apart.
	a, b = bare(2, false), bare(2, false)
	a.f[0].role, b.f[0].role, a.f[1].anchor, b.f[1].anchor = "hips", "head", 0, 0
	if got, want := alike(a, b, 1, 1, false), .55+.45*gauss(.3); math.Abs(got-want) > 1e-9 {
		t.Errorf("on other parts: %.4f, want %.4f", got, want)
	}
	if !bare(1, true).known() {
		t.Error("four roles make no body")
	}
	three := bare(1, true)
	delete(three.bone, "neck")
	if three.known() {
		t.Error("three roles make a body")
	}
}

// How likeness spreads: by hand, a row of three joints against a row of three.
func TestFamilyConstants(t *testing.T) {
	// Nothing is alike but the second pair: one round leaves it ½, as neither what is
	// above nor what is below is alike; those beside it in the tree have ¼ of it.
	a, b := bare(3, false), bare(3, false)
	for _, s := range []*Skeleton{a, b} {
		for i := range 3 {
			s.f[i].into = space.Vec{0, 1}
		}
	}
	shape := make([]float64, 9)
	shape[4] = 1
	// By hand, round by round; up and down of ends count as 1 where both end.
	now := append([]float64(nil), shape...)
	for range 3 {
		next := make([]float64, 9)
		for i := range 3 {
			for j := range 3 {
				at := func(i, j int) float64 {
					if i < 0 || j < 0 || i > 2 || j > 2 {
						return 0
					}
					return now[3*i+j]
				}
				up := max(at(i-1, j-1), .9*at(i-2, j-1), .9*at(i-1, j-2))
				switch {
				case i == 0 && j == 0:
					up = 1
				case i == 0 || j == 0:
					up = .4
				}
				down := at(i+1, j+1)
				switch {
				case i == 2 && j == 2:
					down = 1
				case i == 2 || j == 2:
					down = 0
				}
				next[3*i+j] = .5*shape[3*i+j] + .25*up + .25*down
			}
		}
		now = next
	}
	for k, got := range families(a, b, shape) {
		if math.Abs(got-now[k]) > 1e-12 {
			t.Errorf("pair %d, %d: %.6f, want %.6f", k/3, k%3, got, now[k])
		}
	}
	// Seventeen children are not compared: they count as half alike.
	for _, row := range []struct {
		kids int
		want float64
	}{{16, .25}, {17, .25 + .25*.5}} { // ¼ from above, 1 for a root
		a, b := bare(1+row.kids, false), bare(1, false)
		a.kids = make([][]int, 1+row.kids)
		for k := 1; k <= row.kids; k++ {
			a.kids[0], a.Parent[k] = append(a.kids[0], k), 0
		}
		if got := families(a, b, make([]float64, 1+row.kids))[0]; math.Abs(got-row.want) > 1e-9 {
			t.Errorf("%d children: %.4f, want %.4f", row.kids, got, row.want)
		}
	}
}

// How sure a pair is: by hand.
func TestConfidenceConstants(t *testing.T) {
	for _, row := range []struct {
		name         string
		gain, second float64
		change       func(a, b *Skeleton)
		want         float64
	}{
		{"only just", 0.5, 0, nil, .3 + .06},
		{"plainly", 2, 0, nil, .3 + .24},
		{"at most", 10, 0, nil, .75},
		{"another as near", 2, 2, nil, .54 * (.6 + .4*.5)},
		{"another half as near", 2, 1, nil, .54},
		{"hardly", -1, 0, nil, 0},
		{"a role", 2, 0, func(a, b *Skeleton) { a.f[0].role, b.f[0].role, a.f[0].sure, b.f[0].sure = "hips", "hips", .8, .9 }, .8},
		{"a role and a name", 2, 0, func(a, b *Skeleton) {
			a.f[0].role, b.f[0].role, a.f[0].sure, b.f[0].sure = "hips", "hips", .8, .9
			a.Rig.Nodes[0].Name, b.Rig.Nodes[0].Name = "pelvis", "pelvis"
		}, .85},
		{"surely", 2, 0, func(a, b *Skeleton) {
			a.f[0].role, b.f[0].role, a.f[0].sure, b.f[0].sure = "hips", "hips", .97, .98
			a.Rig.Nodes[0].Name, b.Rig.Nodes[0].Name = "pelvis", "pelvis"
		}, .99},
	} {
		m := &Match{S: bare(1, false), T: bare(1, false)}
		if row.change != nil {
			row.change(m.S, m.T)
		}
		if got, _ := m.evidence(0, 0, row.gain, row.second); math.Abs(got-row.want) > 1e-9 {
			t.Errorf("%s: %.4f sure, want %.4f", row.name, got, row.want)
		}
	}
}

// A share above 1 is no share, and of two pairs that cross the better is kept.
func TestKeptPairs(t *testing.T) {
	s, target := sample(lamplighter.Options{}), sample(lamplighter.Options{})
	n := lamplighter.Node("neck")
	for _, row := range []struct{ share, want float64 }{{0.99, 0.99}, {1, 1}, {1.01, 0}, {-0.5, 0}} {
		m := Find(s, target, Pin{Source: n, Target: n, Beside: lamplighter.Node("head"), Share: row.share})
		if p, _ := m.Of(n); p.Share != row.want {
			t.Errorf("share %g: %g", row.share, p.Share)
		}
	}
	// Every two rows cross: after mostTries the weakest of each conflict gives way, and the
	// best of all stays.
	const rows = 12
	gain := make([]float64, rows*rows)
	for i := range rows {
		gain[i*rows+i] = 1 + float64(i)/100
	}
	of := consistent(gain, rows, rows, func(of []int) []int {
		for i := range of {
			for k := i + 1; k < len(of); k++ {
				if of[i] >= 0 && of[k] >= 0 {
					return []int{i, k}
				}
			}
		}
		return nil
	})
	if of[rows-1] != rows-1 {
		t.Errorf("the best pair gives way: %v", of)
	}
}

// Layout: what leans and turns how far still stands along the axes, and when a joint
// belongs to a side.
func TestLayoutConstants(t *testing.T) {
	at := func(a float64) space.Vec {
		return space.Vec{math.Sin(a * math.Pi / 180), math.Cos(a * math.Pi / 180), 0}
	}
	for _, row := range []struct {
		angle, within float64
		snaps         bool
	}{{34, upSnap, true}, {36, upSnap, false}, {14, frontSnap, true}, {16, frontSnap, false}} {
		if got := snapped(at(row.angle), row.within) == (space.Vec{0, 1, 0}); got != row.snaps {
			t.Errorf("%g° off, of %g: snaps %v", row.angle, row.within, got)
		}
	}
	if upSnap != 35 || frontSnap != 15 {
		t.Errorf("a trunk may lean by %g°, a front be turned by %g°", upSnap, frontSnap)
	}
	// A column 1 m wide, its joints 2.9 and 3.1 cm off the middle.
	r := &rig.Rig{File: rig.File{Name: "t.glb"}, Skins: []rig.SkinData{{}}}
	for i, x := range []float64{-.5, .5, .029, .031} {
		r.Nodes = append(r.Nodes, rig.NodeData{Parent: rig.None, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: [3]float64{x, float64(i) * .3, 0}, R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}})
		r.Nodes[i].Matrix = r.Nodes[i].TRS.Affine()
		r.Skins[0].Joints = append(r.Skins[0].Joints, rig.Node(i))
	}
	r.SetOrder()
	s := NewSkeleton(r)
	if s.f[2].side != anatomy.Centre || s.f[3].side != anatomy.Left {
		t.Errorf("2.9 %% off the middle: %v, 3.1 %%: %v", s.f[2].side, s.f[3].side)
	}
	// A flat figure: its depth counts as a fifth of its height.
	for i := range r.Nodes {
		r.Nodes[i].T[2] = 0.01 * float64(i)
		r.Nodes[i].Matrix = r.Nodes[i].TRS.Affine()
	}
	s = NewSkeleton(r)
	if got, want := s.f[3].unit[2], .015/(.2*1); math.Abs(got-want) > 1e-9 {
		t.Errorf("depth %g, want %g", got, want)
	}
}

// Digits: what points off the forearm as a thumb, what stands in a joint's place.
func TestDigitConstants(t *testing.T) {
	hand := func(thumb, next, place float64) *Skeleton {
		r := &rig.Rig{File: rig.File{Name: "t.glb"}, Skins: []rig.SkinData{{}}}
		add := func(parent int, x, y, z float64) int {
			n := len(r.Nodes)
			r.Nodes = append(r.Nodes, rig.NodeData{Parent: rig.Node(parent), Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: [3]float64{x, y, z}, R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}})
			r.Nodes[n].Matrix = r.Nodes[n].TRS.Affine()
			if parent >= 0 {
				r.Nodes[parent].Children = append(r.Nodes[parent].Children, rig.Node(n))
			}
			r.Skins[0].Joints = append(r.Skins[0].Joints, rig.Node(n))
			return n
		}
		arm := add(-1, 0, 0, 0)
		wrist := add(arm, 1, 0, 0)
		for _, a := range []float64{thumb, next, 0} {
			d := add(wrist, .1, 0, .05*a/90)
			add(d, .3*math.Cos(a*math.Pi/180), 0, .3*math.Sin(a*math.Pi/180))
		}
		add(arm, 1, place, 0) // beside the wrist
		r.SetOrder()
		s := NewSkeleton(r)
		s.bone["leftHand"] = rig.Node(wrist)
		s.thumbs()
		return s
	}
	for _, row := range []struct {
		name        string
		thumb, next float64
		found       bool
	}{{"24°", 24, 0, false}, {"26°", 26, 0, true}, {"40°, the next 26°", 40, 26, false}, {"40°, the next 24°", 40, 24, true}} {
		_, found := hand(row.thumb, row.next, .5).bone["leftThumbProximal"]
		if found != row.found {
			t.Errorf("a digit %s off the forearm: a thumb %v", row.name, found)
		}
	}
	for _, row := range []struct {
		place float64
		near  int
	}{{.32, 1}, {.35, 0}} {
		s := hand(40, 0, row.place)
		_, near := s.digits(1)
		if len(near) != row.near {
			t.Errorf("a digit %g of the forearm beside the hand: %v", row.place, near)
		}
	}
	for _, row := range []struct {
		place float64
		twins bool
	}{{.0045 * 1.4, true}, {.0055 * 1.4, false}} { // the whole is 1.4 long
		s := hand(40, 0, row.place)
		if got := s.twins(1, len(s.Joints)-1); got != row.twins {
			t.Errorf("joints %g apart: one joint in pieces %v (size %g)", row.place, got, s.Size)
		}
	}
}

// A figure that may be turned about is matched turned where that is better by a twentieth: where
// nothing tells sides, the plain table stands (common practice, no source).
func TestTurnedIsBetter(t *testing.T) {
	for turned, want := range map[float64]bool{1: false, 1.04: false, 1.06: true} {
		if got := better(turned, 1); got != want {
			t.Errorf("%g times as good: taken %v", turned, got)
		}
	}
}

// What follows another joint is less sure than what is paired itself: fingers that one moves less
// than a joint in another's place, that less than one of several that share, and all surer than a toss.
func TestFollowersAreLessSure(t *testing.T) {
	if !(.5 < oneFingerSure && oneFingerSure < onePlaceSure && onePlaceSure < sharedSure && sharedSure < 1) {
		t.Errorf("%g, %g, %g do not rise from .5 to 1", oneFingerSure, onePlaceSure, sharedSure)
	}
}
