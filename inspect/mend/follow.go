package mend

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/follow"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// chainParameters name the chains and clips that a mend of chains is about.
var chainParameters = []Parameter{
	{Name: "chains", Title: "Chains", Kind: List, Says: "By the name of their first joint, #12 is node 12; all joints below go along. None: all that stay still and are no part of a body."},
	{Name: "clips", Title: "Clips", Kind: List, Says: "By name or number, from 0. None: those in which the chains stay still."},
}

var letFollow = Mend{
	ID:     "follow",
	Title:  "Let chains follow",
	Stage:  Motion,
	Beside: []string{"motion/still-chain"},
	Does: "Chains trail behind what they hang on: each clip is played through, they swing, sag and settle, keep out of the body, and what they do is written as keyframes. " +
		"Joints turn and nothing else changes; a clip that is a loop stays one.",
	Source: "a link as a physical pendulum with a damped spring in closed form, 240 steps a second (standard mechanics); capsules: Ericson 2005, 5.1.9; sag of a hanging chain: Bernoulli 1738",
	Parameters: append([]Parameter{
		{Name: "sag", Title: "Sag", Kind: Number, Unit: say.Degree, Least: 1, Most: follow.Free,
			Says: "How far each link would sink if it were held level; 90 hangs like a rope. By itself: 90 for what hangs down at rest, else 20."},
		{Name: "settle", Title: "Settles in", Kind: Number, Unit: say.Second, Default: 1.5, Least: .1, Most: 10, Says: "The time after which a swing is down to a twentieth."},
		{Name: "gravity", Title: "Gravity", Kind: Number, Unit: say.Factor, Default: 1.0, Least: 0, Most: 3, Says: "1 is the earth's."},
		{Name: "loop", Title: "Loop", Kind: Choice, Default: "as found", Choices: []string{"as found", "always", "never"}, Says: "Whether the last pose becomes the first."},
		{Name: "collide", Title: "Keep out of body", Kind: Truth, Default: true, Says: "Links do not go through what the other bones hold, as far as these are round."},
		{Name: "drawn", Title: "Rests as drawn", Kind: Truth, Default: true, Says: "The rest pose holds the chain's weight already. Off: it sinks from there."},
	}, chainParameters...),
	Apply: func(w *Work) error {
		c, err := w.chains()
		if err != nil {
			return err
		}
		c.tellDials()
		for _, clip := range c.clips {
			if err := c.follow(clip); err != nil {
				return err
			}
		}
		return c.write()
	},
}

// chainer is a mend of chains at work.
type chainer struct {
	w      *Work
	chains *follow.Chains
	joints []rig.Node
	clips  []rig.Clip
	loops  []bool // by clip of the file
	is     rig.Rig

	keys, written int
	swing         float64 // radians: the widest
}

// chainKeys is how far a rotation between two keys may be off, degrees.
const chainKeys = 0.1

// stillSwing is below which a chain does not swing, degrees: the tolerance of motion's keys.
const stillSwing = 0.01

// chains finds the chains and clips that the values name, or that stay still.
func (w *Work) chains() (*chainer, error) {
	facts, err := w.motion()
	if err != nil {
		return nil, err
	}
	if len(facts.Clips) == 0 || len(w.Rig.Clips) == 0 {
		return nil, w.Refuse("The file holds no clip: nothing moves that a chain could follow.")
	}
	c := &chainer{w: w, is: *w.Rig, loops: make([]bool, len(w.Rig.Clips))}
	c.is.Clips = slices.Clone(w.Rig.Clips)
	for _, f := range facts.Clips {
		if f.Clip >= 0 && int(f.Clip) < len(c.loops) {
			c.loops[f.Clip] = f.Loop
		}
	}
	still, in := stillChains(facts)
	if names := w.Values.List("chains"); len(names) > 0 {
		if err := c.named(names); err != nil {
			return nil, err
		}
	} else if c.joints = still; len(still) == 0 {
		return nil, w.Refuse("No chain stays still while what it hangs on moves. Name the first joint of one to let it swing all the same.")
	}
	if err := c.inClips(in); err != nil {
		return nil, err
	}
	for _, n := range c.joints {
		if err := w.Doc.Movable(int(n)); err != nil {
			return nil, w.Refuse("%q: %v.", w.Exam.NodeName(n), err)
		}
	}
	c.chains = follow.Find(w.Exam, c.joints)
	for i := range c.chains.Links {
		if l := &c.chains.Links[i]; l.Length == 0 {
			w.Leave("%s has no length: it goes along stiffly.", w.Exam.NodeName(l.Joint))
		}
	}
	if !slices.ContainsFunc(c.chains.Links, func(l follow.Link) bool { return l.Length > 0 }) {
		return nil, w.Refuse("The joints of the chains stand in one place: they have no direction to swing in.")
	}
	return c, nil
}

