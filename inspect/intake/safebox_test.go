package intake

import (
	"context"
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// A small player and skinner in float64, written from glTF 2.0 (Animations, Appendix C, Skins,
// Morph Targets) alone: nothing of package deform is in it.
type plainPlayer struct {
	r     *rig.Rig
	t, s  [][3]float64
	q     [][4]float64
	moves []bool // has keys: its matrix is that of t, q, s
	morph map[rig.Node][]float64
	world [][16]float64 // row-major
}

func times(a, b [16]float64) (out [16]float64) {
	for i := range 4 {
		for j := range 4 {
			for k := range 4 {
				out[4*i+j] += a[4*i+k] * b[4*k+j]
			}
		}
	}
	return out
}

func full(a rig.Affine) (out [16]float64) {
	copy(out[:12], a[:])
	out[15] = 1
	return out
}

func ofTRS(t [3]float64, q [4]float64, s [3]float64) [16]float64 {
	x, y, z, w := q[0], q[1], q[2], q[3]
	m := [9]float64{
		1 - 2*(y*y+z*z), 2 * (x*y - z*w), 2 * (x*z + y*w),
		2 * (x*y + z*w), 1 - 2*(x*x+z*z), 2 * (y*z - x*w),
		2 * (x*z - y*w), 2 * (y*z + x*w), 1 - 2*(x*x+y*y),
	}
	var out [16]float64
	for i := range 3 {
		for j := range 3 {
			out[4*i+j] = m[3*i+j] * s[j]
		}
		out[4*i+3] = t[i]
	}
	out[15] = 1
	return out
}

// value is one channel at a time.
func value(c *rig.Channel, at float64) []float64 {
	n, w := len(c.Times), c.Width
	part := w
	if c.Interpolation == rig.Cubic {
		part = 3 * w
	}
	key := func(k, of int) (out []float64) { // of: 0 in-tangent, 1 value, 2 out-tangent
		from := part * k
		if part > w {
			from += of * w
		}
		for i := range w {
			out = append(out, float64(c.Values[from+i]))
		}
		return out
	}
	unit := func(q []float64) []float64 {
		if c.Path == rig.Rotation {
			l := math.Sqrt(q[0]*q[0] + q[1]*q[1] + q[2]*q[2] + q[3]*q[3])
			for i := range q {
				q[i] /= l
			}
		}
		return q
	}
	if at <= float64(c.Times[0]) {
		return unit(key(0, 1))
	}
	if at >= float64(c.Times[n-1]) {
		return unit(key(n-1, 1))
	}
	k := 0
	for float64(c.Times[k+1]) <= at {
		k++
	}
	span := float64(c.Times[k+1]) - float64(c.Times[k])
	u := (at - float64(c.Times[k])) / span
	a, b := key(k, 1), key(k+1, 1)
	switch {
	case c.Interpolation == rig.Step:
		return unit(a)
	case c.Interpolation == rig.Cubic:
		p, q := key(k, 2), key(k+1, 0)
		for i := range a {
			a[i] = (2*u*u*u-3*u*u+1)*a[i] + span*(u*u*u-2*u*u+u)*p[i] + (-2*u*u*u+3*u*u)*b[i] + span*(u*u*u-u*u)*q[i]
		}
		return unit(a)
	case c.Path == rig.Rotation:
		a, b = unit(a), unit(b)
		dot := 0.
		for i := range a {
			dot += a[i] * b[i]
		}
		sign := 1.
		if dot < 0 {
			dot, sign = -dot, -1
		}
		if angle := math.Acos(min(1, dot)); angle > 1e-6 {
			for i := range a {
				a[i] = (math.Sin((1-u)*angle)*a[i] + sign*math.Sin(u*angle)*b[i]) / math.Sin(angle)
			}
			return unit(a)
		}
		return a
	}
	for i := range a {
		a[i] += u * (b[i] - a[i])
	}
	return a
}

func newPlain(r *rig.Rig) *plainPlayer {
	p := &plainPlayer{r: r, t: make([][3]float64, len(r.Nodes)), s: make([][3]float64, len(r.Nodes)), q: make([][4]float64, len(r.Nodes)), world: make([][16]float64, len(r.Nodes))}
	p.pose(nil, 0)
	return p
}

// pose sets all matrices for a clip's channels at a time; nil: at rest.
func (p *plainPlayer) pose(channels []rig.Channel, at float64) {
	p.moves, p.morph = make([]bool, len(p.r.Nodes)), map[rig.Node][]float64{}
	for n := range p.r.Nodes {
		d := &p.r.Nodes[n]
		p.t[n], p.q[n], p.s[n] = d.T, d.R, d.S
	}
	for i := range channels {
		c := &channels[i]
		if c.Node < 0 || len(c.Times) == 0 {
			continue
		}
		v := value(c, at)
		switch c.Path {
		case rig.Translation:
			p.t[c.Node] = [3]float64(v)
		case rig.Scale:
			p.s[c.Node] = [3]float64(v)
		case rig.Rotation:
			p.q[c.Node] = [4]float64(v)
		default:
			p.morph[c.Node] = v
			continue
		}
		p.moves[c.Node] = true
	}
	var down func(n rig.Node, up [16]float64)
	down = func(n rig.Node, up [16]float64) {
		own := full(p.r.Nodes[n].Matrix)
		if p.moves[n] {
			own = ofTRS(p.t[n], p.q[n], p.s[n])
		}
		p.world[n] = times(up, own)
		for _, c := range p.r.Nodes[n].Children {
			down(c, p.world[n])
		}
	}
	for n := range p.r.Nodes {
		if p.r.Nodes[n].Parent < 0 {
			down(rig.Node(n), full(rig.Identity))
		}
	}
}

// hold widens a box by all vertices that triangles use of a surface in the present pose.
func (p *plainPlayer) hold(surface rig.Surface, low, high *[3]float64) {
	m := &p.r.Meshes[surface.Mesh]
	weights := m.Morph
	if w := p.r.Nodes[surface.Node].Weights; w != nil {
		weights = w
	}
	morph := make([]float64, len(m.Targets))
	for i := range morph {
		if i < len(weights) {
			morph[i] = float64(weights[i])
		}
	}
	if v := p.morph[surface.Node]; v != nil {
		morph = v
	}
	var palette [][16]float64
	if surface.Skin >= 0 {
		s := &p.r.Skins[surface.Skin]
		for j, n := range s.Joints {
			palette = append(palette, times(p.world[n], full(s.Bind[j])))
		}
	}
	for v := range m.Vertices() {
		x := [4]float64{float64(m.Positions[3*v]), float64(m.Positions[3*v+1]), float64(m.Positions[3*v+2]), 1}
		for k := range m.Targets {
			if list := m.Targets[k].Positions; len(list) > 0 && k < len(morph) {
				for c := range 3 {
					x[c] += morph[k] * float64(list[3*v+c])
				}
			}
		}
		by := p.world[surface.Node]
		if palette != nil && m.K > 0 {
			by = [16]float64{}
			for k := m.K * v; k < m.K*(v+1); k++ {
				if w := float64(m.Weights[k]); w != 0 {
					for i, y := range palette[m.Joints[k]] {
						by[i] += w * y
					}
				}
			}
		}
		for c := range 3 {
			y := by[4*c]*x[0] + by[4*c+1]*x[1] + by[4*c+2]*x[2] + by[4*c+3]*x[3]
			low[c], high[c] = min(low[c], y), max(high[c], y)
		}
	}
}

// The safe box of the whole figure holds all that is shown, with a skin or without, at every
// key of every channel of every clip, worked out by a player of the test's own; and it is no
// more than so many times as large as the least such box: measured once, and held.
func TestSafeBoxAgainstAnotherPlayer(t *testing.T) {
	for _, x := range []struct {
		file string
		most float64 // × the volume of the least box
	}{{"Knight.glb", 1.25}, {"robot.glb", 1.25}, {"Fox.glb", 1.7}, {"cesium_man.gltf", 1.1}, {"rigged_simple.gltf", 1.05}} {
		t.Run(x.file, func(t *testing.T) {
			r := checktest.Named(t, x.file)
			f, err := Measure(context.Background(), exam.New(r))
			if err != nil {
				t.Fatal(err)
			}
			if f.Safe.Min == nil {
				t.Fatal("no safe box")
			}
			inf := math.Inf(1)
			low, high := [3]float64{inf, inf, inf}, [3]float64{-inf, -inf, -inf}
			p, shown := newPlain(r), r.IsShown()
			for _, s := range r.Surfaces {
				if shown[s.Node] {
					p.hold(s, &low, &high)
				}
			}
			for c := range r.Clips {
				var at []float64
				for i := range r.Clips[c].Channels {
					for _, k := range r.Clips[c].Channels[i].Times {
						at = append(at, float64(k))
					}
				}
				slices.Sort(at)
				at = slices.Compact(at)
				if step := len(at)/40 + 1; step > 1 { // a clip's forty moments
					var some []float64
					for i := 0; i < len(at); i += step {
						some = append(some, at[i])
					}
					at = append(some, at[len(at)-1])
				}
				for _, moment := range at {
					p.pose(r.Clips[c].Channels, moment)
					for _, s := range r.Surfaces {
						if shown[s.Node] {
							p.hold(s, &low, &high)
						}
					}
				}
			}
			size, truth, safe := 0., 1., 1.
			for c := range 3 {
				size = max(size, high[c]-low[c])
				truth, safe = truth*(high[c]-low[c]), safe*(f.Safe.Max[c]-f.Safe.Min[c])
			}
			for c := range 3 {
				if out := max(f.Safe.Min[c]-low[c], high[c]-f.Safe.Max[c]); out > 1e-3*size {
					t.Errorf("axis %d: %.4g to %.4g reaches %.3g m out of %.4g to %.4g", c, low[c], high[c], out, f.Safe.Min[c], f.Safe.Max[c])
				}
			}
			t.Logf("%.3f times the least box, %v to %v", safe/truth, low, high)
			if safe > x.most*truth {
				t.Errorf("%.3f times as large as the least box", safe/truth)
			}
		})
	}
}
