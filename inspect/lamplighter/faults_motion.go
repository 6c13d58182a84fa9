package lamplighter

import (
	"math"
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func motionFaults() []Fault {
	return []Fault{
		{ID: "motion/still-chain", Name: "chains without a channel", Grade: "flaw", Plant: Still},
		{ID: "motion/still-chain", Name: "chains keyed at rest", Grade: "flaw", Plant: StillKeys},
		{ID: "motion/still-chain", Name: "chains keyed on controls outside the skin", Grade: "flaw", Plant: StillOutside},
		{ID: "motion/still-chain", Name: "chains keyed on nodes of the same names", Grade: "flaw", Plant: StillTwin},
		{ID: "motion/foot-skate", Name: "wave glides over the floor", Grade: "note", Plant: Glide(0.25)},
		{ID: "motion/under-ground", Name: "wave ankle-deep in the floor", Grade: "note", Plant: Sink(0.1)},
		{ID: "motion/under-ground", Name: "wave a hand over the floor", Grade: "note", Plant: Sink(-0.1)},
		{ID: "motion/travel", Name: "wave walks off", Grade: "note", Also: []string{"motion/foot-skate"}, Plant: WalkOff(1)},
		{ID: "motion/travel", Name: "wave walks off, its root stays", Grade: "note", Also: []string{"motion/foot-skate"}, Plant: WalkOffRoot(1)},
		{ID: "motion/loop-jump", Name: "head 3° off at the end of the stroll", Grade: "note", Plant: OpenLoop(3)},
		{ID: "motion/late-start", Name: "wave a key late", Grade: "note", Plant: Late(1.0 / rate)},
		{ID: "motion/late-start", Name: "wave half a second late", Grade: "flaw", Plant: Late(0.5)},
		{ID: "motion/late-start", Name: "head stops halfway", Grade: "note", Also: []string{"motion/loop-jump"}, Plant: StopEarly(0.5)},
		{ID: "motion/long-way", Name: "signs of the left forearm change", Grade: "note", Plant: ChangeSigns},
		{ID: "motion/long-way", Name: "sign changes over a turn of 100°", Grade: "flaw", Also: []string{"motion/jump", "motion/stray-key"}, Plant: LongWay(100)},
		{ID: "motion/long-way", Name: "two keys of the head 175° apart", Grade: "note", Also: []string{"motion/jump", "motion/stray-key"}, Plant: HalfTurn(175)},
		{ID: "motion/stretched-bone", Name: "left forearm a tenth longer", Grade: "note", Plant: Lengthen(0.1)},
		{ID: "motion/stretched-bone", Name: "left forearm half as long again", Grade: "note", Plant: Lengthen(0.5)},
		{ID: "motion/dead-weight", Name: "every joint keyed at rest as well", Grade: "note", Plant: Deaden},
		{ID: "motion/split-clip", Name: "wave cut into a clip a joint", Grade: "flaw", Plant: SplitWave},
		{ID: "motion/split-clip", Name: "both clips of one name", Grade: "note", Plant: SameNames},
		{ID: "motion/off-unit", Name: "a key of the head 2 % too long", Grade: "flaw", Plant: OffUnit(0.02)},
		{ID: "motion/scale-keys", Name: "head swells by a fifth", Grade: "note", Plant: Swell(0.2)},
		{ID: "motion/jump", Name: "head jumps by 100°", Grade: "note", Also: []string{"motion/stray-key"}, Plant: Jump(100)},
		{ID: "motion/stray-key", Name: "a key of the head 40° off", Grade: "flaw", Plant: StrayKey(40)},
		{ID: "motion/missing-keys", Name: "wave without keys for 0.3 s", Grade: "note", Plant: CutKeys(0.3)},
		{ID: "motion/worst-frame", Name: "chest lifted off the waist", Grade: "flaw", Also: []string{"motion/stretched-bone"}, Plant: Lift(0.9)},
		{ID: "motion/no-clip", Name: "no clip", Grade: "note", Plant: Freeze},
	}
}

const strollClip, waveClip = 0, 1

// chainJoints are the joints of both chains.
func chainJoints() (out []rig.Node) {
	for j := chainL; j < joints; j++ {
		out = append(out, rig.Node(j))
	}
	return out
}

// unkey takes the channels of some nodes out of all clips.
func unkey(r *rig.Rig, nodes []rig.Node) {
	for i := range r.Clips {
		c := &r.Clips[i]
		c.Channels = slices.DeleteFunc(c.Channels, func(ch rig.Channel) bool { return slices.Contains(nodes, ch.Node) })
	}
}

func still() Planted {
	p := aboutNodes(chainJoints()...)
	p.Measure, p.Size = "joints", float64(len(p.Nodes))
	return p
}

// Still takes the channels of the chains away. Size: joints.
func Still(r *rig.Rig) Planted {
	unkey(r, chainJoints())
	return still()
}

// chainKeys are channels for the chains of one clip, on other nodes: of node i of the
// list for chain joint i. degrees 0 keys the rest pose.
func chainKeys(r *rig.Rig, c *rig.ClipData, on []rig.Node, degrees float64) {
	for i, n := range chainJoints() {
		rest := r.Nodes[n].R
		q := space.FromXYZW(rest)
		ch := rig.Channel{Node: on[i], Path: rig.Rotation, Width: 4, Times: []float32{0, float32(c.Seconds / 2), float32(c.Seconds)}}
		for k := range 3 {
			a := q.Mul(about(axisX, degrees*float64(k%2)))
			ch.Values = append(ch.Values, float32(a.V[0]), float32(a.V[1]), float32(a.V[2]), float32(a.W))
		}
		c.Channels = append(c.Channels, ch)
	}
}

// StillKeys keys the chains at rest. Size: joints.
func StillKeys(r *rig.Rig) Planted {
	unkey(r, chainJoints())
	for i := range r.Clips {
		chainKeys(r, &r.Clips[i], chainJoints(), 0)
	}
	return still()
}

// StillOutside keys controls that stand where the chains' joints stand and are in no
// skin. Size: joints.
func StillOutside(r *rig.Rig) Planted {
	return beside(r, func(name string) string { return "control of " + name })
}

// StillTwin keys nodes of the same names instead of the joints. Size: joints.
func StillTwin(r *rig.Rig) Planted {
	return beside(r, func(name string) string { return name })
}

func beside(r *rig.Rig, name func(string) string) Planted {
	unkey(r, chainJoints())
	var on []rig.Node
	parent := rig.Node(rig.None)
	for i, n := range chainJoints() {
		if i%links == 0 {
			parent = r.Nodes[n].Parent
		}
		parent = addNode(r, name(r.Nodes[n].Name), parent, r.Nodes[n].TRS)
		on = append(on, parent)
	}
	for i := range r.Clips {
		chainKeys(r, &r.Clips[i], on, 5)
	}
	return still()
}

// channel answers the rotation channel of a joint in a clip.
func channel(r *rig.Rig, clip int, n rig.Node) *rig.Channel {
	c := &r.Clips[clip]
	for i := range c.Channels {
		if ch := &c.Channels[i]; ch.Node == n && ch.Path == rig.Rotation {
			return ch
		}
	}
	panic("the clip does not turn that joint")
}

// shiftHips keys the way of the hips in the wave: offsets from rest, evenly spaced.
func shiftHips(r *rig.Rig, offsets ...space.Vec) {
	c, at := &r.Clips[waveClip], r.Nodes[hips].T
	ch := rig.Channel{Node: hips, Path: rig.Translation, Width: 3}
	for i, o := range offsets {
		ch.Times = append(ch.Times, float32(c.Seconds*float64(i)/float64(len(offsets)-1)))
		ch.Values = append(ch.Values, float32(at[0]+o[0]), float32(at[1]+o[1]), float32(at[2]+o[2]))
	}
	c.Channels = append(c.Channels, ch)
}

// height of the figure at rest, metres, and its lowest point.
func height(r *rig.Rig) (h, lowest float64) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for v := 1; v < len(r.Meshes[0].Positions); v += 3 {
		y := float64(r.Meshes[0].Positions[v])
		lo, hi = min(lo, y), max(hi, y)
	}
	return hi - lo, lo
}

