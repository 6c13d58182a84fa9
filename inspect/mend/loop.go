package mend

import (
	"math"
	"slices"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

var closeLoop = Mend{
	ID:     "loop",
	Title:  "Close the loop",
	Stage:  Motion,
	Beside: []string{"motion/loop-jump"},
	Does: "The last pose of a clip becomes its first, and goes on as fast: what is missing is spread over its last moments, so that nothing jumps or jerks when it is played again. " +
		"What carries the figure keeps its way along, and its turn where the clip turns.",
	Source: "a cubic ease of the missing turn, x²(3 − 2x), put before each joint's own, and of its speed, x²(x − 1): the basis of Hermite (common practice, no source)",
	Parameters: []Parameter{
		{Name: "clips", Title: "Clips", Kind: List, Says: "By name or number, from 0. None: those that read as loops and do not close."},
		{Name: "over", Title: "Spread over", Kind: Number, Unit: say.Second, Least: 0.05, Most: 10,
			Says: "How long the last moments are; left out: so long that nothing turns by more than 60° a second more, from 0.2 s to half of the clip."},
	},
	Apply: func(w *Work) error {
		l := &looper{w: w, is: *w.Rig}
		l.is.Clips = slices.Clone(w.Rig.Clips)
		err := w.eachClip(func(_ rig.Clip, f *motion.Clip) bool {
			return isOpen(f, w.Exam.Size())
		}, "No clip that reads as a loop is open. Name one to close it all the same.", l.close)
		if err != nil {
			return err
		}
		if l.channels == 0 {
			return w.Refuse("The last pose is the first already.")
		}
		w.Measure(check.Also("channels", float64(l.channels), say.Channels))
		w.Measure(check.Also("largest turn made up", l.turn*180/math.Pi, say.Degree))
		w.Measure(check.Also("largest shift made up", l.shift, say.Metre))
		w.Measure(check.Also("largest jerk made up", l.jerk*180/math.Pi, say.DegreePerSecond))
		return w.Write(&l.is, nil)
	},
}

const (
	closedShare = 0.001    // of the figure: a shift that is no gap
	easePace    = 60.0     // degrees a second that may be put on top (common practice, no source)
	leastEase   = 0.2      // seconds
	easeStep    = 1.0 / 30 // seconds between the keys of what is put on top
)

// isOpen tells a clip that reads as a loop and does not close; size is the figure's, metres.
func isOpen(f *motion.Clip, size float64) bool {
	return f.Loop && (f.LoopDegrees != nil && *f.LoopDegrees > closedGap || f.LoopMetres != nil && *f.LoopMetres > closedShare*size)
}

// motion are the facts of the station Motion about the figure as it was.
func (w *Work) motion() (*motion.Facts, error) {
	res, err := w.findings("motion")
	if err != nil {
		return nil, err
	}
	if f := inspect.FactsOf[motion.Facts](res); f != nil {
		return f, nil
	}
	return &motion.Facts{}, nil
}

// eachClip does a thing to the clips that the values name; none named, to those of which
// wants is true. Where there is none it refuses, in the words none. do is given what the
// station Motion measured of the clip, nil where it measured nothing.
func (w *Work) eachClip(wants func(rig.Clip, *motion.Clip) bool, none string, do func(rig.Clip, *motion.Clip) error) error {
	facts, err := w.motion()
	if err != nil {
		return err
	}
	clips, err := w.someClips(w.Values.List("clips"), func(i rig.Clip) bool {
		f := clipFacts(facts, i)
		return f != nil && wants(i, f)
	})
	if err != nil {
		return err
	}
	if len(clips) == 0 {
		return w.Refuse("%s", none)
	}
	for _, i := range clips {
		if err := do(i, clipFacts(facts, i)); err != nil {
			return err
		}
	}
	return nil
}

func clipFacts(f *motion.Facts, i rig.Clip) *motion.Clip {
	k := slices.IndexFunc(f.Clips, func(c motion.Clip) bool { return c.Clip == i })
	if k < 0 {
		return nil
	}
	return &f.Clips[k]
}

type looper struct {
	w  *Work
	is rig.Rig

	channels    int
	turn, shift float64 // radians, metres: the largest that were made up
	jerk        float64 // radians a second: the largest change of pace that was
}

// gap is what a channel lacks at its end to be where it began.
type gap struct {
	channel int
	to      []float64  // its last value is to be this
	turn    space.Turn // of a rotation, before its own
}

// close spreads over the end of a clip what its channels lack there.
func (l *looper) close(i rig.Clip, f *motion.Clip) error {
	w, c := l.w, &l.w.Rig.Clips[i]
	if !(c.Seconds > c.Start) || math.IsInf(c.Seconds, 0) {
		w.Leave("Clip %s has one moment, or no end.", w.clipName(i))
		return nil
	}
	// What lies above the carrier moves it along: it stays as it is.
	carrier, above := rig.Node(rig.None), map[rig.Node]bool{}
	if f != nil && f.Travel.Node != nil {
		carrier = *f.Travel.Node
		for n := w.Rig.Nodes[carrier].Parent; n >= 0; n = w.Rig.Nodes[n].Parent {
			above[n] = true
		}
	}
	world := clipWorld(w.Rig, i, c.Start)
	var gaps []gap
	widest := 0.0
	for k := range c.Channels {
		ch := &c.Channels[k]
		if above[ch.Node] || ch.Interpolation != rig.Step && len(ch.Times) < 2 {
			continue
		}
		if err := w.movable(i, ch); err != nil {
			return err
		}
		keys := keyList(ch)
		g := gap{channel: k, to: keyAt(ch, keys, c.Start).value}
		end := keyAt(ch, keys, c.Seconds).value
		if ch.Node == carrier {
			l.along(ch, f, world, end, g.to)
		}
		if ch.Path != rig.Rotation {
			far := 0.0
			for j := range end {
				far = max(far, math.Abs(g.to[j]-end[j]))
			}
			if far <= 1e-7*max(1, w.Exam.Size()) {
				continue
			}
			if ch.Path == rig.Translation {
				l.shift = max(l.shift, far*stretchOf(world, w.Rig.Nodes[ch.Node].Parent))
			}
			gaps = append(gaps, g)
			continue
		}
		a, okA := turnIn(end).Unit()
		b, okB := turnIn(g.to).Unit()
		if !okA || !okB {
			return w.Refuse("In clip %s a turn of %s has no direction: mend its keys first.", w.clipName(i), w.Exam.NodeName(ch.Node))
		}
		g.turn = b.Mul(a.Back())
		if g.turn.W < 0 {
			g.turn = space.Turn{X: -g.turn.X, Y: -g.turn.Y, Z: -g.turn.Z, W: -g.turn.W}
		}
		if angle := g.turn.Angle(); angle > 1e-6 {
			widest = max(widest, angle)
			gaps = append(gaps, g)
		}
	}
	if len(gaps) == 0 {
		w.Leave("Clip %s closes already.", w.clipName(i))
		return nil
	}
	over, err := l.over(i, widest)
	if err != nil {
		return err
	}
	d := l.is.Clips[i]
	d.Channels = slices.Clone(d.Channels)
	for _, g := range gaps {
		d.Channels[g.channel] = eased(&c.Channels[g.channel], &g, c.Seconds-over, c.Seconds)
	}
	l.runOnAll(&d, over, func(n rig.Node) bool { return above[n] || n == carrier && f.Travel.Class != "in place" })
	l.is.Clips[i] = d
	l.channels, l.turn = l.channels+len(gaps), max(l.turn, widest)
	w.Say("In clip %s the last %s come back to the first pose.", w.clipName(i), say.Quantity(over, say.Second))
	return nil
}

// over is how long the last moments of a clip are, in which so wide a turn is made up, seconds.
func (l *looper) over(i rig.Clip, widest float64) (float64, error) {
	c := &l.w.Rig.Clips[i]
	over, given := l.w.Values.Number("over")
	if !given {
		return min(max(leastEase, widest*180/math.Pi/easePace), (c.Seconds-c.Start)/2), nil
	}
	if over > c.Seconds-c.Start {
		return 0, l.w.Refuse("Clip %s is shorter than %s.", l.w.clipName(i), say.Quantity(over, say.Second))
	}
	return over, nil
}

// along keeps, of the place and turn to come back to, what carries the figure along: the
// level part of the place, and where the clip goes somewhere or turns, that about the
// vertical. end and to are values of a channel of the carrier.
func (l *looper) along(ch *rig.Channel, f *motion.Clip, world []rig.Affine, end, to []float64) {
	parent := rig.Identity
	if p := l.w.Rig.Nodes[ch.Node].Parent; p >= 0 {
		parent = world[p]
	}
	goes := f.Travel.Class != "in place"
	switch {
	case ch.Path == rig.Translation && goes:
		up, ok := backward(&parent, space.Vec{0, 1, 0})
		if !ok {
			copy(to, end)
			return
		}
		way := space.Vec{to[0] - end[0], to[1] - end[1], to[2] - end[2]}
		high := parent.Direction(way)[1]
		for j := range 3 {
			to[j] = end[j] + high*up[j]
		}
	case ch.Path == rig.Rotation && goes:
		frame := space.FromXYZW(parent.Decompose().R)
		a, b := frame.Mul(turnIn(to).Quat()), frame.Mul(turnIn(end).Quat())
		_, yaw, ok := space.SwingTwist(b.Mul(a.Conjugate()), space.Vec{0, 1, 0})
		if !ok {
			return
		}
		q := space.XYZW(frame.Conjugate().Mul(space.About(space.Vec{0, 1, 0}, yaw)).Mul(a))
		copy(to, q[:])
	}
}

// eased is a channel that comes to another value at its end.
func eased(c *rig.Channel, g *gap, from, to float64) rig.Channel {
	keys := keyList(c)
	if c.Interpolation == rig.Step {
		keys = cut(c, keys, to)
		keys[len(keys)-1].value = g.to
		return withKeys(c, keys)
	}
	keys = cut(c, cut(c, keys, from), to)
	if c.Interpolation == rig.Linear {
		for n, all := 1, int((to-from)/easeStep); n < all; n++ { // the ease is a curve
			keys = cut(c, keys, from+(to-from)*float64(n)/float64(all))
		}
	}
	last := slices.Clone(keys[len(keys)-1].value)
	goal := slices.Clone(g.to)
	if c.Path == rig.Rotation { // the nearer of the two signs, as long as the last key
		dot, size := 0.0, 0.0
		for j := range last {
			dot, size = dot+last[j]*goal[j], size+last[j]*last[j]
		}
		size = math.Sqrt(size)
		if dot < 0 {
			size = -size
		}
		for j := range goal {
			goal[j] *= size
		}
	}
	for k := range keys {
		if keys[k].at <= from {
			continue
		}
		x := min(1, (keys[k].at-from)/(to-from))
		share, slope := x*x*(3-2*x), 6*x*(1-x)/(to-from)
		if c.Path == rig.Rotation && c.Interpolation == rig.Linear {
			arc := space.NewArc(space.Turn{W: 1}, g.turn)
			q, ok := turnIn(keys[k].value).Unit()
			if !ok {
				continue
			}
			q = arc.At(share).Mul(q)
			keys[k].value = []float64{q.X, q.Y, q.Z, q.W}
			continue
		}
		value, in, out := slices.Clone(keys[k].value), slices.Clone(keys[k].in), slices.Clone(keys[k].out)
		for j := range value {
			way := goal[j] - last[j]
			value[j] += share * way
			if in != nil {
				in[j], out[j] = in[j]+slope*way, out[j]+slope*way
			}
		}
		keys[k].value, keys[k].in, keys[k].out = value, in, out
	}
	return withKeys(c, keys)
}
