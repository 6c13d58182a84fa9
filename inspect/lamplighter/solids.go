package lamplighter

import (
	"math"

	"rigloupe/inspect/space"
)

// group is a part of the body whose solids flow into each other. The order is the
// order in which the parts are joined.
type group uint8

const (
	coat group = iota
	arm
	neckhead
	scarf
	hat
	hand
	leg
	boot
	bar
	chain
	lantern
	groups
)

// Widths of the smooth unions, metres: inside a group, and of a group with those
// before it. Narrow ones keep a crease between coat and hat, cuff and hand.
var (
	within = [groups]float64{0.05, 0.014, 0.024, 0.012, 0.008, 0.018, 0.02, 0.008, 0.003, 0.006, 0.006}
	joined = [groups]float64{0, 0.05, 0.014, 0.008, 0.01, 0.012, 0.016, 0.008, 0.02, 0.008, 0.01}
)

// reachOf is how far beyond the nearest solid one of the group still changes the
// union: a union lowers distances by up to a quarter of its width for each solid,
// taken here as the whole width; and what it lowers may be joined once more.
func reachOf(g group) float64 {
	r := within[g] + joined[g]/2
	later := 0.0
	for _, k := range joined[g:] {
		later = max(later, k)
	}
	return r + later
}

type kind uint8

const (
	capsule kind = iota // tapered, z squeezed by squash
	skirt               // the coat below the waist
	disc                // upright cylinder of bulging side, brim, collar
	drum                // upright six-sided frustum
	link                // ring drawn out along y
	sole                // flat-soled capsule
	cone                // capsule with flat ends
)

// solid is one building block. Capsules run from a to b; the others stand on the
// middle a. r0 is the radius at a (drums, discs: at the top), r1 at b (bottom);
// tall is half the height.
type solid struct {
	kind     kind
	group    group
	a, b     space.Vec
	r0, r1   float64
	tall     float64
	squash   float64
	ab       space.Vec
	over     float64   // 1 ÷ |ab|²
	curl     float64   // brim: rise of the rim towards the sides, 1/m
	round    float64   // radius of the edges of discs and drums, inside the given sizes
	turned   bool      // link: lies across z instead of x
	steepest float64   // bound on how fast the distance changes
	reach    float64   // farther than the nearest solid by more, it changes nothing
	ball     space.Vec // a ball of radius size holds it
	size     float64
}

