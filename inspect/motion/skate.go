package motion

import (
	"math"
	"slices"

	"rigloupe/inspect/rig"
)

// Limits that say when a foot stands, as shares of the figure's height: its point
// within 5 cm of where it is lowest and rising or falling at less than 20 cm/s, for
// a figure of 1.75 m, a tenth of a second at least. The height and the speed are
// those of published skating measures (Karunratanakul et al. 2023; height under
// 5 cm and speed over 0.2 m/s elsewhere), put in heights so that size does not
// matter.
const (
	downHeight  = 0.029 // × height over the 5th percentile of its own height
	downRise    = 0.11  // × height a second
	downSeconds = 0.1
	slideHeight = 0.0143 // × height: 2.5 cm of 1.75 m (Zhang et al. 2018)
)

// Foot is how one foot slides while it stands.
type Foot struct {
	Node  rig.Node `json:"node"`
	Share float64  `json:"share"`             // of the clip's time that it stands
	Speed float64  `json:"metres_per_second"` // mean, level, while it stands
	Slide float64  `json:"slide_m"`           // way slid near the ground, weighted by nearness

	mean [2]float64 // x, z velocity while it stands
}

// slideWeight is how much a slide at a height counts: 1 on the ground, 0 from limit
// on; 2 − 2^(h/limit) between. Source: Zhang, Starke, Komura, Saito 2018.
func slideWeight(h, limit float64) float64 {
	if !(limit > 0) {
		return 0
	}
	return min(max(2-math.Exp2(h/limit), 0), 1)
}

// slide adds up a way over the ground, x y z a frame, weighted by slideWeight.
func slide(path [][3]float64, ground, limit float64) (sum float64) {
	for i := 1; i < len(path); i++ {
		d := math.Hypot(path[i][0]-path[i-1][0], path[i][2]-path[i-1][2])
		sum += d * slideWeight(path[i][1]-ground, limit)
	}
	return sum
}

// track is where one point is, a frame each.
type track struct {
	node rig.Node
	path [][3]float64
}

// low is the height that 5 % of the frames are under.
func low(path [][3]float64) float64 {
	y := make([]float64, len(path))
	for i := range path {
		y[i] = path[i][1]
	}
	slices.Sort(y)
	return y[(len(y)-1)/20]
}

// readFoot measures one leg: its points are the foot and its toes, and whichever is
// nearer to its own ground bears it.
func (f *figure) readFoot(times []float64, leg []track) (foot Foot, ok bool) {
	foot.Node = leg[0].node
	n := len(times)
	if n < 3 || !(f.height > 0) || !(times[n-1] > times[0]) {
		return foot, false
	}
	grounds := make([]float64, len(leg))
	for i := range leg {
		grounds[i] = low(leg[i].path)
	}
	type step struct {
		down  bool
		dt    float64
		v     [2]float64
		speed float64
	}
	steps := make([]step, n-1)
	for i := range steps {
		best := -1
		for p := range leg {
			h := max(leg[p].path[i][1], leg[p].path[i+1][1]) - grounds[p]
			if best < 0 || h < max(leg[best].path[i][1], leg[best].path[i+1][1])-grounds[best] {
				best = p
			}
		}
		a, b, s := leg[best].path[i], leg[best].path[i+1], &steps[i]
		s.dt = times[i+1] - times[i]
		if !(s.dt >= cut) {
			continue
		}
		s.v = [2]float64{(b[0] - a[0]) / s.dt, (b[2] - a[2]) / s.dt}
		s.speed = math.Hypot(s.v[0], s.v[1])
		s.down = max(a[1], b[1])-grounds[best] <= downHeight*f.height && math.Abs(b[1]-a[1])/s.dt <= downRise*f.height
	}
	stands, way, all := 0.0, 0.0, times[n-1]-times[0]
	for from := 0; from < len(steps); {
		to, span := from, 0.0
		for ; to < len(steps) && steps[to].down; to++ {
			span += steps[to].dt
		}
		if span >= downSeconds {
			for _, s := range steps[from:to] {
				stands += s.dt
				way += s.speed * s.dt
				foot.mean[0] += s.v[0] * s.dt
				foot.mean[1] += s.v[1] * s.dt
			}
		}
		from = max(to, from+1)
	}
	last := leg[len(leg)-1]
	foot.Slide = slide(last.path, grounds[len(leg)-1], slideHeight*f.height)
	if stands == 0 {
		return foot, true
	}
	foot.Share, foot.Speed = stands/all, way/stands
	foot.mean[0] /= stands
	foot.mean[1] /= stands
	return foot, true
}

// sameFloor tells that every foot that stands is carried one way at nearly one speed,
// and goes back in the air, as over a moving floor: the clip walks in place. It
// answers that speed.
func sameFloor(feet []Foot, height float64) (speed float64, ok bool) {
	const (
		spread  = 0.2 // of the common speed (common practice, no source)
		oneWay  = 0.8 // mean velocity ÷ mean speed
		airless = 0.9 // a foot that stands longer never goes back
	)
	var mean [2]float64
	stand := 0
	for i := range feet {
		if foot := &feet[i]; foot.Share > 0 {
			if foot.Share > airless || math.Hypot(foot.mean[0], foot.mean[1]) < oneWay*foot.Speed {
				return 0, false
			}
			mean[0] += foot.mean[0]
			mean[1] += foot.mean[1]
			stand++
		}
	}
	if stand == 0 {
		return 0, false
	}
	mean[0] /= float64(stand)
	mean[1] /= float64(stand)
	speed = math.Hypot(mean[0], mean[1])
	if speed <= skateShare*height {
		return 0, false
	}
	for i := range feet {
		if feet[i].Share > 0 && math.Hypot(feet[i].mean[0]-mean[0], feet[i].mean[1]-mean[1]) > spread*speed {
			return 0, false
		}
	}
	return speed, true
}
