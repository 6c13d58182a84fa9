package gait

import (
	"math"
	"slices"

	"rigloupe/inspect/space"
)

// A clip may climb: a stair, a slope, a box. What its feet stand on then lies at another
// height at each stand. Such a ground is read from the feet alone: a foot that keeps
// still bears the body if the other foot moves meanwhile or is no lower, and its place
// can be come to from a place that is known to be ground by a step that legs can do. A
// figure that lies, sits, jumps or walks in place does nothing of the kind: its hips are
// low, there is a flight before it stands again, or it hardly ever stands.
const (
	drift   = 2                  // times Slow, level: faster than this no foot tells where the ground is (common practice, no source)
	steepOf = 1.1917535925942098 // tan 50°: a stair is no steeper (ISO 14122-1: stairs up to 45°, stepladders above, value from memory; 5° more for how feet lie on treads)
	mostUp  = 0.3                // of H from one stand to the next: 52 cm of 1.75 m, three risers of 17 cm
	hollow  = 2                  // times Near: a ground that ends where it began has steps no lower than that, 10 cm of 1.75 m (the least riser in IBC 1011.5.2 is 102 mm; value from memory); what dips less sank
	upright = 0.6                // of how high hips stand over the lower foot in the clip: over a foot that bears (set by: on a riser of 0.2 m they are at .7 over the upper foot; the corpus' figures that lie or sit are under .5)
	tallest = 90                 // per cent of the moments in which they are lower
	flight  = 0.2                // seconds from one stand to the next: a run leaves the ground for less (common practice, no source)
	stands  = 0.6                // of the time some foot must stand on what was found
	sureOf  = Least              // seconds in which a foot must bear alone, or stand no lower than the other
)

// rest is a run of steps in which a foot keeps still: places from … to−1 among its steps.
type rest struct {
	foot, from, to int
	start, end     float64   // seconds
	lift           float64   // middle height over the foot's own lowest ground
	level          float64   // the same over the lowest ground of all feet
	at             space.Vec // where it stands, level
	bears          bool      // the foot bears the body
	known          bool      // it is ground
}

// Legs reads the feet of one figure together: as Read reads each, but over the ground
// that each of them stands on at the time. feet are the points of each, as in Read; a
// left foot and its right stand beside each other in the list; hips are the way of what
// they carry, nil: not known. Where the ground is level the answer is that of Read. ok is
// false where Read's is, and no foot is answered.
func Legs(times []float64, feet [][][]space.Vec, hips []space.Vec, up space.Vec, height float64) (out []Foot, ok bool) {
	for _, points := range feet {
		f, ok := Read(times, points, up, height)
		if !ok {
			return nil, false
		}
		out = append(out, f)
	}
	lifts := climb(times, feet, out, hips, up, height)
	if lifts == nil {
		return out, true
	}
	for i, points := range feet {
		out[i], _ = ReadOver(times, points, up, height, lifts[i])
	}
	return out, true
}

// ReadOver is Read over a ground that is higher than where the foot's points are lowest
// by so much, a moment each, along up.
func ReadOver(times []float64, points [][]space.Vec, up space.Vec, height float64, lift []float64) (Foot, bool) {
	level := make([][]space.Vec, len(points))
	for p := range points {
		level[p] = Levelled(points[p], up, lift)
	}
	f, ok := Read(times, level, up, height)
	f.Lift = lift
	return f, ok
}

// Levelled is a way as it would go over level ground; lift as in Foot.
func Levelled(path []space.Vec, up space.Vec, lift []float64) []space.Vec {
	if lift == nil {
		return path
	}
	out := make([]space.Vec, len(path))
	for i := range path {
		out[i] = path[i].Sub(up.Mul(lift[i]))
	}
	return out
}

