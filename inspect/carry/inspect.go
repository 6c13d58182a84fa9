package carry

import (
	"context"
	"maps"
	"math"
	"slices"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// How many moments of a clip are looked at, spread evenly: of joints alone, and of surfaces,
// where each costs a whole skinning of the figure.
const (
	mostLooks    = 400
	mostSurfaces = 60
)

// Rig is the target with the carried clip added as its last.
func (r *Result) Rig() *rig.Rig {
	t := *r.plan.m.T.Rig
	t.Clips = append(slices.Clone(t.Clips), r.Clip)
	return &t
}

// Inspect measures the result by playing it, as any player does. tick as in Options.
func (r *Result) Inspect(ctx context.Context, tick func(done, total int) error) (*Report, error) {
	p := r.plan
	target := r.Rig()
	rep := &Report{
		SourceClip: r.From, SourceName: rig.Name(r.clip.Name), Name: r.Clip.Name,
		Scale: r.Scale, ScaleFrom: r.ScaleFrom, Height: p.height.dst, Frames: len(r.times), Seconds: r.Clip.Seconds - r.Clip.Start,
		Limbs: []Limb{}, Feet: []Foot{}, HipsDrop: r.drop, HipsRise: r.rise, Price: r.cost, Beyond: []Beyond{}, Still: [][]Joint{}, Lost: []Joint{}, Remarks: append([]string{}, r.Remarks...),
	}
	w := &watch{r: r, rep: rep, target: target, pose: deform.NewPose(target), source: deform.NewPose(p.m.S.Rig), clip: rig.Clip(len(target.Clips) - 1), from: r.From}
	looks := spread(len(r.times), mostLooks)
	rep.Looked = len(looks)
	w.open()
	for k, f := range looks {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if tick != nil {
			if err := tick(k, len(looks)); err != nil {
				return nil, err
			}
		}
		w.directions(f)
		if k%max(1, len(looks)/mostSurfaces) == 0 {
			w.ground(f)
		}
	}
	w.close()
	w.feet()
	rep.Still = p.still()
	rep.Lost = p.lost(r.clip)
	moved, err := r.moved(ctx)
	if err != nil {
		return nil, err
	}
	rep.Motion = moved
	r.say(rep)
	return rep, nil
}

// spread answers about most of n places, evenly, the first and the last with them.
func spread(n, most int) (out []int) {
	if n <= most {
		for i := range n {
			out = append(out, i)
		}
		return out
	}
	for i := range most {
		out = append(out, i*(n-1)/(most-1))
	}
	return out
}

// watch plays source and result side by side.
type watch struct {
	r            *Result
	rep          *Report
	target       *rig.Rig
	pose, source *deform.Pose
	clip, from   rig.Clip
	limbs        map[string]*Limb
	count        map[string]float64
	deformers    []*deform.Deformer // by surface; nil: does not count (unskinned beside skinned)
	floor        float64
	lows         []float64 // by look: the lowest point over the ground
	lowTimes     []float64
	ranges       *ranges
}

func (w *watch) open() {
	w.limbs, w.count, w.ranges = map[string]*Limb{}, map[string]float64{}, newRanges(w.r.plan)
	p := w.r.plan
	w.floor = math.Inf(1)
	up := p.dstUp
	w.rep.Ground.By = "joints"
	pos := func(surface int) []float32 { return deform.RestSurface(w.target, surface) }
	w.deformers = make([]*deform.Deformer, len(w.target.Surfaces))
	skinned := slices.ContainsFunc(w.target.Surfaces, func(s rig.Surface) bool { return s.Skin >= 0 })
	for i := range w.target.Surfaces {
		if skinned && w.target.Surfaces[i].Skin < 0 {
			continue // a sword may dip
		}
		w.deformers[i] = deform.NewDeformer(w.target, i)
		w.rep.Ground.By = "surface"
		v := pos(i)
		for k := 0; k+2 < len(v); k += 3 {
			w.floor = min(w.floor, xyz(float64(v[k]), float64(v[k+1]), float64(v[k+2])).Dot(up))
		}
	}
	if math.IsInf(w.floor, 0) {
		w.floor = p.lowest(p.m.T, up)
		if w.target.File.Kind == "bvh" {
			w.floor = 0
		}
	}
	w.rep.Ground.Lowest = math.Inf(1)
}

func (w *watch) at(p *deform.Pose, n rig.Node) vec { return space.Plain(p.World[n].Origin()) }

// directions compares the bones at one frame.
func (w *watch) directions(f int) {
	p := w.r.plan
	t := float64(w.r.times[f])
	w.pose.Sample(w.clip, t)
	w.source.Sample(w.from, t)
	for i := range p.drive {
		d := &p.drive[i]
		if d.bone.dst < 0 || d.bone.src < 0 {
			continue
		}
		a := p.toTarget(w.at(w.source, d.bone.src).Sub(w.at(w.source, d.pair.Source)))
		b := w.at(w.pose, d.bone.dst).Sub(w.at(w.pose, d.node))
		if a.Len() == 0 || b.Len() == 0 {
			continue
		}
		degrees := math.Atan2(a.Cross(b).Len(), a.Dot(b)) * 180 / math.Pi
		name := limbOf(d.pair.Role)
		l := w.limbs[name]
		if l == nil {
			l = &Limb{Name: name}
			w.limbs[name] = l
		}
		l.Mean += degrees
		w.count[name]++
		if degrees > l.Largest || l.Worst.Name == "" && l.Largest == 0 {
			l.Largest, l.Time = degrees, t
			l.Worst = Joint{d.node, rig.Name(p.m.T.Name(d.node))}
		}
	}
	w.ranges.look(w.pose, t)
}

// limbOf is the limb that a role belongs to.
func limbOf(role string) string {
	side, bare := sideRole(role)
	if side != "" {
		side += " "
	}
	switch bare {
	case "hips", "spine", "chest", "upperChest":
		return "trunk"
	case "neck", "head", "jaw", "Eye":
		return "head"
	case "UpperLeg", "LowerLeg", "Foot", "Toes":
		return side + "leg"
	case "Shoulder", "UpperArm", "LowerArm":
		return side + "arm"
	case "":
		return "other"
	}
	return side + "hand"
}

// ground looks for the lowest point at the frame that the pose stands at.
func (w *watch) ground(f int) {
	up := w.r.plan.dstUp
	low := math.Inf(1)
	if len(w.deformers) > 0 {
		for i, d := range w.deformers {
			if d == nil {
				continue
			}
			pos := make([]float32, len(w.target.Meshes[w.target.Surfaces[i].Mesh].Positions))
			d.Apply(w.pose, deform.Linear, pos, nil, nil, nil)
			for k := 0; k+2 < len(pos); k += 3 {
				low = min(low, xyz(float64(pos[k]), float64(pos[k+1]), float64(pos[k+2])).Dot(up))
			}
		}
	} else {
		for _, n := range w.r.plan.m.T.Joints {
			low = min(low, w.at(w.pose, n).Dot(up))
		}
	}
	low -= w.floor + w.r.higher(f)
	if math.IsNaN(low) || math.IsInf(low, 0) {
		return
	}
	w.lows = append(w.lows, low)
	w.lowTimes = append(w.lowTimes, float64(w.r.times[f]))
}

// grounds sums up how low the looks lay. On a slope toes reach lower than the ground
// right under the ankle, at every stand alike: there the middle look stands.
func (w *watch) grounds() {
	off := 0.0
	if slices.ContainsFunc(w.r.feet, func(l *foot) bool { return l.climb != nil }) && len(w.lows) > 0 {
		off = min(0, space.Percentile(slices.Clone(w.lows), 50))
	}
	under := 0
	for i, low := range w.lows {
		if low -= off; low < -0.01*w.rep.Height {
			under++
		}
		if low < w.rep.Ground.Lowest {
			w.rep.Ground.Lowest, w.rep.Ground.Time = low, w.lowTimes[i]
		}
	}
	if len(w.lows) > 0 {
		w.rep.Ground.Under = float64(under) / float64(len(w.lows))
	} else {
		w.rep.Ground.Lowest = 0
	}
}

func (w *watch) close() {
	for _, name := range slices.Sorted(maps.Keys(w.limbs)) {
		l := w.limbs[name]
		l.Mean /= w.count[name]
		for i := range w.r.plan.drive {
			if d := &w.r.plan.drive[i]; d.bone.dst >= 0 && d.bone.src >= 0 && limbOf(d.pair.Role) == name {
				l.Bones++
			}
		}
		w.rep.Limbs = append(w.rep.Limbs, *l)
	}
	w.rep.Surface = len(w.lows)
	w.rep.Beyond = w.ranges.beyond()
	w.grounds()
}

// still lists the target's joints that hold surface and that nothing drives and
// nothing could: chains that stay as they are on the joint that carries them.
func (p *plan) still() [][]Joint {
	out := [][]Joint{}
	t := p.m.T
	chain := map[rig.Node]int{}
	for _, n := range t.Joints {
		holds, helper := t.Holds(n)
		if p.place[n] >= 0 || !holds || helper {
			continue
		}
		above := rig.Node(rig.None)
		for q := t.Rig.Nodes[n].Parent; q >= 0; q = t.Rig.Nodes[q].Parent {
			if _, ok := chain[q]; ok || p.place[q] >= 0 {
				above = q
				break
			}
		}
		if above < 0 {
			continue // above the body: it only carries it
		}
		k, ok := chain[above]
		if !ok {
			k = len(out)
			out = append(out, nil)
		}
		chain[n] = k
		out[k] = append(out[k], Joint{n, rig.Name(t.Name(n))})
	}
	return out
}

// lost lists the source's joints that move in the clip, by themselves, and lead
// nothing.
func (p *plan) lost(c *rig.ClipData) []Joint {
	out := []Joint{}
	led := map[rig.Node]bool{}
	for i := range p.drive {
		led[p.drive[i].pair.Source] = true
		led[p.drive[i].pair.Beside] = true
	}
	seen := map[rig.Node]bool{}
	for i := range c.Channels {
		ch := &c.Channels[i]
		if _, ok := deform.NewTrack(ch); !ok || led[ch.Node] || seen[ch.Node] || !changes(ch) || above(p, ch.Node) {
			continue
		}
		seen[ch.Node] = true
		out = append(out, Joint{ch.Node, rig.Name(p.m.S.Name(ch.Node))})
	}
	slices.SortFunc(out, func(a, b Joint) int { return int(a.Node) - int(b.Node) })
	return out
}

// above tells that a node carries a joint that leads: its turn arrives there.
func above(p *plan, n rig.Node) bool {
	return slices.ContainsFunc(p.drive, func(d drive) bool { return p.m.S.Above(n, d.pair.Source) })
}

// changes tells that keys differ from each other.
func changes(c *rig.Channel) bool {
	for i, v := range c.Values {
		if math.Abs(float64(v-c.Values[i%c.Width])) > 1e-5 {
			return true
		}
	}
	return false
}
