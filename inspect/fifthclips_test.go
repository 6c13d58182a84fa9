package inspect

import (
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// keyed is a clip whose name has one of the words and its rotation channel of a joint whose
// role ends in one of the parts (or of an end, where parts is none), with so many keys.
func (p *patient) keyed(words, parts []string, least int) (rig.Clip, *rig.Channel) {
	ends := map[rig.Node]bool{}
	for _, g := range append(p.grips(4, true), p.grips(4, false)...) {
		ends[g.node] = true
	}
	for _, word := range words {
		for i := range p.r.Clips {
			if !strings.Contains(strings.ToLower(p.r.Clips[i].Name), word) {
				continue
			}
			for _, part := range parts {
				for k := range p.r.Clips[i].Channels {
					ch := &p.r.Clips[i].Channels[k]
					if ch.Path == rig.Rotation && ch.Interpolation == rig.Linear && len(ch.Times) >= least && ends[ch.Node] && strings.HasSuffix(p.e.Roles().Of[ch.Node].Role, part) &&
						(ch.Times[len(ch.Times)-1]-ch.Times[0])/float32(len(ch.Times)-1) < .07 {
						return rig.Clip(i), ch
					}
				}
			}
		}
	}
	return rig.None, nil
}

// turnBy turns one key about an axis of the joint's own.
func turnBy(ch *rig.Channel, k int, axis space.Vec, degrees float64) {
	v := ch.Values[4*k : 4*k+4]
	q := space.Mul(space.Quat{W: float64(v[3]), V: space.At(v, 0)}, space.About(axis.Normalize(), degrees*math.Pi/180))
	x := space.XYZW(q)
	for c := range 4 {
		v[c] = float32(x[c])
	}
}

var (
	running = []string{"run", "walk", "survey", ""}
	resting = []string{"idle", "survey", "walk", ""}
)

// spike turns one key of a joint's in a clip.
func spike(words, parts []string, axis space.Vec, degrees, at float64) func(p *patient) []*wound {
	return func(p *patient) []*wound {
		if p.has("motion/stray-key") {
			return nil
		}
		c, ch := p.keyed(words, parts, 12)
		if ch == nil {
			return nil
		}
		turnBy(ch, int(at*float64(len(ch.Times)-1)), axis, degrees)
		told := flawAt
		if math.Abs(degrees) < 25 {
			told = noteAt
		}
		return one(told("motion/stray-key", math.Abs(degrees), .3, "motion/worst-frame").in(c).at(nil, ch.Node))
	}
}

var fifthInClips = []hidden{
	{"a spike of 30° in a running arm", spike(running, []string{"LowerArm", "UpperArm"}, space.Vec{1, 0, 0}, 30, .5)},
	{"a spike of 30° in a running arm about another axis", spike(running, []string{"UpperArm", "LowerArm"}, space.Vec{0, 0, 1}, -30, .35)},
	{"a spike of 40° in a running shin", spike(running, []string{"LowerLeg"}, space.Vec{0, 1, 1}, 40, .7)},
	{"a spike of 30° in a head at rest", spike(resting, []string{"head", "neck"}, space.Vec{0, 1, 0}, 30, .45)},
	{"a spike of 18° in a foot or hand at rest", spike(resting, []string{"Foot", "Hand", "LowerLeg"}, space.Vec{1, 1, 0}, 18, .6)},
	{"a spike of 35° in an end without a role, or in the trunk", spike(running, []string{"", "spine", "chest"}, space.Vec{0, 0, 1}, 35, .4)},
	{"the last key of a walk 30° off", func(p *patient) []*wound {
		if p.has("motion/stray-key") {
			return nil
		}
		c, ch := p.keyed([]string{"walk", "run"}, []string{"LowerArm", "UpperArm", "LowerLeg"}, 12)
		if ch == nil || p.loopOpen(c) {
			return nil
		}
		turnBy(ch, len(ch.Times)-1, space.Vec{1, 0, 0}, 30)
		return one(noteAt("motion/stray-key", 30, .35).in(c).at(nil, ch.Node).either("motion/loop-jump"))
	}},
	{"the hips a twentieth of the height aside in one frame", func(p *patient) []*wound {
		hips := p.e.Roles().Node("hips")
		if hips < 0 || p.has("motion/stray-key") || p.has("motion/jump") {
			return nil
		}
		for i := range p.r.Clips {
			for k := range p.r.Clips[i].Channels {
				ch := &p.r.Clips[i].Channels[k]
				if ch.Node != hips || ch.Path != rig.Translation || ch.Interpolation != rig.Linear || len(ch.Times) < 12 || ch.Times[7]-ch.Times[5] > .12 {
					continue
				}
				moves := 0.0
				for q := 3; q < len(ch.Values); q++ {
					moves = max(moves, math.Abs(float64(ch.Values[q]-ch.Values[q-3])))
				}
				off := [3]float64{.05 * p.e.Height(), 0, 0}
				if up := p.r.Nodes[hips].Parent; up >= 0 {
					inv, _ := p.e.RestWorld()[up].Inverse()
					off = inv.Direction(off)
				}
				if !(moves > 0) || moves > .02*space.Vec(off).Len()/.05 {
					continue
				}
				for q := range 3 {
					ch.Values[3*6+q] += float32(off[q])
				}
				return one(noteAt("motion/stray-key", .05, .15).in(rig.Clip(i)).at(nil, hips))
			}
		}
		return nil
	}},
	{"one sign turned over at an end", func(p *patient) []*wound {
		if p.has("motion/long-way") {
			return nil
		}
		c, ch := p.keyed(resting, []string{"Hand", "Foot", "head", ""}, 8)
		if ch == nil {
			return nil
		}
		for i := range 4 {
			ch.Values[4*(len(ch.Times)/3)+i] *= -1
		}
		return one(noteAt("motion/long-way", 2, .01).in(c).at(nil, ch.Node))
	}},
	{"0.3 s of a limb without keys", func(p *patient) []*wound {
		if p.has("motion/missing-keys") {
			return nil
		}
		c, ch := p.mover(16, .3, .65)
		if ch == nil {
			return nil
		}
		first := int(.3 * float64(len(ch.Times)))
		last := first
		for last < len(ch.Times)-2 && ch.Times[last]-ch.Times[first-1] < .3 {
			last++
		}
		gap := float64(ch.Times[last] - ch.Times[first-1])
		if gap < .29 || gap > .36 || last-first < 6 || besideWay(ch, first-1, last) < 3 {
			return nil
		}
		w := ch.Width
		ch.Times, ch.Values = slices.Delete(slices.Clone(ch.Times), first, last), slices.Delete(slices.Clone(ch.Values), first*w, last*w)
		return one(noteAt("motion/missing-keys", gap, .1).in(c).at(nil, ch.Node))
	}},
	{"a wrist, knee or tail of a walk open by 8°", func(p *patient) []*wound { return p.openEnd(8, "Hand", "Foot", "LowerLeg", "") }},
	{"a head or back of a walk open by 15°", func(p *patient) []*wound { return p.openEnd(15, "head", "spine", "chest") }},
	{"a walk that drifts by an eighth of the height", func(p *patient) []*wound {
		if p.has("motion/travel") {
			return nil
		}
		for i := range p.r.Clips {
			if n := strings.ToLower(p.r.Clips[i].Name); strings.Contains(n, "walk") || strings.Contains(n, "idle") || len(p.r.Clips) == 1 {
				if p.drift(rig.Clip(i), .125*p.e.Height()) {
					return one(noteAt("motion/travel", .125, .1, "motion/loop-jump", "motion/foot-skate", "binding/hangs-on").in(rig.Clip(i)))
				}
			}
		}
		return nil
	}},
	{"standing feet that slide by a tenth of the height a second", func(p *patient) []*wound {
		if p.has("motion/foot-skate") {
			return nil
		}
		for i := range p.r.Clips {
			c := &p.r.Clips[i]
			if strings.Contains(strings.ToLower(c.Name), "idle") && c.Seconds-c.Start > .9 && !strings.Contains(strings.ToLower(c.Name), "lie") && !strings.Contains(strings.ToLower(c.Name), "sit") && !strings.Contains(strings.ToLower(c.Name), "jump") &&
				p.drift(rig.Clip(i), .1*p.e.Height()*(c.Seconds-c.Start)) {
				return one(noteAt("motion/foot-skate", .1, .25, "motion/loop-jump", "motion/travel", "binding/hangs-on").in(rig.Clip(i)))
			}
		}
		return nil
	}},
	{"3 % of the height under the floor in one clip", func(p *patient) []*wound {
		hips := p.e.Roles().Node("hips")
		if hips < 0 || len(p.r.Clips) == 0 || p.has("motion/under-ground") || p.has("intake/off-ground") || p.has("intake/unapplied-turn") {
			return nil
		}
		down := [3]float64{0, -.03 * p.e.Height(), 0}
		top := hips
		for p.r.Nodes[top].Parent >= 0 && slices.Contains(p.bones().Joints, p.r.Nodes[top].Parent) {
			top = p.r.Nodes[top].Parent
		}
		if up := p.r.Nodes[top].Parent; up >= 0 {
			inv, _ := p.e.RestWorld()[up].Inverse()
			down = inv.Direction(down)
		}
		c := len(p.r.Clips) - 1
		clip := &p.r.Clips[c]
		for k := range clip.Channels {
			if ch := &clip.Channels[k]; ch.Node == top && ch.Path == rig.Translation {
				ch.Values = slices.Clone(ch.Values)
				for v := range len(ch.Values) / 3 {
					for i := range 3 {
						ch.Values[3*v+i] += float32(down[i])
					}
				}
				return one(noteAt("motion/under-ground", .03, .5, "motion/stretched-bone").in(rig.Clip(c)))
			}
		}
		t := p.r.Nodes[top].T
		v := []float32{float32(t[0] + down[0]), float32(t[1] + down[1]), float32(t[2] + down[2])}
		clip.Channels = append(clip.Channels, rig.Channel{Node: top, Path: rig.Translation, Width: 3, Times: []float32{float32(clip.Start), float32(clip.Seconds)}, Values: slices.Concat(v, v)})
		return one(noteAt("motion/under-ground", .03, .5).in(rig.Clip(c)))
	}},
	{"a finger, tail or shin that grows by 4 %", func(p *patient) []*wound {
		if len(p.r.Clips) == 0 || p.has("motion/stretched-bone") {
			return nil
		}
		list := slices.DeleteFunc(append(p.grips(4, true), p.grips(4, false)...), func(g grip) bool {
			role := p.e.Roles().Of[g.node].Role
			return !(strings.HasSuffix(role, "LowerLeg") || strings.HasSuffix(role, "Distal") || strings.HasSuffix(role, "Intermediate") || strings.HasSuffix(role, "Foot") || role == "" && p.e.Roles().Of[g.node].Partner < 0 && len(p.r.Nodes[g.node].Children) == 0)
		})
		if len(list) == 0 {
			return nil
		}
		n := list[0].node
		t := space.Vec(p.r.Nodes[n].T)
		if !(t.Len() > 0) {
			return nil
		}
		c := len(p.r.Clips) / 3
		clip := &p.r.Clips[c]
		clip.Channels = slices.DeleteFunc(clip.Channels, func(c rig.Channel) bool { return c.Node == n && c.Path == rig.Translation })
		ch := rig.Channel{Node: n, Path: rig.Translation, Width: 3, Times: []float32{float32(clip.Start), float32(clip.Start+clip.Seconds) / 2, float32(clip.Seconds)}}
		for _, f := range []float64{1, 1.04, 1} {
			ch.Values = append(ch.Values, float32(f*t[0]), float32(f*t[1]), float32(f*t[2]))
		}
		clip.Channels = append(clip.Channels, ch)
		return one(noteAt("motion/stretched-bone", .04, .1).in(rig.Clip(c)).at(nil, n))
	}},
	{"an end that swells by 5 %", func(p *patient) []*wound {
		if len(p.r.Clips) == 0 || p.has("motion/scale-keys") {
			return nil
		}
		g, _ := p.tip(1)
		clip := &p.r.Clips[len(p.r.Clips)/2]
		clip.Channels = slices.DeleteFunc(clip.Channels, func(c rig.Channel) bool { return c.Node == g.node && c.Path == rig.Scale })
		a, b := float32(clip.Start), float32(clip.Seconds)
		clip.Channels = append(clip.Channels, rig.Channel{Node: g.node, Path: rig.Scale, Width: 3, Times: []float32{a, b}, Values: []float32{1, 1, 1, 1.05, 1.05, 1.05}})
		return one(noteAt("motion/scale-keys", .05, .01).at(nil, g.node).any())
	}},
	{"one clip 0.2 s late", func(p *patient) []*wound {
		if len(p.r.Clips) == 0 || p.has("motion/late-start") {
			return nil
		}
		c := len(p.r.Clips) / 2
		clip := &p.r.Clips[c]
		if !(clip.Seconds > clip.Start+.3) {
			return nil
		}
		for i := range clip.Channels {
			clip.Channels[i].Times = slices.Clone(clip.Channels[i].Times)
			for q := range clip.Channels[i].Times {
				clip.Channels[i].Times[q] += .2
			}
		}
		clip.Start, clip.Seconds = clip.Start+.2, clip.Seconds+.2
		return one(noteAt("motion/late-start", .2, .15).in(rig.Clip(c)).any())
	}},
	{"a chain that no clip moves", func(p *patient) []*wound {
		if len(p.r.Clips) == 0 || p.has("motion/still-chain") {
			return nil
		}
		for _, g := range p.grips(4, true) {
			up := p.jointAbove(g.node)
			p.skin = g.surface
			held := slices.ContainsFunc(append(p.grips(4, true), p.grips(4, false)...), func(o grip) bool { return o.node == up })
			if up < 0 || !held || p.jointAbove(up) < 0 {
				continue
			}
			for i := range p.r.Clips {
				p.r.Clips[i].Channels = slices.DeleteFunc(p.r.Clips[i].Channels, func(c rig.Channel) bool { return p.below(c.Node, up) })
			}
			told := flawAt
			if len(p.r.Clips) == 1 && p.e.Roles().Of[g.node].Role != "" {
				told = noteAt // a limb that one clip leaves alone
			}
			return one(told("motion/still-chain", anything, 0, "motion/foot-skate", "motion/under-ground").at(nil, g.node, up))
		}
		return nil
	}},
	{"one rotation key half a per cent long", func(p *patient) []*wound {
		if p.has("motion/off-unit") {
			return nil
		}
		c, ch := p.keyed(resting, []string{"head", "Hand", ""}, 4)
		if ch == nil {
			return nil
		}
		k := len(ch.Times) - 2
		for i := range 4 {
			ch.Values[4*k+i] *= 1.005
		}
		return one(flawAt("motion/off-unit", .005, .05).in(c).at(nil, ch.Node))
	}},
	{"the whole figure turned about between two frames", func(p *patient) []*wound {
		if p.has("motion/jump") {
			return nil
		}
		c, ch := p.keyed(resting, []string{"hips", "spine"}, 12)
		if ch == nil {
			return nil
		}
		for k := len(ch.Times) / 2; k < len(ch.Times); k++ {
			turnBy(ch, k, space.Vec{0, 1, 0}, 150)
		}
		return one(noteAt("motion/jump", anything, 0, "motion/loop-jump", "motion/foot-skate", "motion/under-ground", "motion/worst-frame").in(c).at(nil, ch.Node))
	}},
	{"two clips of one name", func(p *patient) []*wound {
		if len(p.r.Clips) < 2 || p.has("motion/split-clip") {
			return nil
		}
		p.r.Clips[0].Name = p.r.Clips[1].Name
		return one(noteAt("motion/split-clip", 2, 0))
	}},
	{"a limb's last fifth without keys", func(p *patient) []*wound {
		if p.has("motion/late-start") {
			return nil
		}
		c, ch := p.mover(16, .1, .75)
		if ch == nil {
			return nil
		}
		n := len(ch.Times) * 4 / 5
		if float64(ch.Times[len(ch.Times)-1]) < p.r.Clips[c].Seconds-1e-4 || ch.Times[len(ch.Times)-1]-ch.Times[n-1] < .13*(ch.Times[len(ch.Times)-1]-ch.Times[0]) {
			return nil
		}
		ch.Times, ch.Values = slices.Clone(ch.Times[:n]), slices.Clone(ch.Values[:4*n])
		return one(noteAt("motion/late-start", anything, 0, "motion/loop-jump", "motion/foot-skate").in(c).at(nil, ch.Node))
	}},
}

// besideWay is how far a rotation channel goes beside the straight way from one key to another,
// degrees.
func besideWay(ch *rig.Channel, from, to int) (far float64) {
	at := func(k int) space.Quat {
		v := ch.Values[4*k : 4*k+4]
		q, _ := space.UnitQuat(space.FromXYZW([4]float64{float64(v[0]), float64(v[1]), float64(v[2]), float64(v[3])}))
		return q
	}
	for k := from; k <= to; k++ {
		share := float64(ch.Times[k]-ch.Times[from]) / float64(ch.Times[to]-ch.Times[from])
		far = max(far, space.Apart(at(k), space.Slerp(at(from), at(to), share))*180/math.Pi)
	}
	return far
}

// drift carries the whole figure sideways over a clip.
func (p *patient) drift(c rig.Clip, far float64) bool {
	hips := p.e.Roles().Node("hips")
	if hips < 0 {
		return false
	}
	top, clip := hips, &p.r.Clips[c]
	for p.r.Nodes[top].Parent >= 0 && slices.Contains(p.bones().Joints, p.r.Nodes[top].Parent) {
		top = p.r.Nodes[top].Parent
	}
	off := space.Vec{far, 0, 0}
	if up := p.r.Nodes[top].Parent; up >= 0 {
		inv, _ := p.e.RestWorld()[up].Inverse()
		off = inv.Direction(off)
	}
	for k := range clip.Channels {
		ch := &clip.Channels[k]
		if ch.Node != top || ch.Path != rig.Translation || ch.Interpolation != rig.Linear {
			continue
		}
		if len(ch.Times) < 2 {
			return false
		}
		ch.Values = slices.Clone(ch.Values)
		for v := range ch.Times {
			t := (float64(ch.Times[v]) - clip.Start) / (clip.Seconds - clip.Start)
			setPoint(ch.Values, v, space.At(ch.Values, v).Add(off.Mul(t)))
		}
		return true
	}
	t := space.Vec(p.r.Nodes[top].T)
	ch := rig.Channel{Node: top, Path: rig.Translation, Width: 3, Times: []float32{float32(clip.Start), float32(clip.Seconds)}, Values: make([]float32, 6)}
	setPoint(ch.Values, 0, t)
	setPoint(ch.Values, 1, t.Add(off))
	clip.Channels = append(clip.Channels, ch)
	return true
}

// loopOpen tells that the clip is told open as it is.
func (p *patient) loopOpen(c rig.Clip) bool {
	for _, f := range p.clean.Findings() {
		if f.ID == "motion/loop-jump" && (f.Where.Clip == c || slices.Contains(f.Where.Clips, c)) {
			return true
		}
	}
	return false
}

// openEnd turns the end of a walk away, little by little over its last half.
func (p *patient) openEnd(degrees float64, parts ...string) []*wound {
	c, ch := p.keyed([]string{"walk", "run"}, parts, 8)
	if ch == nil || p.loopOpen(c) {
		return nil
	}
	first := len(ch.Times) / 2
	for k := first; k < len(ch.Times); k++ {
		turnBy(ch, k, space.Vec{1, 0, 0}, degrees*float64(k-first+1)/float64(len(ch.Times)-first))
	}
	return one(noteAt("motion/loop-jump", degrees, .2, "motion/foot-skate").in(c).at(nil, ch.Node))
}

// fault is the function of a row by its name.
func fault(list []hidden, kind string) func(p *patient) []*wound {
	for _, h := range list {
		if h.kind == kind {
			return h.on
		}
	}
	panic("no fault " + kind)
}

var fifthTogether = []hidden{
	{"both: sums short, a running arm's spike", both(fault(fifthInWeights, "sums 1.5 % short at the end of a body"), fault(fifthInClips, "a spike of 30° in a running arm"))},
	{"both: an end bound to nothing, two binds exchanged", both(fault(fifthInBones, "binds of two neighbouring ends exchanged"), fault(fifthInWeights, "one place of an end bound to nothing"))},
	{"both: a patch astray, a triangle gone", both(fault(fifthInWeights, "a patch of one end of the body on another"), fault(fifthInShape, "one triangle gone at an end"))},
	{"both: an end bound 3° off, a loop open", both(bindOff(0, true, 3, 0, 1, space.Vec{0, 1, 0}, 3, .05), fault(fifthInClips, "a wrist, knee or tail of a walk open by 8°"))},
	{"both: a joint scaled, a sign turned over", both(fault(fifthInBones, "a joint scaled along one axis"), fault(fifthInClips, "one sign turned over at an end"))},
	{"both: an inner back, normals turned in", both(fault(fifthInShape, "a back to a triangle at an end"), fault(fifthInShape, "normals of an end turned in"))},
	{"both: an index beyond, a seam unlike", both(fault(fifthInWeights, "one copy of a seam at an end bound 5 % unlike"), fault(fifthInWeights, "an index far beyond the skin with a tenth of a weight"))},
	{"both: a knuckle out of place, 0.3 s without keys", both(fault(fifthInBones, "an ankle, wrist or knuckle 4 % of the figure out of place"), fault(fifthInClips, "0.3 s of a limb without keys"))},
	{"both: a clip late, names alike", both(fault(fifthInClips, "one clip 0.2 s late"), fault(fifthInBones, "two ends named alike but for capitals"))},
	{"both: a chain still, an end swells", both(fault(fifthInClips, "a chain that no clip moves"), fault(fifthInClips, "an end that swells by 5 %"))},
	{"both: a whole end bound to nothing, feet that sink", both(fault(fifthInWeights, "a whole end bound to nothing"), fault(fifthInClips, "3 % of the height under the floor in one clip"))},
	{"both: an end listed twice, a back to a triangle", both(fault(fifthInBones, "an end that the skin lists twice"), fault(fifthInShape, "a back to a triangle at an end"))},
	{"both: an edge drawn together, one key long", both(fault(fifthInShape, "a triangle's edge drawn together at an end"), fault(fifthInClips, "one rotation key half a per cent long"))},
	{"both: a place bound to the hips, an end 6 % large", both(fault(fifthInWeights, "one place of an end half on the hips"), bindOff(3, true, 0, 0, 1.06, space.Vec{1, 0, 0}, anything, 0))},
}
