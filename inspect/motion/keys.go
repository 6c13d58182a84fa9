package motion

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Tolerances below which nothing moves: a hundredth of a degree, a hundred
// thousandth of the figure's diagonal, a hundred thousandth of a scale (common
// practice, no source).
const (
	stillDegrees = 0.01
	stillShare   = 1e-5
	stillScale   = 1e-5
)

// keyed is what the keys of one channel tell by themselves.
type keyed struct {
	channel int
	node    rig.Node
	path    rig.Path
	keys    int
	width   int
	differ  bool    // some key differs from the first by at least a bit, or a tangent is not 0
	moves   bool    // by more than the tolerances
	offRest float64 // first key against rest: degrees, metres or scale
	atRest  bool    // all keys are the rest value, within the tolerances
	close   float64 // last key against the first: degrees, metres or scale
	reach   float64 // farthest key from the first: the same

	flips       int     // neighbouring keys whose product is negative
	flipDegrees float64 // largest true angle there
	flipTime    float64
	opposite    int // neighbouring keys 170° or more apart
	wide        float64
	wideTime    float64
	offUnit     float64 // largest error of a rotation key's length
	offUnitTime float64
	speed       float64 // largest between neighbouring keys: °/s or m/s
	speedTime   float64
	offOne      float64 // largest |scale − 1|
}

// at is where key k of a channel stands in Values.
func at(c *rig.Channel, k int) int {
	if c.Interpolation == rig.Cubic {
		return (3*k + 1) * c.Width
	}
	return k * c.Width
}

// rotationOf is rotation key k as it is stored, vectorOf a translation's or scale's.
func rotationOf(c *rig.Channel, k int) space.Quat {
	v := c.Values[at(c, k) : at(c, k)+4]
	return space.FromXYZW([4]float64{float64(v[0]), float64(v[1]), float64(v[2]), float64(v[3])})
}

func vectorOf(c *rig.Channel, k int) space.Vec { return space.At(c.Values[at(c, k):], 0) }

// usable tells that a channel moves something and has a value for each key.
func usable(r *rig.Rig, c *rig.Channel) bool {
	if c.Node < 0 || int(c.Node) >= len(r.Nodes) || len(c.Times) == 0 || c.Width <= 0 {
		return false
	}
	per := c.Width
	if c.Interpolation == rig.Cubic {
		per *= 3
	}
	switch c.Path {
	case rig.Rotation:
		if c.Width != 4 {
			return false
		}
	case rig.Translation, rig.Scale:
		if c.Width != 3 {
			return false
		}
	}
	return len(c.Values) >= per*len(c.Times)
}

// readKeys goes once over the keys of a channel. No angle is worked out but where
// it may be the largest.
func (f *figure) readKeys(channel int, c *rig.Channel) keyed {
	k := keyed{channel: channel, node: c.Node, path: c.Path, keys: len(c.Times), width: c.Width}
	switch c.Path {
	case rig.Rotation:
		f.readTurns(c, &k)
	case rig.Translation:
		f.readPlaces(c, &k)
	default:
		f.readNumbers(c, &k)
	}
	if c.Interpolation == rig.Cubic {
		for i := range k.keys {
			for x := range c.Width {
				if c.Values[3*i*c.Width+x] != 0 || c.Values[(3*i+2)*c.Width+x] != 0 {
					k.differ, k.moves, k.atRest = true, true, false
				}
			}
		}
	}
	return k
}

// turn is the angle in degrees that belongs to the shorter distance of two unit
// quaternions, squared: |a−b| = 2·sin(angle/4).
func turn(square float64) float64 {
	return 4 * math.Asin(min(1, math.Sqrt(square)/2)) * 180 / math.Pi
}

// nearer is the square of the shorter of |a−b| and |a+b|, and whether that is the
// second: whether the product of the two is negative.
func nearer(a, b *space.Quat) (square float64, flipped bool) {
	x, y, z, w := a.V[0]-b.V[0], a.V[1]-b.V[1], a.V[2]-b.V[2], a.W-b.W
	minus := x*x + y*y + z*z + w*w
	x, y, z, w = a.V[0]+b.V[0], a.V[1]+b.V[1], a.V[2]+b.V[2], a.W+b.W
	plus := x*x + y*y + z*z + w*w
	if plus < minus {
		return plus, true
	}
	return minus, false
}

// cut is the shortest time between keys that counts as a move: nearer ones are a
// cut to another pose.
const cut = 1e-3

