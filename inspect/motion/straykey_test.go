package motion

import (
	"math"
	"math/rand"
	"os"
	"slices"
	"testing"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// soundRigs are figures whose clips no one cut up: the sample and, where they are, real
// ones, a capture among them.
func soundRigs(t *testing.T) map[string]*rig.Rig {
	t.Helper()
	rigs := map[string]*rig.Rig{
		"sample":   checktest.Built(lamplighter.Options{Sway: true, Vertices: 2000}),
		"sample A": checktest.Built(lamplighter.Options{Sway: true, Vertices: 2000, Pose: lamplighter.A}),
	}
	for _, name := range []string{"cesium_man.gltf", "Fox.glb", "robot.glb", "Knight.glb", "rigged_simple.gltf"} {
		if path := checktest.Corpus + "/models/" + name; exists(path) {
			rigs[name] = checktest.Open(t, path)
		}
	}
	if data, err := os.ReadFile(checktest.Corpus + "/models/01_01.bvh"); err == nil {
		r, err := bvh.Read("01_01.bvh", data)
		if err != nil {
			t.Fatal(err)
		}
		rigs["capture"] = r
	}
	return rigs
}

// No clip of a sound figure has a key off its curve, nor a range without keys.
func TestSoundClipsHaveAllTheirKeys(t *testing.T) {
	for name, r := range soundRigs(t) {
		found, _ := checktest.Judge(t, &Station, r, nil)
		for _, f := range found {
			if f.ID == "motion/stray-key" || f.ID == "motion/missing-keys" {
				t.Errorf("%s: %s %s %v", name, f.ID, f.Subject, f.Measures)
			}
		}
	}
}

// turnKeys turns some keys of a rotation channel about an axis of the joint's own.
func turnKeys(c *rig.Channel, first, last, axis int, degrees float64) {
	c.Values = slices.Clone(c.Values)
	var by [4]float64
	by[axis], by[3] = math.Sincos(degrees * math.Pi / 360)
	for k := first; k <= last; k++ {
		v := at(c, k)
		q := times([4]float64(wide(c.Values[v:v+4])), by)
		for x := range q {
			c.Values[v+x] = float32(q[x])
		}
	}
}

// One key of a moving joint, somewhere in a clip, turned away by 30 to 50°: found at
// its joint and its moment. Two in a row are harder to tell from a blow.
func TestStrayKeysAreFound(t *testing.T) {
	random := rand.New(rand.NewSource(9))
	planted, found, near := [3]int{}, [3]int{}, 0
	rigs := soundRigs(t)
	for _, name := range []string{"Fox.glb", "Knight.glb", "capture", "cesium_man.gltf", "robot.glb", "sample", "sample A"} {
		r := rigs[name]
		if r == nil {
			continue
		}
		m := newMeter(exam.New(r))
		for i := range r.Clips {
			c := &r.Clips[i]
			m.readClip(rig.Clip(i))
			for k := range m.keys {
				q := m.keys[k]
				ch := &c.Channels[q.channel]
				if q.path != rig.Rotation || !q.moves || len(ch.Times) < 10 || ch.Interpolation != rig.Linear || !m.carries[q.node] && len(r.Surfaces) > 0 {
					continue
				}
				run := 1 + random.Intn(2)
				degrees := 30 + 20*random.Float64()
				key := 2 + random.Intn(len(ch.Times)-5)
				old := *ch
				turnKeys(ch, key, key+run-1, random.Intn(3), degrees)
				all := slices.Clone(m.keys)
				all[k] = m.readKeys(q.channel, ch)
				var clip Clip
				m.locals.Start(c)
				m.readStray(&clip, c, all)
				planted[run]++
				if s := clip.StrayOff; s.Node == q.node && s.Value > 15 && math.Abs(s.Time-float64(ch.Times[key])) < 1e-6 {
					found[run]++
					if math.Abs(s.Value-degrees) < 10 {
						near++
					}
				}
				*ch = old
			}
		}
	}
	t.Logf("single keys: %d of %d; two in a row: %d of %d; size within 10°: %d", found[1], planted[1], found[2], planted[2], near)
	for run, least := range []float64{1: 0.97, 2: 0.97} {
		if float64(found[run]) < least*float64(planted[run]) {
			t.Errorf("%d keys in a row: %d of %d found, want %.0f %%", run, found[run], planted[run], 100*least)
		}
	}
	if near < (found[1]+found[2])*85/100 {
		t.Errorf("%d of %d have the size that was planted, within 10°", near, found[1]+found[2])
	}
}

// Both sides of the limits, and what is no stray key though it looks like one.
func TestStrayKeyLimits(t *testing.T) {
	base := checktest.Built(lamplighter.Options{Sway: true, Vertices: 2000})
	forearm := lamplighter.Node("lowerArm_L")
	turn := func(at string, first, last int, degrees float64) func(*rig.Rig) {
		return func(r *rig.Rig) {
			for i := range r.Clips[1].Channels {
				if ch := &r.Clips[1].Channels[i]; ch.Node == lamplighter.Node(at) && ch.Path == rig.Rotation {
					turnKeys(ch, first, last, 0, degrees)
				}
			}
		}
	}
	shift := func(share float64) func(*rig.Rig) {
		return func(r *rig.Rig) {
			n := lamplighter.Node("hips")
			c, at := &r.Clips[1], r.Nodes[n].T
			ch := rig.Channel{Node: n, Path: rig.Translation, Width: 3}
			for k := range 73 {
				y := 0.02 * math.Sin(2*math.Pi*float64(k)/72)
				if k == 30 {
					y += share * newFigure(exam.New(base)).height
				}
				ch.Times = append(ch.Times, float32(k)/30)
				ch.Values = append(ch.Values, float32(at[0]), float32(at[1]+y), float32(at[2]))
			}
			c.Channels = append(c.Channels, ch)
		}
	}
	// leap takes the hips out by 3.2 % of the height in one frame and back in some; keys that
	// the straight way gives are left out, or all are there.
	leap := func(back int, thinned bool) func(*rig.Rig) {
		return func(r *rig.Rig) {
			n := lamplighter.Node("hips")
			c, at := &r.Clips[1], r.Nodes[n].T
			ch := rig.Channel{Node: n, Path: rig.Translation, Width: 3}
			for k := range 73 {
				share := 0.0
				if k >= 30 && k < 30+back {
					share = 1 - float64(k-30)/float64(back)
				}
				if corner := k == 0 || k == 29 || k == 30 || k == 30+back || k == 72; thinned && !corner {
					continue
				}
				ch.Times = append(ch.Times, float32(k)/30)
				ch.Values = append(ch.Values, float32(at[0]), float32(at[1]+share*0.032*newFigure(exam.New(base)).height), float32(at[2]))
			}
			c.Channels = append(c.Channels, ch)
		}
	}
	for _, row := range []struct {
		name  string
		plant func(*rig.Rig)
		grade check.Grade
		size  float64
	}{
		{"out in a frame and back in two", leap(2, false), 0, 0},
		{"the same without the keys on the straight way", leap(2, true), 0, 0},
		{"back in three", leap(3, true), 0, 0},
		{"back in one", leap(1, false), check.Note, 0.032},
		{"back in one, without the keys on the straight way", leap(1, true), check.Note, 0.032},
		{"14° in a still part", turn("head", 4, 4, 14), 0, 0},
		{"16°", turn("head", 4, 4, 16), check.Note, 16},
		{"24°", turn("head", 4, 4, 24), check.Note, 24},
		{"26°", turn("head", 4, 4, 26), check.Flaw, 26},
		{"two keys by 40°", turn("lowerArm_L", 36, 37, 40), check.Flaw, 40},
		{"a pose that is kept from there on", turn("head", 40, 72, 40), 0, 0},
		{"eight keys in a row are a movement", turn("head", 30, 37, 40), 0, 0},
		{"hips by 2.8 % of the height", shift(0.028), 0, 0},
		{"hips by 3.2 % of the height", shift(0.032), check.Note, 0.032},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := lamplighter.Clone(base)
			row.plant(r)
			got := filed(t, r, "motion/stray-key")
			if row.grade == 0 {
				for _, f := range got {
					t.Errorf("%s %s %v", f.Grade, f.Subject, f.Measures)
				}
				return
			}
			if len(got) != 1 || got[0].Grade != row.grade || math.Abs(got[0].Measures[0].Value-row.size) > 0.04*row.size {
				t.Fatalf("%+v, want one %s of %g", got, row.grade, row.size)
			}
		})
	}
	r := lamplighter.Clone(base)
	turn("lowerArm_L", 36, 36, 40)(r)
	if got := filed(t, r, "motion/stray-key"); len(got) != 1 || got[0].Where.Joints[0] != forearm || math.Abs(got[0].Where.Time-1.2) > 1e-6 {
		t.Errorf("place: %+v", got)
	}
}