// stillChains are the joints of chains without a part in the body that stay still, and the
// clips in which they do. Chains whose movement is keyed on other nodes are left out: it is to
// be put onto them, not made up.
func stillChains(f *motion.Facts) (joints []rig.Node, in []rig.Clip) {
	for i := range f.Chains {
		c := &f.Chains[i]
		if c.Body || len(c.Joints) < 2 || c.Reason == motion.Outside || c.Reason == motion.Twin {
			continue
		}
		joints = append(joints, c.Joints...)
		for _, clip := range c.Clips {
			if !slices.Contains(in, clip) {
				in = append(in, clip)
			}
		}
	}
	slices.Sort(in)
	return joints, in
}

// named takes the joints at and below those of some names.
func (c *chainer) named(names []string) error {
	first := make([]bool, len(c.w.Rig.Nodes))
	isJoint := c.w.Rig.Joints()
	for _, name := range names {
		n, err := findNode(c.w.Rig, name)
		if err != nil {
			return c.w.Refuse("%v.", sentence(err))
		}
		if !isJoint[n] {
			return c.w.Refuse("%q is no joint.", name)
		}
		first[n] = true
	}
	top := c.w.Rig.AtOrAbove(first)
	for _, n := range c.w.Rig.Order {
		if top[n] >= 0 && isJoint[n] {
			c.joints = append(c.joints, n)
		}
	}
	return nil
}

// inClips takes the clips of some names; else those in which chains stay still, else all.
func (c *chainer) inClips(still []rig.Clip) error {
	names := c.w.Values.List("clips")
	for _, name := range names {
		i, err := findClip(c.w.Rig, name)
		if err != nil {
			return c.w.Refuse("%v.", sentence(err))
		}
		if !slices.Contains(c.clips, i) {
			c.clips = append(c.clips, i)
		}
	}
	if len(names) == 0 && len(c.w.Values.List("chains")) == 0 {
		c.clips = still
	} else if len(names) == 0 {
		for i := range c.w.Rig.Clips {
			c.clips = append(c.clips, rig.Clip(i))
		}
	}
	long := func(i rig.Clip) bool {
		d := &c.w.Rig.Clips[i]
		return d.Seconds > d.Start && !math.IsInf(d.Seconds, 0) && d.Seconds-d.Start < longestChain
	}
	kept := c.clips[:0:0]
	for _, i := range c.clips {
		if long(i) {
			kept = append(kept, i)
		} else {
			c.w.Leave("Clip %s has one moment, or no end: nothing can follow in it.", c.clipName(i))
		}
	}
	if c.clips = kept; len(kept) == 0 {
		return c.w.Refuse("No clip is left in which anything could follow: each has one moment alone.")
	}
	return nil
}

// longestChain is the longest clip that chains are worked out in, seconds: a day.
const longestChain = 86400

// findClip answers the clip of a name or of a number from 0; the name counts first.
func findClip(r *rig.Rig, name string) (rig.Clip, error) {
	found := -1
	for i := range r.Clips {
		if r.Clips[i].Name == name {
			if found >= 0 {
				return rig.None, fmt.Errorf("two clips are named %q: name them by number, %d or %d", name, found, i)
			}
			found = i
		}
	}
	if found < 0 {
		if i, err := strconv.Atoi(strings.TrimPrefix(name, "#")); err == nil && i >= 0 && i < len(r.Clips) {
			found = i
		}
	}
	if found < 0 {
		return rig.None, fmt.Errorf("there is no clip %q", name)
	}
	return rig.Clip(found), nil
}

func (c *chainer) clipName(i rig.Clip) string { return clipTitle(c.w.Rig, i) }

// clipTitle is a clip in words: its name, else its number.
func clipTitle(r *rig.Rig, i rig.Clip) string {
	if name := r.Clips[i].Name; name != "" {
		return strconv.Quote(name)
	}
	return strconv.Itoa(int(i))
}

// dials are what the values say.
func (w *Work) dials(chains *follow.Chains) follow.Dials {
	d := follow.Dials{Sag: chains.Sag(), AsDrawn: w.Values.Is("drawn")}
	if sag, ok := w.Values.Number("sag"); ok {
		d.Sag = sag
	}
	d.Settle, _ = w.Values.Number("settle")
	d.Gravity, _ = w.Values.Number("gravity")
	return d
}

