package motion

import (
	"context"
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// both is what one check must say of a plant just below its limit and just above.
type both struct {
	name         string
	id           string
	below, above func(*rig.Rig) lamplighter.Planted
	belowGrade   check.Grade // 0: nothing
	grade        check.Grade
	measure      string  // of the finding above
	size         float64 // of it; 0: what was planted
}

// Every limit of the station from both sides: below it nothing (or the smaller
// grade), above it one finding of the right size.
func TestLimitsFromBothSides(t *testing.T) {
	base := lamplighter.Build(lamplighter.Options{Sway: true, Vertices: 4000})
	const wave = 1
	h, low := base.Meshes[0].Positions[1], base.Meshes[0].Positions[1]
	for v := 1; v < len(base.Meshes[0].Positions); v += 3 {
		h, low = max(h, base.Meshes[0].Positions[v]), min(low, base.Meshes[0].Positions[v])
	}
	height, lowest, seconds := float64(h-low), float64(low), base.Clips[wave].Seconds
	const step = 1.0 / 30
	glide := func(share float64) func(*rig.Rig) lamplighter.Planted {
		return lamplighter.Glide(share * height * seconds / 2)
	}
	names := func(n string) func(*rig.Rig) lamplighter.Planted {
		return func(r *rig.Rig) lamplighter.Planted {
			r.Clips[wave].Name = n
			return lamplighter.Planted{Size: 2}
		}
	}
	for _, b := range []both{
		{"feet that slide", "motion/foot-skate", glide(0.049), glide(0.051), 0, check.Note, "speed", 0},
		{"under the ground", "motion/under-ground", lamplighter.Sink(0.0099*height + lowest), lamplighter.Sink(0.0101*height + lowest), 0, check.Note, "under the ground", 0},
		{"over the ground", "motion/under-ground", lamplighter.Sink(lowest - 0.0199*height), lamplighter.Sink(lowest - 0.0201*height), 0, check.Note, "over the ground", 0},
		{"hips that travel", "motion/travel", lamplighter.WalkOff(0.0499 * height), lamplighter.WalkOff(0.0501 * height), 0, check.Note, "shift", 0},
		{"hips that travel below a root", "motion/travel", lamplighter.WalkOffRoot(0.0499 * height), lamplighter.WalkOffRoot(0.0501 * height), 0, check.Note, "shift", 0},
		{"a seam", "motion/loop-jump", lamplighter.OpenLoop(0.99), lamplighter.OpenLoop(1.01), 0, check.Note, "turn", 0},
		{"a seam of the hips", "motion/loop-jump", hipsOpen(0.0099 * height), hipsOpen(0.0101 * height), 0, check.Note, "shift", 0.0101},
		{"half a key step late", "motion/late-start", lamplighter.Late(0.49 * step), lamplighter.Late(0.51 * step), 0, check.Note, "first key", 0},
		{"a tenth of a second late, less than a tenth of the clip", "motion/late-start", lamplighter.Late(0.099), lamplighter.Late(0.101), check.Note, check.Note, "first key", 0.101 * 30},
		{"a tenth of the clip late", "motion/late-start", lamplighter.Late(seconds/9 - 0.002), lamplighter.Late(seconds/9 + 0.002), check.Note, check.Flaw, "first key", 0},
		{"a channel that stops", "motion/late-start", lamplighter.StopEarly(0.92), lamplighter.StopEarly(0.89), 0, check.Note, "joints that stop early", 0},
		{"a sign that changes over 90°", "motion/long-way", lamplighter.LongWay(89.9), lamplighter.LongWay(90.1), check.Note, check.Flaw, "true angle there", 0},
		{"170° between keys", "motion/long-way", lamplighter.HalfTurn(169.9), lamplighter.HalfTurn(170.1), 0, check.Note, "keys half a turn apart", 0},
		{"a bone that grows", "motion/stretched-bone", lamplighter.Lengthen(0.0199), lamplighter.Lengthen(0.0201), 0, check.Note, "change", 0},
		{"a limb that grows", "motion/stretched-bone", lamplighter.Lengthen(0.199), lamplighter.Lengthen(0.201), check.Note, check.Note, "change of a limb's bone", 0},
		{"dead channels", "motion/dead-weight", deadChannels(0.49), deadChannels(0.51), 0, check.Note, "share of the channels", 0},
		{"dead bytes", "motion/dead-weight", deadBytes(1<<20 - 1000), deadBytes(1<<20 + 1000), 0, check.Note, "bytes", 0},
		{"clips of one node", "motion/split-clip", single(2), single(3), 0, check.Flaw, "clips", 0},
		{"names", "motion/split-clip", names("waves"), names("stroll"), 0, check.Note, "clips", 0},
		{"no name", "motion/split-clip", names("waves"), names(""), 0, check.Note, "clips", 1},
		{"length of a key", "motion/off-unit", lamplighter.OffUnit(0.00099), lamplighter.OffUnit(0.00101), 0, check.Flaw, "error", 0},
		{"a key that scales", "motion/scale-keys", lamplighter.Swell(0.00099), lamplighter.Swell(0.00101), 0, check.Note, "nodes", 0},
		{"a limb that jumps", "motion/jump", lamplighter.Jump(1999 * step), lamplighter.Jump(2001 * step), 0, check.Note, "turning speed", 0},
		{"a link that jumps", "motion/jump", linkJump(3999 * step), linkJump(4001 * step), 0, check.Note, "turning speed", 4001},
		{"hips that jump", "motion/jump", hipsJump(19.9*height, step), hipsJump(20.1*height, step), 0, check.Note, "speed", 20.1},
		{"a chain of two", "motion/still-chain", unkeyed(1), unkeyed(2), 0, check.Flaw, "still joints", 0},
	} {
		t.Run(b.name, func(t *testing.T) {
			for _, side := range []struct {
				what  string
				plant func(*rig.Rig) lamplighter.Planted
				grade check.Grade
			}{{"below", b.below, b.belowGrade}, {"above", b.above, b.grade}} {
				r := lamplighter.Clone(base)
				quiet := filed(t, base, b.id)
				planted := side.plant(r)
				var got []check.Finding
				for _, f := range filed(t, r, b.id) {
					if !slices.ContainsFunc(quiet, func(q check.Finding) bool { return q.Title == f.Title && q.Measures[0].Name == f.Measures[0].Name }) {
						got = append(got, f)
					}
				}
				if side.grade == 0 {
					for _, f := range got {
						t.Errorf("%s: %s %v", side.what, f.Grade, f.Measures)
					}
					continue
				}
				if len(got) != 1 || got[0].Grade != side.grade {
					t.Fatalf("%s: %d findings, want one %s: %+v", side.what, len(got), side.grade, got)
				}
				if side.what == "below" {
					continue
				}
				size := b.size
				if size == 0 {
					size = planted.Size
				}
				if m := got[0].Measures[0]; m.Name != b.measure || math.Abs(m.Value-size) > 2e-3*size {
					t.Errorf("%s: %s %g, want %s %g", side.what, m.Name, m.Value, b.measure, size)
				}
			}
		})
	}
}

// filed are the findings of one check.
func filed(t *testing.T, r *rig.Rig, id string) (out []check.Finding) {
	t.Helper()
	found, _ := checktest.Judge(t, &Station, r, nil)
	for _, f := range found {
		if f.ID == id {
			out = append(out, f)
		}
	}
	return out
}

// restChannel keys a node's rest rotation so many times over a clip.
func restChannel(r *rig.Rig, c *rig.ClipData, n rig.Node, keys int) rig.Channel {
	ch := rig.Channel{Node: n, Path: rig.Rotation, Width: 4}
	for k := range keys {
		ch.Times = append(ch.Times, float32(c.Seconds*float64(k)/float64(keys-1)))
		for _, x := range r.Nodes[n].R {
			ch.Values = append(ch.Values, float32(x))
		}
	}
	return ch
}

// deadChannels adds still channels of a node below everything until they are a share
// of all; the size is the share.
func deadChannels(share float64) func(*rig.Rig) lamplighter.Planted {
	return func(r *rig.Rig) lamplighter.Planted {
		channels, dead := 0.0, 0.0
		for i := range r.Clips {
			for k := range r.Clips[i].Channels {
				channels++
				ch := &r.Clips[i].Channels[k]
				if rests(r, ch) {
					dead++
				}
			}
		}
		c := &r.Clips[1]
		for (dead+1)/(channels+1) <= share {
			c.Channels = append(c.Channels, restChannel(r, c, lamplighter.Node("hand_L"), 2))
			channels++
			dead++
		}
		if share > 0.5 {
			c.Channels = append(c.Channels, restChannel(r, c, lamplighter.Node("hand_L"), 2))
			channels++
			dead++
		}
		return lamplighter.Planted{Size: dead / channels}
	}
}

// rests tells that all keys of a rotation are the rest value, to the bit.
func rests(r *rig.Rig, c *rig.Channel) bool {
	if c.Path != rig.Rotation {
		return false
	}
	for k := range c.Times {
		for x, v := range c.Values[4*k : 4*k+4] {
			if v != float32(r.Nodes[c.Node].R[x]) {
				return false
			}
		}
	}
	return true
}

// deadBytes keys one joint at rest until all that does nothing has that size; what
// the clean clips hold of it is worked out first. 16 bytes a key.
func deadBytes(bytes int) func(*rig.Rig) lamplighter.Planted {
	return func(r *rig.Rig) lamplighter.Planted {
		has := 0
		facts, err := Measure(context.Background(), exam.New(r))
		if err != nil {
			panic(err)
		}
		for _, c := range facts.Clips {
			has += c.DeadBytes
		}
		c := &r.Clips[1]
		keys := (bytes - has) / 16
		c.Channels = append(c.Channels, restChannel(r, c, lamplighter.Node("hand_L"), keys))
		return lamplighter.Planted{Size: float64(has + 16*keys)}
	}
}

// single adds clips of one span that turn one node each.
func single(n int) func(*rig.Rig) lamplighter.Planted {
	return func(r *rig.Rig) lamplighter.Planted {
		for i := range n {
			c := rig.ClipData{Name: string(rune('a' + i)), Seconds: 5}
			node := rig.Node(2 + i)
			ch := restChannel(r, &c, node, 3)
			turned := times([4]float64(wide(about(1, 0, 0, 5))), r.Nodes[node].R)
			for x := range turned {
				ch.Values[4+x] = float32(turned[x])
			}
			c.Channels = []rig.Channel{ch}
			r.Clips = append(r.Clips, c)
		}
		return lamplighter.Planted{Size: float64(n)}
	}
}

// linkJump turns one key of a chain's last link away.
func linkJump(degrees float64) func(*rig.Rig) lamplighter.Planted {
	return func(r *rig.Rig) lamplighter.Planted {
		n := lamplighter.Node("chain_L_6")
		c := &r.Clips[1]
		for i := range c.Channels {
			if ch := &c.Channels[i]; ch.Node == n && ch.Path == rig.Rotation {
				*ch = restChannel(r, c, n, 1+int(math.Round(c.Seconds*30)))
				k := len(ch.Times) / 2
				turned := times(r.Nodes[n].R, [4]float64(wide(about(1, 0, 0, degrees))))
				for x := range turned {
					ch.Values[4*k+x] = float32(turned[x])
				}
			}
		}
		return lamplighter.Planted{}
	}
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

// hipsJump shifts the hips by some metres a second between two keys, and back.
func hipsJump(speed, step float64) func(*rig.Rig) lamplighter.Planted {
	return func(r *rig.Rig) lamplighter.Planted {
		n := lamplighter.Node("hips")
		c := &r.Clips[1]
		at := r.Nodes[n].T
		ch := rig.Channel{Node: n, Path: rig.Translation, Width: 3}
		for _, k := range [][2]float64{{0, 0}, {1, 0}, {1 + step, speed * step}, {1 + 3*step, 0}, {c.Seconds, 0}} {
			ch.Times = append(ch.Times, float32(k[0]))
			ch.Values = append(ch.Values, float32(at[0]), float32(at[1]), float32(at[2]+k[1]))
		}
		c.Channels = append(c.Channels, ch)
		return lamplighter.Planted{}
	}
}

// unkeyed takes the channels of the last links of one chain out of all clips.
func unkeyed(links int) func(*rig.Rig) lamplighter.Planted {
	return func(r *rig.Rig) lamplighter.Planted {
		var nodes []rig.Node
		for k := 7 - links; k <= 6; k++ {
			nodes = append(nodes, lamplighter.Node("chain_L_"+string(rune('0'+k))))
		}
		for i := range r.Clips {
			r.Clips[i].Channels = slices.DeleteFunc(r.Clips[i].Channels, func(ch rig.Channel) bool { return slices.Contains(nodes, ch.Node) })
		}
		return lamplighter.Planted{Size: float64(links)}
	}
}
