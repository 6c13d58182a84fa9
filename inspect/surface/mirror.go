package surface

import (
	"math"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Mirror says how well a mirror plane holds: Normal·x = Offset, metres, world,
// rest pose.
type Mirror struct {
	Normal         space.Vec  `json:"normal"`
	Offset         float64    `json:"offset"`
	UnmatchedShare float64    `json:"unmatched_share"` // of the welded vertices that a triangle uses
	Largest        float64    `json:"largest"`         // metres; see Facts.Mismatch
	Mean           float64    `json:"mean"`
	Pairs          int        `json:"pairs"`    // of distinct vertices
	OnPlane        int        `json:"on_plane"` // vertices that are their own partner
	Unmatched      int        `json:"unmatched"`
	Alike          float64    `json:"alike"`           // 0…1: share of the shape that meets its own image within 2 % of the diagonal; of one surface: that of the figure
	Sides          *Sides     `json:"sides,omitempty"` // over all only
	Foot           *space.Vec `json:"foot,omitempty"`  // where the plane passes the middle of the body's box; of the body only
}

// Alike says of one surface how its places meet their images over the body's plane.
type Alike struct {
	Places int         `json:"places"`                   // that a triangle uses
	Alone  int         `json:"without_partner"`          //
	Off    check.Tally `json:"off_by_steps" wire:"null"` // mismatch, in steps of 1/offPer of the size
}

// offPer is how finely mismatches are kept for other limits than the default: steps of
// 0.05 % of the size, a tenth of the default.
const offPer = 2000

func mirrorOf(m *exam.Mirror) *Mirror {
	if !m.Found {
		return nil
	}
	return &Mirror{
		Normal: m.Normal, Offset: m.Offset, UnmatchedShare: m.UnmatchedShare, Largest: m.Largest, Mean: m.Mean,
		Pairs: m.Pairs, OnPlane: m.OnPlane, Unmatched: m.Unmatched, Alike: m.Alike,
	}
}

// measureMirror fills in the figures of the mirror: of the body, of all that is shown,
// and of each surface over the plane of all.
func (f *Facts) measureMirror(e *exam.Exam) {
	if f.BodyMirror = mirrorOf(f.mirror); f.BodyMirror != nil {
		foot := f.mirror.Foot(geom.BoxOf(f.mirror.Places).Center())
		f.BodyMirror.Foot = &foot
		f.tallySides()
		f.BodyMirror.Sides = f.compareSides(e)
		f.fillMismatch()
	}
	m := e.WholeMirror()
	if f.Mirror = mirrorOf(m); f.Mirror == nil {
		return
	}
	if f.BodyMirror != nil {
		f.Mirror.Sides = f.BodyMirror.Sides
	}
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
	}
}

// tallySides fills in, of every surface of the body, how its places meet their images.
func (f *Facts) tallySides() {
	m := f.mirror
	for i, s := range m.Surface {
		own := f.Surfaces[s].Alike
		if own == nil {
			own = &Alike{}
			f.Surfaces[s].Alike = own
		}
		own.Places++
		if m.Partner[i] < 0 {
			own.Alone++
		}
		own.Off.Add(check.StepOf(float64(m.Distance[i]), offPer, f.Size))
	}
}

// fillMismatch fills in Mismatch, for the surfaces of the body.
func (f *Facts) fillMismatch() {
	m := f.mirror
	f.Mismatch = make([][]float32, len(f.Surfaces))
	for s := range f.Surfaces {
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
