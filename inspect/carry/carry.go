// Package carry lays a clip of one skeleton over another: each matched joint takes
// over what its partner turns in the world since rest, after the two rest poses were
// brought to agree; the hips' way is scaled by the legs; feet that stood stay where
// they stand. It says what got lost on the way.
package carry

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// Options of a carrying. The zero value keeps the feet on the ground.
type Options struct {
	FreeFeet bool     // leave the feet where the turns alone put them
	Name     string   // of the new clip; "": the source clip's
	Taken    []string // names that the new clip may not bear beside those of the target's clips

	// Tick is called every few hundred frames; an error ends the carrying. nil: none.
	Tick func(done, total int) error
}

// Result is a carried clip.
type Result struct {
	Clip      rig.ClipData // on the target's nodes
	From      rig.Clip     // of the source
	Scale     float64      // target ways ÷ source ways
	ScaleFrom string       // what Scale is the ratio of
	Remarks   []string

	plan    *plan
	feet    []*foot
	srcHips []vec   // where the source's hips are, by moment; nil: they lead nothing
	drop    float64 // largest lowering of the hips for a foot to reach, target units
	rise    float64 // largest raising, for legs that would fold too far
	cost    Price
	floor   float64 // height of the target's floor
	inPlace bool    // the source goes as over a moving floor
	clip    *rig.ClipData
	lift    float64
	times   []float32
}

// Carry lays a clip of m's source over m's target. Errors say what is missing: no
// clip of that number, nothing matched, no key on any matched joint.
func Carry(ctx context.Context, m *match.Match, clip rig.Clip, o Options) (*Result, error) {
	src := m.S.Rig
	if clip < 0 || int(clip) >= len(src.Clips) {
		return nil, fmt.Errorf("%q has no clip %d; it holds %d", src.File.Name, clip, len(src.Clips))
	}
	if len(m.Pairs) == 0 {
		return nil, fmt.Errorf("no joint of %q has a pair in %q; set at least one by hand", src.File.Name, m.T.Rig.File.Name)
	}
	m, left, err := fit(m)
	if err != nil {
		return nil, err
	}
	p := newPlan(m)
	c := &src.Clips[clip]
	r := &Result{From: clip, Scale: p.k, ScaleFrom: p.kFrom, plan: p, clip: c, Remarks: slices.Concat(m.Remarks, left)}
	var turns, places []rig.Node
	for i := range p.drive {
		d := &p.drive[i]
		turns = append(turns, d.pair.Source)
		if d.pair.Beside >= 0 {
			turns = append(turns, d.pair.Beside)
		}
		if d.travels {
			places = append(places, d.pair.Source)
		}
	}
	places = append(places, footJoints(m.S)...)
	player := newPlayer(src, c, turns, places)
	r.times = moments(c, func(n rig.Node) bool { return n >= 0 && int(n) < len(player.place) && player.place[n] >= 0 })
	if len(r.times) > 0 && r.times[0] < 0 { // no player goes there
		r.times = append([]float32{0}, slices.DeleteFunc(r.times, func(t float32) bool { return t <= 0 })...)
		r.remark("keys before 0 s were left out: no player shows them")
	}
	if len(r.times) == 0 {
		return nil, fmt.Errorf("clip %q of %q moves no joint that has a pair, nor one above it", c.Name, src.File.Name)
	}
	given := []int(nil)
	r.times, given = finer(r.times)
	k := newKeys(p, player, len(r.times))
	r.feet = newFeet(p, player, len(r.times))
	if err := k.fill(ctx, r, player, o.Tick); err != nil {
		return nil, err
	}
	r.contacts()
	if r.soles() {
		for i := range k.last {
			k.last[i] = still
		}
		if err := k.fill(ctx, r, player, nil); err != nil {
			return nil, err
		}
	}
	r.level(k)
	for _, l := range r.feet {
		l.was, l.wasToes = slices.Clone(l.c), slices.Clone(l.t)
	}
	if !o.FreeFeet {
		r.keep(k)
	}
	r.thin(k, given)
	r.Clip = k.clip(r.times)
	r.Clip.Name = o.Name
	if o.Name == "" {
		r.Clip.Name = c.Name
	}
	if len(r.Clip.Channels) == 0 {
		return nil, errors.New("nothing moves: every joint that has a pair stays at rest in this clip")
	}
	return r, nil
}

// thin keeps some of the moments.
func (r *Result) thin(k *keys, at []int) {
	if len(at) == len(r.times) {
		return
	}
	r.times, k.frames = picked(r.times, at, 1), len(at)
	for i := range k.rot {
		k.rot[i] = picked(k.rot[i], at, 4)
		if k.trans[i] != nil {
			k.trans[i] = picked(k.trans[i], at, 3)
		}
	}
	for _, l := range r.feet {
		l.srcA, l.srcT, l.c, l.t = picked(l.srcA, at, 1), picked(l.srcT, at, 1), picked(l.c, at, 1), picked(l.t, at, 1)
		l.was, l.wasToes, l.climb, l.holds = picked(l.was, at, 1), picked(l.wasToes, at, 1), picked(l.climb, at, 1), picked(l.holds, at, 1)
	}
}

