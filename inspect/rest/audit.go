package rest

import (
	"math"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
)

// At is a moment of a clip; Clip None: the rest pose.
type At struct {
	Clip    rig.Clip `json:"clip"`
	Seconds float64  `json:"seconds"`
}

// Moments spreads so many moments evenly over each clip, first and last keyframe among
// them, most in all: of very many clips each gets fewer, three at least.
func Moments(r *rig.Rig, each, most int) (out []At) {
	clips := 0
	for i := range r.Clips {
		if len(r.Clips[i].Channels) > 0 {
			clips++
		}
	}
	if clips > 0 {
		each = max(3, min(each, most/clips))
	}
	for i := range r.Clips {
		c := &r.Clips[i]
		if len(c.Channels) == 0 {
			continue
		}
		n := each
		if !(c.Seconds > c.Start) {
			n = 1
		}
		for k := range n {
			at := c.Start
			if n > 1 {
				at += (c.Seconds - c.Start) * float64(k) / float64(n-1)
			}
			out = append(out, At{rig.Clip(i), at})
		}
	}
	return out
}

// Price is how far a figure is from what it was, over the moments of one clip.
type Price struct {
	Clip    rig.Clip   `json:"clip"`
	Worst   float64    `json:"worst_m"` // the farthest vertex at its worst moment, metres, world
	Seconds float64    `json:"seconds"` // that moment
	Surface int        `json:"surface"`
	Vertex  rig.Vertex `json:"vertex"`
	Over    int        `json:"over"` // vertices that are over a limit at some moment
	Mean    float64    `json:"mean_m"`
}

// Audit plays two rigs of the same nodes, surfaces and vertices by linear blend skinning
// and answers for each clip how far they part. limit, metres, is for Over. Vertices that
// have no finite place in either are left out.
func Audit(was, is *rig.Rig, moments []At, limit float64) (out []Price) {
	a, b := newPlayer(was), newPlayer(is)
	var over [][]bool
	sum, count := 0.0, 0
	finish := func() {
		if n := len(out); n > 0 && count > 0 {
			out[n-1].Mean = sum / float64(count)
		}
		sum, count = 0, 0
	}
	for _, m := range moments {
		if len(out) == 0 || out[len(out)-1].Clip != m.Clip {
			finish()
			out = append(out, Price{Clip: m.Clip, Seconds: m.Seconds, Surface: rig.None, Vertex: rig.None})
			over = make([][]bool, len(was.Surfaces))
		}
		p := &out[len(out)-1]
		a.to(m)
		b.to(m)
		for s := range was.Surfaces {
			x, y := a.place(s), b.place(s)
			if over[s] == nil {
				over[s] = make([]bool, len(x)/3)
			}
			for v := 0; v+2 < len(x) && v+2 < len(y); v += 3 {
				dx, dy, dz := float64(x[v])-float64(y[v]), float64(x[v+1])-float64(y[v+1]), float64(x[v+2])-float64(y[v+2])
				d := math.Sqrt(dx*dx + dy*dy + dz*dz)
				if d-d != 0 {
					continue
				}
				sum += d
				count++
				if d > p.Worst {
					p.Worst, p.Seconds, p.Surface, p.Vertex = d, m.Seconds, s, rig.Vertex(v/3)
				}
				if d > limit && !over[s][v/3] {
					over[s][v/3] = true
					p.Over++
				}
			}
		}
	}
	finish()
	return out
}

// player shows one rig moment by moment.
type player struct {
	r         *rig.Rig
	pose      *deform.Pose
	deformers []*deform.Deformer
	out       [][]float32
}

func newPlayer(r *rig.Rig) *player {
	p := &player{r: r, pose: deform.NewPose(r), deformers: make([]*deform.Deformer, len(r.Surfaces)), out: make([][]float32, len(r.Surfaces))}
	for s := range r.Surfaces {
		p.deformers[s] = deform.NewDeformer(r, s)
		p.out[s] = make([]float32, len(r.Meshes[r.Surfaces[s].Mesh].Positions))
	}
	return p
}

func (p *player) to(m At) {
	if m.Clip < 0 {
		p.pose.Rest()
	} else {
		p.pose.Sample(m.Clip, m.Seconds)
	}
}

func (p *player) place(surface int) []float32 {
	p.deformers[surface].Apply(p.pose, deform.Linear, p.out[surface], nil, nil, nil)
	return p.out[surface]
}

// Seen is where a rig's vertices are in a pose of it: 3·V a surface, world, metres.
func Seen(r *rig.Rig, pose *Pose) [][]float32 {
	p := newPlayer(r)
	copy(p.pose.World, pose.World)
	for s := range p.out {
		p.place(s)
	}
	return p.out
}
