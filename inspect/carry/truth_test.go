package carry

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/match"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// moments looked at in a clip, as shares of it.
var looks = []float64{0, 0.13, 0.37, 0.5, 0.81, 1}

// A clip carried to the same skeleton with other axes is the same movement in the
// world: every joint within 1e-5 of the height.
func TestOtherAxesSameMovement(t *testing.T) {
	for _, clip := range []rig.Clip{0, 1} {
		s, target := sample(lamplighter.Options{Sway: true}), reaxed(sample(lamplighter.Options{Sway: true}))
		r := carried(t, match.Find(s, target), clip, Options{})
		p := deform.NewPose(s)
		for _, share := range looks {
			c := &s.Clips[clip]
			seconds := c.Start + share*(c.Seconds-c.Start)
			p.Sample(clip, seconds)
			q := at(r, seconds)
			for _, n := range s.Skins[0].Joints {
				if d := p.World[n].Origin().Sub(q.World[n].Origin()).Len(); d > 1e-5*1.86 {
					t.Fatalf("clip %d at %.2f s: %s is off by %.2g m", clip, seconds, s.Nodes[n].Name, d)
				}
			}
		}
	}
}

// A clip carried to another rest pose points every bone of body and chains the way
// the source's points: within 0.01°.
func TestOtherRestPose(t *testing.T) {
	for _, way := range []struct {
		name     string
		from, to lamplighter.Pose
	}{{"T to A", lamplighter.T, lamplighter.A}, {"A to T", lamplighter.A, lamplighter.T}} {
		for _, clip := range []rig.Clip{0, 1} {
			s, target := sample(lamplighter.Options{Sway: true, Pose: way.from}), sample(lamplighter.Options{Sway: true, Pose: way.to, Names: lamplighter.Snake})
			r := carried(t, match.Find(s, target), clip, Options{FreeFeet: true})
			rep, err := r.Inspect(context.Background(), nil)
			if err != nil {
				t.Fatal(err)
			}
			if len(rep.Limbs) < 6 {
				t.Errorf("%s: %d limbs are compared", way.name, len(rep.Limbs))
			}
			for _, l := range rep.Limbs {
				if !(l.Largest <= 0.01) {
					t.Errorf("%s, clip %d: %s off by %.4f°", way.name, clip, l.Name, l.Largest)
				}
			}
			// The same by hand, for the forearms.
			p := deform.NewPose(s)
			for _, share := range looks {
				seconds := share * s.Clips[clip].Seconds
				p.Sample(clip, seconds)
				q := at(r, seconds)
				for _, bone := range [][2]string{{"lowerArm_L", "hand_L"}, {"upperArm_R", "lowerArm_R"}, {"upperLeg_L", "lowerLeg_L"}} {
					a, b := lamplighter.Node(bone[0]), lamplighter.Node(bone[1])
					u := p.World[b].Origin().Sub(p.World[a].Origin()).Normalize()
					v := q.World[b].Origin().Sub(q.World[a].Origin()).Normalize()
					if angle := math.Acos(min(1, u.Dot(v))) * 180 / math.Pi; angle > 0.01 {
						t.Errorf("%s, clip %d at %.2f s: %s off by %.4f°", way.name, clip, seconds, bone[0], angle)
					}
				}
			}
		}
	}
}