// picked takes places out of a flat list, so many numbers each; nil of nil.
func picked[T any](list []T, at []int, width int) (out []T) {
	if list == nil {
		return nil
	}
	for _, i := range at {
		out = append(out, list[i*width:(i+1)*width]...)
	}
	return out
}

func (r *Result) remark(what string, args ...any) {
	r.Remarks = append(r.Remarks, fmt.Sprintf(what, args...))
}

// keys are the target's local keys as they grow.
type keys struct {
	p        *plan
	order    []int       // drives, what each follows first
	rot      [][]float32 // by drive: 4 a frame
	trans    [][]float32 // by drive: 3 a frame; nil: its place is its parent's matter
	world    []quat      // of the frame at work, by drive
	at       []vec
	last     []quat
	first    []int // place of the source in the player
	second   []int
	restFrom []vec // the source's place at rest
	aligned  bool
	frames   int
}

func newKeys(p *plan, pl *player, frames int) *keys {
	n := len(p.drive)
	k := &keys{
		p: p, rot: make([][]float32, n), trans: make([][]float32, n), world: make([]quat, n), at: make([]vec, n), last: make([]quat, n),
		first: make([]int, n), second: make([]int, n), restFrom: make([]vec, n), frames: frames,
		aligned: p.align.Angle() < 1e-12,
	}
	done := make([]bool, n)
	var visit func(i int)
	visit = func(i int) { // as deep as limbs follow each other
		if i < 0 || done[i] {
			return
		}
		done[i] = true
		if p.drive[i].hang >= 0 {
			visit(p.drive[i].hang)
		}
		if p.drive[i].from >= 0 {
			visit(p.drive[i].from)
		}
		k.order = append(k.order, i)
	}
	for i := range p.drive {
		d := &p.drive[i]
		visit(i)
		k.rot[i] = make([]float32, 4*frames)
		if d.travels || d.hang >= 0 {
			k.trans[i] = make([]float32, 3*frames)
		}
		k.last[i] = still
		k.first[i], k.second[i] = pl.place[d.pair.Source], -1
		if d.pair.Beside >= 0 {
			k.second[i] = pl.place[d.pair.Beside]
		}
		k.restFrom[i] = pl.at0[k.first[i]]
	}
	return k
}

// fill works out all frames without any care for the feet.
func (k *keys) fill(ctx context.Context, r *Result, pl *player, tick func(done, total int) error) error {
	for f, t := range r.times {
		if f%256 == 0 {
			if err := ctx.Err(); err != nil {
				return err
			}
			if tick != nil {
				if err := tick(f, len(r.times)); err != nil {
					return err
				}
			}
		}
		at := float64(t)
		pl.play(&at)
		for _, i := range k.order {
			k.frame(f, i, pl)
		}
		for _, leg := range r.feet {
			leg.note(f, k, pl)
		}
		if h := k.p.driveOf("hips"); h >= 0 && k.p.drive[h].travels {
			r.srcHips = append(r.srcHips[:f], pl.at[k.first[h]])
		}
	}
	return nil
}

// frame works out one joint at one frame.
func (k *keys) frame(f, i int, pl *player) {
	p, d := k.p, &k.p.drive[i]
	w := pl.rot[k.first[i]]
	if p.m.Mirrored {
		w = p.mirrorTurn(w)
	}
	w = w.Mul(d.after)
	if k.second[i] >= 0 {
		b := pl.rot[k.second[i]]
		if p.m.Mirrored {
			b = p.mirrorTurn(b)
		}
		w = toward(w, b.Mul(d.beside), d.pair.Share)
	}
	if !k.aligned {
		w = p.align.Mul(w)
	}
	k.world[i] = w
	up, upAt, at := d.rel, d.parentAt, d.relAt
	if d.from >= 0 {
		over := &k.world[d.from]
		up = over.Mul(d.rel)
		at = k.at[d.from].Add(over.Rotate(d.relAt))
		if k.trans[i] != nil {
			upAt = k.at[d.from].Add(over.Rotate(d.parentAt))
		}
	}
	switch {
	case d.hang >= 0:
		at = k.at[d.hang].Add(k.world[d.hang].Rotate(d.hangAt))
	case d.travels:
		at = p.dstAt(d.node).Add(p.toTarget(pl.at[k.first[i]].Sub(k.restFrom[i])).Mul(p.k))
	}
	k.at[i] = at
	if k.trans[i] != nil {
		k.put(f, i, up.Back().Rotate(at.Sub(upAt)).Over(d.scale))
	}
	k.turnTo(f, i, up.Back().Mul(w))
}

func (k *keys) put(f, i int, v vec) {
	o := k.trans[i][3*f : 3*f+3]
	o[0], o[1], o[2] = float32(v.X), float32(v.Y), float32(v.Z)
}