// climb answers by how much each foot's ground lies over its own lowest, a moment each;
// nil where one level holds for every foot.
func climb(times []float64, feet [][][]space.Vec, read []Foot, hips []space.Vec, up space.Vec, height float64) [][]float64 {
	var rests []rest
	for i, points := range feet {
		rests = append(rests, still(times, points, &read[i], up, height, i)...)
	}
	if len(rests) == 0 {
		return nil
	}
	base := math.Inf(1) // of ankles: feet are alike
	for i := range read {
		base = min(base, read[i].Ground[0])
	}
	for i := range rests {
		rests[i].level = rests[i].lift + read[rests[i].foot].Ground[0] - base
	}
	bearing(rests, height)
	if hips != nil {
		tall := make([]float64, len(times))
		for i := range tall {
			low := math.Inf(1)
			for _, points := range feet {
				low = min(low, points[0][i].Dot(up))
			}
			tall[i] = hips[i].Dot(up) - low
		}
		least := upright * space.Percentile(tall, tallest)
		for i := range rests {
			r := &rests[i]
			r.bears = r.bears && hips[(r.from+r.to)/2].Dot(up)-r.level-base >= least
		}
	}
	slices.SortStableFunc(rests, func(a, b rest) int {
		switch {
		case a.start < b.start:
			return -1
		case a.start > b.start:
			return 1
		}
		return 0
	})
	onePlace(rests, height, len(feet))
	if !connect(rests, height, len(feet)) || covered(rests) < stands*(times[len(times)-1]-times[0]) {
		return nil
	}
	out := make([][]float64, len(feet))
	for i := range out {
		out[i] = between(times, rests, i)
	}
	return out
}

// still finds the runs in which a foot keeps still at one height, wherever that is.
func still(times []float64, points [][]space.Vec, f *Foot, up space.Vec, height float64, foot int) (out []rest) {
	r := newReader(times, points, up, height)
	n := len(times) - 1
	quiet, lift, at := make([]bool, n), make([]float64, n), make([]space.Vec, n)
	for i := range quiet {
		s, _, over, rise := r.step(i, f.Ground)
		lift[i], at[i] = over, points[0][i]
		quiet[i] = s.Seconds > 0 && math.Abs(rise) <= Rise*height && s.Speed <= drift*Slow*height
	}
	steps := Foot{Steps: f.Steps}
	steps.runs(quiet, false, gap)
	steps.each(quiet, func(from, to int) {
		// A foot that creeps up or down while it is quiet stands at several heights: as many
		// stands, each within Near.
		for a := from; a < to; {
			lo, hi, b := lift[a], lift[a], a
			for ; b < to; b++ {
				l, h := min(lo, lift[b]), max(hi, lift[b])
				if h-l > Near*height {
					break
				}
				lo, hi = l, h
			}
			if times[b]-times[a] >= Least-1e-9 {
				mid := (a + b) / 2
				p := at[mid]
				out = append(out, rest{
					foot: foot, from: a, to: b, start: times[a], end: times[b],
					lift: space.Percentile(slices.Clone(lift[a:b]), 50), at: p.Sub(up.Mul(p.Dot(up))),
				})
			}
			a = max(b, a+1)
		}
	})
	return out
}

// bearing marks the rests in which the foot bears the body: for a moment at least the
// foot beside it moves, or stands no lower. A foot held in the air beside one that stands
// is none of them. rests stand foot by foot, each foot's in order of time.
func bearing(rests []rest, height float64) {
	byFoot := map[int][]rest{}
	for _, r := range rests {
		byFoot[r.foot] = append(byFoot[r.foot], r)
	}
	for i := range rests {
		r := &rests[i]
		beside, alone := byFoot[r.foot^1], r.end-r.start
		from, _ := slices.BinarySearchFunc(beside, r.start, func(o rest, t float64) int {
			if o.end <= t {
				return -1
			}
			return 1
		})
		for _, o := range beside[from:] {
			if o.start >= r.end {
				break
			}
			if o.level < r.level-Near*height {
				alone -= min(o.end, r.end) - max(o.start, r.start)
			}
		}
		r.bears = alone >= sureOf-1e-9
	}
}

// onePlace gives rests of a foot that follow each other in one place one height, that of
// the longest: ground does not move, so where the foot then lies lower it sank.
func onePlace(rests []rest, height float64, feet int) {
	for foot := range feet {
		var run []*rest
		settle := func() {
			var long *rest
			for _, r := range run {
				if r.bears && (long == nil || r.end-r.start > long.end-long.start) {
					long = r
				}
			}
			for _, r := range run {
				if long != nil && r.bears {
					r.lift, r.level = long.lift, long.level
				}
			}
			run = run[:0]
		}
		for i := range rests {
			r := &rests[i]
			if r.foot != foot {
				continue
			}
			if len(run) > 0 && run[len(run)-1].at.Sub(r.at).Len() > Near*height {
				settle()
			}
			run = append(run, r)
		}
		settle()
	}
}

