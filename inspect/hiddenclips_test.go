package inspect

import (
	"math"
	"slices"

	"rigloupe/inspect/rig"
)

var hiddenInClips = []hidden{
	{"a key 20° off, between the limits", func(p *patient) []*wound {
		if p.has("motion/stray-key") {
			return nil
		}
		c, ch := p.dense(16)
		if ch == nil {
			return nil
		}
		turn(ch, len(ch.Times)/3, 20)
		return one(noteAt("motion/stray-key", 20, .25, "motion/jump").in(c).at(nil, ch.Node))
	}},
	{"two keys off in a row", func(p *patient) []*wound {
		if p.has("motion/stray-key") {
			return nil
		}
		c, ch := p.dense(20)
		if ch == nil {
			return nil
		}
		turn(ch, len(ch.Times)/2, 45)
		turn(ch, len(ch.Times)/2+1, 45)
		return one(flawAt("motion/stray-key", 45, .35, "motion/jump", "motion/long-way").in(c).at(nil, ch.Node))
	}},
	{"a key off and a loop open, two clips", func(p *patient) []*wound {
		if p.has("motion/stray-key") || len(p.r.Clips) < 2 {
			return nil
		}
		w := p.openLoop(35)
		if w == nil {
			return nil
		}
		c, ch := p.dense(16)
		if ch == nil || c == w.clip {
			return nil
		}
		turn(ch, len(ch.Times)/3, -40)
		return []*wound{w, flawAt("motion/stray-key", 40, .25, "motion/jump").in(c).at(nil, ch.Node)}
	}},
	{"a rotation key 0.2 % too long", func(p *patient) []*wound {
		if p.has("motion/off-unit") {
			return nil
		}
		c, ch := p.dense(4)
		if ch == nil {
			return nil
		}
		for i := range 4 {
			ch.Values[8+i] *= 1.002
		}
		return one(flawAt("motion/off-unit", .002, .1).in(c).at(nil, ch.Node))
	}},
	{"a rotation key of nothing", func(p *patient) []*wound {
		if p.has("motion/off-unit") {
			return nil
		}
		c, ch := p.dense(4)
		if ch == nil {
			return nil
		}
		clear(ch.Values[8:12])
		return one(flawAt("motion/off-unit", 1, 0, "motion/stray-key", "motion/jump", "motion/worst-frame", "motion/long-way").in(c).at(nil, ch.Node))
	}},
	{"a thigh or neck that grows by 4 %", func(p *patient) []*wound { return p.grow(1.04, .04) }},
	{"a forearm that shrinks to half", func(p *patient) []*wound { return p.grow(.5, .5) }},
	{"the figure a tenth of its height under the floor", func(p *patient) []*wound {
		hips := p.e.Roles().Node("hips")
		if hips < 0 || len(p.r.Clips) == 0 || p.has("motion/under-ground") || p.has("intake/off-ground") {
			return nil
		}
		world := p.e.RestWorld()
		down := [3]float64{0, -.1 * p.e.Height(), 0}
		if up := p.r.Nodes[hips].Parent; up >= 0 {
			inv, _ := world[up].Inverse()
			down = inv.Direction(down)
		}
		clip := &p.r.Clips[0]
		found := false
		for k := range clip.Channels {
			if c := &clip.Channels[k]; c.Node == hips && c.Path == rig.Translation && c.Interpolation != rig.Cubic {
				for v := range len(c.Values) / 3 {
					for i := range 3 {
						c.Values[3*v+i] += float32(down[i])
					}
				}
				found = true
			}
		}
		if !found {
			t := p.r.Nodes[hips].T
			v := []float32{float32(t[0] + down[0]), float32(t[1] + down[1]), float32(t[2] + down[2])}
			clip.Channels = append(clip.Channels, rig.Channel{Node: hips, Path: rig.Translation, Width: 3, Times: []float32{float32(clip.Start), float32(clip.Seconds)}, Values: slices.Concat(v, v)})
		}
		return one(noteAt("motion/under-ground", .1, .5, "motion/stretched-bone", "motion/foot-skate", "motion/worst-frame").in(0))
	}},
	{"a jump of 170° in a frame", func(p *patient) []*wound {
		if p.has("motion/jump") {
			return nil
		}
		c, ch := p.dense(20)
		if ch == nil {
			return nil
		}
		if dt := ch.Times[11] - ch.Times[10]; dt > .07 || dt < .002 {
			return nil
		}
		for k := 11; k < len(ch.Times); k++ {
			turn(ch, k, 170)
		}
		return one(noteAt("motion/jump", anything, 0, "motion/loop-jump", "motion/stray-key", "motion/long-way", "motion/foot-skate", "motion/under-ground", "motion/worst-frame").in(c).at(nil, ch.Node))
	}},
	{"one clip in pieces of one node each", func(p *patient) []*wound {
		if len(p.r.Clips) == 0 || p.has("motion/split-clip") {
			return nil
		}
		whole := p.r.Clips[0]
		if len(whole.Channels) < 8 {
			return nil
		}
		var parts []rig.ClipData
		at := map[rig.Node]int{}
		for _, ch := range whole.Channels {
			k, ok := at[ch.Node]
			if !ok {
				k = len(parts)
				at[ch.Node] = k
				parts = append(parts, rig.ClipData{Name: p.r.Nodes[ch.Node].Name, Seconds: whole.Seconds, Start: whole.Start})
			}
			parts[k].Channels = append(parts[k].Channels, ch)
		}
		p.r.Clips = append(parts, p.r.Clips[1:]...)
		return one(flawAt("motion/split-clip", anything, 0, "motion/foot-skate", "motion/under-ground", "motion/still-chain", "motion/loop-jump"))
	}},
	{"a limb that no clip moves", func(p *patient) []*wound {
		n, _ := p.joint("leftUpperArm", "leftUpperLeg")
		if n < 0 || len(p.r.Clips) < 2 || p.has("motion/still-chain") {
			return nil
		}
		below := map[rig.Node]bool{n: true}
		for _, k := range p.r.Order {
			if up := p.r.Nodes[k].Parent; up >= 0 && below[up] {
				below[k] = true
			}
		}
		for i := range p.r.Clips {
			p.r.Clips[i].Channels = slices.DeleteFunc(p.r.Clips[i].Channels, func(c rig.Channel) bool { return below[c.Node] })
		}
		return one(flawAt("motion/still-chain", anything, 0, "motion/foot-skate", "motion/under-ground", "motion/worst-frame", "motion/loop-jump").at(nil, n))
	}},
	{"clips that begin at two seconds", func(p *patient) []*wound {
		if len(p.r.Clips) == 0 || p.has("motion/late-start") {
			return nil
		}
		done := map[*float32]bool{}
		for i := range p.r.Clips {
			for k := range p.r.Clips[i].Channels {
				t := p.r.Clips[i].Channels[k].Times
				if len(t) == 0 || done[&t[0]] {
					continue
				}
				done[&t[0]] = true
				for q := range t {
					t[q] += 2
				}
			}
			p.r.Clips[i].Start += 2
			p.r.Clips[i].Seconds += 2
		}
		return one(flawAt("motion/late-start", 2, .1))
	}},
	{"a swelling of 3 % that comes and goes", func(p *patient) []*wound {
		if len(p.r.Clips) == 0 || p.has("motion/scale-keys") {
			return nil
		}
		n := p.bones().Joints[p.held(0)]
		clip := &p.r.Clips[len(p.r.Clips)-1]
		clip.Channels = slices.DeleteFunc(clip.Channels, func(c rig.Channel) bool { return c.Node == n && c.Path == rig.Scale })
		a, b := float32(clip.Start), float32(clip.Seconds)
		clip.Channels = append(clip.Channels, rig.Channel{Node: n, Path: rig.Scale, Width: 3, Times: []float32{a, (a + b) / 2, b}, Values: []float32{1, 1, 1, 1.03, 1.03, 1.03, 1, 1, 1}})
		return one(noteAt("motion/scale-keys", 1, 0).at(nil, n))
	}},
	{"feet that slide", func(p *patient) []*wound {
		hips := p.e.Roles().Node("hips")
		if hips < 0 || p.has("motion/foot-skate") {
			return nil
		}
		c, _ := p.clipOf("idle", 4)
		if c < 0 {
			return nil
		}
		clip := &p.r.Clips[c]
		for clip.Seconds-clip.Start < .3 {
			return nil
		}
		top := hips
		for p.r.Nodes[top].Parent >= 0 {
			top = p.r.Nodes[top].Parent
		}
		if slices.ContainsFunc(clip.Channels, func(ch rig.Channel) bool { return ch.Node == top && ch.Path == rig.Translation }) {
			return nil
		}
		// The whole figure drifts sideways by a fifth of its height a second.
		t, far := p.r.Nodes[top].T, .2*p.e.Height()*(clip.Seconds-clip.Start)
		clip.Channels = append(clip.Channels, rig.Channel{Node: top, Path: rig.Translation, Width: 3, Times: []float32{float32(clip.Start), float32(clip.Seconds)},
			Values: []float32{float32(t[0]), float32(t[1]), float32(t[2]), float32(t[0] + far), float32(t[1]), float32(t[2])}})
		return one(flawAt("motion/foot-skate", anything, 0, "motion/loop-jump", "motion/travel", "binding/hangs-on").in(c))
	}},
}

