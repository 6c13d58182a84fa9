package skeleton

import (
	"math"
	"slices"

	"rigloupe/inspect/space"
)

// A neck is where the body's section between head and trunk is narrowest. Where a big head
// meets the trunk without one, nothing tells where the head ends, and a range is told.
const (
	chinBins    = 28   // along the body, from the crown down to where it is looked for
	neckNarrow  = 0.8  // of the head's and of the trunk's width: a neck is no wider
	chinRise    = 0.07 // of the way from the neck's width to the head's: there the chin begins
	chinNear    = 0.15 // of the head's height: the chin is so near to where the head's weights end
	chinHidden  = 1.4  // × what the head holds most of: so far down it may reach where it meets the trunk
	leastInBin  = 3    // vertices
	trunkBelow  = 1.2  // × what stands above the joint of the head: so far below it the trunk is looked at
	trunkInBins = 0.25 // of them: the trunk's width is taken over so many at the lower end
)

// ofHead is a vertex of head or trunk: its height along up, and how far it is from the axis
// through the joint of the head.
type ofHead struct{ high, far float64 }

// chin is the height at which the head ends above a neck, along up; false: there is no
// neck. at is the height of the head's joint, top that of the crown.
func chin(list []ofHead, at, top float64) (float64, bool) {
	low := at - trunkBelow*(top-at)
	step := (top - low) / chinBins
	if !(step > 0) {
		return 0, false
	}
	var bins [chinBins][]float64
	for _, v := range list {
		if k := int((v.high - low) / step); v.high >= low && k < chinBins {
			bins[k] = append(bins[k], v.far)
		}
	}
	var width [chinBins]float64 // NaN: too few
	for k := range bins {
		width[k] = math.NaN()
		if len(bins[k]) >= leastInBin {
			slices.Sort(bins[k])
			width[k] = bins[k][len(bins[k])/2] // the middle one: what overhangs is on one side
		}
	}
	head, widest := 0, 0.0
	for k := chinBins - 1; low+(float64(k)+.5)*step > at; k-- {
		if width[k] > widest {
			head, widest = k, width[k]
		}
	}
	trunk := 0.0
	for k := range int(trunkInBins * chinBins) {
		trunk = max(trunk, zero(width[k]))
	}
	neck, narrow := -1, math.Inf(1)
	for k := head; k >= 0; k-- {
		if width[k] < narrow {
			neck, narrow = k, width[k]
		}
	}
	if neck < 0 || !(narrow <= neckNarrow*widest && narrow <= neckNarrow*trunk) {
		return 0, false
	}
	limit := narrow + chinRise*(widest-narrow)
	for k := neck; k <= head; k++ {
		if width[k] >= limit {
			if k == neck {
				return low + float64(k)*step, true
			}
			// Between the middles of two sections, as the width goes.
			part := (limit - width[k-1]) / (width[k] - width[k-1])
			if part != part {
				part = 0.5
			}
			return low + (float64(k)-.5+part)*step, true
		}
	}
	return 0, false
}

func zero(v float64) float64 {
	if v != v {
		return 0
	}
	return v
}

// offAxis is how far a place is from the line along up through another.
func offAxis(p, axis, up space.Vec) float64 {
	d := p.Sub(axis)
	return d.Sub(up.Mul(d.Dot(up))).Len()
}
