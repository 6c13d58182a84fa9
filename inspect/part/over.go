package part

import (
	"math"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Over is the surface that a part is laid over.
type Over struct {
	Points    []float32 // 3·P
	Triangles []uint32  // 3·T

	surface *geom.Triangles
	winding *geom.Windings
	size    float64 // diagonal of its box, metres
}

// NewOver keeps both slices.
func NewOver(points []float32, triangles []uint32, watch *geom.Watch) *Over {
	surface := geom.NewTriangles(points, triangles)
	return &Over{points, triangles, surface, surface.Windings(watch), geom.BoxOf(points).Diagonal()}
}

const (
	// half of a turn round a place parts inside from outside (Jacobson, Kavan,
	// Sorkine-Hornung 2013): so open and crossing surfaces have an inside, too.
	half = 0.5
	// doubt is how near to half the quick answer, which is within 0.02, is not trusted.
	doubt = 0.03
)

// Inside is how often the surface goes round a place, within 0.02, exact about a half. One
// that is wound inside out counts alike.
func (o *Over) Inside(p space.Vec) float64 {
	w := math.Abs(o.winding.At(p))
	if math.Abs(w-half) < doubt {
		w = math.Abs(geom.Winding(o.Points, o.Triangles, p))
	}
	return w
}

// Fields answers for every place (3·V) how far it is off the surface, metres, below 0
// inside, and how often the surface goes round it. Without a surface both are 0.
func (o *Over) Fields(points []float32) (gap, inside []float32) {
	n := len(points) / 3
	gap, inside = make([]float32, n), make([]float32, n)
	for v := range n {
		p := space.At(points, v)
		hit, ok := o.surface.Closest(p, math.Inf(1))
		if !ok || !space.Finite(p) {
			continue
		}
		w := o.Inside(p)
		gap[v], inside[v] = float32(hit.Distance), float32(w)
		if w > half {
			gap[v] = -gap[v]
		}
	}
	return gap, inside
}

// Deepest answers the place that lies deepest under the surface, −1 where none does, and how
// deep, metres.
func (o *Over) Deepest(points []float32) (place int, depth float64) {
	place = -1
	for v := range len(points) / 3 {
		p := space.At(points, v)
		if !space.Finite(p) {
			continue
		}
		// What the surface comes as near to as to the deepest so far is soon told; then
		// inside or not costs less than how far.
		if _, near := o.surface.Closest(p, depth); near || o.Inside(p) <= half {
			continue
		}
		if hit, ok := o.surface.Closest(p, math.Inf(1)); ok && hit.Distance > depth {
			place, depth = v, hit.Distance
		}
	}
	return place, depth
}

// standsOff is how far, of the surface's diagonal, what came out is off it.
const standsOff = 5e-4

// Out moves the places (3·V, in place) that lie under the surface out of it, each by its depth
// along the way to the nearest point, and a little farther; those deeper than most, metres,
// stay. moved tells which; left counts those that stay inside.
func (o *Over) Out(points []float32, most float64) (moved []bool, left int) {
	moved = make([]bool, len(points)/3)
	for v := range moved {
		p := space.At(points, v)
		if !space.Finite(p) {
			continue
		}
		hit, ok := o.surface.Closest(p, math.Inf(1))
		if !ok || hit.Distance == 0 || o.Inside(p) <= half {
			continue
		}
		way := hit.Point.Sub(p)
		far := way.Len() + standsOff*o.size
		if far > most {
			left++
			continue
		}
		q := p.Add(way.Mul(far / way.Len()))
		points[3*v], points[3*v+1], points[3*v+2] = float32(q[0]), float32(q[1]), float32(q[2])
		moved[v] = true
	}
	return moved, left
}

const (
	// leans is how far the ways round the normal lean from it: all of them must meet what
	// covers a place, so that what shows at a collar or a cuff stays.
	leans = 40 * math.Pi / 180
	ways  = 6 // round the normal
	// reach of a cover off what it covers, of the surface's diagonal.
	reach = 0.08
)

// Covered tells of every place of the surface whether others (3·T of points) stand over it, no
// nearer than deep, metres: straight out of it and all round.
func (o *Over) Covered(points []float32, triangles []uint32, deep float64) []bool {
	out := make([]bool, len(o.Points)/3)
	cover := geom.NewTriangles(points, triangles)
	normal := normals(o.Points, o.Triangles)
	far := reach * o.size
	if !(far > 0) {
		return out
	}
	for v := range out {
		p, n := space.At(o.Points, v), space.At(normal, v)
		if n.Len() == 0 || !space.Finite(p) {
			continue
		}
		x := space.Square(n)
		y := n.Cross(x)
		least := math.Inf(1)
		meets := func(way space.Vec) bool {
			near := math.Inf(1)
			cover.Pass(p, p.Add(way.Mul(far)), func(_ int, share float64) bool {
				near = min(near, share*far)
				return true
			})
			least = min(least, near)
			return !math.IsInf(near, 1)
		}
		covered := meets(n)
		for k := 0; k < ways && covered; k++ {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / ways)
			covered = meets(n.Mul(math.Cos(leans)).Add(x.Mul(cos * math.Sin(leans))).Add(y.Mul(sin * math.Sin(leans))))
		}
		out[v] = covered && least >= deep
	}
	return out
}

// normals of places, unit or zero: sums over triangles, larger ones counting more.
func normals(points []float32, triangles []uint32) []float32 {
	out := make([]float32, len(points))
	for t := 0; t+2 < len(triangles); t += 3 {
		a := space.At(points, triangles[t])
		n := space.At(points, triangles[t+1]).Sub(a).Cross(space.At(points, triangles[t+2]).Sub(a))
		for _, v := range triangles[t : t+3] {
			for k := range 3 {
				out[3*int(v)+k] += float32(n[k])
			}
		}
	}
	for v := range len(out) / 3 {
		n := space.Direction(space.At(out, v))
		for k := range 3 {
			out[3*v+k] = float32(n[k])
		}
	}
	return out
}
