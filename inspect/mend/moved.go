package mend

import (
	"math"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// Moved is how far vertices went at rest, in the world.
type Moved struct {
	Count int         `json:"count"` // vertices that moved by more than a millionth of the figure
	Of    int         `json:"of"`    // vertices compared
	Max   float64     `json:"max_m"`
	Mean  float64     `json:"mean_m"`              // of those that moved
	Share float64     `json:"max_share_of_height"` // 0 where there is no height
	Where string      `json:"where,omitempty"`     // the vertex that moved farthest, by content
	Point *[3]float64 `json:"point,omitempty"`     // where it was, metres, world
}

// still is the share of the diagonal that counts as not moved: some steps of float32.
const still = 1e-6

// moved compares the vertices of surfaces on the same nodes.
func (t *Trial) moved() (out Moved) {
	before, after := t.work.Exam, exam.New(t.After.Rig)
	if t.After.result != nil {
		after = t.After.result.Exam
	}
	at := map[rig.Node]int{}
	for i, s := range t.After.Rig.Surfaces {
		at[s.Node] = i
	}
	least, sum := still*before.Size(), 0.0
	surface, vertex := 0, rig.Vertex(0)
	for i, s := range t.Before.Rig.Surfaces {
		k, ok := at[s.Node]
		if !ok {
			continue
		}
		was, is := before.RestPositions(i), after.RestPositions(k)
		from := t.work.named[s.Mesh]
		if from == nil && len(was) != len(is) {
			continue
		}
		for v := range len(is) / 3 {
			o := v
			if from != nil {
				o = int(from[v])
			}
			if o < 0 || 3*o >= len(was) {
				continue
			}
			out.Of++
			d := math.Sqrt(square(was[3*o:3*o+3], is[3*v:3*v+3]))
			if !(d > least) {
				continue
			}
			out.Count++
			sum += d
			if d > out.Max {
				out.Max = d
				surface, vertex = i, rig.Vertex(o)
				out.Point = &[3]float64{float64(was[3*o]), float64(was[3*o+1]), float64(was[3*o+2])}
			}
		}
	}
	if out.Count > 0 {
		out.Mean = sum / float64(out.Count)
		out.Where = NameVertex(t.Before.Rig, surface, vertex).String()
	}
	if h := before.WholeHeight(); h > 0 {
		out.Share = out.Max / h
	}
	return out
}

func square(a, b []float32) (s float64) {
	for k := range 3 {
		d := float64(a[k]) - float64(b[k])
		s += d * d
	}
	return s
}
