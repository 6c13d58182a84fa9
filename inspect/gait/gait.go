// Package gait tells when a foot stands and how far it slides meanwhile: one
// definition for the examination of clips and for carrying them over.
//
// A foot stands while the lower of its points (ankle, toes), each over its own ground,
// is near the ground and neither rises nor falls, for a tenth of a second at least.
// What passes over the ground quickly without standing on it is left out: a stretch
// near as fast as the foot goes in the air and the same way, or fast and raised; within
// a stretch the steps much faster than its middle and raised, or over in a moment; and
// the tenth of a second at either end in which the foot still brakes or already leaves.
// So a foot that glides stands all the same, and a foot that steps aside close over the
// ground does not.
package gait

import (
	"math"
	"slices"

	"rigloupe/inspect/space"
)

// When a foot stands: shares of the figure's height H, seconds. Published measures of
// skating take a foot to be down below 5 cm (Karunratanakul et al. 2023) and to slide
// above 0.2 m/s, on figures of about 1.75 m; in heights they hold for any size.
const (
	Near  = 0.029  // of H over the point's own ground: 5 cm of 1.75 m
	Rise  = 0.11   // of H a second, up or down: 0.2 m/s of 1.75 m
	Slow  = 0.114  // of H a second, level: 0.2 m/s of 1.75 m
	Least = 0.1    // seconds; what is shorter is no stand (common practice, no source)
	Fade  = 0.0143 // of H: a slide counts less with height and nothing from here on: 2.5 cm of 1.75 m (Zhang, Starke, Komura, Saito 2018)

	// Set by the steps of TestStands, at 30 and 120 Hz, and the capture's and the corpus'
	// walks, blows and steps aside.
	raised = 0.2      // of Near: a step lower than this touches the ground
	rush   = 2        // times the stretch's middle speed
	aloft  = 0.6      // of the speed in the air: a stretch faster than this only passes
	swings = 90       // per cent of the steps in the air are slower than that speed
	dips   = 5        // per cent of the moments may lie under the ground: where a foot presses or a capture errs
	span   = 1.0 / 30 // seconds over which a speed is taken: a capture at 120 Hz shakes from frame to frame
	ends   = 0.1      // seconds in which a foot comes to stand, or leaves, still near the ground (common practice, no source)
	burst  = 0.125    // seconds; shorter ones within a stand set the foot anew (common practice, no source)
	gap    = 0.05     // seconds; a shorter break within a stand is none
)

// legs is the share of thigh and shank in a grown person's height, .245 + .246
// (Drillis and Contini 1966, in Winter, Biomechanics and Motor Control).
const legs = 0.491

// Size is the H that a figure's feet go by: the height of a grown person with its legs,
// since steps grow with the legs and not with a head or a hat. leg is the length of
// thigh and shank; 0: unknown, the height itself.
func Size(height, leg float64) float64 {
	if leg > 0 && leg < math.Inf(1) {
		return leg / legs
	}
	return height
}

// Step is what a foot does from one moment to the next.
type Step struct {
	Seconds float64
	Point   int       // the point nearest to its own ground
	V       space.Vec // its level velocity, units a second
	Speed   float64   // length of V
	Stands  bool
}

// Foot is one foot over a clip.
type Foot struct {
	Steps  []Step
	Ground []float64 // by point: the height along up that 5 % of the moments are under, each less Lift
	Share  float64   // of the time that it stands
	Speed  float64   // mean level speed while it stands, units a second
	Mean   space.Vec // mean level velocity while it stands
	Lift   []float64 // by moment: how much higher than Ground what it stands on lies (Legs); nil: nowhere
}