// connect marks which rests, in order of time, are ground: the lowest ones in which a
// foot bears, and those that a step leads to from the last known before, or the first
// known after, of a foot. Where these do not lie on one level, a foot that comes to rest
// a step on stands there, whether the other is seen to leave the ground or not. false:
// one level holds for all.
func connect(rests []rest, height float64, feet int) (climbs bool) {
	lowest := math.Inf(1)
	for i := range rests {
		if rests[i].bears {
			lowest = min(lowest, rests[i].level)
		}
	}
	for i := range rests {
		rests[i].known = rests[i].bears && rests[i].level <= lowest+Near*height
	}
	steps := func(r, l *rest) bool {
		up := math.Abs(r.level - l.level)
		return up <= Near*height && r.bears || up <= mostUp*height && up <= steepOf*r.at.Sub(l.at).Len()
	}
	sweep := func(from, to, by int, all bool) {
		last := make([]*rest, feet)
		for i := from; i != to; i += by {
			r := &rests[i]
			apart, near := math.Inf(1), false // seconds to the nearest stand that is known; a step leads here
			for foot, l := range last {
				if l != nil {
					apart = min(apart, max(r.start, l.start)-min(r.end, l.end))
					near = near || steps(r, l) && (r.bears || all && foot == r.foot)
				}
			}
			// A foot that rises where it was does not step, however far off the other stands.
			own := last[r.foot]
			r.known = r.known || near && apart <= flight && (own == nil || steps(r, own))
			if r.known {
				last[r.foot] = r
			}
		}
	}
	sweep(0, len(rests), 1, false)
	sweep(len(rests)-1, -1, -1, false)
	first, last, most := math.NaN(), 0.0, math.Inf(-1)
	for i := range rests {
		if r := &rests[i]; r.known {
			if most, last = max(most, r.level), r.level; math.IsNaN(first) {
				first = r.level
			}
			climbs = climbs || math.Abs(r.lift) > Near*height
		}
	}
	rise := most - lowest
	climbs = climbs && (rise > hollow*Near*height || math.Abs(last-first) > rise/2)
	if climbs {
		sweep(0, len(rests), 1, true)
		sweep(len(rests)-1, -1, -1, true)
	}
	return climbs
}

// covered is how long some foot stands on known ground. rests are in order of time.
func covered(rests []rest) (seconds float64) {
	until := math.Inf(-1)
	for i := range rests {
		if r := &rests[i]; r.known && r.end > until {
			seconds += r.end - max(r.start, until)
			until = r.end
		}
	}
	return seconds
}

// between is a foot's ground over its lowest, moment by moment: that of its stands, and
// smoothly from one to the next while it is in the air.
func between(times []float64, rests []rest, foot int) []float64 {
	out := make([]float64, len(times))
	var own []*rest
	for i := range rests {
		if rests[i].known && rests[i].foot == foot {
			own = append(own, &rests[i])
		}
	}
	if len(own) == 0 {
		return out
	}
	k := 0
	for i, t := range times {
		for k+1 < len(own) && own[k].end < t {
			k++
		}
		switch r := own[k]; {
		case t >= r.start || k == 0:
			out[i] = r.lift
		default:
			before := own[k-1]
			x := (t - before.end) / (r.start - before.end)
			x = min(max(x, 0), 1)
			out[i] = before.lift + (r.lift-before.lift)*x*x*(3-2*x)
		}
	}
	return out
}

// Levels answers what height the points of the ground under several feet have, a moment
// each: the lower of them, as heights of the feet's first points along up. nil where
// every foot's ground is level.
func Levels(feet []Foot) (out []float64) {
	for i := range feet {
		f := &feet[i]
		if f.Lift == nil {
			continue
		}
		if out == nil {
			out = slices.Repeat([]float64{math.Inf(1)}, len(f.Lift))
		}
		for t := range out {
			out[t] = min(out[t], f.Lift[t]+f.Ground[0])
		}
	}
	return out
}