// Glide carries the whole figure sideways by some metres and back while it waves.
// Size: mean speed of its feet, heights a second.
func Glide(metres float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		shiftHips(r, space.Vec{}, space.Vec{metres, 0, 0}, space.Vec{})
		h, _ := height(r)
		return Planted{Surface: rig.None, Measure: "heights a second", Size: 2 * metres / r.Clips[waveClip].Seconds / h}
	}
}

// Sink lets the figure wave some metres deeper than it stands; negative: higher.
// Size: how far its lowest point is from the floor, heights.
func Sink(metres float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		shiftHips(r, space.Vec{0, -metres, 0}, space.Vec{0, -metres, 0})
		h, low := height(r)
		return Planted{Surface: rig.None, Measure: "heights", Size: math.Abs(low-metres) / h}
	}
}

// WalkOff carries the figure forward while it waves. Size: heights.
func WalkOff(metres float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		shiftHips(r, space.Vec{}, space.Vec{0, 0, metres})
		h, _ := height(r)
		p := aboutNodes(hips)
		p.Measure, p.Size = "heights", metres/h
		return p
	}
}

// WalkOffRoot does so below a root that stays. Size: heights.
func WalkOffRoot(metres float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		p := WalkOff(metres)(r)
		p.Nodes = append(p.Nodes, addNode(r, "root", rig.None, rig.TRS{}, hips))
		return p
	}
}

