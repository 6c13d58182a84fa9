package mend

import (
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

var thinOut = Mend{
	ID:      "thin",
	Title:   "Thin out keys",
	Stage:   Thin,
	Answers: []string{"motion/dead-weight", "motion/off-unit"},
	Does: "Channels that say the rest pose all along, or move what carries nothing, go; of the others the keys go that interpolation gives without them, " +
		"as long as no point of the surface is farther than the tolerance from where it was. Turns that are no unit quaternions are made so.",
	Source: "keys by Ramer 1972 and Douglas & Peucker 1973, the error taken at the surface (joint's error × reach); bound by posing, not by trust",
	Parameters: []Parameter{
		{Name: "tolerance", Title: "Tolerance", Kind: Number, Unit: say.Metre, Default: nil, Least: 0, Most: 1, Says: "How far any point of the surface may be from where it was; left out: a 17,000th of the height, 0.1 mm on a person."},
		{Name: "dead", Title: "Drop idle channels", Kind: Truth, Default: true, Says: "Channels that stay at rest, or move nothing that is seen, go."},
		{Name: "unit", Title: "Make turns whole", Kind: Truth, Default: true, Says: "Quaternions off length 1 are divided by it."},
	},
	Suggest: func(f *Findings) []Values {
		switch {
		case len(f.Of("motion/dead-weight")) > 0:
			return []Values{{}}
		case len(f.Of("motion/off-unit")) > 0:
			return []Values{{"tolerance": 0.0, "dead": false}}
		}
		return nil
	},
	Apply: func(w *Work) error {
		t := &thinner{w: w, is: *w.Rig}
		if len(w.Rig.Clips) == 0 {
			return w.Refuse("The file has no clip.")
		}
		height := w.Exam.WholeHeight()
		if !(height > 0) {
			height = w.Exam.Size()
		}
		tolerance, given := w.Values.Number("tolerance")
		if !given {
			tolerance = height / 17000
		}
		t.prepare()
		if w.Values.Is("unit") {
			t.unit()
		}
		if w.Values.Is("dead") {
			t.dead()
		}
		worst, err := t.thin(tolerance)
		if err != nil {
			return err
		}
		if t.channels+t.keys+t.lengths == 0 {
			return w.Refuse("No key can go within %s.", say.Quantity(tolerance, say.Metre))
		}
		w.Measure(check.Also("channels dropped", float64(t.channels), say.Channels))
		w.Measure(check.Also("keys dropped", float64(t.keys), say.Keys))
		w.Measure(check.Also("turns made whole", float64(t.lengths), say.Keys))
		w.Measure(check.Also("largest shift of the surface", worst, say.Metre))
		if t.sampled {
			w.Say("Of clips with many keys the shift was measured at about %d moments, evenly.", most)
		}
		w.Say("Fewer channels and keys are loaded and played. Bytes that nothing reads any more stay in the file until unused data are dropped.")
		return w.Write(&t.is, nil)
	},
}

type thinner struct {
	w  *Work
	is rig.Rig

	reach   []float64 // node → how far a point that it moves may be, metres at rest scale
	depth   []int     // node → nodes above it that some clip moves, itself with them
	carries []bool    // node → a surface point hangs on it or below

	channels, keys, lengths int
	sampled                 bool // not every moment of some clip was posed
}

// prepare bounds for each node how far from it anything lies that turns with it, in any
// pose: what hangs on it itself by its distance, what hangs below by the chain of bones.
func (t *thinner) prepare() {
	r := t.w.Rig
	t.is.Clips = slices.Clone(r.Clips)
	for c := range t.is.Clips {
		t.is.Clips[c].Channels = slices.Clone(r.Clips[c].Channels)
	}
	n := len(r.Nodes)
	t.reach, t.depth, t.carries = make([]float64, n), make([]int, n), make([]bool, n)
	world := t.w.Exam.RestWorld()
	for i, s := range r.Surfaces {
		m := &r.Meshes[s.Mesh]
		rest := t.w.Exam.RestPositions(i)
		if s.Skin < 0 || m.K == 0 {
			t.carries[s.Node] = true
			for v := range m.Vertices() {
				t.reach[s.Node] = max(t.reach[s.Node], space.At(rest, v).Sub(world[s.Node].Origin()).Len())
			}
			continue
		}
		skin := &r.Skins[s.Skin]
		for v := range m.Vertices() {
			p := space.At(m.Positions, v)
			for k := v * m.K; k < (v+1)*m.K; k++ {
				if j := int(m.Joints[k]); m.Weights[k] > 0 && j < len(skin.Joints) {
					// Where the joint alone carries it: what it turns about itself.
					at := world[skin.Joints[j]].Point(skin.Bind[j].Point(p))
					node := skin.Joints[j]
					t.carries[node] = true
					t.reach[node] = max(t.reach[node], at.Sub(world[node].Origin()).Len())
				}
			}
		}
	}
	moved := make([]bool, n)
	for c := range r.Clips {
		for _, ch := range r.Clips[c].Channels {
			moved[ch.Node] = moved[ch.Node] || ch.Path != rig.Weights
		}
	}
	for _, node := range r.Order {
		if p := r.Nodes[node].Parent; p >= 0 {
			t.depth[node] = t.depth[p]
		}
		if moved[node] {
			t.depth[node]++
		}
	}
	below := slices.Clone(t.depth)
	for i := len(r.Order) - 1; i >= 0; i-- {
		node := r.Order[i]
		p := r.Nodes[node].Parent
		if p < 0 {
			continue
		}
		below[p] = max(below[p], below[node])
		if t.carries[node] {
			t.carries[p] = true
			t.reach[p] = max(t.reach[p], t.reach[node]+world[node].Origin().Sub(world[p].Origin()).Len())
		}
	}
	t.depth = below
}

// unit divides turns by their length.
func (t *thinner) unit() {
	for c := range t.is.Clips {
		for i := range t.is.Clips[c].Channels {
			ch := &t.is.Clips[c].Channels[i]
			if ch.Path != rig.Rotation || ch.Interpolation == rig.Cubic {
				continue
			}
			copied := false
			for k := range len(ch.Times) {
				v := ch.Values[4*k : 4*k+4]
				l := math.Sqrt(float64(v[0])*float64(v[0]) + float64(v[1])*float64(v[1]) + float64(v[2])*float64(v[2]) + float64(v[3])*float64(v[3]))
				// Below it is rounding to float32; the standard's own checker takes 5e-4.
				if !(l > 0) || math.Abs(l-1) < 1e-5 {
					continue
				}
				if !copied {
					ch.Values, copied = slices.Clone(ch.Values), true
					v = ch.Values[4*k : 4*k+4]
				}
				for x := range v {
					v[x] = float32(float64(v[x]) / l)
				}
				t.lengths++
			}
		}
	}
}

// dead drops channels that change nothing: at rest all along, or of nodes that carry no
// point of a surface and no camera, light or joint that others might look for.
func (t *thinner) dead() {
	r := t.w.Rig
	size := t.w.Exam.Size()
	shown := len(r.Surfaces) > 0
	// A joint that one clip shifts is placed by each of them by itself: a foot that hangs on
	// the root. One key keeps it where it rests, also for who blends two clips.
	shifted := make([]bool, len(r.Nodes))
	for c := range t.is.Clips {
		for _, ch := range t.is.Clips[c].Channels {
			shifted[ch.Node] = shifted[ch.Node] || ch.Path == rig.Translation && !t.rests(&ch, size)
		}
	}
	for c := range t.is.Clips {
		d := &t.is.Clips[c]
		kept := d.Channels[:0:0]
		for _, ch := range d.Channels {
			if ch.Path == rig.Translation && shifted[ch.Node] && (!shown || t.carries[ch.Node]) {
				kept = append(kept, ch)
				continue
			}
			if ch.Path != rig.Weights && (t.rests(&ch, size) || shown && !t.carries[ch.Node] && !t.named(ch.Node)) {
				t.channels++
				continue
			}
			kept = append(kept, ch)
		}
		if len(kept) == 0 && len(d.Channels) > 0 { // a clip needs one
			kept = append(kept, d.Channels[0])
			t.channels--
		}
		d.Channels = kept
	}
}

// named tells nodes that a program may look for: roles, and what has anything besides a
// place of its own.
func (t *thinner) named(n rig.Node) bool {
	o := t.w.Doc.Object("nodes", int(n))
	return t.w.Exam.Roles().Of[n].Role != "" || o.Get("camera") != nil || o.Get("extensions") != nil || o.Get("extras") != nil
}

// rests tells that a channel says the rest pose at every key: within 0.01° and a hundred
// thousandth of the figure, as the check takes it.
func (t *thinner) rests(ch *rig.Channel, size float64) bool {
	n := &t.w.Rig.Nodes[ch.Node]
	per := ch.Width
	if ch.Interpolation == rig.Cubic {
		per *= 3
	}
	for k := range len(ch.Times) {
		v := ch.Values[k*per : k*per+per]
		if ch.Interpolation == rig.Cubic {
			for i, x := range v {
				if (i < ch.Width || i >= 2*ch.Width) && x != 0 {
					return false
				}
			}
			v = v[ch.Width : 2*ch.Width]
		}
		switch ch.Path {
		case rig.Rotation:
			q := space.FromXYZW([4]float64{float64(v[0]), float64(v[1]), float64(v[2]), float64(v[3])})
			if u, ok := space.UnitQuat(q); !ok || space.Apart(u, space.FromXYZW(n.R))*180/math.Pi > 0.01 {
				return false
			}
		case rig.Translation:
			if space.At(v, 0).Sub(space.Vec(n.T)).Len() > 1e-5*size {
				return false
			}
		default:
			if space.At(v, 0).Sub(space.Vec(n.S)).Len() > 1e-5 {
				return false
			}
		}
	}
	return true
}

// thin drops keys and measures at the surface; where that is beyond the tolerance the
// clip is done again with half the share a joint.
func (t *thinner) thin(tolerance float64) (worst float64, err error) {
	r := t.w.Rig
	was, is := NewPosed(r), NewPosed(&t.is)
	for c := range t.is.Clips {
		if err := t.w.Context.Err(); err != nil {
			return 0, err
		}
		full := t.is.Clips[c].Channels
		for share := 1.0; ; share /= 2 {
			thinned := make([]rig.Channel, len(full))
			dropped := 0
			for i := range full {
				thinned[i] = full[i]
				dropped += t.channel(&thinned[i], tolerance*share)
			}
			if dropped == 0 {
				t.is.Clips[c].Channels = full
				break
			}
			t.is.Clips[c].Channels = thinned
			if d := t.shift(was, is, rig.Clip(c), full); d <= tolerance {
				t.keys += dropped
				worst = max(worst, d)
				break
			}
			if share < 1e-3 {
				t.is.Clips[c].Channels = full
				break
			}
		}
	}
	return worst, nil
}

// most is about how many moments of a clip are posed to measure what thinning costs.
const most = 240

// shift is the largest distance of any vertex over a clip, at and between the keys.
func (t *thinner) shift(was, is *Posed, clip rig.Clip, full []rig.Channel) (worst float64) {
	var times []float64
	for i := range full {
		for k, s := range full[i].Times {
			times = append(times, float64(s))
			if k > 0 {
				times = append(times, (float64(s)+float64(full[i].Times[k-1]))/2)
			}
		}
	}
	slices.Sort(times)
	times = slices.Compact(times)
	step := max(1, len(times)/most)
	t.sampled = t.sampled || step > 1
	is.Pose = deform.NewPose(&t.is) // a player remembers the keys it has seen
	for i := 0; i < len(times); i += step {
		was.Pose.Sample(clip, times[i])
		is.Pose.Sample(clip, times[i])
		for s := range t.w.Rig.Surfaces {
			a, b := was.Positions(s), is.Positions(s)
			for v := 0; v+2 < len(a); v += 3 {
				if d := square(a[v:v+3], b[v:v+3]); d > worst {
					worst = d
				}
			}
		}
	}
	return math.Sqrt(worst)
}

// channel drops the keys of one channel that interpolation gives within its share of the
// tolerance; times and values become its own.
func (t *thinner) channel(ch *rig.Channel, tolerance float64) (dropped int) {
	n := len(ch.Times)
	if n < 2 || ch.Interpolation == rig.Cubic || ch.Path == rig.Weights || len(ch.Values) < n*ch.Width {
		return 0
	}
	budget := tolerance / float64(max(1, t.depth[ch.Node]))
	keep := make([]bool, n)
	keep[0] = true
	if ch.Interpolation == rig.Step {
		last := 0
		for k := 1; k < n; k++ {
			if t.error(ch, last, last, k) > budget {
				keep[k], last = true, k
			}
		}
	} else {
		same := true
		for k := 1; k < n && same; k++ {
			same = t.error(ch, 0, 0, k) <= budget
		}
		if !same {
			keep[n-1] = true
			t.split(ch, 0, n-1, budget, keep)
		}
	}
	for _, k := range keep {
		if !k {
			dropped++
		}
	}
	if dropped == 0 {
		return 0
	}
	times, values := make([]float32, 0, n-dropped), make([]float32, 0, (n-dropped)*ch.Width)
	for k := range keep {
		if keep[k] {
			times = append(times, ch.Times[k])
			values = append(values, ch.Values[k*ch.Width:(k+1)*ch.Width]...)
		}
	}
	ch.Times, ch.Values = times, values
	return dropped
}

// split keeps the key that is farthest from what its kept neighbours give, and so on on
// both sides of it.
func (t *thinner) split(ch *rig.Channel, a, b int, budget float64, keep []bool) {
	for a+1 < b {
		far, at := budget, -1
		for k := a + 1; k < b; k++ {
			if e := t.error(ch, a, b, k); e > far {
				far, at = e, k
			}
		}
		if at < 0 {
			return
		}
		keep[at] = true
		t.split(ch, a, at, budget, keep)
		a = at
	}
}

// error is how far the surface may go, in metres, where key k is what keys a and b give at
// its time.
func (t *thinner) error(ch *rig.Channel, a, b, k int) float64 {
	share := 0.0
	if a != b {
		share = (float64(ch.Times[k]) - float64(ch.Times[a])) / (float64(ch.Times[b]) - float64(ch.Times[a]))
	}
	value := func(k int) []float32 { return ch.Values[k*ch.Width : (k+1)*ch.Width] }
	if ch.Path == rig.Rotation {
		quat := func(v []float32) space.Quat {
			return space.FromXYZW([4]float64{float64(v[0]), float64(v[1]), float64(v[2]), float64(v[3])})
		}
		q := space.Slerp(quat(value(a)), quat(value(b)), share)
		u, ok := space.UnitQuat(quat(value(k)))
		if !ok {
			return math.Inf(1)
		}
		return 2 * math.Sin(min(space.Apart(q, u), math.Pi)/2) * t.reach[ch.Node]
	}
	d := space.At(value(a), 0).Mul(1 - share).Add(space.At(value(b), 0).Mul(share)).Sub(space.At(value(k), 0)).Len()
	if ch.Path == rig.Scale {
		return d * t.reach[ch.Node]
	}
	if p := t.w.Rig.Nodes[ch.Node].Parent; p >= 0 {
		s := t.w.Exam.RestWorld()[p].Scales()
		d *= max(s[0], s[1], s[2])
	}
	return d
}