func (f *figure) readTurns(c *rig.Channel, k *keyed) {
	rest := space.FromXYZW(f.r.Nodes[c.Node].R)
	var first, last space.Quat
	moved, offRest, oppositeSquare := 0.0, 0.0, 4*math.Pow(math.Sin(170.0/4*math.Pi/180), 2)
	for i := range k.keys {
		v := at(c, i)
		q := rotationOf(c, i)
		l := math.Sqrt(q.V[0]*q.V[0] + q.V[1]*q.V[1] + q.V[2]*q.V[2] + q.W*q.W)
		if off := math.Abs(l - 1); off > k.offUnit {
			k.offUnit, k.offUnitTime = off, float64(c.Times[i])
		}
		if !(l > 0) {
			q, l = space.Still(), 1
		}
		q.V[0], q.V[1], q.V[2], q.W = q.V[0]/l, q.V[1]/l, q.V[2]/l, q.W/l
		if i == 0 {
			first = q
			s, _ := nearer(&q, &rest)
			offRest, k.offRest = s, turn(s)
		} else {
			k.differ = k.differ || c.Values[v] != c.Values[at(c, 0)] || c.Values[v+1] != c.Values[at(c, 0)+1] ||
				c.Values[v+2] != c.Values[at(c, 0)+2] || c.Values[v+3] != c.Values[at(c, 0)+3]
			s, _ := nearer(&q, &first)
			moved = max(moved, s)
			s, _ = nearer(&q, &rest)
			offRest = max(offRest, s)
			f.step(c, k, i, &last, &q, oppositeSquare)
		}
		last = q
	}
	s, _ := nearer(&last, &first)
	k.close, k.reach = turn(s), turn(moved)
	k.moves = k.reach > stillDegrees
	k.atRest = turn(offRest) <= stillDegrees
}

// step compares a rotation key with the one before it.
func (f *figure) step(c *rig.Channel, k *keyed, i int, a, b *space.Quat, oppositeSquare float64) {
	s, flipped := nearer(a, b)
	time := float64(c.Times[i-1])
	if flipped && c.Interpolation != rig.Step {
		k.flips++
		if angle := turn(s); angle > k.flipDegrees || k.flips == 1 {
			k.flipDegrees, k.flipTime = angle, time
		}
	}
	if c.Interpolation == rig.Step {
		return
	}
	if s >= oppositeSquare {
		k.opposite++
		if angle := turn(s); angle > k.wide {
			k.wide, k.wideTime = angle, time
		}
	}
	dt := float64(c.Times[i]) - time
	if dt < cut {
		return
	}
	// An angle is at most π/√2 times the distance, so most need no arc sine.
	const most = math.Pi / math.Sqrt2 * 180 / math.Pi
	if d := math.Sqrt(s); most*d > k.speed*dt {
		if v := turn(s) / dt; v > k.speed {
			k.speed, k.speedTime = v, time
		}
	}
}

func (f *figure) readPlaces(c *rig.Channel, k *keyed) {
	rest, scale := f.r.Nodes[c.Node].T, f.scale[c.Node]
	var first, last space.Vec
	moved, offRest := 0.0, 0.0
	for i := range k.keys {
		p := vectorOf(c, i)
		offRest = max(offRest, p.Sub(rest).Len())
		if i == 0 {
			first = p
			k.offRest = p.Sub(rest).Len() * scale
		} else {
			k.differ = k.differ || p != first
			moved = max(moved, p.Sub(first).Len())
			if dt := float64(c.Times[i]) - float64(c.Times[i-1]); dt >= cut && c.Interpolation != rig.Step {
				if s := p.Sub(last).Len() * scale / dt; s > k.speed {
					k.speed, k.speedTime = s, float64(c.Times[i-1])
				}
			}
		}
		last = p
	}
	k.close, k.reach = last.Sub(first).Len()*scale, moved*scale
	k.moves = k.reach > stillShare*f.diagonal
	k.atRest = offRest*scale <= stillShare*f.diagonal
}

// readNumbers is for scales and morph weights.
func (f *figure) readNumbers(c *rig.Channel, k *keyed) {
	k.atRest = true
	var rest []float32
	if c.Path == rig.Weights {
		node := &f.r.Nodes[c.Node]
		if rest = node.Weights; rest == nil && node.Mesh >= 0 {
			rest = f.r.Meshes[node.Mesh].Morph
		}
	}
	for i := range k.keys {
		v := at(c, i)
		for x := range c.Width {
			value, first := float64(c.Values[v+x]), float64(c.Values[at(c, 0)+x])
			still := 0.0
			if c.Path == rig.Scale {
				still = f.r.Nodes[c.Node].S[x]
				k.offOne = max(k.offOne, math.Abs(value-1))
			} else if x < len(rest) {
				still = float64(rest[x])
			}
			off := math.Abs(value - still)
			k.atRest = k.atRest && off <= stillScale
			if i == 0 {
				k.offRest = max(k.offRest, off)
			}
			k.differ = k.differ || value != first
			k.reach = max(k.reach, math.Abs(value-first))
			if i == k.keys-1 {
				k.close = max(k.close, math.Abs(value-first))
			}
		}
	}
	k.moves = k.reach > stillScale
}