// Read measures one foot. points are the ways of its points (foot, then toes), one
// place a moment, all as long as times; up is unit; height is the figure's (Size) in the
// same unit. false: fewer than three moments, or nothing to measure by.
func Read(times []float64, points [][]space.Vec, up space.Vec, height float64) (f Foot, ok bool) {
	n := len(times)
	if n < 3 || len(points) == 0 || !(height > 0) || !(times[n-1] > times[0]) {
		return f, false
	}
	r := newReader(times, points, up, height)
	for p := range points {
		f.Ground = append(f.Ground, space.Percentile(slices.Clone(r.heights[p]), dips))
	}
	f.Steps = make([]Step, n-1)
	low, lift := make([]bool, n-1), make([]float64, n-1)
	for i := range f.Steps {
		f.Steps[i], low[i], lift[i], _ = r.step(i, f.Ground)
	}
	f.choose(low, lift, height)
	f.total(times[n-1] - times[0])
	return f, true
}

type reader struct {
	times   []float64
	points  [][]space.Vec
	heights [][]float64
	up      space.Vec
	height  float64
}

func newReader(times []float64, points [][]space.Vec, up space.Vec, height float64) *reader {
	r := &reader{times: times, points: points, up: up, height: height}
	for _, p := range points {
		h := make([]float64, len(p))
		for i := range p {
			h[i] = p[i].Dot(up)
		}
		r.heights = append(r.heights, h)
	}
	return r
}

// step measures one step: how it goes, whether it is low and level, how far over its
// ground, and how fast it rises.
func (r *reader) step(i int, ground []float64) (s Step, low bool, lift, rise float64) {
	s.Seconds = r.times[i+1] - r.times[i]
	over := func(p int) float64 { return max(r.heights[p][i], r.heights[p][i+1]) - ground[p] }
	for p := range r.points {
		if over(p) < over(s.Point) {
			s.Point = p
		}
	}
	lift = over(s.Point)
	a, b := i, i+1
	for r.times[b]-r.times[a] < span*0.999 && (a > 0 || b < len(r.times)-1) {
		a, b = max(a-1, 0), min(b+1, len(r.times)-1)
	}
	dt := r.times[b] - r.times[a]
	if !(s.Seconds > 0) || !(dt > 0) {
		return s, false, lift, 0
	}
	from, to := r.points[s.Point][a], r.points[s.Point][b]
	rise = (to.Dot(r.up) - from.Dot(r.up)) / dt
	for c := range s.V {
		s.V[c] = (to[c]-from[c])/dt - rise*r.up[c]
	}
	s.Speed = s.V.Len()
	return s, lift <= Near*r.height && math.Abs(rise) <= Rise*r.height, lift, rise
}

// choose marks the steps that stand.
func (f *Foot) choose(low []bool, lift []float64, height float64) {
	var air []float64
	var way space.Vec // in the air
	for i := range f.Steps {
		if s := &f.Steps[i]; !low[i] {
			air = append(air, s.Speed)
			for c := range way {
				way[c] += s.V[c] * s.Seconds
			}
		}
	}
	fast := math.Inf(1)
	if len(air) > 0 {
		fast = aloft * space.Percentile(air, swings)
	}
	f.runs(low, false, gap)
	f.each(low, func(from, to int) {
		var speeds, lifts []float64
		along := 0.0
		for i := from; i < to; i++ {
			speeds, lifts = append(speeds, f.Steps[i].Speed), append(lifts, lift[i])
			along += f.Steps[i].V.Dot(way) * f.Steps[i].Seconds
		}
		middle := space.Percentile(speeds, 50)
		if middle > Slow*height && (middle > fast && along > 0 || space.Percentile(lifts, 50) > raised*Near*height) {
			return // passes over the ground: the way it goes in the air, or raised
		}
		most := max(Slow*height, rush*middle)
		arriving, leaving := 0.0, 0.0
		for from < to && f.Steps[from].Speed > most && arriving < ends {
			arriving += f.Steps[from].Seconds
			from++
		}
		for to > from && f.Steps[to-1].Speed > most && leaving < ends {
			leaving += f.Steps[to-1].Seconds
			to--
		}
		for i := from; i < to; {
			j, seconds := i, 0.0
			for ; j < to && f.Steps[j].Speed > most; j++ {
				seconds += f.Steps[j].Seconds
			}
			for k := i; k < j; k++ { // a glide, unless it is raised, or over in a moment: a foot set anew
				f.Steps[k].Stands = seconds > burst && lift[k] <= raised*Near*height
			}
			if j == i {
				f.Steps[i].Stands = true
				j++
			}
			i = j
		}
	})
	stands := make([]bool, len(f.Steps))
	for i := range f.Steps {
		stands[i] = f.Steps[i].Stands
		f.Steps[i].Stands = false
	}
	f.each(stands, func(from, to int) {
		for i := from; i < to; i++ {
			f.Steps[i].Stands = true
		}
	})
}

