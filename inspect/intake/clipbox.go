package intake

import (
	"context"
	"math"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Safe is one box that holds all shown surfaces in every clip, those without a skin
// as well. It is larger than it must be: each joint carries the box of the vertices it
// moves, and a vertex of several joints lies between the places those would put it.
type Safe struct {
	Min     *space.Vec `json:"min"` // null: no surface, or no clip
	Max     *space.Vec `json:"max"`
	Moments int        `json:"moments"` // looked at, over all clips

	Surfaces []Sweep `json:"surfaces" wire:"null"`
}

// Sweep is the box of one surface over all clips.
type Sweep struct {
	At      int      `json:"surface"` // place in Facts.PerSurface
	Box     geom.Box `json:"-"`
	Stiff   bool     `json:"stiff"`   // follows its node, and a player's box with it: nothing of it is outside
	Outside float64  `json:"outside"` // share of Box outside the player's box
	Clip    rig.Clip `json:"clip"`    // the one that leaves it farthest
	Share   float64  `json:"share"`   // of that clip alone
}

// momentsAClip limits how many moments of one clip are looked at, ends included.
// A body turns a few degrees between neighbours of so many.
const momentsAClip = 128

// clips fills Safe.
func (f *Facts) clips(ctx context.Context, e *exam.Exam) error {
	s := newSweeper(e, f)
	if len(s.carriers) == 0 || len(e.Rig.Clips) == 0 {
		return nil
	}
	total := len(e.Rig.Surfaces) + len(e.Rig.Clips)
	for i := range e.Rig.Clips {
		if err := e.Tick(ctx, len(e.Rig.Surfaces)+i, total); err != nil {
			return err
		}
		s.clip(rig.Clip(i))
	}
	whole := geom.EmptyBox()
	for i := range s.sweeps {
		w := &s.sweeps[i]
		p := &f.PerSurface[w.At]
		w.Box = w.Box.Union(p.Bounds.True)
		if !w.Stiff {
			w.Outside = outside(w.Box, p.Bounds.Player)
		}
		whole = whole.Union(w.Box)
	}
	f.Safe.Surfaces, f.Safe.Moments = s.sweeps, s.moments
	if !whole.IsEmpty() && !math.IsInf(whole.Diagonal(), 0) {
		f.Safe.Min, f.Safe.Max = &whole.Min, &whole.Max
	}
	return nil
}

// sweeper carries the boxes of all joints with influence through the clips. It
// works only on those joints and what stands above them.
type sweeper struct {
	r *rig.Rig

	player   *deform.Player // of the nodes at work
	carriers []carrier
	sweeps   []Sweep
	players  []geom.Box // by sweep
	moments  int
}

// carrier is the box of what one joint moves of one surface, in the joint's own
// space: a middle and three half edges, which need not stand square.
type carrier struct {
	sweep int32
	node  rig.Node
	mid   space.Vec
	half  [3]space.Vec
}

func newSweeper(e *exam.Exam, f *Facts) *sweeper {
	r := e.Rig
	s := &sweeper{r: r}
	need := []rig.Node{}
	for i := range f.PerSurface {
		p := &f.PerSurface[i]
		if !p.Shown {
			continue
		}
		if p.Skin < 0 {
			need = append(need, p.Node)
			continue
		}
		for _, j := range p.Bounds.reach.joints {
			need = append(need, r.Skins[p.Skin].Joints[j])
		}
	}
	s.player = deform.NewPlayer(r, need)
	for i := range f.PerSurface {
		p := &f.PerSurface[i]
		if !p.Shown || p.Bounds.Player.IsEmpty() {
			continue
		}
		if p.Skin < 0 {
			s.stiff(i, p.Node, e)
			continue
		}
		if len(p.Bounds.reach.joints) == 0 {
			continue
		}
		grow := s.morphReach(i, e)
		skin := &r.Skins[p.Skin]
		for k, j := range p.Bounds.reach.joints {
			b := p.Bounds.reach.boxes[k]
			for c := range 3 {
				b.Min[c] += grow.Min[c]
				b.Max[c] += grow.Max[c]
			}
			s.carriers = append(s.carriers, newCarrier(len(s.sweeps), skin.Joints[j], &skin.Bind[j], b))
		}
		box := geom.EmptyBox()
		if p.Bounds.reach.short {
			box.Add([3]float64{}) // weights that sum to less than 1 draw towards the world's origin
		}
		s.sweeps, s.players = append(s.sweeps, Sweep{At: i, Box: box, Clip: rig.None}), append(s.players, p.Bounds.Player)
	}
	return s
}

// stiff adds a surface that follows its node.
func (s *sweeper) stiff(surface int, node rig.Node, e *exam.Exam) {
	b := geom.BoxOf(s.r.Meshes[s.r.Surfaces[surface].Mesh].Positions)
	if b.IsEmpty() {
		return
	}
	grow := s.morphReach(surface, e)
	for c := range 3 {
		b.Min[c] += grow.Min[c]
		b.Max[c] += grow.Max[c]
	}
	s.carriers = append(s.carriers, newCarrier(len(s.sweeps), node, &rig.Identity, b))
	s.sweeps, s.players = append(s.sweeps, Sweep{At: surface, Stiff: true, Box: geom.EmptyBox(), Clip: rig.None}), append(s.players, geom.EmptyBox())
}

func newCarrier(sweep int, node rig.Node, bind *rig.Affine, b geom.Box) carrier {
	c := carrier{sweep: int32(sweep), node: node}
	c.mid = bind.Point(b.Center())
	for i := range 3 {
		var d [3]float64
		d[i] = (b.Max[i] - b.Min[i]) / 2
		c.half[i] = bind.Direction(d)
	}
	return c
}

// morphReach is how far the targets of a surface may push a vertex in the clips and
// at rest: the box of the sums of each target's extremes at its extreme weights.
func (s *sweeper) morphReach(surface int, e *exam.Exam) (grow geom.Box) {
	node := s.r.Surfaces[surface].Node
	m := &s.r.Meshes[s.r.Surfaces[surface].Mesh]
	if len(m.Targets) == 0 {
		return grow
	}
	lo, hi := make([]float32, len(m.Targets)), make([]float32, len(m.Targets))
	see := func(t int, w float32) {
		if w-w == 0 {
			lo[t], hi[t] = min(lo[t], w), max(hi[t], w)
		}
	}
	for t, w := range e.RestPose().MorphWeights(node) {
		see(t, w)
	}
	for i := range s.r.Clips {
		for k := range s.r.Clips[i].Channels {
			c := &s.r.Clips[i].Channels[k]
			if c.Node != node || c.Path != rig.Weights || c.Width <= 0 {
				continue
			}
			step, from := c.Width, 0
			if c.Interpolation == rig.Cubic {
				step, from = 3*c.Width, c.Width
			}
			for at := from; at+c.Width <= len(c.Values); at += step {
				for t := range min(c.Width, len(lo)) {
					see(t, c.Values[at+t])
				}
			}
		}
	}
	for t := range m.Targets {
		if lo[t] == 0 && hi[t] == 0 || len(m.Targets[t].Positions) == 0 {
			continue
		}
		var down, up [3]float64
		d := geom.BoxOf(m.Targets[t].Positions)
		for c := range 3 {
			for _, w := range [2]float64{float64(lo[t]), float64(hi[t])} {
				down[c], up[c] = min(down[c], w*d.Min[c], w*d.Max[c]), max(up[c], w*d.Min[c], w*d.Max[c])
			}
			grow.Min[c] += down[c]
			grow.Max[c] += up[c]
		}
	}
	return grow
}

// clip carries the boxes through one clip.
func (s *sweeper) clip(c rig.Clip) {
	d := &s.r.Clips[c]
	times := s.player.Start(d) // of the channel with most keys
	if len(times) == 0 {
		return
	}
	boxes := make([]geom.Box, len(s.sweeps))
	for i := range boxes {
		boxes[i] = geom.EmptyBox()
	}
	n := min(len(times), momentsAClip)
	if !s.player.Moves() {
		n = 1
	}
	if n == 1 && s.player.Moves() && d.Seconds > d.Start {
		n = 2
	}
	for i := range n {
		t := d.Start
		if n > 1 {
			k := i * (len(times) - 1) / (n - 1)
			t = float64(times[k])
			switch i { // other channels may begin earlier or end later
			case 0:
				t = min(t, d.Start)
			case n - 1:
				t = max(t, d.Seconds)
			}
		}
		s.moment(t, boxes)
	}
	s.moments += n
	for i := range boxes {
		w := &s.sweeps[i]
		w.Box = w.Box.Union(boxes[i])
		if share := outside(boxes[i], s.players[i]); share > w.Share || w.Clip < 0 {
			w.Clip, w.Share = c, share
		}
	}
}

// moment stands the nodes at one time and adds every carrier to its box.
func (s *sweeper) moment(t float64, boxes []geom.Box) {
	s.player.At(t)
	for i := range s.carriers {
		c := &s.carriers[i]
		c.grow(&s.player.World[c.node], &boxes[c.sweep])
	}
}

// grow adds the carried box to b.
func (c *carrier) grow(a *rig.Affine, b *geom.Box) {
	for i := range 3 {
		x, y, z := a[4*i], a[4*i+1], a[4*i+2]
		mid := x*c.mid[0] + y*c.mid[1] + z*c.mid[2] + a[4*i+3]
		half := math.Abs(x*c.half[0][0]+y*c.half[0][1]+z*c.half[0][2]) +
			math.Abs(x*c.half[1][0]+y*c.half[1][1]+z*c.half[1][2]) +
			math.Abs(x*c.half[2][0]+y*c.half[2][1]+z*c.half[2][2])
		if lo := mid - half; lo < b.Min[i] {
			b.Min[i] = lo
		}
		if hi := mid + half; hi > b.Max[i] {
			b.Max[i] = hi
		}
	}
}