// turnTo stores a local rotation, its sign on the side of the frame before.
func (k *keys) turnTo(f, i int, q quat) {
	l := &k.last[i]
	if q.X*l.X+q.Y*l.Y+q.Z*l.Z+q.W*l.W < 0 {
		q = xyzw(-q.X, -q.Y, -q.Z, -q.W)
	}
	*l = q
	o := k.rot[i][4*f : 4*f+4]
	o[0], o[1], o[2], o[3] = float32(q.X), float32(q.Y), float32(q.Z), float32(q.W)
}

// level lifts the whole where the rest poses do not stand on the floor.
func (r *Result) level(k *keys) {
	var low []float64
	n := len(r.times)
	for f := 0; f < n; f++ {
		h := math.Inf(1)
		for _, leg := range r.feet {
			h = min(h, leg.srcLow(f, r.plan.srcUp)-leg.ledBy(r.plan, f))
		}
		if !math.IsInf(h, 0) {
			low = append(low, h)
		}
	}
	rest := math.Inf(1)
	for _, leg := range r.feet {
		rest = min(rest, leg.restLow)
	}
	r.lift = r.plan.lift(rest, space.Percentile(low, lowMoment))
	if r.lift == 0 {
		return
	}
	r.remark("the source's rest pose does not stand on its floor; everything was set %s", raised(r.lift))
	up := r.plan.dstUp.Mul(r.lift)
	k.shift(func(int) vec { return up })
	for _, leg := range r.feet {
		leg.shift(func(int) vec { return up })
	}
}

// shift moves the body by a way a frame, in the target's world: the hips, and what
// has a place of its own and hangs neither below nor above them; without hips,
// whatever stands topmost.
func (k *keys) shift(way func(f int) vec) {
	t := k.p.m.T
	hips := k.p.driveOf("hips")
	if hips >= 0 && k.trans[hips] == nil {
		hips = -1
	}
	for i := range k.p.drive {
		d := &k.p.drive[i]
		switch {
		case k.trans[i] == nil, hips < 0 && d.from >= 0 && k.carried(d.from):
			continue
		case hips >= 0 && i != hips:
			if h := k.p.drive[hips].node; t.Above(d.node, h) || t.Above(h, d.node) {
				continue
			}
		}
		for f := range k.frames {
			o := k.trans[i][3*f : 3*f+3]
			v := k.parentWorld(i, f).Back().Rotate(way(f)).Over(d.scale)
			o[0], o[1], o[2] = o[0]+float32(v.X), o[1]+float32(v.Y), o[2]+float32(v.Z)
		}
	}
}

// parentWorld is the world rotation of a joint's parent at a frame, by the keys.
func (k *keys) parentWorld(i, f int) quat {
	d := &k.p.drive[i]
	if d.from < 0 {
		return d.rel
	}
	r := k.rot[d.from][4*f : 4*f+4]
	own := xyzw(float64(r[0]), float64(r[1]), float64(r[2]), float64(r[3]))
	return k.parentWorld(d.from, f).Mul(own).Mul(d.rel)
}

// carried tells that a joint's place already follows one that travels.
func (k *keys) carried(i int) bool {
	for ; i >= 0; i = k.p.drive[i].from {
		if k.trans[i] != nil {
			return true
		}
	}
	return false
}

// clip hands out the channels: a property that never leaves its rest value has none,
// one that never changes has a single key.
func (k *keys) clip(times []float32) rig.ClipData {
	c := rig.ClipData{Start: float64(times[0]), Seconds: float64(times[len(times)-1])}
	nodes := k.p.m.T.Rig.Nodes
	for i := range k.p.drive {
		d := &k.p.drive[i]
		n := &nodes[d.node]
		if v := k.trans[i]; v != nil {
			slack := 1e-7 * max(k.p.m.T.Size, 1e-12)
			c.Channels = channel(c.Channels, d.node, rig.Translation, times, v, 3, n.T[:], slack)
		}
		c.Channels = channel(c.Channels, d.node, rig.Rotation, times, k.rot[i], 4, n.R[:], 1e-7)
	}
	return c
}

func channel(list []rig.Channel, n rig.Node, p rig.Path, times, v []float32, width int, rest []float64, slack float64) []rig.Channel {
	same, atRest, against := true, true, true
	for i, x := range v {
		same = same && math.Abs(float64(x-v[i%width])) <= slack
		atRest = atRest && math.Abs(float64(x)-rest[i%width]) <= slack
		against = against && math.Abs(float64(x)+rest[i%width]) <= slack
	}
	if atRest || p == rig.Rotation && against {
		return list
	}
	if same {
		times, v = times[:1], v[:width]
	}
	return append(list, rig.Channel{Node: n, Path: p, Times: times, Values: v, Width: width})
}

// raised says by how much something was set higher or lower.
func raised(by float64) string {
	if by < 0 {
		return say.Metres(-by) + " lower"
	}
	return say.Metres(by) + " higher"
}
