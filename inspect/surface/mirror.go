package surface

import (
	"math"

	"rigloupe/inspect/exam"
)

// Mirror says how well a mirror plane holds: Normal·x = Offset, metres, world,
// rest pose.
type Mirror struct {
	Normal         [3]float64 `json:"normal"`
	Offset         float64    `json:"offset"`
	UnmatchedShare float64    `json:"unmatched_share"` // of the welded vertices that a triangle uses
	Largest        float64    `json:"largest"`         // metres; see Facts.Mismatch
	Mean           float64    `json:"mean"`
	Pairs          int        `json:"pairs"`    // of distinct vertices
	OnPlane        int        `json:"on_plane"` // vertices that are their own partner
	Unmatched      int        `json:"unmatched"`
	Alike          float64    `json:"alike"`           // 0…1: share of the shape that meets its own image within 2 % of the diagonal; of one surface: that of the figure
	Sides          *Sides     `json:"sides,omitempty"` // over all only
}

// measureMirror fills in the figures of the mirror, over all and for each surface.
func (f *Facts) measureMirror(e *exam.Exam) {
	m := f.mirror
	if !m.Found {
		return
	}
	f.Mirror = &Mirror{
		Normal: m.Normal, Offset: m.Offset, UnmatchedShare: m.UnmatchedShare, Largest: m.Largest, Mean: m.Mean,
		Pairs: m.Pairs, OnPlane: m.OnPlane, Unmatched: m.Unmatched, Alike: m.Alike,
	}
	f.Mirror.Sides = f.compareSides(e)
	f.Mismatch = make([][]float32, len(e.Rig.Surfaces))
	points := make([]int, len(e.Rig.Surfaces))
	for i, s := range m.Surface {
		own := f.Surfaces[s].Mirror
		if own == nil {
			own = &Mirror{Normal: m.Normal, Offset: m.Offset, Alike: m.Alike}
			f.Surfaces[s].Mirror = own
		}
		points[s]++
		switch j := m.Partner[i]; {
		case j < 0:
			own.Unmatched++
		case int(j) == i:
			own.OnPlane++
		case int(j) > i || m.Surface[j] != s:
			own.Pairs++
		}
		if d := float64(m.Distance[i]); !math.IsNaN(d) {
			own.Largest = max(own.Largest, d)
			own.Mean += d
		}
	}
	for s := range f.Surfaces {
		if own := f.Surfaces[s].Mirror; own != nil {
			own.UnmatchedShare = float64(own.Unmatched) / float64(points[s])
			own.Mean /= float64(points[s])
		}
		if m.Point[s] == nil || m.Doubt() != "" {
			continue
		}
		field := make([]float32, len(m.Point[s]))
		for v, i := range m.Point[s] {
			field[v] = float32(math.NaN())
			if i >= 0 {
				field[v] = m.Distance[i]
			}
		}
		f.Mismatch[s] = field
	}
}
