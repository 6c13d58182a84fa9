package gltfio

import (
	"fmt"
	"slices"

	"github.com/qmuntal/gltf"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// block hands out pieces of long arrays: clips have thousands of short ones.
type block struct{ rest []float32 }

// take answers n zeros.
func (b *block) take(n int) []float32 {
	if n > len(b.rest) {
		b.rest = make([]float32, max(n, 1<<14))
	}
	v := b.rest[:n:n]
	b.rest = b.rest[n:]
	return v
}

// series is the numbers of one accessor as clips use them; channels share it.
type series struct {
	values []float32
	width  int
	fault  error
}

// timeline is the times of one input accessor, rising. When the file's did not,
// order tells which stored key stands where.
type timeline struct {
	times []float32
	order []int
	fault error
}

func (r *reader) clips() error {
	r.rig.Clips = make([]rig.ClipData, len(r.doc.Animations))
	pointers := 0
	seen := keyed{clip: make([]int32, 4*len(r.rig.Nodes)), channel: make([]int32, 4*len(r.rig.Nodes))}
	for i, src := range r.doc.Animations {
		c := &r.rig.Clips[i]
		c.Name = src.Name
		if len(src.Channels) == 0 {
			r.bad(onClip(i), place("animations", i, "channels"), "a clip without a channel")
			continue
		}
		c.Channels = make([]rig.Channel, 0, len(src.Channels))
		for k := range src.Channels {
			ch, skip, err := r.channel(i, k, &seen)
			if err != nil {
				return r.refuse(fmt.Sprintf("%s, channel %d", label("clip", i, src.Name), k), err)
			}
			if skip == pointer {
				pointers++
			}
			if skip == keep {
				c.Channels = append(c.Channels, ch)
			}
		}
		for k := range c.Channels {
			t := c.Channels[k].Times
			first, last := float64(t[0]), float64(t[len(t)-1])
			if k == 0 {
				c.Start, c.Seconds = first, last
			}
			c.Start, c.Seconds = min(c.Start, first), max(c.Seconds, last)
		}
	}
	if pointers > 0 {
		r.remark("%s %s by a JSON pointer (KHR_animation_pointer); ignored", say.Whole(pointers), say.Word(pointers, "channel moves something", "channels move something"))
	}
	return nil
}

// keyed remembers by node and path which channel of which clip (counted from 1)
// moves it; one table serves all clips.
type keyed struct{ clip, channel []int32 }

// verdict on a channel.
type verdict uint8

const (
	keep verdict = iota
	leave
	pointer // leave it: it moves no node
)

// channel reads one channel. A channel that points nowhere is left out; bytes that
// a channel needs and that are not there refuse the file.
func (r *reader) channel(clip, i int, seen *keyed) (out rig.Channel, v verdict, err error) {
	src := r.doc.Animations[clip].Channels[i]
	samplers := r.doc.Animations[clip].Samplers
	at := func(member string) spot { return spot{clip, "channels", i, member} }
	drop := func(where spot, format string, args ...any) (rig.Channel, verdict, error) {
		m := onClip(clip)
		if n := src.Target.Node; n != nil && *n >= 0 && *n < len(r.rig.Nodes) {
			m.Node = rig.Node(*n)
		}
		r.bad(m, where.String(), "%s; the channel is left out", fmt.Sprintf(format, args...))
		return out, leave, nil
	}
	if name, odd := r.doc.oddPath[[2]int{clip, i}]; odd {
		if name == "pointer" {
			return out, pointer, nil
		}
		return drop(at("target/path"), "%s is none of translation, rotation, scale, weights", quote(name))
	}
	if src.Target.Node == nil {
		return out, leave, nil // glTF 2.0, Animations: such a channel should be ignored
	}
	node := *src.Target.Node
	if node < 0 || node >= len(r.rig.Nodes) {
		return drop(at("target/node"), "node %d does not exist, there are %d", node, len(r.rig.Nodes))
	}
	slot := 4*node + int(src.Target.Path)
	if seen.clip[slot] == int32(clip+1) {
		return drop(at("target"), "channel %d moves the same property of node %d", seen.channel[slot], node)
	}
	seen.clip[slot], seen.channel[slot] = int32(clip+1), int32(i)
	if src.Sampler < 0 || src.Sampler >= len(samplers) {
		return drop(at("sampler"), "sampler %d does not exist, there are %d", src.Sampler, len(samplers))
	}
	s := samplers[src.Sampler]
	sampler := func(member string) spot { return spot{clip, "samplers", src.Sampler, member} }
	if name, odd := r.doc.oddBlend[[2]int{clip, src.Sampler}]; odd {
		r.bad(onClip(clip), sampler("interpolation").String(), "%s is none of LINEAR, STEP, CUBICSPLINE; read as LINEAR", quote(name))
		delete(r.doc.oddBlend, [2]int{clip, src.Sampler})
	}
	for _, a := range []struct {
		name string
		at   int
	}{{"input", s.Input}, {"output", s.Output}} {
		if a.at < 0 || a.at >= len(r.doc.Accessors) {
			return drop(sampler(a.name), "accessor %d does not exist, there are %d", a.at, len(r.doc.Accessors))
		}
	}
	out = rig.Channel{Node: rig.Node(node), Interpolation: rig.Interpolation(s.Interpolation)}
	want := gltf.AccessorVec3
	switch src.Target.Path {
	case gltf.TRSTranslation:
		out.Path, out.Width = rig.Translation, 3
	case gltf.TRSRotation:
		out.Path, out.Width, want = rig.Rotation, 4, gltf.AccessorVec4
	case gltf.TRSScale:
		out.Path, out.Width = rig.Scale, 3
	case gltf.TRSWeights:
		out.Path, want = rig.Weights, gltf.AccessorScalar
		if m := r.rig.Nodes[node].Mesh; m != rig.None {
			out.Width = len(r.rig.Meshes[m].Targets)
		}
		if out.Width == 0 {
			return drop(at("target/path"), "weights of node %d, which has no morph target", node)
		}
	}
	if r.rig.Nodes[node].HasMatrix {
		m := onClip(clip)
		m.Node = rig.Node(node)
		r.bad(m, at("target/node").String(), "node %d has a matrix, a moved node must not; its translation, rotation and scale are taken out of it", node)
	}
	if t := r.doc.Accessors[s.Output].Type; t != want {
		return drop(sampler("output"), "accessor %d is %s, %s is wanted for %s", s.Output, elementName[t], elementName[want], out.Path)
	}
	line := r.timeline(clip, s.Input, sampler("input"))
	values := r.numbers(clip, s.Output, sampler("output"), out.Path == rig.Rotation)
	for _, e := range []error{line.fault, values.fault} {
		if e != nil {
			return out, leave, e
		}
	}
	out.Times, out.Values = line.times, values.values
	if !r.fit(clip, &out, line, sampler("output")) {
		return out, leave, nil
	}
	return out, keep, nil
}

// fit brings times and values of a channel to the same number of keys.
func (r *reader) fit(clip int, c *rig.Channel, line *timeline, where spot) bool {
	row := c.Width
	if c.Interpolation == rig.Cubic {
		row *= 3
	}
	stored := len(line.times)
	if line.order != nil {
		stored = slices.Max(line.order) + 1
	}
	have := len(c.Values) / row
	if len(c.Values) != stored*row && !(line.order != nil && have >= stored) {
		r.bad(onClip(clip), where.String(), "%d numbers for %d keys of %d; %s", len(c.Values), stored, row,
			map[bool]string{true: "the rest is ignored", false: "the keys without a value are left out"}[have >= stored])
	}
	if line.order != nil {
		var times, values []float32
		for k, from := range line.order {
			if from < have {
				times = append(times, line.times[k])
				values = append(values, c.Values[from*row:from*row+row]...)
			}
		}
		c.Times, c.Values = times, values
	} else {
		n := min(have, stored)
		c.Times, c.Values = c.Times[:n:n], c.Values[:n*row:n*row]
	}
	if c.Interpolation == rig.Cubic && len(c.Times) == 1 {
		r.bad(onClip(clip), where.String(), "CUBICSPLINE with one key, two are wanted; it stays at its value")
	}
	return len(c.Times) > 0
}

// timeline reads the times of an input accessor once.
func (r *reader) timeline(clip, i int, where spot) *timeline {
	if r.lines[i] == nil {
		t := r.readTimeline(clip, i, where)
		r.lines[i] = &t
	}
	return r.lines[i]
}

func (r *reader) readTimeline(clip, i int, where spot) (t timeline) {
	a := r.doc.Accessors[i]
	if _, odd := r.doc.oddComponent[i]; !odd && a.ComponentType != gltf.ComponentFloat {
		t.fault = faultf("accessor %d holds times as %s, FLOAT is wanted", i, componentName[a.ComponentType])
		return t
	}
	c, err := r.column(i, plainData, gltf.AccessorScalar)
	if err == nil {
		err = r.spend(c.count, 4)
	}
	if err != nil {
		t.fault = err
		return t
	}
	t.times = r.block.take(c.count)
	// Times that are no number would sort anywhere, so their keys go; as zeros they
	// would move the clip's start.
	lost := map[int]bool{}
	if c.floats(t.times, 1) > 0 {
		one := make([]float32, 1)
		for k := range t.times {
			if c.data != nil && convert(c.component, c.data[k*c.stride:], c.stride, 1, 1, one, 1) > 0 {
				lost[k] = true
			}
		}
		r.bad(onClip(clip), where.String(), "%d of %d times %s left out", len(lost), c.count, say.Word(len(lost), "is not finite; its key is", "are not finite; their keys are"))
		if len(lost) == c.count {
			t.fault = faultf("accessor %d holds no finite time", i)
			return t
		}
	}
	if low := slices.Min(t.times); low < 0 {
		r.bad(onClip(clip), where.String(), "times from %.6g s on, 0 or later is wanted; kept", low)
	}
	t.rise(lost)
	if t.order != nil && len(lost) == 0 {
		r.bad(onClip(clip), where.String(), "its %d times do not strictly rise; sorted, of equal times the last is kept: %d %s", c.count, len(t.times), say.Word(len(t.times), "key", "keys"))
	}
	r.span(clip, a, where, t.times)
	return t
}

// rise makes times strictly rising and remembers where each key came from.
func (t *timeline) rise(lost map[int]bool) {
	falls := len(lost) > 0
	for k := 1; k < len(t.times) && !falls; k++ {
		falls = !(t.times[k] > t.times[k-1])
	}
	if !falls {
		return
	}
	all := make([]int, 0, len(t.times))
	for k := range t.times {
		if !lost[k] {
			all = append(all, k)
		}
	}
	slices.SortStableFunc(all, func(a, b int) int {
		switch {
		case t.times[a] < t.times[b]:
			return -1
		case t.times[a] > t.times[b]:
			return 1
		}
		return 0
	})
	t.order = make([]int, 0, len(all))
	times := make([]float32, 0, len(all))
	for k, from := range all {
		if k+1 < len(all) && t.times[all[k+1]] == t.times[from] {
			continue
		}
		t.order = append(t.order, from)
		times = append(times, t.times[from])
	}
	t.times = times
}

// span compares the stated first and last time with the true ones.
func (r *reader) span(clip int, a *gltf.Accessor, where spot, times []float32) {
	if len(a.Min) != 1 || len(a.Max) != 1 {
		r.bad(onClip(clip), where.String(), "min and max of the times are not stated")
		return
	}
	if first, last := times[0], times[len(times)-1]; float32(a.Min[0]) != first || float32(a.Max[0]) != last {
		r.bad(onClip(clip), where.String(), "min and max state %.6g to %.6g s, the times reach from %.6g to %.6g", a.Min[0], a.Max[0], first, last)
	}
}

// numbers reads an output accessor once, normalised where it says so; rotations in
// whole numbers always are.
func (r *reader) numbers(clip, i int, where spot, rotation bool) *series {
	if r.series[i] != nil {
		return r.series[i]
	}
	s := &series{}
	r.series[i] = s
	c, err := r.column(i, plainData)
	if err == nil && c.component == gltf.ComponentUint {
		err = faultf("accessor %d is UNSIGNED_INT, which no clip may use", i)
	}
	if err == nil {
		err = r.spend(c.count, 4*c.width)
	}
	if err != nil {
		s.fault = err
		return s
	}
	s.values, s.width = r.block.take(c.count*c.width), c.width
	if odd := c.floats(s.values, c.width); odd > 0 {
		r.bad(onClip(clip), where.String(), "%s %s not finite; read as 0", say.Whole(odd), say.Word(odd, "number is", "numbers are"))
	}
	if c.component != gltf.ComponentFloat {
		if rotation && !c.normalized {
			r.bad(onClip(clip), where.String(), "accessor %d: whole-number rotations must be normalised; read as normalised", i)
		}
		if rotation || c.normalized {
			normalise(c.component, s.values, c.width, c.width)
		}
	}
	if rotation {
		zero := 0
		for k := 0; k+3 < len(s.values); k += 4 {
			v := s.values[k : k+4 : k+4]
			if v[0] == 0 && v[1] == 0 && v[2] == 0 && v[3] == 0 {
				zero++
			}
		}
		if zero > 0 && !r.cubic(clip, i) {
			r.bad(onClip(clip), where.String(), "%d rotation %s all zero", zero, say.Word(zero, "key is", "keys are"))
		}
	}
	return s
}

// cubic tells whether a clip uses an accessor for spline keys, whose tangents may
// well be zero.
func (r *reader) cubic(clip, accessor int) bool {
	for _, s := range r.doc.Animations[clip].Samplers {
		if s.Output == accessor && s.Interpolation == gltf.InterpolationCubicSpline {
			return true
		}
	}
	return false
}
