package mend

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// A loop whose last pose is its first still jerks where it ends faster or slower than it
// begins. What is missing of the pace is put on top of its last moments.

const (
	offTurn   = 5 * math.Pi / 180 // how far a joint may leave its way for it (common practice, no source)
	offWay    = 0.005             // of the figure's size: the same of a place
	paceStep  = 1.0 / 120         // seconds between the keys of what is put on top
	leastPace = math.Pi / 180     // a second: what is slower jerks at no eye (common practice, no source)
)

// runOnAll does so with all channels of a clip but those of nodes that keep their way.
func (l *looper) runOnAll(c *rig.ClipData, over float64, keeps func(rig.Node) bool) {
	for k := range c.Channels {
		if ch := &c.Channels[k]; !keeps(ch.Node) && ch.Interpolation != rig.Step {
			l.runOn(ch, c.Start, c.Seconds, over)
		}
	}
}

// runOn lets a channel of a closed loop end as fast as it begins; over is how long its last
// moments are at most, seconds.
func (l *looper) runOn(ch *rig.Channel, start, end, over float64) {
	switch {
	case ch.Path != rig.Rotation && ch.Path != rig.Translation:
	case ch.Interpolation == rig.Cubic:
		l.runOnCubic(ch, start, end, over)
	default:
		l.runOnLines(ch, start, end, over)
	}
}

// paceTime is how long the last moments are in which so much pace is made up, so that nothing
// leaves its way by more than most: the curve x²(x − 1) is 4/27 deep.
func paceTime(over, pace, most float64) float64 { return min(over, 27./4*most/pace) }

// runOnLines works on keys with straight lines between them: the last piece of the clip is to
// be the first one, as fast.
func (l *looper) runOnLines(ch *rig.Channel, start, end, over float64) {
	keys := keyList(ch)
	step := min(paceStep, (end-start)/8)
	turns := ch.Path == rig.Rotation
	value := func(at float64) []float64 { return keyAt(ch, keys, at).value }
	// pace is the way from one value to another a second: a turn as its rotation vector.
	pace := func(a, b []float64) space.Vec {
		if turns {
			return space.Log(nearTurn(a, b)).Mul(1 / step)
		}
		return space.Vec{b[0] - a[0], b[1] - a[1], b[2] - a[2]}.Mul(1 / step)
	}
	first, last := pace(value(start), value(start+step)), pace(value(end-step), value(end))
	way := first.Sub(last)
	size := way.Len()
	least, most := leastPace, offTurn
	if !turns {
		least, most = leastPace*l.w.Exam.Size(), offWay*l.w.Exam.Size()/max(1e-9, stretchOf(l.w.Exam.RestWorld(), l.w.Rig.Nodes[ch.Node].Parent))
	}
	if !(size > least) || math.IsInf(size, 0) {
		return
	}
	if turns {
		l.jerk = max(l.jerk, size)
	}
	long := max(paceTime(over, size, most), 2*step)
	from := end - long
	if from < start {
		return
	}
	keys = cut(ch, cut(ch, keys, from), end)
	for n := 1; float64(n)*step < long*(1-1e-9); n++ {
		keys = cut(ch, keys, end-float64(n)*step)
	}
	// The last key before the end comes to lie so that the piece behind it is as fast as the
	// first; the curve goes through it.
	s := step / long
	k := -step / (long * (1 - s) * (1 - s) * -s)
	for i := range keys {
		x := (keys[i].at - from) / long
		if x <= 0 || x >= 1-1e-9 {
			continue
		}
		off := way.Mul(k * long * x * x * (x - 1))
		if turns {
			q, ok := turnIn(keys[i].value).Unit()
			if !ok {
				continue
			}
			if angle := off.Len(); angle > 0 {
				q = space.TurnAbout(space.Plain(off.Mul(1/angle)), angle).Mul(q)
			}
			keys[i].value = []float64{q.X, q.Y, q.Z, q.W}
			continue
		}
		v := append([]float64(nil), keys[i].value...)
		for c := range 3 {
			v[c] += off[c]
		}
		keys[i].value = v
	}
	*ch = withKeys(ch, keys)
}

// nearTurn is the turn from one to the other, the short way.
func nearTurn(a, b []float64) space.Quat {
	p, okA := turnIn(a).Unit()
	q, okB := turnIn(b).Unit()
	if !okA || !okB {
		return space.Quat{W: 1}
	}
	t := q.Mul(p.Back())
	if t.W < 0 {
		t = space.Turn{X: -t.X, Y: -t.Y, Z: -t.Z, W: -t.W}
	}
	return t.Quat()
}

// runOnCubic works on splines: their slopes tell the pace, and a cubic put on top of a cubic
// is one.
func (l *looper) runOnCubic(ch *rig.Channel, start, end, over float64) {
	keys := keyList(ch)
	if len(keys) < 2 || keys[0].at > start+1e-6 || keys[len(keys)-1].at < end-1e-6 { // held at an end: it stands still there
		return
	}
	a, b := &keys[0], &keys[len(keys)-1]
	sign := 1.0
	if ch.Path == rig.Rotation {
		dot := 0.0
		for c := range a.value {
			dot += a.value[c] * b.value[c]
		}
		if dot < 0 {
			sign = -1
		}
	}
	way, size := make([]float64, len(a.value)), 0.0
	for c := range way {
		way[c] = sign*a.out[c] - b.in[c]
		size += way[c] * way[c]
	}
	size = math.Sqrt(size)
	pace, least, most := size, leastPace, offTurn
	if ch.Path == rig.Rotation {
		pace = 2 * size // of a unit quaternion
		l.jerk = max(l.jerk, pace)
	} else {
		least, most = leastPace*l.w.Exam.Size(), offWay*l.w.Exam.Size()/max(1e-9, stretchOf(l.w.Exam.RestWorld(), l.w.Rig.Nodes[ch.Node].Parent))
	}
	if !(pace > least) || math.IsInf(pace, 0) {
		return
	}
	long := paceTime(over, pace, most)
	from := end - long
	if from < keys[0].at {
		return
	}
	keys = cut(ch, keys, from)
	for i := range keys {
		x := (keys[i].at - from) / long
		if x <= 0 {
			continue
		}
		x = min(x, 1)
		value, in, out := append([]float64(nil), keys[i].value...), append([]float64(nil), keys[i].in...), append([]float64(nil), keys[i].out...)
		for c := range way {
			value[c] += way[c] * long * x * x * (x - 1)
			slope := way[c] * (3*x*x - 2*x)
			in[c], out[c] = in[c]+slope, out[c]+slope
		}
		keys[i].value, keys[i].in, keys[i].out = value, in, out
	}
	*ch = withKeys(ch, keys)
}