func (b *body) makeSolids() []solid {
	var s []solid
	at := &b.at
	add := func(x solid) {
		x.ab = x.b.Sub(x.a)
		if l := x.ab.Dot(x.ab); l > 0 {
			x.over = 1 / l
		}
		if x.squash == 0 {
			x.squash = 1
		}
		x.steepest = math.Sqrt(x.squash) * math.Sqrt(1+(x.r0-x.r1)*(x.r0-x.r1)*x.over)
		if x.kind != capsule && x.kind != sole {
			x.steepest = 1.25
		}
		if x.kind == skirt { // its folds are steep near the axis
			x.steepest = 1.7
		}
		x.reach = reachOf(x.group)
		x.ball, x.size = x.bound()
		s = append(s, x)
	}
	cap := func(g group, a, c space.Vec, r0, r1, squash float64) {
		add(solid{kind: capsule, group: g, a: a, b: c, r0: r0, r1: r1, squash: squash})
	}
	disk := func(g group, a space.Vec, top, bottom, tall, round, curl float64) {
		add(solid{kind: disc, group: g, a: a, r0: top - round, r1: bottom - round, tall: tall - round, round: round, curl: curl})
	}
	hex := func(a space.Vec, top, bottom, tall float64) {
		add(solid{kind: drum, group: lantern, a: a, r0: top, r1: bottom, tall: tall, round: 0.014})
	}

	// Coat: waist, chest, shoulders, skirt.
	cap(coat, space.Vec{0, 1.08, 0}, space.Vec{0, 1.17, 0}, 0.135, 0.131, 1.18)
	cap(coat, space.Vec{0, 1.17, 0}, space.Vec{0, 1.31, 0}, 0.131, 0.153, 1.2)
	cap(coat, space.Vec{-0.075, 1.36, -0.004}, space.Vec{0.075, 1.36, -0.004}, 0.102, 0.102, 1)
	cap(coat, space.Vec{-0.06, 1.44, -0.012}, space.Vec{0.06, 1.44, -0.012}, 0.066, 0.066, 1)
	add(solid{kind: skirt, group: coat, a: space.Vec{0, 1.25, 0}, b: space.Vec{0, 0.36, 0}, r0: 0.07, r1: 0.292, squash: 1.14})

	// Arm: shoulder, sleeve, cuff.
	along := func(d, up, ahead float64) space.Vec {
		return at[upperArmL].Add(b.arm.Mul(d)).Add(b.lift.Mul(up)).Add(space.Vec{0, 0, ahead})
	}
	cap(arm, space.Vec{0.06, 1.437, 0}, along(0, -0.004, 0), 0.062, 0.072, 1)
	cap(arm, along(0, -0.004, 0), at[lowerArmL], 0.072, 0.057, 1)
	cap(arm, at[lowerArmL], along(0.5, 0, 0), 0.057, 0.056, 1)
	add(solid{kind: cone, group: arm, a: along(0.455, 0, 0), b: along(0.54, 0, 0), r0: 0.062, r1: 0.074})

	// Mitten: wrist, palm, fingers, thumb.
	w := upperArmLength + lowerArmLength
	cap(hand, along(w-0.03, 0, 0), along(w+0.03, 0, 0), 0.036, 0.037, 1)
	cap(hand, along(w+0.045, -0.002, -0.02), along(w+0.13, -0.012, -0.014), 0.032, 0.024, 1)
	cap(hand, along(w+0.045, -0.002, 0.014), along(w+0.14, -0.012, 0.01), 0.032, 0.025, 1)
	cap(hand, along(w+0.012, -0.003, 0.03), along(w+0.058, -0.008, 0.1), 0.026, 0.018, 1)

	// Head: neck, skull, jaw, nose.
	cap(neckhead, space.Vec{0, 1.46, -0.012}, space.Vec{0, 1.59, 0}, 0.06, 0.056, 1)
	cap(neckhead, space.Vec{0, 1.652, -0.006}, space.Vec{0, 1.7, -0.008}, 0.087, 0.09, 0.95)
	cap(neckhead, space.Vec{0, 1.596, 0.032}, space.Vec{0, 1.65, 0.014}, 0.042, 0.072, 1)
	cap(neckhead, space.Vec{0, 1.675, 0.083}, space.Vec{0, 1.646, 0.104}, 0.011, 0.019, 1)

	// Scarf: a thick ring.
	disk(scarf, space.Vec{0, 1.518, 0.004}, 0.092, 0.108, 0.036, 0.024, 0)

	// Hat: brim, crown, band.
	disk(hat, space.Vec{0, 1.708, 0}, 0.182, 0.182, 0.012, 0.0115, 0.55)
	disk(hat, space.Vec{0, 1.784, -0.003}, 0.113, 0.095, 0.076, 0.012, 0)
	disk(hat, space.Vec{0, 1.734, -0.003}, 0.107, 0.107, 0.022, 0.008, 0)

	// Leg: thigh (inside the coat), shin; boot: shaft with a turned top, foot, heel.
	cap(leg, at[upperLegL].Sub(space.Vec{0.012, 0.14, 0}), at[lowerLegL], 0.052, 0.052, 1)
	cap(leg, at[lowerLegL], at[footL], 0.052, 0.047, 1)
	ankle := at[footL]
	add(solid{kind: cone, group: boot, a: ankle.Add(space.Vec{-0.002, 0.2, 0.01}), b: ankle, r0: 0.068, r1: 0.05})
	add(solid{kind: cone, group: boot, a: ankle.Add(space.Vec{-0.002, 0.205, 0.011}), b: ankle.Add(space.Vec{-0.002, 0.15, 0.009}), r0: 0.082, r1: 0.076})
	add(solid{kind: sole, group: boot, a: ankle.Add(space.Vec{0, -0.038, -0.014}), b: space.Vec{0.112, 0.04, 0.1}, r0: 0.056, r1: 0.05})
	add(solid{kind: sole, group: boot, a: space.Vec{0.112, 0.036, 0.09}, b: space.Vec{0.118, 0.03, 0.165}, r0: 0.052, r1: 0.038})

	// Yoke: over the shoulders behind the neck, bowed, its end drooping.
	last, thick := space.Vec{0, 1.503, -0.086}, 0.033
	const bows = 5
	for i := 1; i <= bows; i++ {
		t := float64(i) / bows
		next := space.Vec{b.yokeEnd[0] * t, 0, 0}
		next[1] = (1-t)*(1-t)*1.503 + 2*t*(1-t)*1.615 + t*t*b.yokeEnd[1]
		next[2] = (1-t)*(1-t)*-0.086 + 2*t*(1-t)*-0.13 + t*t*b.yokeEnd[2]
		to := 0.033 - 0.012*t
		cap(bar, last, next, thick, to, 1)
		last, thick = next, to
	}
	cap(bar, b.yokeEnd, b.yokeEnd.Add(space.Vec{0.016, -0.001, -0.001}), 0.025, 0.027, 1)

	// Chain: links in turn across x and z, sharing the bars where they meet.
	for i := range links {
		c := at[chainL+i].Sub(space.Vec{0, pitch / 2, 0})
		add(solid{kind: link, group: chain, a: c, r0: linkRadius, r1: linkWire, tall: pitch/2 - linkRadius, turned: i%2 == 0})
	}

	// Lantern: ring boss, cap, roof, body, foot, knob.
	l := at[chainL+links-1].Sub(space.Vec{0, pitch, 0})
	down := func(d float64) space.Vec { return l.Sub(space.Vec{0, d, 0}) }
	cap(lantern, down(0.002), down(0.022), 0.018, 0.026, 1)
	hex(down(0.06), 0.024, 0.118, 0.038)
	hex(down(0.102), 0.12, 0.116, 0.012)
	hex(down(0.172), 0.079, 0.06, 0.073)
	disk(lantern, down(0.243), 0.084, 0.088, 0.022, 0.016, 0)
	cap(lantern, down(0.258), down(0.276), 0.032, 0.017, 1)
	return s
}