// turnKey turns one rotation key about the joint's own x axis.
func turnKey(ch *rig.Channel, key int, degrees float64) {
	v := ch.Values[4*key : 4*key+4]
	q := space.Quat{W: float64(v[3]), V: space.Vec{float64(v[0]), float64(v[1]), float64(v[2])}}.Mul(about(axisX, degrees))
	v[0], v[1], v[2], v[3] = float32(q.V[0]), float32(q.V[1]), float32(q.V[2]), float32(q.W)
}

func aboutHead(measure string, size float64) Planted {
	p := aboutNodes(head)
	p.Measure, p.Size = measure, size
	return p
}

// OpenLoop turns the last key of the head in the stroll. Size: degrees.
func OpenLoop(degrees float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		ch := channel(r, strollClip, head)
		turnKey(ch, len(ch.Times)-1, degrees)
		return aboutHead("degrees", degrees)
	}
}

// Late shifts the wave by some seconds. Size: seconds; key steps up to a tenth.
func Late(seconds float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		c := &r.Clips[waveClip]
		for i := range c.Channels {
			ch := &c.Channels[i]
			ch.Times = slices.Clone(ch.Times)
			for k := range ch.Times {
				ch.Times[k] += float32(seconds)
			}
		}
		c.Start, c.Seconds = c.Start+seconds, float64(c.Channels[0].Times[len(c.Channels[0].Times)-1])
		size := seconds
		if seconds < 0.1 {
			size = seconds * rate
		}
		return Planted{Surface: rig.None, Measure: "seconds", Size: size}
	}
}

// StopEarly cuts the head's channel in the wave off at a share of the clip. Size: 1
// joint.
func StopEarly(share float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		ch := channel(r, waveClip, head)
		n := int(share * float64(len(ch.Times)))
		ch.Times, ch.Values = ch.Times[:n], ch.Values[:4*n]
		return aboutHead("joints", 1)
	}
}

// ChangeSigns writes every second key of the left forearm in the wave with the other
// sign. Size: neighbouring keys of unlike sign.
func ChangeSigns(r *rig.Rig) Planted {
	ch := channel(r, waveClip, lowerArmL)
	for k := 1; k < len(ch.Times); k += 2 {
		for x := range 4 {
			ch.Values[4*k+x] = -ch.Values[4*k+x]
		}
	}
	p := aboutNodes(lowerArmL)
	p.Measure, p.Size = "keys", float64(len(ch.Times)-1)
	return p
}

// twist makes the head of the stroll stand still but for one key, turned away.
func twist(r *rig.Rig, degrees float64) *rig.Channel {
	ch := channel(r, strollClip, head)
	for k := range ch.Times {
		copy(ch.Values[4*k:4*k+4], ch.Values[:4])
	}
	turnKey(ch, len(ch.Times)/2, degrees)
	return ch
}

// LongWay turns one key of the head away and writes it with the other sign. Size:
// degrees.
func LongWay(degrees float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		ch := twist(r, degrees)
		k := len(ch.Times) / 2
		for x := range 4 {
			ch.Values[4*k+x] = -ch.Values[4*k+x]
		}
		return aboutHead("degrees", degrees)
	}
}

// HalfTurn turns one key of the head away. Size: 2 pairs of keys.
func HalfTurn(degrees float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		twist(r, degrees)
		return aboutHead("pairs of keys", 2)
	}
}

// Jump turns one key of the head away. Size: degrees a second.
func Jump(degrees float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		ch := twist(r, degrees)
		k := len(ch.Times) / 2
		return aboutHead("degrees a second", degrees/min(float64(ch.Times[k])-float64(ch.Times[k-1]), float64(ch.Times[k+1])-float64(ch.Times[k])))
	}
}

// StrayKey turns one key of the head away. Size: degrees.
func StrayKey(degrees float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		twist(r, degrees)
		return aboutHead("degrees", degrees)
	}
}

// CutKeys takes all keys in the middle of the wave away, for some seconds. Size: the
// seconds from key to key.
func CutKeys(seconds float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		c := &r.Clips[waveClip]
		from := int(math.Round(1.5 * rate))
		to := from + int(math.Round(seconds*rate))
		p := aboutNodes(lowerArmL)
		for i := range c.Channels {
			ch := &c.Channels[i]
			ch.Times = slices.Delete(slices.Clone(ch.Times), from+1, to)
			ch.Values = slices.Delete(slices.Clone(ch.Values), ch.Width*(from+1), ch.Width*to)
		}
		p.Measure, p.Size = "seconds", float64(to-from)/rate
		return p
	}
}

