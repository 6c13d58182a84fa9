package menagerie

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Legs are the nodes that a walk moves: the hips, and of each side thigh, shin and foot.
type Legs struct {
	Hips rig.Node
	Side [2][3]rig.Node
}

// Ground is what Walk goes over: its height at a place ahead, metres, and how far it
// tips there, radians, rising ahead positive.
type Ground func(ahead float64) (height, tip float64)

// Stairs rise by so much a tread; a foot of each step stands on a tread of its own, the
// middle of which lies at the multiples of tread. rise may be negative: down.
func Stairs(rise, tread float64) Ground {
	return func(ahead float64) (float64, float64) { return rise * math.Round(ahead/tread), 0 }
}

// Slope rises ahead by so many degrees.
func Slope(degrees float64) Ground {
	a := degrees * math.Pi / 180
	return func(ahead float64) (float64, float64) { return ahead * math.Tan(a), a }
}

// The times of a walk, seconds: keys a second, standing before and after, a foot in the
// air, from step to step.
const (
	rate, hold     = 30.0, 0.4
	swing, between = 0.45, 0.6
)

// stride is a walk as its feet see it: the ground, how many steps of which length, and how
// high a foot is lifted, metres.
type stride struct {
	ground Ground
	steps  int
	step   float64
	lift   float64
}

// foot answers where a foot is ahead at a time, how high over rest, and its tip.
func (s stride) foot(side int, t float64) (ahead, high, tip float64) {
	z := 0.0
	for k := side; k < s.steps; k += 2 {
		to, from := s.step*float64(k+1), hold+between*float64(k)
		x := (t - from) / swing
		if x <= 0 {
			break
		}
		if x < 1 {
			a, tipA := s.ground(z)
			b, tipB := s.ground(to)
			early, late := ease(1.7*x), ease(1.7*x-.7)
			mix := early
			if b < a {
				mix = late
			}
			up := math.Sin(math.Pi * x)
			return z + (to-z)*ease(x), a + (b-a)*mix + s.lift*up*up, tipA + (tipB-tipA)*ease(x)
		}
		z = to
	}
	high, tip = s.ground(z)
	return z, high, tip
}

// Walk adds a clip in which a person walks ahead (+Z) over a ground, so many steps of a
// length each, beginning with both feet side by side at 0: each foot stands still from
// where it comes down to where it leaves, its sole laid along the ground, and the hips go
// between the two. Legs are bent by the law of cosines, the knee ahead. 30 keys a second.
func Walk(r *rig.Rig, legs Legs, ground Ground, steps int, step float64) *rig.Rig {
	w := r.RestWorld()
	at := func(n rig.Node) space.Vec { return w[n].Origin() }
	turned := func(n rig.Node) space.Quat { return space.FromXYZW(w[n].Decompose().R) }
	long := at(legs.Side[0][1]).Sub(at(legs.Side[0][0])).Len() + at(legs.Side[0][2]).Sub(at(legs.Side[0][1])).Len()
	foot := stride{ground, steps, step, 0.06 * long}.foot
	seconds := hold + between*float64(steps-1) + swing + hold
	n := int(math.Round(seconds*rate)) + 1
	c := rig.ClipData{Name: "walk", Seconds: float64(n-1) / rate}
	times := make([]float32, n)
	shift := rig.Channel{Node: legs.Hips, Path: rig.Translation, Width: 3, Times: times}
	var turns [2][3]rig.Channel
	for s := range turns {
		for i := range turns[s] {
			turns[s][i] = rig.Channel{Node: legs.Side[s][i], Path: rig.Rotation, Width: 4, Times: times}
		}
	}
	rise, _ := ground(step)
	for k := range n {
		t := float64(k) / rate
		times[k] = float32(t)
		lz, ly, lt := foot(0, t)
		rz, ry, rt := foot(1, t)
		hips := space.Vec{0, (ly+ry)/2 - .08*long - .4*math.Abs(rise)*ease(t/hold), (lz + rz) / 2}
		p := at(legs.Hips).Add(hips)
		if up := r.Nodes[legs.Hips].Parent; up >= 0 {
			inv, _ := w[up].Inverse()
			p = inv.Point(p)
		}
		shift.Values = append(shift.Values, float32(p[0]), float32(p[1]), float32(p[2]))
		for s, to := range [2][3]float64{{lz, ly, lt}, {rz, ry, rt}} {
			leg := legs.Side[s]
			tilt := space.About(space.Vec{1, 0, 0}, -to[2])
			target := at(leg[2]).Add(space.Vec{0, to[1], to[0]}) // the sole lies along the ground about the ankle
			a, b := at(leg[1]).Sub(at(leg[0])), at(leg[2]).Sub(at(leg[1]))
			q, p := reach(a, b, target.Sub(at(leg[0]).Add(hips)))
			for i, turn := range [3]space.Quat{q, p, tilt} {
				up := space.Still()
				if n := r.Nodes[leg[i]].Parent; n >= 0 {
					up = turned(n)
				}
				if i > 0 {
					up = [2]space.Quat{q, p}[i-1].Mul(up)
				}
				local := up.Conjugate().Mul(turn).Mul(turned(leg[i])).Normalize()
				ch := &turns[s][i]
				if m := len(ch.Values); m > 0 && float64(ch.Values[m-1])*local.W+float64(ch.Values[m-4])*local.V[0]+float64(ch.Values[m-3])*local.V[1]+float64(ch.Values[m-2])*local.V[2] < 0 {
					local = local.Scale(-1)
				}
				ch.Values = append(ch.Values, float32(local.V[0]), float32(local.V[1]), float32(local.V[2]), float32(local.W))
			}
		}
	}
	c.Channels = append(c.Channels, shift)
	for s := range turns {
		c.Channels = append(c.Channels, turns[s][:]...)
	}
	r.Clips = append(r.Clips, c)
	return r
}

// reach turns two bones so that their end comes to where way points, the joint between
// them ahead.
func reach(a, b, way space.Vec) (first, second space.Quat) {
	d := min(way.Len(), .9995*(a.Len()+b.Len()))
	e := way.Normalize()
	fore := space.Vec{0, 0, 1}
	fore = fore.Sub(e.Mul(e.Dot(fore))).Normalize()
	cos := (a.Dot(a) + d*d - b.Dot(b)) / (2 * a.Len() * d)
	knee := e.Mul(cos * a.Len()).Add(fore.Mul(math.Sqrt(max(0, 1-cos*cos)) * a.Len()))
	return space.Between(a.Normalize(), knee.Normalize()), space.Between(b.Normalize(), e.Mul(d).Sub(knee).Normalize())
}

// ease goes from 0 to 1, level at both ends, and stays there.
func ease(x float64) float64 {
	x = min(max(x, 0), 1)
	return x * x * (3 - 2*x)
}