// bound answers a ball that holds the solid.
func (s *solid) bound() (middle space.Vec, radius float64) {
	r := max(s.r0, s.r1)
	switch s.kind {
	case skirt:
		return s.a.Add(s.b).Mul(0.5), math.Hypot(s.ab.Len()/2+0.02, r+0.02)
	case disc, drum: // a drum's corners stand out by 2 ÷ √3; a brim curls
		return s.a, math.Hypot(s.tall+s.round, 1.16*(r+s.round)) + math.Abs(s.curl)*r*r
	case link:
		return s.a, s.tall + s.r0 + s.r1
	}
	return s.a.Add(s.b).Mul(0.5), math.Hypot(s.ab.Len()/2+r, r)
}

// lean is the least that any solid's distance grows, for each metre away from its
// ball: the side of a lantern's roof, which rises 0.6 m for 1 m.
const lean = 0.5

const (
	linkRadius = 0.0165 // of the middle line of the wire's bend
	linkWire   = 0.0082 // radius of the wire
)

// distance is how far a point is outside the solid, in metres; negative inside.
// Exact for plain capsules and links, a bound of the right sign for the others.
func (s *solid) distance(x, y, z float64) float64 {
	px, py, pz := x-s.a[0], y-s.a[1], z-s.a[2]
	switch s.kind {
	case capsule, sole:
		t := (px*s.ab[0] + py*s.ab[1] + pz*s.ab[2]) * s.over
		t = min(max(t, 0), 1)
		dx, dy, dz := px-s.ab[0]*t, py-s.ab[1]*t, (pz-s.ab[2]*t)*s.squash
		d := math.Sqrt(dx*dx+dy*dy+dz*dz) - (s.r0 + (s.r1-s.r0)*t)
		if s.squash > 1 {
			d /= math.Sqrt(s.squash)
		}
		if s.kind == sole { // a rounded cut, so high that the union of two ends at y = 0
			const k = 0.012
			e := 0.002 - y
			h := max(k-math.Abs(d-e), 0)
			return max(d, e) + h*h*(0.25/k)
		}
		return d
	case skirt:
		return s.skirt(px, y, pz)
	case disc:
		t := min(max(0.5-py/(2*s.tall), 0), 1)
		side := math.Sqrt(px*px+pz*pz) - (s.r0 + (s.r1-s.r0)*t)
		flat := math.Abs(py-s.curl*px*px+0.5*s.curl*pz*pz) - s.tall
		o, i := math.Sqrt(max(side, 0)*max(side, 0)+max(flat, 0)*max(flat, 0)), min(max(side, flat), 0)
		return (o+i)*0.95 - s.round
	case cone:
		t := (px*s.ab[0] + py*s.ab[1] + pz*s.ab[2]) * s.over
		end := (math.Abs(t-0.5) - 0.5) / math.Sqrt(s.over)
		t = min(max(t, 0), 1)
		q := (px*s.ab[0] + py*s.ab[1] + pz*s.ab[2]) * s.over
		dx, dy, dz := px-s.ab[0]*q, py-s.ab[1]*q, pz-s.ab[2]*q
		wall := math.Sqrt(dx*dx+dy*dy+dz*dz) - (s.r0 + (s.r1-s.r0)*t)
		const k = 0.012
		h := max(k-math.Abs(wall-end), 0)
		return max(wall, end) + h*h*(0.25/k)
	case drum:
		t := min(max(0.5-py/(2*s.tall), 0), 1)
		u, v := math.Abs(px), math.Abs(pz)
		side := max(u*0.8660254037844386+v*0.5, v) - (s.r0 + (s.r1-s.r0)*t)
		flat := math.Abs(py) - s.tall
		slope := (s.r1 - s.r0) / (2 * s.tall)
		side /= math.Sqrt(1 + slope*slope)
		h := max(s.round-math.Abs(side-flat), 0)
		return max(side, flat) + h*h*(0.25/s.round)
	}
	// link
	if s.turned {
		px, pz = pz, px
	}
	py -= min(max(py, -s.tall), s.tall)
	q := math.Sqrt(px*px+py*py) - s.r0
	return math.Sqrt(q*q+pz*pz) - s.r1
}

