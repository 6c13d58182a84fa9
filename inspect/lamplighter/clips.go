package lamplighter

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

const rate = 30 // keys a second

// moment is a pose: for each joint a turn about the world's axes as they stand at
// rest, on top of what its parent does, and where the hips go.
type moment struct {
	turn  [joints]space.Quat
	shift space.Vec
}

// record keys a movement at the frame rate. Only joints that turn get a channel;
// the last key repeats the first, bit for bit.
func (b *body) record(name string, seconds float64, pose func(phase float64, m *moment)) rig.ClipData {
	n := int(math.Round(seconds*rate)) + 1
	times := make([]float32, n)
	frames := make([]moment, n)
	var moves [joints]bool
	sways := false
	for i := range n {
		times[i] = float32(float64(i) / rate)
		m := &frames[i]
		for j := range m.turn {
			m.turn[j] = space.Still()
		}
		if i == n-1 {
			*m = frames[0]
			break
		}
		pose(float64(i)/float64(n-1), m)
		if b.sway {
			swing(float64(i)/float64(n-1), m)
		}
		for j := range m.turn {
			moves[j] = moves[j] || m.turn[j] != space.Still()
		}
		sways = sways || m.shift != space.Vec{}
	}
	c := rig.ClipData{Name: name, Seconds: float64(times[n-1])}
	if sways {
		ch := rig.Channel{Node: hips, Path: rig.Translation, Width: 3, Times: times}
		for i := range frames {
			p := b.at[hips].Add(frames[i].shift)
			ch.Values = append(ch.Values, float32(p[0]), float32(p[1]), float32(p[2]))
		}
		c.Channels = append(c.Channels, ch)
	}
	for j := range joints {
		if !moves[j] {
			continue
		}
		up := space.Still()
		if p := parentOf(j); p >= 0 {
			up = b.frame[p].Conjugate()
		}
		ch := rig.Channel{Node: rig.Node(j), Path: rig.Rotation, Width: 4, Times: times}
		var first, last space.Quat
		for i := range frames {
			q := up.Mul(frames[i].turn[j]).Mul(b.frame[j]).Normalize()
			switch {
			case i == 0:
				q = tidy(q)
				first = q
			case i == n-1:
				q = first
			}
			if last.Dot(q) < 0 {
				q = q.Scale(-1)
			}
			last = q
			ch.Values = append(ch.Values, float32(q.V[0]), float32(q.V[1]), float32(q.V[2]), float32(q.W))
		}
		c.Channels = append(c.Channels, ch)
	}
	return c
}

// swing lets the chains swing twice a clip, each link a little later than the one
// above it.
func swing(phase float64, m *moment) {
	for side := range 2 {
		for i := range links {
			angle := 4 * math.Sin(2*math.Pi*(2*phase-0.04*float64(i)))
			m.turn[chainL+links*side+i] = about(axisX, angle)
		}
	}
}

// about turns by degrees about an axis.
func about(axis space.Vec, degrees float64) space.Quat {
	return space.About(axis, degrees*math.Pi/180)
}

var (
	axisX = space.Vec{1, 0, 0}
	axisY = space.Vec{0, 1, 0}
	axisZ = space.Vec{0, 0, 1}
)

// hangDown is what brings an arm at rest to the side, in degrees.
func (b *body) hangDown() float64 {
	if b.pose == A {
		return 45
	}
	return 90
}

// wave lifts the left arm from the side, waves twice, and lets it down again.
func (b *body) wave() rig.ClipData {
	down := b.hangDown()
	return b.record("wave", 2.4, func(t float64, m *moment) {
		up := smooth(t/0.25) * smooth((1-t)/0.25)
		swing := math.Sin(2*math.Pi*2*(t-0.25)/0.5) * up
		if t < 0.25 || t > 0.75 {
			swing = 0
		}
		breath := math.Sin(2 * math.Pi * t)
		// Right arm hangs; turning about −z lowers the left arm, about +z the right.
		m.turn[shoulderR] = about(axisZ, 6)
		m.turn[upperArmR] = about(axisX, 3*breath-4).Mul(about(axisZ, down-22))
		m.turn[lowerArmR] = about(axisX, -14)
		// Left arm: from the side to a little under level, forearm up.
		m.turn[shoulderL] = about(axisZ, mix(-6, 5, up))
		low := mix(-(down - 22), -(down-90)-28, up)
		m.turn[upperArmL] = about(axisY, -30*up).Mul(about(axisX, mix(-4, 0, up))).Mul(about(axisZ, low))
		fold := about(axisZ, (98+17*swing)*up)
		// The palm turns forward, half in the forearm and half at the wrist.
		m.turn[lowerArmL] = about(axisX, -14*(1-up)).Mul(fold).Mul(about(axisX, -40*up))
		m.turn[handL] = about(axisZ, 14*swing).Mul(about(axisX, -40*up))
		m.turn[spine] = about(axisZ, 1.5*up)
		m.turn[chest] = about(axisZ, 1.5*up).Mul(about(axisY, 4*up))
		m.turn[neck] = about(axisY, 6*up)
		m.turn[head] = about(axisY, 10*up).Mul(about(axisZ, -4*up)).Mul(about(axisX, -3*up))
	})
}

func smooth(t float64) float64 {
	t = min(max(t, 0), 1)
	return t * t * (3 - 2*t)
}

func mix(a, b, t float64) float64 { return a + (b-a)*t }
