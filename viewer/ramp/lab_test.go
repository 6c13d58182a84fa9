package ramp

import "math"

// The arithmetic of the tests below. sRGB by IEC 61966-2-1, CIELAB by CIE
// 15:2004 with the D65 white of sRGB, ΔE by CIEDE2000 (Sharma, Wu and Dalal
// 2005), colour vision by Machado, Oliveira and Fernandes 2009, severity 1.0.

type lab struct{ l, a, b float64 }

func toLinear(c uint32) (v [3]float64) {
	for i := range v {
		x := float64(c>>(8*i)&255) / 255
		if x <= .04045 {
			v[i] = x / 12.92
		} else {
			v[i] = math.Pow((x+.055)/1.055, 2.4)
		}
	}
	return v
}

func luminance(c uint32) float64 {
	v := toLinear(c)
	return .2126*v[0] + .7152*v[1] + .0722*v[2]
}

// contrast is WCAG 2.2's ratio.
func contrast(a, b uint32) float64 {
	x, y := luminance(a)+.05, luminance(b)+.05
	return max(x, y) / min(x, y)
}

var visions = []struct {
	name string
	m    [9]float64
}{
	{"normal", [9]float64{1, 0, 0, 0, 1, 0, 0, 0, 1}},
	{"protan", [9]float64{.152286, 1.052583, -.204868, .114503, .786281, .099216, -.003882, -.048116, 1.051998}},
	{"deutan", [9]float64{.367322, .860646, -.227968, .280085, .672501, .047413, -.011820, .042940, .968881}},
	{"tritan", [9]float64{1.255528, -.076749, -.178779, -.078411, .930809, .147602, .004733, .691367, .303900}},
}

func seen(c uint32, m *[9]float64) lab {
	v := toLinear(c)
	var s [3]float64
	for i := range s {
		s[i] = min(1, max(0, m[3*i]*v[0]+m[3*i+1]*v[1]+m[3*i+2]*v[2]))
	}
	f := func(t float64) float64 {
		if t > 216./24389 {
			return math.Cbrt(t)
		}
		return (24389./27*t + 16) / 116
	}
	x := f((.4124564*s[0] + .3575761*s[1] + .1804375*s[2]) / .95047)
	y := f(.2126729*s[0] + .7151522*s[1] + .0721750*s[2])
	z := f((.0193339*s[0] + .1191920*s[1] + .9503041*s[2]) / 1.08883)
	return lab{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

func ciede2000(p, q lab) float64 {
	rad := math.Pi / 180
	c1, c2 := math.Hypot(p.a, p.b), math.Hypot(q.a, q.b)
	m7 := math.Pow((c1+c2)/2, 7)
	g := .5 * (1 - math.Sqrt(m7/(m7+6103515625)))
	a1, a2 := p.a*(1+g), q.a*(1+g)
	c1, c2 = math.Hypot(a1, p.b), math.Hypot(a2, q.b)
	angle := func(b, a float64) float64 {
		if a == 0 && b == 0 {
			return 0
		}
		return math.Mod(math.Atan2(b, a)/rad+360, 360)
	}
	h1, h2 := angle(p.b, a1), angle(q.b, a2)
	dh, hm := h2-h1, h1+h2
	switch {
	case c1*c2 == 0:
		dh = 0
	case math.Abs(dh) <= 180:
		hm /= 2
	case hm < 360:
		hm = (hm + 360) / 2
	default:
		hm = (hm - 360) / 2
	}
	if dh > 180 {
		dh -= 360
	} else if dh < -180 {
		dh += 360
	}
	dl, dc := q.l-p.l, c2-c1
	dH := 2 * math.Sqrt(c1*c2) * math.Sin(dh/2*rad)
	lm, cm := (p.l+q.l)/2-50, (c1+c2)/2
	t := 1 - .17*math.Cos((hm-30)*rad) + .24*math.Cos(2*hm*rad) + .32*math.Cos((3*hm+6)*rad) - .2*math.Cos((4*hm-63)*rad)
	m7 = math.Pow(cm, 7)
	turn := 60 * rad * math.Exp(-math.Pow((hm-275)/25, 2))
	rt := -math.Sin(turn) * 2 * math.Sqrt(m7/(m7+6103515625))
	sl, sc, sh := 1+.015*lm*lm/math.Sqrt(20+lm*lm), 1+.045*cm, 1+.015*cm*t
	return math.Sqrt(dl/sl*dl/sl + dc/sc*dc/sc + dH/sh*dH/sh + rt*dc/sc*dH/sh)
}