func (c *chainer) tellDials() {
	d := c.w.dials(c.chains)
	c.w.Measure(check.Also("chain joints", float64(len(c.joints)), say.Joints))
	if _, given := c.w.Values.Number("sag"); !given {
		c.w.Measure(check.Also("sag", d.Sag, say.Degree))
	}
	if s := c.chains.Settles(d); s > 1.02*d.Settle {
		c.w.Say("Chains this long cannot settle in %s, however they are damped: the slowest link takes %s.", say.Quantity(d.Settle, say.Second), say.Quantity(s, say.Second))
	}
}

// follow plays the chains through one clip and puts their keys into it.
func (c *chainer) follow(clip rig.Clip) error {
	var capsules []follow.Capsule
	if c.w.Values.Is("collide") {
		capsules = c.chains.Capsules()
	}
	loop := c.loops[clip]
	switch c.w.Values.Text("loop") {
	case "always":
		loop = true
	case "never":
		loop = false
	}
	m, err := c.chains.Follow(c.w.Context, clip, loop, c.w.dials(c.chains), capsules)
	if err != nil {
		return c.refusal(clip, err)
	}
	if m.Widest < stillSwing*math.Pi/180 {
		c.w.Leave("In clip %s nothing moves what the chains hang on.", c.clipName(clip))
		return nil
	}
	c.put(clip, m.Channels(chainKeys*math.Pi/180))
	c.swing = max(c.swing, m.Widest)
	if m.Deepest > deepInBody*c.w.Exam.Size() {
		c.w.Measure(check.Also("deepest in the body", m.Deepest, say.Metre))
		c.w.Leave("In clip %s at %s %s is %s inside the body: there is no room for it beside.",
			c.clipName(clip), say.Quantity(m.DeepAt, say.Second), c.w.Exam.NodeName(m.Deep), say.Quantity(m.Deepest, say.Metre))
	}
	if m.Damped > 1 {
		c.w.Say("In clip %s the chains come round only with more damping (%s).", c.clipName(clip), say.Quantity(m.Damped, say.Factor))
	}
	if loop && m.Gap > closedGap {
		c.w.Say("In clip %s the chains do not come round: %s were spread over it.", c.clipName(clip), say.Quantity(m.Gap, say.Degree))
	}
	return nil
}

// deepInBody is how deep a link may be in a capsule before it is told, in sizes of the figure;
// closedGap what a loop may be closed by, degrees.
const (
	deepInBody = 0.005
	closedGap  = 0.5
)

func (c *chainer) refusal(clip rig.Clip, err error) error {
	var u *follow.Unturnable
	if !errors.As(err, &u) {
		return err
	}
	name := c.w.Exam.NodeName(u.Joint)
	switch u.Why {
	case follow.Flat:
		return c.w.Refuse("In clip %s %s is scaled to nothing: it cannot swing.", c.clipName(clip), name)
	case follow.NoNumber:
		return c.w.Refuse("In clip %s the place of %s is no number: mend its keys first.", c.clipName(clip), name)
	}
	return c.w.Refuse("The scale above %s differs by axis: turned there it would be sheared. Bring to scale first.", name)
}

// put sets rotation channels in one clip: in the place of those of the same joints.
func (c *chainer) put(clip rig.Clip, channels []rig.Channel) {
	d := c.is.Clips[clip]
	d.Channels = slices.Clone(d.Channels)
	for _, ch := range channels {
		c.keys += len(ch.Times)
		k := slices.IndexFunc(d.Channels, func(x rig.Channel) bool { return x.Node == ch.Node && x.Path == ch.Path })
		if k < 0 {
			d.Channels = append(d.Channels, ch)
		} else {
			d.Channels[k] = ch
		}
	}
	c.is.Clips[clip] = d
	c.written++
}

func (c *chainer) write() error {
	if c.written == 0 {
		return c.w.Refuse("Nothing moves what the chains hang on: there is nothing to follow.")
	}
	c.w.Measure(check.Also("clips written", float64(c.written), say.Clips))
	c.w.Measure(check.Also("keyframes", float64(c.keys), say.Keys))
	c.w.Measure(check.Also("widest swing of a link", c.swing*180/math.Pi, say.Degree))
	names := make([]string, 0, len(c.chains.Links))
	for i := range c.chains.Links {
		if c.chains.Links[i].Above < 0 {
			names = append(names, c.w.Exam.NodeName(c.chains.Links[i].Joint))
		}
	}
	c.w.Say("Chains from %s.", exam.Listed(names))
	return c.w.Write(&c.is, nil)
}
