// Package weights works on the weights of vertices: made whole, cut to a few with the
// least shift, filled from around. Slices in, slices out; it knows neither files nor words.
package weights

import (
	"cmp"
	"slices"
)

// Hold is one joint's part in a vertex.
type Hold struct {
	Joint  uint16 // place in the skin's joints
	Weight float64
}

// Row gathers the holds of one vertex, the strongest first, of equal ones the one stored
// first: a joint that is stored twice counts once, weights that are not above 0 do not.
// joints and weights are one vertex's, K long.
func Row(joints []uint16, weights []float32, out []Hold) []Hold {
	out = out[:0]
	for k, w := range weights {
		if !(w > 0) {
			continue
		}
		if i := slices.IndexFunc(out, func(h Hold) bool { return h.Joint == joints[k] }); i >= 0 {
			out[i].Weight += float64(w)
			continue
		}
		out = append(out, Hold{joints[k], float64(w)})
	}
	Sort(out)
	return out
}

// Sort puts the strongest first.
func Sort(row []Hold) {
	slices.SortStableFunc(row, func(a, b Hold) int { return cmp.Compare(b.Weight, a.Weight) })
}

// Sum is what all holds weigh.
func Sum(row []Hold) (s float64) {
	for _, h := range row {
		s += h.Weight
	}
	return s
}

// Whole divides by the sum; a row without any weight stays.
func Whole(row []Hold) {
	if s := Sum(row); s > 0 {
		for i := range row {
			row[i].Weight /= s
		}
	}
}

// Add gives a joint more weight.
func Add(row []Hold, joint uint16, weight float64) []Hold {
	if i := slices.IndexFunc(row, func(h Hold) bool { return h.Joint == joint }); i >= 0 {
		row[i].Weight += weight
		return row
	}
	return append(row, Hold{joint, weight})
}

// Store writes a row, made whole, into one vertex of K places: the strongest first and at
// most room of them, the rest 0. In float32 the sum may miss 1 by a step or two; the
// strongest takes up what it can.
func Store(row []Hold, room int, joints []uint16, weights []float32) {
	Sort(row)
	row = slices.Clone(row[:min(len(row), room, len(weights))])
	Whole(row)
	clear(joints)
	clear(weights)
	rest := 0.0
	for i := len(row) - 1; i > 0; i-- {
		joints[i], weights[i] = row[i].Joint, float32(row[i].Weight)
		rest += float64(weights[i])
	}
	if len(row) > 0 {
		joints[0], weights[0] = row[0].Joint, float32(1-rest)
	}
}
