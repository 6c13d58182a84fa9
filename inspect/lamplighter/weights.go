package lamplighter

import "rigloupe/inspect/space"

// whole is the sum of a vertex's weights in steps. A power of two below 2²⁴: every
// weight and every partial sum is exact in float32.
const whole = 2048

// blend is how far beside another part each still holds the surface, metres.
var blend = [groups]float64{0.045, 0.045, 0.045, 0.045, 0.045, 0.045, 0.032, 0.032, 0.045, 0.045, 0.045}

// weigh gives every vertex its joints. Each part of the body answers its own
// joints along its length; where parts meet they share by their distances.
func (h *half) weigh(b *body) {
	f := field{solids: h.n.solids}
	for i, c := range h.n.cells {
		f.wide = h.n.blockOf(int(c[0]), int(c[1]), int(c[2])).wide
		x, y, z := h.pos[3*i], h.pos[3*i+1], h.pos[3*i+2]
		var d [groups]float64
		f.parts(x, y, z, &d)
		var w [joints]float64
		b.share(space.Vec{x, y, z}, &d, &w)
		keepFour(&w, h.joints[4*i:4*i+4], h.weight[4*i:4*i+4])
	}
}

// share adds up the weights of all joints at a point of the left half.
func (b *body) share(p space.Vec, d *[groups]float64, w *[joints]float64) {
	nearest, on := d[0], 0
	for g, v := range d {
		if v < nearest {
			nearest, on = v, g
		}
	}
	isLeg := func(g int) bool { return group(g) == leg || group(g) == boot }
	for g, v := range d {
		m := 1 - (v-nearest)/blend[g]
		if m <= 0 {
			continue
		}
		if isLeg(g) != isLeg(on) && p[1] < vault-0.1 {
			continue // cloth and leg hang side by side here, they do not join
		}
		m *= m
		switch group(g) {
		case coat, neckhead, scarf, hat:
			b.trunk(p, m, w)
		case arm, hand:
			// At the middle the trunk takes over, or a left joint would reach beyond it.
			own := m * ramp(p[0], 0.03, 0.03)
			w[chest] += m - own
			b.sleeve(p, own, w)
		case leg, boot:
			at := &b.at
			// Up in the hollow a leg begins as the coat it comes out of.
			own := m * ramp(vault-0.1-p[1], 0, 0.1)
			if p[1] > vault-0.1 {
				own *= ramp(p[0], 0.02, 0.02)
			}
			b.trunk(p, m-own, w)
			m = own
			s := ramp(at[lowerLegL][1]-p[1], 0, 0.1)
			f := ramp(at[footL][1]+0.03-p[1], 0, 0.055)
			t := ramp(p[2]-at[toesL][2]+0.01, 0, 0.045) * f
			w[upperLegL] += m * (1 - s)
			w[lowerLegL] += m * s * (1 - f)
			w[footL] += m * s * (f - t)
			w[toesL] += m * s * t
		case bar:
			w[yoke] += m
		case chain, lantern:
			b.hang(p, m, w)
		}
	}
}

// trunk shares between the joints of the middle by height. Below the hips the thigh
// carries its side of the skirt, not all of it: a coat hangs behind the knee.
func (b *body) trunk(p space.Vec, m float64, w *[joints]float64) {
	at := &b.at
	a := ramp(p[1], at[spine][1], 0.06)
	c := ramp(p[1], at[chest][1], 0.06)
	e := ramp(p[1], at[neck][1]+0.02, 0.035)
	f := ramp(p[1], at[head][1]+0.01, 0.037)
	thigh := 0.72 * ramp(at[upperLegL][1]-p[1], 0.12, 0.14)
	left, right := thigh*rise(p[0]), thigh*rise(-p[0])
	w[hips] += m * (1 - a) * (1 - left - right)
	w[upperLegL] += m * (1 - a) * left
	w[upperLegR] += m * (1 - a) * right
	w[spine] += m * a * (1 - c)
	w[chest] += m * c * (1 - e)
	w[neck] += m * e * (1 - f)
	w[head] += m * f
}

// rise is how much of the thigh's share a place beside the middle has: even, so that
// the cloth between two striding legs is drawn evenly.
func rise(x float64) float64 { return min(max((x+0.055)/0.3, 0), 1) }

// sleeve shares between the joints of the arm by the way along it.
func (b *body) sleeve(p space.Vec, m float64, w *[joints]float64) {
	s := p.Sub(b.at[upperArmL]).Dot(b.arm)
	u := ramp(s, 0, 0.07)
	e := ramp(s, upperArmLength, 0.09)
	h := ramp(s, upperArmLength+lowerArmLength, 0.035)
	w[shoulderL] += m * (1 - u)
	w[upperArmL] += m * u * (1 - e)
	w[lowerArmL] += m * e * (1 - h)
	w[handL] += m * h
}

// hang shares between the links of the chain by height.
func (b *body) hang(p space.Vec, m float64, w *[joints]float64) {
	rest := m
	for i := links - 1; i >= 0; i-- {
		part := rest * ramp(b.at[chainL+i][1]-p[1], 0, 0.011)
		w[chainL+i] += part
		rest -= part
	}
	w[yoke] += rest
}

// ramp rises from 0 to 1 within reach of the middle: smooth, so that no edge shows
// where a weight begins.
func ramp(v, middle, reach float64) float64 {
	t := (v - middle + reach) / (2 * reach)
	if t <= 0 {
		return 0
	}
	if t >= 1 {
		return 1
	}
	return t * t * (3 - 2*t)
}

// keepFour keeps the four strongest joints, less a small share so that the weakest
// fade out instead of breaking off, in steps that sum to exactly whole. What rounding
// leaves goes to the strongest joint of the middle, so that left and right stay
// equal at x = 0; without one, to the strongest.
func keepFour(w *[joints]float64, joint []uint8, weight []uint16) {
	const fade = 0.02 // of the whole
	sum := 0.0
	for _, v := range w {
		sum += v
	}
	var at [4]int
	var best [4]float64
	for j, v := range w {
		v = v/sum - fade
		if v <= 0 {
			continue
		}
		for k := range 4 {
			if v > best[k] {
				copy(at[k+1:], at[k:3])
				copy(best[k+1:], best[k:3])
				at[k], best[k] = j, v
				break
			}
		}
	}
	total := best[0] + best[1] + best[2] + best[3]
	rest := 0
	for k := 3; k >= 0; k-- {
		if best[k] > 0 && mirror(at[k]) == at[k] {
			rest = k
		}
	}
	left := whole
	for k := range 4 {
		n := int(best[k]/total*whole + 0.5)
		if k == rest || n == 0 {
			continue
		}
		joint[k], weight[k] = uint8(at[k]), uint16(n)
		left -= n
	}
	joint[rest], weight[rest] = uint8(at[rest]), uint16(left)
}