// grow makes a limb's bone longer or shorter in the first clip that moves it.
func (p *patient) grow(by, size float64) []*wound {
	n, _ := p.joint("leftLowerLeg", "rightLowerArm", "leftLowerArm", "leftHand")
	if n < 0 || len(p.r.Clips) == 0 || p.has("motion/stretched-bone") {
		return nil
	}
	k := len(p.r.Clips) / 2
	clip := &p.r.Clips[k]
	clip.Channels = slices.DeleteFunc(clip.Channels, func(c rig.Channel) bool { return c.Node == n && c.Path == rig.Translation })
	d := p.r.Nodes[n].T
	if math.Hypot(math.Hypot(d[0], d[1]), d[2]) == 0 {
		return nil
	}
	ch := rig.Channel{Node: n, Path: rig.Translation, Width: 3, Times: []float32{float32(clip.Start), float32(clip.Start+clip.Seconds) / 2, float32(clip.Seconds)}}
	for _, f := range []float64{1, by, 1} {
		ch.Values = append(ch.Values, float32(f*d[0]), float32(f*d[1]), float32(f*d[2]))
	}
	clip.Channels = append(clip.Channels, ch)
	return one(noteAt("motion/stretched-bone", size, .1, "motion/worst-frame", "motion/foot-skate", "motion/under-ground").in(rig.Clip(k)).at(nil, n))
}