// Lengthen keys the left forearm farther from the upper arm in the middle of the
// wave. Size: share of the bone.
func Lengthen(share float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		pull(r, waveClip, lowerArmL, space.Vec(r.Nodes[lowerArmL].T).Mul(share))
		p := aboutNodes(lowerArmL)
		p.Measure, p.Size = "share of the bone", share
		return p
	}
}

// pull keys a joint away from its rest place and back.
func pull(r *rig.Rig, clip int, n rig.Node, by space.Vec) {
	c, at := &r.Clips[clip], r.Nodes[n].T
	ch := rig.Channel{Node: n, Path: rig.Translation, Width: 3, Times: []float32{0, float32(c.Seconds / 2), float32(c.Seconds)}}
	for _, k := range []float64{0, 1, 0} {
		ch.Values = append(ch.Values, float32(at[0]+k*by[0]), float32(at[1]+k*by[1]), float32(at[2]+k*by[2]))
	}
	c.Channels = append(c.Channels, ch)
}

// Lift pulls the chest off the waist in the middle of the wave. Size is not worked
// out: how far the surface stretches is what the check measures.
func Lift(metres float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		t := space.Vec(r.Nodes[chest].T)
		pull(r, waveClip, chest, t.Mul(metres/t.Len()))
		p := aboutNodes(chest)
		p.Measure = "not worked out"
		return p
	}
}

// Deaden keys every joint that a clip does not move with its rest place, and all
// with the scale 1. Size: share of the channels.
func Deaden(r *rig.Rig) Planted {
	dead, all := 0, 0
	for i := range r.Clips {
		c := &r.Clips[i]
		moved := map[rig.Node]bool{}
		for k := range c.Channels {
			if c.Channels[k].Path == rig.Translation {
				moved[c.Channels[k].Node] = true
			}
		}
		times := []float32{0, float32(c.Seconds)}
		for j := range joints {
			t := r.Nodes[j].T
			if !moved[rig.Node(j)] {
				c.Channels = append(c.Channels, rig.Channel{Node: rig.Node(j), Path: rig.Translation, Width: 3, Times: times,
					Values: []float32{float32(t[0]), float32(t[1]), float32(t[2]), float32(t[0]), float32(t[1]), float32(t[2])}})
				dead++
			}
			c.Channels = append(c.Channels, rig.Channel{Node: rig.Node(j), Path: rig.Scale, Width: 3, Times: times, Values: []float32{1, 1, 1, 1, 1, 1}})
			dead++
		}
		all += len(c.Channels)
	}
	return Planted{Surface: rig.None, Measure: "share of the channels", Size: float64(dead) / float64(all)}
}

// SplitWave cuts the wave into one clip a channel. Size: clips.
func SplitWave(r *rig.Rig) Planted {
	wave := r.Clips[waveClip]
	r.Clips = r.Clips[:waveClip]
	p := aboutNodes()
	for _, ch := range wave.Channels {
		r.Clips = append(r.Clips, rig.ClipData{Name: "wave " + r.Nodes[ch.Node].Name, Seconds: wave.Seconds, Start: wave.Start, Channels: []rig.Channel{ch}})
		p.Nodes = append(p.Nodes, ch.Node)
	}
	p.Measure, p.Size = "clips", float64(len(wave.Channels))
	return p
}

// SameNames gives both clips one name. Size: clips.
func SameNames(r *rig.Rig) Planted {
	r.Clips[waveClip].Name = r.Clips[strollClip].Name
	return Planted{Surface: rig.None, Measure: "clips", Size: 2}
}

// OffUnit makes one key of the head too long. Size: error of its length.
func OffUnit(share float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		ch := channel(r, strollClip, head)
		for x := range 4 {
			ch.Values[4*7+x] *= float32(1 + share)
		}
		return aboutHead("error of a length", share)
	}
}

// Swell keys the scale of the head. Size: 1 node.
func Swell(share float32) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		c := &r.Clips[waveClip]
		s := 1 + share
		c.Channels = append(c.Channels, rig.Channel{Node: head, Path: rig.Scale, Width: 3,
			Times: []float32{0, float32(c.Seconds / 2), float32(c.Seconds)}, Values: []float32{1, 1, 1, s, s, s, 1, 1, 1}})
		return aboutHead("nodes", 1)
	}
}

// Freeze takes all clips away. Size: 0 clips left.
func Freeze(r *rig.Rig) Planted {
	r.Clips = nil
	return Planted{Surface: rig.None, Measure: "clips", Size: 0}
}