// vault is the height of the hollow under the coat, metres: thighs that turn from
// below there draw less on the cloth than from a flat underside at the hem.
const vault = 0.7

// smoothMax is smoothMin upside down.
func smoothMax(a, b, k float64) float64 { return -smoothMin(-a, -b, k) }

// skirt flares from the waist to the hem in eight soft folds, hollow underneath.
func (s *solid) skirt(x, y, z float64) float64 {
	t := min(max((s.a[1]-y)/(s.a[1]-s.b[1]), 0), 1)
	z *= s.squash
	r := math.Sqrt(x*x + z*z)
	c := 1.0
	if r > 1e-9 {
		c = z / r
	}
	c2 := 2*c*c - 1
	c4 := 2*c2*c2 - 1
	fold := 2*c4*c4 - 1 // cos of eight times the angle from the front
	edge := s.r0 + (s.r1-s.r0)*t*(1.22-0.22*t) + 0.014*t*t*fold
	side := (r - edge) * 0.86
	// The hem is rounded, the waist cut far inside the trunk.
	d := smoothMax(side, s.b[1]-y, 0.028)
	// The hollow: straight walls, narrower in z, and a round vault, where the legs begin.
	wall := (0.226 - 0.13*(y-s.b[1]) - math.Sqrt(x*x+1.3*z*z)) * 0.8
	hollow := -smoothMax(-wall, y-vault, 0.08)
	d = smoothMax(d, hollow, 0.02)
	return max(d, y-s.a[1]-0.02)
}
