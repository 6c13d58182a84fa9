package original

import (
	"encoding/binary"
	"fmt"
	"math"

	"rigloupe/inspect/rig"
)

var keyTypes = map[int]string{1: "SCALAR", 3: "VEC3", 4: "VEC4"}

// AddClip writes an animation behind the others and answers its index. A node that it
// moves and that has a matrix gets the translation, rotation and scale of it. The
// document is as it was when the answer is an error.
func (d *Document) AddClip(c *rig.ClipData) (int, error) {
	if err := checkClip(c, d.Count(Nodes)); err != nil {
		return 0, err
	}
	lines := map[*float32]bool{}
	for i := range c.Channels {
		lines[&c.Channels[i].Times[0]] = true
	}
	if err := d.viewRoom(1, len(lines)+len(c.Channels)); err != nil {
		return 0, err
	}
	for _, write := range []bool{false, true} {
		for i := range c.Channels {
			if c.Channels[i].Path != rig.Weights {
				if err := d.movable(int(c.Channels[i].Node), write); err != nil {
					return 0, err
				}
			}
		}
	}
	var data []byte
	view := d.Count(Views)
	put := func(v []float32, width int, bounds bool) int {
		a := Object("bufferView", Whole(view), "byteOffset", Whole(len(data)), "componentType", Whole(Float), "count", Whole(len(v)/width), "type", Text(keyTypes[width]))
		if bounds { // exact: a checker compares them with the numbers
			a.Set("min", Numbers(float64(v[0])))
			a.Set("max", Numbers(float64(v[len(v)-1])))
		}
		for _, x := range v {
			data = binary.LittleEndian.AppendUint32(data, math.Float32bits(x))
		}
		return d.Add(Accessors, a)
	}
	type key struct {
		first *float32
		n     int
	}
	inputs := map[key]int{}
	samplers, channels := List(), List()
	for i := range c.Channels {
		ch := &c.Channels[i]
		width := ch.Width
		if ch.Path == rig.Weights {
			width = 1
		}
		id := key{&ch.Times[0], len(ch.Times)}
		in, ok := inputs[id]
		if !ok {
			in = put(ch.Times, 1, true)
			inputs[id] = in
		}
		out := put(ch.Values, width, false)
		samplers.Append(Object("input", Whole(in), "output", Whole(out), "interpolation", Text([...]string{"LINEAR", "STEP", "CUBICSPLINE"}[ch.Interpolation])))
		channels.Append(Object("sampler", Whole(i), "target", Object("node", Whole(int(ch.Node)), "path", Text(ch.Path.String()))))
	}
	d.addView(data, 0, nil)
	a := Object()
	if c.Name != "" {
		a.Set("name", Text(c.Name))
	}
	a.Set("channels", channels)
	a.Set("samplers", samplers)
	return d.Add(Clips, a), nil
}

// checkClip tells why a clip cannot be written.
func checkClip(c *rig.ClipData, nodes int) error {
	if len(c.Channels) == 0 {
		return fmt.Errorf("it has no channel")
	}
	seen := map[[2]int]bool{}
	for i := range c.Channels {
		ch := &c.Channels[i]
		n, per, width := len(ch.Times), ch.Width, ch.Width
		if ch.Interpolation == rig.Cubic {
			per *= 3
		}
		if ch.Path == rig.Weights {
			width = 1
		}
		switch {
		case ch.Node < 0 || int(ch.Node) >= nodes:
			return fmt.Errorf("channel %d moves node %d; the model has %d nodes", i, ch.Node, nodes)
		case n == 0 || len(ch.Values) != n*per || keyTypes[width] == "" || ch.Width == 0:
			return fmt.Errorf("channel %d: %d numbers for %d keys of %d", i, len(ch.Values), n, ch.Width)
		case seen[[2]int{int(ch.Node), int(ch.Path)}]:
			return fmt.Errorf("channel %d moves the %v of node %d once more", i, ch.Path, ch.Node)
		}
		seen[[2]int{int(ch.Node), int(ch.Path)}] = true
		for k, t := range ch.Times {
			if !(t >= 0) || k > 0 && !(t > ch.Times[k-1]) {
				return fmt.Errorf("channel %d: key %d stands at %.6g s; times must rise from 0 on", i, k, t)
			}
		}
		for _, v := range ch.Values {
			if v-v != 0 {
				return fmt.Errorf("channel %d holds a number that is not finite", i)
			}
		}
	}
	return nil
}

// WithClips answers the document as a GLB with clips behind its own.
func (d *Document) WithClips(clips []rig.ClipData) ([]byte, error) {
	c := d.Clone()
	for i := range clips {
		if _, err := c.AddClip(&clips[i]); err != nil {
			return nil, fmt.Errorf("clip %d, %q: %w", i, clips[i].Name, err)
		}
	}
	return c.GLB()
}

// Sampler answers the sampler of a channel for this channel alone: its own copy where
// others use it too.
func (d *Document) Sampler(clip, channel int) int {
	a := d.Object(Clips, clip)
	channels, samplers := a.Get("channels"), a.Get("samplers")
	s := channels.At(channel).Get("sampler").Int()
	for i := range channels.Len() {
		if i != channel && channels.At(i).Get("sampler").Int() == s && samplers.At(s) != nil {
			n := samplers.Len()
			samplers.Append(samplers.At(s).Clone())
			channels.At(channel).Set("sampler", Whole(n))
			d.refresh(Clips, clip)
			return n
		}
	}
	return s
}
