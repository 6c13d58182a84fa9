package lamplighter

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// The stroll, in place: a standing foot is carried back at one speed, as by a
// moving floor. Values chosen by eye.
const (
	stand  = 0.6   // share of the cycle that a foot stands
	stride = 0.17  // metres before and behind the hip
	raise  = 0.045 // metres the ankle lifts in swing
	heel   = 26    // degrees the foot tips before it leaves
	crouch = 0.016 // metres the hips sink at rest
	bob    = 0.012 // metres the hips rise and fall
)

// stroll is one cycle of 1.2 s: two steps.
func (b *body) stroll() rig.ClipData {
	down := b.hangDown()
	return b.record("stroll", 1.2, func(t float64, m *moment) {
		w := 2 * math.Pi * t
		// Lowest when both feet are down, highest over the standing leg.
		m.shift = space.Vec{0, -crouch - bob*math.Cos(2*w-0.2*math.Pi), 0}
		sway := math.Sin(w + 0.3)
		m.turn[hips] = about(axisY, 5*math.Cos(w))
		m.turn[spine] = about(axisY, -4*math.Cos(w)).Mul(about(axisX, 2))
		m.turn[chest] = about(axisY, -5*math.Cos(w))
		m.turn[yoke] = about(axisY, 2*math.Cos(w)).Mul(about(axisZ, 1.2*sway))
		m.turn[neck] = about(axisY, 2*math.Cos(w))
		m.turn[head] = about(axisY, 2*math.Cos(w)).Mul(about(axisX, 2))
		for side, s := range [2]float64{1, -1} {
			j := side * 4 // from a left joint of arm or leg to the right one
			phase := math.Mod(t+0.5*float64(side), 1)
			b.step(m, side, phase)
			swing := math.Cos(2*math.Pi*phase + 0.2)
			m.turn[shoulderL+j] = about(axisZ, -6*s)
			m.turn[upperArmL+j] = about(axisX, 4+20*swing).Mul(about(axisZ, -(down-20)*s))
			m.turn[lowerArmL+j] = about(axisX, -18+8*swing)
		}
	})
}

// step bends one leg so that the ankle is where the cycle wants it: two bones, by
// the law of cosines, the knee forward.
func (b *body) step(m *moment, side int, phase float64) {
	up, low, foot, toes := upperLegL+4*side, lowerLegL+4*side, footL+4*side, toesL+4*side
	turned := m.turn[hips]
	hip := b.at[hips].Add(m.shift).Add(turned.Rotate(b.at[up].Sub(b.at[hips])))
	target := b.at[foot]
	pitch := 0.0 // of the foot, toes down positive
	ball := b.at[toes].Sub(b.at[foot])
	if phase < stand {
		f := phase / stand
		target[2] += stride * (1 - 2*f)
		// Near the end the heel comes up and the ball stays where the floor carries it.
		pitch = heel * smooth((f-0.62)/0.38)
		target = target.Add(ball.Sub(about(axisX, pitch).Rotate(ball)))
	} else {
		f := (phase - stand) / (1 - stand)
		from := b.at[foot].Add(ball).Sub(about(axisX, heel).Rotate(ball)).Add(space.Vec{0, 0, -stride})
		to := b.at[foot].Add(space.Vec{0, 0, stride})
		// Leaves and lands with the floor's speed.
		v := -2 * stride / stand * (1 - stand)
		h00, h10 := 2*f*f*f-3*f*f+1, f*f*f-2*f*f+f
		h01, h11 := -2*f*f*f+3*f*f, f*f*f-f*f
		target[2] = h00*from[2] + h10*v + h01*to[2] + h11*v
		target[1] = mix(from[1], to[1], smooth(f)) + raise*math.Sin(math.Pi*f)*math.Sin(math.Pi*f)
		pitch = mix(heel, 0, smooth(f*1.35)) - 8*math.Sin(math.Pi*f)*math.Sin(math.Pi*f)*f
	}
	a, c := b.at[low].Sub(b.at[up]), b.at[foot].Sub(b.at[low])
	reach := target.Sub(hip)
	d := min(reach.Len(), 0.9995*(a.Len()+c.Len()))
	// Bend in the plane of the leg and the way ahead.
	side3 := reach.Cross(axisZ).Normalize().Mul(-1) // along +x for a leg that points down
	e := reach.Normalize()
	fore := side3.Cross(e).Normalize().Mul(-1)
	if fore[2] < 0 {
		fore = fore.Mul(-1)
	}
	cos := (a.Dot(a) + d*d - c.Dot(c)) / (2 * a.Len() * d)
	sin := math.Sqrt(max(0, 1-cos*cos))
	knee := e.Mul(cos * a.Len()).Add(fore.Mul(sin * a.Len()))
	shin := e.Mul(d).Sub(knee)
	q := space.Between(a.Normalize(), knee.Normalize())
	p := space.Between(c.Normalize(), shin.Normalize())
	m.turn[up] = turned.Conjugate().Mul(q)
	m.turn[low] = q.Conjugate().Mul(p)
	m.turn[foot] = p.Conjugate().Mul(about(axisX, pitch))
	if phase < stand || pitch > 0 {
		m.turn[toes] = about(axisX, -max(pitch, 0)*fadeOut(phase))
	}
}

// fadeOut lets the toes straighten early in the swing.
func fadeOut(phase float64) float64 {
	if phase < stand {
		return 1
	}
	return 1 - smooth((phase-stand)/(1-stand)*3)
}