// Feet that stand in the source stand in the result: with a shorter thigh and a longer
// shin they would slide as the knees bend, and slide less than 1 cm/s when kept.
func TestFeetStand(t *testing.T) {
	s := sample(lamplighter.Options{Sway: true})
	sinking(s)
	target := shaped(sample(lamplighter.Options{Sway: true}), func(n rig.Node, p vec) vec {
		if name := s.Nodes[n].Name; strings.HasPrefix(name, "lowerLeg") {
			p.Y += 0.1 // the thigh is shorter, the shin longer
		}
		return p
	})
	m := match.Find(s, target)
	clip := rig.Clip(len(s.Clips) - 1)
	r := carried(t, m, clip, Options{})
	rep, err := r.Inspect(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	before := 0.0
	for _, f := range rep.Feet {
		if !(f.Stands > 0.5) {
			t.Errorf("%s foot stands %.2f of the clip", f.Side, f.Stands)
		}
		before = max(before, f.Before)
		if f.After > 0.01 || f.After > f.Before && f.After > 1e-6 {
			t.Errorf("%s foot slides %.4f m/s after, %.4f before", f.Side, f.After, f.Before)
		}
	}
	if before < 0.02 {
		t.Errorf("nothing was to be kept: %.4f m/s before", before)
	}
	free := carried(t, m, clip, Options{FreeFeet: true})
	rep, err = free.Inspect(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if max(rep.Feet[0].After, rep.Feet[1].After) < 0.02 {
		t.Error("feet left free do not slide either")
	}
}

// sinking adds a clip in which the figure sways from foot to foot and knees bend, both
// feet flat on the ground: legs by two-bone reach from outside this package's code
// would be another program, so the hips alone sink while thighs and shins turn by
// the angles of an isosceles triangle.
func sinking(r *rig.Rig) {
	hips := lamplighter.Node("hips")
	up, low, foot := r.RestWorld()[lamplighter.Node("upperLeg_L")].Origin(), r.RestWorld()[lamplighter.Node("lowerLeg_L")].Origin(), r.RestWorld()[lamplighter.Node("foot_L")].Origin()
	a, b, whole := up.Sub(low).Len(), low.Sub(foot).Len(), up.Sub(foot).Len()
	c := rig.ClipData{Name: "sink", Seconds: 2}
	hip := rig.Channel{Node: hips, Path: rig.Translation, Width: 3}
	turns := map[string]*rig.Channel{}
	for i := range 61 {
		t := float32(i) / 30
		d := 0.06 * (1 - math.Cos(float64(t)*math.Pi)) / 2 // sinks by 6 cm and comes back
		hip.Times = append(hip.Times, t)
		hip.Values = append(hip.Values, float32(r.Nodes[hips].T[0]), float32(r.Nodes[hips].T[1]-d), float32(r.Nodes[hips].T[2]))
		l := whole - d
		thigh := math.Acos(min(1, (a*a+l*l-b*b)/(2*a*l))) - math.Acos(min(1, (a*a+whole*whole-b*b)/(2*a*whole)))
		knee := math.Pi - math.Acos(max(-1, (a*a+b*b-l*l)/(2*a*b))) - (math.Pi - math.Acos(max(-1, (a*a+b*b-whole*whole)/(2*a*b))))
		for _, side := range []string{"L", "R"} {
			for name, angle := range map[string]float64{"upperLeg_": -thigh, "lowerLeg_": knee, "foot_": thigh - knee} {
				n := lamplighter.Node(name + side)
				ch := turns[name+side]
				if ch == nil {
					ch = &rig.Channel{Node: n, Path: rig.Rotation, Width: 4}
					turns[name+side] = ch
				}
				// About the world's x, in the parent's frame at rest.
				parent := stored(r.RestWorld()[r.Nodes[n].Parent].Decompose().R)
				q := parent.Back().Mul(space.TurnAbout(axisX, angle)).Mul(parent).Mul(stored(r.Nodes[n].R))
				ch.Times = append(ch.Times, t)
				ch.Values = append(ch.Values, float32(q.X), float32(q.Y), float32(q.Z), float32(q.W))
			}
		}
	}
	c.Channels = append(c.Channels, hip)
	for _, ch := range turns {
		c.Channels = append(c.Channels, *ch)
	}
	r.Clips = append(r.Clips, c)
}

// Real captures and clips on real figures: every limb that both have points the same
// way within a few degrees on average, feet that stood stand.
func TestRealPairs(t *testing.T) {
	for _, row := range []struct {
		source, clip, target string
		mean                 float64 // of legs, degrees: those that are kept on the ground leave the source's directions
	}{
		{"01_01.bvh", "01_01", "Knight.glb", 12},
		{"01_01.bvh", "01_01", "robot.glb", 15},
		{"Knight.glb", "Walking_A", "robot.glb", 15},
		{"robot.glb", "Robot_Walking", "", 6},
		{"01_01.bvh", "01_01", "", 6},
	} {
		target := sample(lamplighter.Options{})
		s := real(t, row.source)
		if row.target != "" {
			target = real(t, row.target)
		}
		clip := rig.Clip(-1)
		for i := range s.Clips {
			if s.Clips[i].Name == row.clip {
				clip = rig.Clip(i)
			}
		}
		r := carried(t, match.Find(s, target), clip, Options{})
		rep, err := r.Inspect(context.Background(), nil)
		if err != nil {
			t.Fatal(err)
		}
		limbs := 0
		for _, l := range rep.Limbs {
			arm := strings.Contains(l.Name, "arm")
			if arm || strings.Contains(l.Name, "leg") {
				limbs++
				if arm && l.Largest > 0.05 || l.Mean > row.mean {
					t.Errorf("%s → %s: %s off by %.2f° on average", row.source, target.File.Name, l.Name, l.Mean)
				}
			}
		}
		if limbs < 2 {
			t.Errorf("%s → %s: %d arms and legs are compared", row.source, target.File.Name, limbs)
		}
		for _, f := range rep.Feet {
			if slices.ContainsFunc(rep.Remarks, func(s string) bool { return strings.Contains(s, "goes in place") }) {
				continue // no foot is kept in its place
			}
			if f.After > max(0.01*rep.Height/1.75, 1e-9) && f.After > f.Source {
				t.Errorf("%s → %s: %s foot slides %.4f m/s after (%.4f in the source)", row.source, target.File.Name, f.Side, f.After, f.Source)
			}
		}
		if row.target != "robot.glb" && rep.Ground.Lowest < -0.11*rep.Height { // its feet hang on the root, not on its legs
			t.Errorf("%s → %s: %.3f m of %.3f through the floor", row.source, target.File.Name, -rep.Ground.Lowest, rep.Height)
		}
	}
}

// Odd sources: clear words, and no crash.
func TestOddSources(t *testing.T) {
	target := sample(lamplighter.Options{})
	say := func(s *rig.Rig, clip rig.Clip) string {
		_, err := Carry(context.Background(), match.Find(s, target), clip, Options{})
		if err == nil {
			return ""
		}
		return err.Error()
	}
	empty := sample(lamplighter.Options{})
	empty.Clips[0].Channels = nil
	one := sample(lamplighter.Options{})
	for i := range one.Clips[0].Channels {
		c := &one.Clips[0].Channels[i]
		c.Times, c.Values = c.Times[:1], c.Values[:c.Width]
	}
	one.Clips[0].Seconds = 0
	none := sample(lamplighter.Options{})
	none.Clips = nil
	for _, row := range []struct {
		name string
		s    *rig.Rig
		clip rig.Clip
		want string
	}{
		{"an empty clip", empty, 0, "moves no joint that has a pair"},
		{"one key", one, 0, ""},
		{"no clip", none, 0, "has no clip 0; it holds 0"},
		{"a clip that is not there", empty, 9, "has no clip 9; it holds 2"},
	} {
		if got := say(row.s, row.clip); row.want == "" && got != "" || !strings.Contains(got, row.want) {
			t.Errorf("%s: %q, want %q", row.name, got, row.want)
		}
	}
	read := func(tree string) *rig.Rig {
		r, err := bvh.Read("odd.bvh", []byte("HIERARCHY "+tree))
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	two := read("ROOT Hips { OFFSET 0 0 0 CHANNELS 3 Xrotation Yrotation Zrotation JOINT Spine { OFFSET 0 .5 0 CHANNELS 3 Xrotation Yrotation Zrotation End Site { OFFSET 0 .3 0 } } } MOTION Frames: 2 Frame Time: .1 0 0 0 0 0 0 10 20 30 5 6 7")
	if got := say(two, 0); got != "" {
		t.Errorf("two joints: %s", got)
	}
	roots := read("ROOT A { OFFSET 0 1 0 CHANNELS 1 Xrotation JOINT B { OFFSET 0 1 0 CHANNELS 1 Xrotation End Site { OFFSET 0 1 0 } } } ROOT C { OFFSET 1 0 0 CHANNELS 1 Yrotation } MOTION Frames: 2 Frame Time: .1 5 6 7 7 8 9")
	m := match.Find(roots, roots)
	if len(m.Pairs) > 0 {
		if _, err := Carry(context.Background(), m, 0, Options{}); err != nil {
			t.Errorf("several roots: %v", err)
		}
	}
	// Keys before zero: a file may not hold them, the result starts at zero.
	early := sample(lamplighter.Options{})
	c := &early.Clips[0]
	for i := range c.Channels {
		times := slices.Clone(c.Channels[i].Times)
		for k := range times {
			times[k] -= 0.25
		}
		c.Channels[i].Times = times
	}
	late, err := Carry(context.Background(), match.Find(early, target), 0, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range late.Clip.Channels {
		if c.Times[0] != 0 || len(c.Times) > 1 && c.Times[1] <= 0 {
			t.Fatalf("keys start at %g s", c.Times[0])
		}
	}
	// Ended from outside.
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Carry(ctx, match.Find(sample(lamplighter.Options{}), target), 0, Options{}); err == nil {
		t.Error("a carrying that was ended answers")
	}
}

// BenchmarkCarry is ten minutes at 120 Hz on 80 joints: the sample with chains of
// captured length.
func BenchmarkCarry(b *testing.B) {
	s, target := long(b, 72_000)
	m := match.Find(s, target)
	b.ReportMetric(float64(len(m.Pairs)), "pairs")
	for b.Loop() {
		if _, err := Carry(context.Background(), m, 0, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkCarryKept is a stroll of ten minutes at 30 Hz carried to legs half as long,
// feet kept.
func BenchmarkCarryKept(b *testing.B) {
	s := sample(lamplighter.Options{Sway: true})
	c := &s.Clips[0]
	span := float32(c.Seconds)
	for i := range c.Channels {
		ch := &c.Channels[i]
		times, values := ch.Times, ch.Values
		ch.Times, ch.Values = nil, nil
		for k := range int(600 / span) {
			for f, t := range times {
				if f > 0 || k == 0 {
					ch.Times = append(ch.Times, t+float32(k)*span)
					ch.Values = append(ch.Values, values[f*ch.Width:(f+1)*ch.Width]...)
				}
			}
		}
	}
	c.Seconds = 600
	m := match.Find(s, unlike()["short legs"])
	for b.Loop() {
		r, err := Carry(context.Background(), m, 0, Options{})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(r.times)), "moments")
	}
}

// long is a sample with 80 joints and one clip that keys all of them so many times.
func long(t testing.TB, frames int) (s, target *rig.Rig) {
	make80 := func() *rig.Rig {
		r := sample(lamplighter.Options{})
		for k := len(r.Skins[0].Joints); k < 80; k++ {
			parent := r.Skins[0].Joints[k-1]
			if k == 34 {
				parent = lamplighter.Node("spine")
			}
			n := rig.Node(len(r.Nodes))
			r.Nodes = append(r.Nodes, rig.NodeData{Name: "tail_" + string(rune('a'+k/26)) + string(rune('a'+k%26)), Parent: parent, Mesh: rig.None, Skin: rig.None,
				TRS: rig.TRS{T: [3]float64{0, -0.01, -0.02}, R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}})
			r.Nodes[n].Matrix = r.Nodes[n].TRS.Affine()
			r.Nodes[parent].Children = append(r.Nodes[parent].Children, n)
			r.Skins[0].Joints, r.Skins[0].Bind = append(r.Skins[0].Joints, n), append(r.Skins[0].Bind, rig.Identity)
			r.Meshes[0].Joints[4*k] = uint16(k) // it carries something
		}
		r.SetOrder()
		return settle(r, r.RestWorld())
	}
	s, target = make80(), make80()
	times := make([]float32, frames)
	for i := range times {
		times[i] = float32(i) / 120
	}
	c := rig.ClipData{Name: "long", Seconds: float64(times[frames-1])}
	for j, n := range s.Skins[0].Joints {
		ch := rig.Channel{Node: n, Path: rig.Rotation, Width: 4, Times: times, Values: make([]float32, 4*frames)}
		for i := range frames {
			q := stored(s.Nodes[n].R).Mul(degrees(axisX, 10*math.Sin(float64(i)/60+float64(j))))
			copy(ch.Values[4*i:], []float32{float32(q.X), float32(q.Y), float32(q.Z), float32(q.W)})
		}
		c.Channels = append(c.Channels, ch)
	}
	s.Clips = []rig.ClipData{c}
	return s, target
}

// A carried clip written as GLB reads back as it was, and writing what was read
// writes the same; as BVH too.
func TestWriteReadWrite(t *testing.T) {
	data := lamplighter.GLB(lamplighter.Options{Pose: lamplighter.A, Vertices: 3000})
	file := func(b []byte) []gltfio.File { return []gltfio.File{{Name: "a.glb", Data: b}} }
	target, err := gltfio.Read(file(data), gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	r := carried(t, match.Find(sample(lamplighter.Options{Sway: true}), target), 0, Options{Name: "walked"})
	once, err := withClip(file(data), r.Clip)
	if err != nil {
		t.Fatal(err)
	}
	back, err := gltfio.Read(file(once), gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(back.Malformed) > 0 {
		t.Errorf("what was written breaks the standard: %v", back.Malformed)
	}
	got := back.Clips[len(back.Clips)-1]
	if len(got.Channels) != len(r.Clip.Channels) || got.Name != "walked" || len(back.Clips) != len(target.Clips)+1 {
		t.Fatalf("%d channels of %d, clip %q of %d", len(got.Channels), len(r.Clip.Channels), got.Name, len(back.Clips))
	}
	for i := range got.Channels {
		a, b := &got.Channels[i], &r.Clip.Channels[i]
		if a.Node != b.Node || a.Path != b.Path || a.Interpolation != b.Interpolation || !equal(a.Times, b.Times) || !equal(a.Values, b.Values) {
			t.Fatalf("channel %d came back otherwise", i)
		}
	}
	again, err := withClip(file(data), got)
	if err != nil {
		t.Fatal(err)
	}
	if string(again) != string(once) {
		t.Error("written, read and written again it differs")
	}
	one, err := bvh.Write(r.Rig(), rig.Clip(len(target.Clips)))
	if err != nil {
		t.Fatal(err)
	}
	read, err := bvh.Read("a.bvh", one)
	if err != nil {
		t.Fatal(err)
	}
	two, err := bvh.Write(read, 0)
	if err != nil {
		t.Fatal(err)
	}
	if string(one) != string(two) {
		t.Error("as BVH, written, read and written again it differs")
	}
}

func equal(a, b []float32) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// What was looked at is said: of a long clip not every moment is.
func TestSaysWhatWasLookedAt(t *testing.T) {
	rounds.Dear(t)
	for _, row := range []struct{ frames, looked int }{{120, 120}, {2000, mostLooks}} {
		s, target := long(t, row.frames)
		rep, err := carried(t, match.Find(s, target), 0, Options{}).Inspect(context.Background(), nil)
		if err != nil {
			t.Fatal(err)
		}
		if rep.Frames != row.frames || math.Abs(float64(rep.Looked-row.looked)) > 0.01*float64(row.looked) {
			t.Errorf("%d frames, %d looked at, want %d and about %d", rep.Frames, rep.Looked, row.frames, row.looked)
		}
		if rep.Surface < mostSurfaces/2 || rep.Surface > rep.Looked {
			t.Errorf("%d of %d looked at for the lowest point", rep.Surface, rep.Looked)
		}
	}
}

// The slide over a clip too long to be looked at step by step is that of the whole
// clip: twice as long, twice as far.
func TestSlideOfALongClip(t *testing.T) {
	rounds.Dear(t)
	slide := func(frames int) float64 {
		s, target := long(t, frames)
		rep, err := carried(t, match.Find(s, target), 0, Options{FreeFeet: true}).Inspect(context.Background(), nil)
		if err != nil {
			t.Fatal(err)
		}
		return rep.Feet[0].SlideBefore + rep.Feet[1].SlideBefore
	}
	const turn = 377 // frames of one round of the movement, 2π · 60
	short, whole := slide(10*turn), slide(20*turn)
	if !(short > 0) || math.Abs(whole/short-2) > 0.1 {
		t.Errorf("%g m over %d frames, %g m over %d", short, 10*turn, whole, 20*turn)
	}
}

// withClip is a model with one clip more.
func withClip(files []gltfio.File, c rig.ClipData) ([]byte, error) {
	d, err := original.Open(files)
	if err != nil {
		return nil, err
	}
	return d.WithClips([]rig.ClipData{c})
}
