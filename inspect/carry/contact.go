package carry

import "math"

// When a foot stands (shares of the source figure's height H, seconds): as measures
// of skating set it, lower than 5 cm and slower than .2 m/s at 1.75 m.
const (
	standHigh    = 0.029
	standRise    = 0.11
	standSlide   = 0.114
	standLeast   = 0.1  // shorter ones are no stand
	standGap     = 0.05 // shorter gaps are filled
	speedWindow  = 0.025
	treadmill    = 0.05 // of H a second: slower than this, feet stand
	treadmillOff = 0.25 // both feet go back alike within this share
)

// foot is one leg: where it goes in the source and in the target.
type foot struct {
	side                     string
	thigh, shin, ankle, toes int // drives; toes −1: none
	srcAnkle, srcToes        int // places in the player, −1
	srcA, srcT               []vec
	was, wasToes             []vec  // target: ankle and toes before anything is pinned
	a, b, c, t               []vec  // target: hip, knee, ankle, toes
	wA, wB, wC               []quat // world rotations of thigh, shin, foot
	state                    []pivot
	e                        []vec // how far the ankle is moved
}

// pivot is what a foot stands on.
type pivot uint8

const (
	inAir pivot = iota
	onAnkle
	onToes
)

func newFeet(p *plan, pl *player, frames int) (out []*foot) {
	for _, side := range [2]string{"left", "right"} {
		f := &foot{side: side, thigh: p.driveOf(side + "UpperLeg"), shin: p.driveOf(side + "LowerLeg"), ankle: p.driveOf(side + "Foot"), toes: p.driveOf(side + "Toes")}
		if f.thigh < 0 || f.shin < 0 || f.ankle < 0 {
			continue
		}
		d := &p.drive[f.ankle]
		if d.from != f.shin && d.hang != f.shin || p.drive[f.shin].from != f.thigh {
			continue // a leg of more bones than two: left as the turns put it
		}
		if f.toes >= 0 && p.drive[f.toes].from != f.ankle {
			f.toes = -1
		}
		f.srcAnkle, f.srcToes = pl.place[d.pair.Source], -1
		if f.srcAnkle < 0 {
			continue
		}
		if f.toes >= 0 {
			f.srcToes = pl.place[p.drive[f.toes].pair.Source]
			if f.srcToes < 0 || !pl.parts[f.srcToes].wantsAt {
				f.toes, f.srcToes = -1, -1
			}
		}
		if !pl.parts[f.srcAnkle].wantsAt {
			continue
		}
		f.srcA, f.a, f.b, f.c = make([]vec, frames), make([]vec, frames), make([]vec, frames), make([]vec, frames)
		f.wA, f.wB, f.wC = make([]quat, frames), make([]quat, frames), make([]quat, frames)
		if f.toes >= 0 {
			f.srcT, f.t = make([]vec, frames), make([]vec, frames)
		}
		out = append(out, f)
	}
	return out
}

// note keeps what the feet need of a frame.
func (l *foot) note(f int, k *keys, pl *player) {
	l.srcA[f] = pl.at[l.srcAnkle]
	l.a[f], l.b[f], l.c[f] = k.at[l.thigh], k.at[l.shin], k.at[l.ankle]
	l.wA[f], l.wB[f], l.wC[f] = k.world[l.thigh], k.world[l.shin], k.world[l.ankle]
	if l.toes >= 0 {
		l.srcT[f] = pl.at[l.srcToes]
		l.t[f] = k.at[l.toes]
	}
}

// srcLow is the lower of ankle and toes in the source.
func (l *foot) srcLow(f int, up vec) float64 {
	h := l.srcA[f].dot(up)
	if l.srcT != nil {
		h = min(h, l.srcT[f].dot(up))
	}
	return h
}

func (l *foot) shift(way func(f int) vec) {
	for f := range l.a {
		v := way(f)
		l.a[f], l.b[f], l.c[f] = l.a[f].add(v), l.b[f].add(v), l.c[f].add(v)
		if l.t != nil {
			l.t[f] = l.t[f].add(v)
		}
	}
}

// contacts finds when each foot of the source stands.
func (r *Result) contacts() {
	h, up := r.plan.height.src, r.plan.srcUp
	var mean [2]vec
	for i, l := range r.feet {
		ankle := stands(r.times, l.srcA, up, h, false)
		n := 0.0
		for f := 1; f < len(r.times); f++ {
			if dt := float64(r.times[f] - r.times[f-1]); ankle[f] && ankle[f-1] && dt > 0 {
				mean[i%2] = mean[i%2].add(flat(l.srcA[f].sub(l.srcA[f-1]), up).mul(1 / dt))
				n++
			}
		}
		if n > 0 {
			mean[i%2] = mean[i%2].mul(1 / n)
		}
	}
	// Both feet go back at one speed while they stand: a walk in place.
	if v := mean[0].add(mean[1]).mul(0.5); len(r.feet) == 2 && mean[0].len() > treadmill*h && mean[1].len() > treadmill*h &&
		mean[0].sub(mean[1]).len() < treadmillOff*v.len() {
		r.remark("the source goes in place: both feet, when down, move back at %.3g of the height a second; no foot was pinned", v.len()/h)
		for _, l := range r.feet {
			l.state = make([]pivot, len(r.times))
		}
		return
	}
	for _, l := range r.feet {
		ankle := stands(r.times, l.srcA, up, h, true)
		l.state = make([]pivot, len(r.times))
		var toes []bool
		if l.srcT != nil {
			toes = stands(r.times, l.srcT, up, h, true)
		}
		for f := range l.state {
			switch {
			case ankle[f]:
				l.state[f] = onAnkle
			case toes != nil && toes[f]:
				l.state[f] = onToes
			}
		}
	}
}

// stands tells for every frame whether a point stands: low over its own floor and
// slow for a tenth of a second at least.
func stands(times []float32, at []vec, up vec, h float64, slow bool) []bool {
	n := len(times)
	out := make([]bool, n)
	high := make([]float64, n)
	for f := range at {
		high[f] = at[f].dot(up)
	}
	floor := percentile(high, 0.05)
	lo, hi := 0, 0
	for f := range n {
		// A window of at least a frame to either side, 25 ms where frames are closer.
		t := float64(times[f])
		for lo+1 < f && float64(times[lo+1]) <= t-speedWindow {
			lo++
		}
		if hi < f {
			hi = f
		}
		for hi+1 < n && (hi == f || float64(times[hi]) < t+speedWindow) {
			hi++
		}
		a, b := lo, hi
		if a == f && f > 0 {
			a = f - 1
		}
		v := vec{}
		if dt := float64(times[b]) - float64(times[a]); dt > 0 {
			v = at[b].sub(at[a]).mul(1 / dt)
		}
		out[f] = high[f]-floor <= standHigh*h && math.Abs(v.dot(up)) < standRise*h && (!slow || flat(v, up).len() < standSlide*h)
	}
	runs(times, out, false, standGap)
	runs(times, out, true, standLeast)
	return out
}

// runs turns over the runs of a value that are shorter than least; those at either
// end of the clip stay.
func runs(times []float32, list []bool, value bool, least float64) {
	for i := 0; i < len(list); {
		j := i
		for j < len(list) && list[j] == list[i] {
			j++
		}
		if list[i] == value && i > 0 && j < len(list) && float64(times[j])-float64(times[i]) < least {
			for k := i; k < j; k++ {
				list[k] = !value
			}
		}
		i = j
	}
}