// One finding of turns, however many kinds of joints jump.
func TestJumpsAreOneFinding(t *testing.T) {
	r := lamplighter.Clone(checktest.Built(lamplighter.Options{Sway: true, Vertices: 2000}))
	lamplighter.Jump(100)(r)
	linkJump(150)(r)
	got := filed(t, r, "motion/jump")
	if len(got) != 1 || len(got[0].Where.Joints) != 2 || got[0].Where.Joints[1] != lamplighter.Node("chain_L_6") {
		t.Errorf("%+v", got)
	}
}

// That no other joint leaves its curve tells something where there is another: not in a
// clip that turns one node alone, as each piece of a split one does.
func TestNobodyElseTellsNothing(t *testing.T) {
	channel := func(n rig.Node) rig.Channel {
		c := rig.Channel{Node: n, Path: rig.Rotation, Width: 4}
		for k := range 9 {
			c.Times, c.Values = append(c.Times, float32(k)/30), append(c.Values, 0, 0, 0, 1)
		}
		return c
	}
	c := &rig.ClipData{Channels: []rig.Channel{channel(0), channel(1)}}
	keys := []keyed{{node: 0, channel: 0, path: rig.Rotation, moves: true}, {node: 1, channel: 1, path: rig.Rotation}}
	f := &figure{}
	if !f.othersKeep(c, keys, &keys[0], .1, .1, 5) {
		t.Error("the other stays on its curve")
	}
	if f.othersKeep(c, keys[:1], &keys[0], .1, .1, 5) {
		t.Error("there is no other")
	}
}
