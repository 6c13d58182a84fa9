package carry

import (
	"math"
	"slices"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// player plays the source: world rotations of the joints that lead something, and
// the places of those that are asked for, frame by frame with rising time.
type player struct {
	parts []part
	place []int // by node: place in parts, −1
	rot   []quat
	at    []vec
	scale []vec
	rest0 []quat // world rotations at rest, of the parts
	at0   []vec
}

// part is one node on the way from a root to a joint that is needed.
type part struct {
	node            rig.Node
	up              int // place in parts, −1
	t, s            vec // at rest
	r               quat
	turning         *deform.Track
	moving, scaling *deform.Track
	wantsAt         bool
}

func newPlayer(r *rig.Rig, clip *rig.ClipData, turns, places []rig.Node) *player {
	p := &player{place: make([]int, len(r.Nodes))}
	need := make([]uint8, len(r.Nodes)) // 1: rotation, 2: place as well
	for i := range p.place {
		p.place[i] = -1
	}
	mark := func(list []rig.Node, bit uint8) {
		for _, n := range list {
			for ; n >= 0 && need[n]&bit != bit; n = r.Nodes[n].Parent {
				need[n] |= bit
			}
		}
	}
	mark(turns, 1)
	mark(places, 3)
	for _, n := range r.Order {
		if need[n] == 0 {
			continue
		}
		d := &r.Nodes[n]
		q := part{node: n, up: -1, t: space.Plain(d.T), s: space.Plain(d.S), r: stored(d.R), wantsAt: need[n] == 3}
		if d.Parent >= 0 {
			q.up = p.place[d.Parent]
		}
		p.place[n] = len(p.parts)
		p.parts = append(p.parts, q)
	}
	if clip != nil {
		for i := range clip.Channels {
			c := &clip.Channels[i]
			if c.Node < 0 || int(c.Node) >= len(p.place) || p.place[c.Node] < 0 {
				continue
			}
			t, ok := deform.NewTrack(c)
			if !ok {
				continue
			}
			q := &p.parts[p.place[c.Node]]
			switch c.Path {
			case rig.Rotation:
				q.turning = &t
			case rig.Translation:
				q.moving = &t
			case rig.Scale:
				q.scaling = &t
			}
		}
	}
	n := len(p.parts)
	p.rot, p.at, p.scale = make([]quat, n), make([]vec, n), make([]vec, n)
	p.play(nil)
	p.rest0, p.at0 = slices.Clone(p.rot), slices.Clone(p.at)
	return p
}

// play works out one moment; nil: rest.
func (p *player) play(at *float64) {
	for i := range p.parts {
		q := &p.parts[i]
		t, r, s := q.t, q.r, q.s
		if at != nil {
			if q.turning != nil {
				if now, ok := q.turning.Turn(*at); ok {
					r = now
				}
			}
			if q.wantsAt && q.moving != nil {
				t = space.Plain(q.moving.Vector(*at))
			}
			if q.wantsAt && q.scaling != nil {
				s = space.Plain(q.scaling.Vector(*at))
			}
		}
		if q.up < 0 {
			p.rot[i], p.at[i], p.scale[i] = r, t, s
			continue
		}
		up := &p.rot[q.up]
		p.rot[i] = up.Mul(r)
		if q.wantsAt {
			p.at[i] = p.at[q.up].Add(up.Rotate(p.scale[q.up].Times(t)))
			p.scale[i] = p.scale[q.up].Times(s)
		}
	}
}

// longestStep is the longest way between two keys of a carried clip, seconds: what
// the source does between its keys need not be even on another skeleton.
const longestStep = 1.0 / 30

// mostParted bounds the moments put between keys, an hour or so: a clip whose keys lie
// farther apart in all, by mistake or on purpose, is parted more coarsely.
const mostParted = 100_000

// moments are the times of a carried clip's keys: those of all channels that lead,
// with steps longer than longestStep parted evenly (see mostParted), and one just before each key of
// a stepped channel.
func moments(clip *rig.ClipData, leads func(rig.Node) bool) []float32 {
	var all []float32
	var last []float32 // channels often share their list
	for i := range clip.Channels {
		c := &clip.Channels[i]
		if _, ok := deform.NewTrack(c); !ok || !leads(c.Node) {
			continue
		}
		if len(last) > 0 && len(last) == len(c.Times) && &last[0] == &c.Times[0] && c.Interpolation != rig.Step {
			continue
		}
		last = c.Times
		all = append(all, c.Times...)
		if c.Interpolation == rig.Step {
			for k := 1; k < len(c.Times); k++ {
				if gap := c.Times[k] - c.Times[k-1]; gap > 2e-3 {
					all = append(all, c.Times[k]-1e-3)
				}
			}
		}
	}
	all = slices.DeleteFunc(all, func(t float32) bool { return t-t != 0 })
	slices.Sort(all)
	longest := longestStep
	parts := func(from, to float32) float64 {
		return math.Floor((float64(to)-float64(from))/longest - 1e-3)
	}
	for {
		sum := 0.0
		for k := 1; k < len(all); k++ {
			sum += max(0, parts(all[k-1], all[k]))
		}
		if sum <= mostParted {
			break
		}
		longest *= 2
	}
	var out []float32
	for _, t := range all {
		n := len(out)
		if n > 0 && t-out[n-1] < 1e-5 {
			continue
		}
		if n > 0 {
			from, between := float64(out[n-1]), int(parts(out[n-1], t))
			for k := 1; k <= between; k++ {
				out = append(out, float32(from+(float64(t)-from)*float64(k)/float64(between+1)))
			}
		}
		out = append(out, t)
	}
	return out
}

// fineStep is the longest step of the work on feet, seconds: one of a capture at 120 Hz.
// At the 30 Hz of most files a stand would begin and end up to a thirtieth of a second
// elsewhere than at 120 Hz, and a knee beside it stand by a centimetre elsewhere.
const fineStep = 1.0 / 120

// finer parts moments evenly into steps of fineStep at most, and answers where the given
// ones stand in that. Steps longer than longestStep, of clips that last for days, stay.
func finer(times []float32) (fine []float32, given []int) {
	for i, t := range times {
		if i > 0 {
			from, step := float64(times[i-1]), float64(t)-float64(times[i-1])
			if parts := math.Ceil(step/fineStep - 5e-2); step < 1.01*longestStep {
				for k := 1.0; k < parts; k++ {
					fine = append(fine, float32(from+step*k/parts))
				}
			}
		}
		given = append(given, len(fine))
		fine = append(fine, t)
	}
	return fine, given
}