// each hands out the runs of true that last long enough.
func (f *Foot) each(list []bool, run func(from, to int)) {
	for from := 0; from < len(list); {
		to, seconds := from, 0.0
		for ; to < len(list) && list[to]; to++ {
			seconds += f.Steps[to].Seconds
		}
		if to > from && seconds >= Least-1e-9 {
			run(from, to)
		}
		from = max(to, from+1)
	}
}

// runs turns over the runs of a value that are shorter than least; those at either end
// of the clip stay.
func (f *Foot) runs(list []bool, value bool, least float64) {
	for i := 0; i < len(list); {
		j, seconds := i, 0.0
		for ; j < len(list) && list[j] == list[i]; j++ {
			seconds += f.Steps[j].Seconds
		}
		if list[i] == value && i > 0 && j < len(list) && seconds < least {
			for k := i; k < j; k++ {
				list[k] = !value
			}
		}
		i = j
	}
}

// total sums up the stands of a clip that lasts so long.
func (f *Foot) total(seconds float64) {
	stands, way := 0.0, 0.0
	for i := range f.Steps {
		if s := &f.Steps[i]; s.Stands {
			stands += s.Seconds
			way += s.Speed * s.Seconds
			for c := range f.Mean {
				f.Mean[c] += s.V[c] * s.Seconds
			}
		}
	}
	if !(stands > 0) {
		return
	}
	f.Share, f.Speed = stands/seconds, way/stands
	for c := range f.Mean {
		f.Mean[c] /= stands
	}
}

// Weight is how much a slide at a height counts: 1 on the ground, 0 from limit on,
// 2 − 2^(h/limit) between. Source: Zhang, Starke, Komura, Saito 2018.
func Weight(h, limit float64) float64 {
	if !(limit > 0) {
		return 0
	}
	return min(max(2-math.Exp2(h/limit), 0), 1)
}

// Slide adds up a point's way over the ground, weighted by Weight; ground and limit in
// the path's unit.
func Slide(path []space.Vec, up space.Vec, ground, limit float64) (sum float64) {
	for i := 1; i < len(path); i++ {
		var d space.Vec
		for c := range d {
			d[c] = path[i][c] - path[i-1][c]
		}
		rise := d.Dot(up)
		for c := range d {
			d[c] -= rise * up[c]
		}
		sum += d.Len() * Weight(path[i].Dot(up)-ground, limit)
	}
	return sum
}

// InPlace tells that every foot that stands is carried one way at nearly one speed,
// faster than the limit, and goes back in the air, as over a moving floor: the clip
// walks in place. It answers that speed.
func InPlace(feet []Foot, limit float64) (speed float64, ok bool) {
	const (
		spread  = 0.2 // of the common speed (common practice, no source)
		oneWay  = 0.8 // mean velocity ÷ mean speed
		airless = 0.9 // a foot that stands longer never goes back
	)
	var mean space.Vec
	stand := 0.0
	for i := range feet {
		foot := &feet[i]
		if foot.Share == 0 {
			continue
		}
		if foot.Share > airless || foot.Mean.Len() < oneWay*foot.Speed {
			return 0, false
		}
		for c := range mean {
			mean[c] += foot.Mean[c]
		}
		stand++
	}
	if stand == 0 {
		return 0, false
	}
	for c := range mean {
		mean[c] /= stand
	}
	speed = mean.Len()
	if speed <= limit {
		return 0, false
	}
	for i := range feet {
		var off space.Vec
		for c := range off {
			off[c] = feet[i].Mean[c] - mean[c]
		}
		if feet[i].Share > 0 && off.Len() > spread*speed {
			return 0, false
		}
	}
	return speed, true
}
