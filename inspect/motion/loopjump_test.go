package motion

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// A loop that is open is told however wide it is, in a clip of any name but one of a
// thing that is done once; a pose that is kept at the end is no gap.
func TestOpenLoops(t *testing.T) {
	base := checktest.Built(lamplighter.Options{Sway: true, Vertices: 2000})
	arm := []string{"shoulder_L", "upperArm_L", "lowerArm_L", "hand_L"}
	// open turns the last keys of some joints, all at once or bit by bit over the clip.
	clip := 0
	open := func(degrees float64, slowly bool, joints ...string) func(*rig.Rig) {
		return func(r *rig.Rig) {
			c := &r.Clips[clip]
			for i := range c.Channels {
				ch := &c.Channels[i]
				if ch.Path != rig.Rotation || !slices.ContainsFunc(joints, func(j string) bool { return lamplighter.Node(j) == ch.Node }) {
					continue
				}
				n := len(ch.Times)
				if !slowly {
					turnKeys(ch, n-1, n-1, 0, degrees)
					continue
				}
				for k := range n {
					turnKeys(ch, k, k, 0, degrees*float64(k)/float64(n-1))
				}
			}
		}
	}
	for _, row := range []struct {
		name, clip string
		plant      func(*rig.Rig)
		size       float64 // 0: silent
	}{
		{"as it is", "clip 7", func(*rig.Rig) {}, 0},
		{"44°", "clip 7", open(44, false, "head"), 44},
		{"46°", "clip 7", open(46, false, "head"), 46},
		{"60°", "clip 7", open(60, false, "upperArm_L"), 60},
		{"120°", "clip 7", open(120, false, "upperArm_L"), 120},
		{"120° over the whole clip", "clip 7", open(120, true, "upperArm_L"), 120},
		{"170°", "", open(170, false, "lowerArm_R"), 170},
		{"the whole arm, at the last key", "clip 8", open(60, false, arm...), 60},
		{"the whole arm, named a loop", "stroll", open(60, true, arm...), 60},
		{"the whole arm, slowly, no name to tell: it may be raised", "salute", open(60, true, arm...), 0},
		{"a fall that ends with an arm thrown out", "Death_A", open(60, false, "upperArm_L"), 0},
		{"sits down", "sitDown", open(80, true, "upperLeg_L", "lowerLeg_L", "upperLeg_R", "lowerLeg_R", "spine"), 0},
		{"an idle while sitting is a loop", "Sit_Idle", open(80, false, "lowerLeg_L"), 80},
	} {
		t.Run(row.name, func(t *testing.T) {
			if clip = 0; row.clip == "salute" || row.clip == "clip 8" {
				clip = 1 // the wave moves a whole arm
			}
			r := lamplighter.Clone(base)
			r.Clips[clip].Name = row.clip
			row.plant(r)
			got := filed(t, r, "motion/loop-jump")
			if row.size == 0 {
				for _, f := range got {
					t.Errorf("%s %v", f.Subject, f.Measures)
				}
				return
			}
			if len(got) != 1 || math.Abs(got[0].Measures[0].Value-row.size) > 0.01 || got[0].Where.Clip != rig.Clip(clip) {
				t.Errorf("%+v, want one of %g°", got, row.size)
			}
		})
	}
}

// In real clips: opened by 46, 60 and 120° at the last key every loop is told, and no
// clip that is played once as it is.
func TestOpenLoopsOfRealClips(t *testing.T) {
	rigs := soundRigs(t)
	for _, name := range []string{"Fox.glb", "Knight.glb", "robot.glb", "cesium_man.gltf"} {
		r := rigs[name]
		if r == nil {
			continue
		}
		loops := 0
		for i := range r.Clips {
			c := &r.Clips[i]
			one := onlyClip(r, rig.Clip(i))
			found, _ := checktest.Judge(t, &Station, one, nil)
			if slices.ContainsFunc(found, isLoopJump) {
				continue // Walking_C and the robot's dance are open as they are
			}
			says := saidOf(c.Name)
			for _, degrees := range []float64{46, 60, 120} {
				m := newMeterOf(one)
				channel := -1
				for k := range m.keys {
					if q := &m.keys[k]; q.path == rig.Rotation && q.moves && q.close < 1 && m.isLimb(q.node) && (channel < 0 || q.reach > m.keys[channel].reach) {
						channel = k
					}
				}
				if channel < 0 || closed(m) < loopShare {
					continue
				}
				ch := &one.Clips[0].Channels[m.keys[channel].channel]
				old := *ch
				turnKeys(ch, len(ch.Times)-1, len(ch.Times)-1, 0, degrees)
				found, _ := checktest.Judge(t, &Station, one, nil)
				*ch = old
				told := slices.ContainsFunc(found, isLoopJump)
				if told == (says == playedOnce) {
					t.Errorf("%s %q open by %g°: told %v", name, c.Name, degrees, told)
				}
				loops++
			}
		}
		t.Logf("%s: %d", name, loops)
	}
}

func isLoopJump(f check.Finding) bool { return f.ID == "motion/loop-jump" }

// newMeterOf has read the first clip.
func newMeterOf(r *rig.Rig) *meter {
	m := newMeter(exam.New(r))
	m.readClip(0)
	return m
}

// closed is the share of the turning joints that come back to their first pose.
func closed(m *meter) float64 {
	near, all := 0.0, 0.0
	for i := range m.keys {
		if k := &m.keys[i]; k.path == rig.Rotation && k.moves {
			all++
			if k.close <= loopClose {
				near++
			}
		}
	}
	return near / all
}

// Its limits from both sides.
func TestLoopJumpLimits(t *testing.T) {
	w := waving()
	bothSides(t, "motion/loop-jump", []both{
		{"a seam", lamplighter.OpenLoop(0.99), lamplighter.OpenLoop(1.01), 0, check.Note, "turn", 0},
		{"a seam of the hips", hipsOpen(0.0099 * w.height), hipsOpen(0.0101 * w.height), 0, check.Note, "shift", 0.0101},
	})
}

// hipsOpen leaves the hips of the wave higher at its end than at its start.
func hipsOpen(by float64) func(*rig.Rig) lamplighter.Planted {
	return func(r *rig.Rig) lamplighter.Planted {
		n := lamplighter.Node("hips")
		c, at := &r.Clips[1], r.Nodes[n].T
		ch := rig.Channel{Node: n, Path: rig.Translation, Width: 3, Times: []float32{0, float32(c.Seconds)}}
		for _, y := range []float64{0, by} {
			ch.Values = append(ch.Values, float32(at[0]), float32(at[1]+y), float32(at[2]))
		}
		c.Channels = append(c.Channels, ch)
		return lamplighter.Planted{}
	}
}
