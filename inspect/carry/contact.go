package carry

import (
	"math"

	"rigloupe/inspect/gait"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// foot is one leg: where it goes in the source and in the target.
type foot struct {
	side                     string
	thigh, shin, ankle, toes int // drives; toes −1: none
	srcAnkle, srcToes        int // places in the player, −1
	srcA, srcT               []vec
	restLow                  float64   // the lower of both at rest, along the source's up
	was, wasToes             []vec     // target: ankle and toes before anything is pinned
	a, b, c, t               []vec     // target: hip, knee, ankle, toes
	wA, wB, wC, wT           []quat    // world rotations of thigh, shin, foot, toes
	share                    float64   // of the clip that the source's foot stands
	clear                    []float64 // how far the source's foot is over its ground, target units
	glides                   bool      // goes back as over a moving floor: only its height is kept
	state                    []pivot
	holds                    []float64    // how much the foot is held by the floor, 0…1
	e                        []vec        // how far the ankle is moved
	hinge                    vec          // of the knee, in the thigh's own axes: a positive turn folds
	least, most              float64      // angles of the knee by the turns alone, radians, with slack
	fastest                  [3]float64   // of thigh, shin and foot by the turns alone, degrees a second
	own                      [][3]float64 // speeds of the same, step by step
	limb                     []limb       // the leg by the turns alone
	over                     []quat       // world rotation of what carries the thigh
	first, second            []quat       // what thigh and shin turn to keep the foot, world
	came                     []vec        // where the ankle comes to, the hips lowered
	missed                   []float64    // how far the ankle stays off its place
	gone                     []float64    // middles of the stands that were let go, seconds
	goneFor                  float64      // seconds, of these and of the ends of others
	down                     []float64    // seconds to the nearest moment at which the source's foot stands
	lifts                    []float64    // by moment: how much of what it wants to clear the floor it gets
	barred                   []bool       // moments at which it was let go
	floor                    float64      // height of the floor in the target
	climb                    []float64    // by moment: how much higher the ground under it is; nil: nowhere
	tips                     []vec        // by moment: how that ground lies, its upright; nil: level
	ground                   [3]float64   // by pivot: height of the joint while it stands
	soleA, soleT             sole         // of foot and toes; nil: no surface hangs there
	underA, underT           []float64    // how far foot and toes reach under their joints
	curled                   bool         // wT holds the toes bent up
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
			f.srcT, f.t, f.wT = make([]vec, frames), make([]vec, frames), make([]quat, frames)
		}
		f.restLow = pl.at0[f.srcAnkle].Dot(p.srcUp)
		if f.srcToes >= 0 {
			f.restLow = min(f.restLow, pl.at0[f.srcToes].Dot(p.srcUp))
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
		l.t[f], l.wT[f] = k.at[l.toes], k.world[l.toes]
	}
}

// srcLow is the lower of ankle and toes in the source.
func (l *foot) srcLow(f int, up vec) float64 {
	h := l.srcA[f].Dot(up)
	if l.srcT != nil {
		h = min(h, l.srcT[f].Dot(up))
	}
	return h
}

func (l *foot) shift(way func(f int) vec) {
	for f := range l.a {
		v := way(f)
		l.a[f], l.b[f], l.c[f] = l.a[f].Add(v), l.b[f].Add(v), l.c[f].Add(v)
		if l.t != nil {
			l.t[f] = l.t[f].Add(v)
		}
	}
}

// contacts finds when each foot of the source stands (package gait) and on what.
func (r *Result) contacts() {
	p := r.plan
	times := make([]float64, len(r.times))
	for f, t := range r.times {
		times[f] = float64(t)
	}
	feet := make([][][]space.Vec, len(r.feet))
	for i, l := range r.feet {
		feet[i] = [][]space.Vec{ways(l.srcA)}
		if l.srcT != nil {
			feet[i] = append(feet[i], ways(l.srcT))
		}
	}
	var hips []space.Vec
	if len(r.srcHips) == len(times) {
		hips = ways(r.srcHips)
	}
	gaits, ok := gait.Legs(times, feet, hips, p.srcUp.Vec(), p.size.src)
	if !ok {
		gaits = make([]gait.Foot, len(feet))
	}
	r.climbs(gaits)
	for i, l := range r.feet {
		points, g := feet[i], &gaits[i]
		l.state = make([]pivot, len(times))
		l.clear = make([]float64, len(times))
		for f := range l.clear {
			over := math.Inf(1)
			for i, q := range points {
				if i < len(g.Ground) {
					over = min(over, space.Plain(q[f]).Dot(p.srcUp)-g.Ground[i])
				}
			}
			if g.Lift != nil {
				over -= g.Lift[f]
			}
			if over > 0 && !math.IsInf(over, 0) {
				l.clear[f] = over * p.k
			}
		}
	}
	slow := gait.Slow * p.size.src
	v, inPlace := gait.InPlace(gaits, treadmill*p.size.src)
	r.inPlace = inPlace
	if inPlace {
		r.remark("the source goes in place: its feet, when down, move back by %s of the height a second; none was kept in its place", say.Percent(v/p.height.src))
		slow = math.Inf(1)
	}
	for i, l := range r.feet {
		l.share, l.glides = gaits[i].Share, inPlace
		l.stand(gaits[i].Steps, slow)
	}
}

// treadmill, of the height a second: both feet faster than this go in place.
const treadmill = 0.05

func ways(list []vec) []space.Vec {
	out := make([]space.Vec, len(list))
	for i, v := range list {
		out[i] = v.Vec()
	}
	return out
}

// stand marks the moments at which the foot is to stay where it is: those that stand
// in the source, unless it glides there faster than slow, for as long as a stand lasts.
func (l *foot) stand(steps []gait.Step, slow float64) {
	for from := 0; from < len(steps); {
		to, seconds := from, 0.0
		for ; to < len(steps) && steps[to].Stands && steps[to].Speed <= slow; to++ {
			seconds += steps[to].Seconds
		}
		if seconds >= gait.Least-1e-9 {
			for f := from; f <= to; f++ {
				l.state[f] = onAnkle
				if steps[min(f, to-1)].Point > 0 {
					l.state[f] = onToes
				}
			}
		}
		from = max(to, from+1)
	}
}
