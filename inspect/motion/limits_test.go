package motion

import (
	"math"
	"slices"
	"sync"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// both is what one check must say of a plant just below its limit and just above.
type both struct {
	name         string
	below, above func(*rig.Rig) lamplighter.Planted
	belowGrade   check.Grade // 0: nothing
	grade        check.Grade
	measure      string  // of the finding above
	size         float64 // of it; 0: what was planted
}

// wave is the clip of the sample that faults are planted in; step is its key step.
const (
	wave = 1
	step = 1.0 / 30
)

// waved is the sample that limits are tried on, and what they are parts of.
type waved struct {
	r                       *rig.Rig
	height, lowest, seconds float64
}

var waving = sync.OnceValue(func() waved {
	w := waved{r: checktest.Built(lamplighter.Options{Sway: true, Vertices: 4000})}
	p := w.r.Meshes[0].Positions
	h, low := p[1], p[1]
	for v := 1; v < len(p); v += 3 {
		h, low = max(h, p[v]), min(low, p[v])
	}
	w.height, w.lowest, w.seconds = float64(h-low), float64(low), w.r.Clips[wave].Seconds
	return w
})

// bothSides tries a limit: below it nothing (or the smaller grade), above it one finding
// of the right size.
func bothSides(t *testing.T, id string, rows []both) {
	t.Helper()
	w := waving()
	for _, b := range rows {
		t.Run(b.name, func(t *testing.T) {
			for _, side := range []struct {
				what  string
				plant func(*rig.Rig) lamplighter.Planted
				grade check.Grade
			}{{"below", b.below, b.belowGrade}, {"above", b.above, b.grade}} {
				r := lamplighter.Clone(w.r)
				quiet := filed(t, w.r, id)
				planted := side.plant(r)
				var got []check.Finding
				for _, f := range filed(t, r, id) {
					if !slices.ContainsFunc(quiet, func(q check.Finding) bool { return q.Title == f.Title && q.Measures[0].Name == f.Measures[0].Name }) {
						got = append(got, f)
					}
				}
				if side.grade == 0 {
					for _, f := range got {
						t.Errorf("%s: %s %v", side.what, f.Grade, f.Measures)
					}
					continue
				}
				if len(got) != 1 || got[0].Grade != side.grade {
					t.Fatalf("%s: %d findings, want one %s: %+v", side.what, len(got), side.grade, got)
				}
				if side.what == "below" {
					continue
				}
				size := b.size
				if size == 0 {
					size = planted.Size
				}
				if m := got[0].Measures[0]; m.Name != b.measure || math.Abs(m.Value-size) > 2e-3*size {
					t.Errorf("%s: %s %g, want %s %g", side.what, m.Name, m.Value, b.measure, size)
				}
			}
		})
	}
}

// filed are the findings of one check.
func filed(t *testing.T, r *rig.Rig, id string) (out []check.Finding) {
	t.Helper()
	found, _ := checktest.Judge(t, &Station, r, nil)
	for _, f := range found {
		if f.ID == id {
			out = append(out, f)
		}
	}
	return out
}

// restChannel keys a node's rest rotation so many times over a clip.
func restChannel(r *rig.Rig, c *rig.ClipData, n rig.Node, keys int) rig.Channel {
	ch := rig.Channel{Node: n, Path: rig.Rotation, Width: 4}
	for k := range keys {
		ch.Times = append(ch.Times, float32(c.Seconds*float64(k)/float64(keys-1)))
		for _, x := range r.Nodes[n].R {
			ch.Values = append(ch.Values, float32(x))
		}
	}
	return ch
}
