package motion

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/check"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// The moment that the ranking finds against every hundredth of the clip worked out:
// nearly as stretched where nothing is amiss, and closer where a limit is at stake.
func TestRankingAgainstEveryFrame(t *testing.T) {
	eachClip(t, func(name string, r *rig.Rig, f *figure, clip rig.Clip) {
		facts, err := Measure(context.Background(), exam.New(onlyClip(r, clip)))
		if err != nil {
			t.Fatal(err)
		}
		w := facts.Clips[0].Worst
		if w == nil {
			return
		}
		c := &r.Clips[clip]
		tension, pose := newTension(f), deform.NewPose(r)
		best, at := 0.0, 0.0
		for i := range 101 {
			s := c.Start + (c.Seconds-c.Start)*float64(i)/100
			pose.Sample(clip, s)
			if v := tension.lookWhole(pose).P99; v > best {
				best, at = v, s
			}
		}
		least := 0.94
		if best > 2 {
			least = 0.97
		}
		if w.P99 < least*best {
			t.Errorf("%s %q: found %.4f at %.3f s, there is %.4f at %.3f s", name, c.Name, w.P99, w.Time, best, at)
		}
	})
}

// The stretch of the worst frame, triangle by triangle, by the deformation gradient
// of package deform: two ways to one number.
func TestStretchIsTheGradients(t *testing.T) {
	eachClip(t, func(name string, r *rig.Rig, f *figure, clip rig.Clip) {
		c := &r.Clips[clip]
		tension, pose := newTension(f), deform.NewPose(r)
		pose.Sample(clip, c.Start+0.4*(c.Seconds-c.Start))
		w := tension.lookWhole(pose)
		var all []float64
		for i := range tension.skinned {
			u := &tension.skinned[i]
			rest := f.e.RestPositions(u.surface)
			point := func(p []float32, v uint32) mgl64.Vec3 {
				return mgl64.Vec3{float64(p[3*v]), float64(p[3*v+1]), float64(p[3*v+2])}
			}
			for k := 0; k < len(u.tri); k += 3 {
				a, b, c := u.tri[k], u.tri[k+1], u.tri[k+2]
				g, ok := deform.Gradient([3]mgl64.Vec3{point(rest, a), point(rest, b), point(rest, c)}, [3]mgl64.Vec3{point(u.pos, a), point(u.pos, b), point(u.pos, c)})
				if !ok {
					t.Fatalf("%s: a needle was measured", name)
				}
				most, _ := deform.Principal(g)
				all = append(all, most)
			}
		}
		if len(all) == 0 {
			return
		}
		slices.Sort(all)
		p99 := all[(len(all)-1)*99/100]
		// Squares are kept as float32.
		if math.Abs(w.P99-p99) > 1e-7*p99 {
			t.Errorf("%s %q: 99th percentile %g, by gradients %g", name, c.Name, w.P99, p99)
		}
	})
}

// lookWhole measures a pose whatever was seen before.
func (t *tension) lookWhole(p *deform.Pose) WorstFrame {
	w, _ := t.look(p, nil)
	return w
}

// Of a row of poses the worst is the same whether each is measured whole, or only those
// that a count of the ratios beyond the worst so far cannot rule out; and few are measured.
func TestWorstOfManyPoses(t *testing.T) {
	looked, whole := 0, 0
	eachClip(t, func(name string, r *rig.Rig, f *figure, clip rig.Clip) {
		c := &r.Clips[clip]
		counted, all, pose := newTension(f), newTension(f), deform.NewPose(r)
		var got, want *WorstFrame
		for i := range 24 {
			s := c.Start + (c.Seconds-c.Start)*float64(i*7%24)/23
			pose.Sample(clip, s)
			if w, worse := counted.look(pose, got); worse {
				w.Time, got = s, &w
			}
			if w := all.lookWhole(pose); w.Joint >= 0 && (want == nil || w.P99 > want.P99) {
				w.Time, want = s, &w
			}
		}
		looked, whole = looked+all.whole, whole+counted.whole
		if (got == nil) != (want == nil) {
			t.Fatalf("%s %q: worst %v, want %v", name, c.Name, got, want)
		}
		if got != nil && (got.Time != want.Time || got.P99 != want.P99 || got.Area != want.Area || got.Max != want.Max || got.Joint != want.Joint || !slices.Equal(got.corners, want.corners)) {
			t.Errorf("%s %q: worst %+v, want %+v", name, c.Name, *got, *want)
		}
	})
	if looked == 0 || 2*whole > looked {
		t.Errorf("%d of %d poses measured whole, want less than half", whole, looked)
	}
}

func onlyClip(r *rig.Rig, c rig.Clip) *rig.Rig {
	one := *r
	one.Clips = []rig.ClipData{r.Clips[c]}
	return &one
}

// A note from the limit of the 99th percentile on; a flaw only where count and area both
// pass the higher one.
func TestWorstFrameLimits(t *testing.T) {
	r := lamplighter.Clone(waving().r)
	lamplighter.Lift(.9)(r)
	r.SetOrder()
	facts, err := Measure(t.Context(), exam.New(r))
	if err != nil {
		t.Fatal(err)
	}
	var worst *WorstFrame
	for i := range facts.Clips {
		if w := facts.Clips[i].Worst; w != nil && (worst == nil || w.P99 > worst.P99) {
			worst = w
		}
	}
	if worst == nil || worst.P99 < 4 || worst.Area < 4 {
		t.Fatalf("a chest lifted by 0.9 m: %+v", worst)
	}
	both := math.Min(worst.P99, worst.Area)
	for _, row := range []struct {
		name          string
		stretch, torn float64
		want          check.Grade
	}{
		{"as it is", 2, 4, check.Flaw},
		{"just torn", 2, math.Nextafter(both, 0), check.Flaw},
		{"not quite torn", 2, both, check.Note},
		{"just stretched", math.Nextafter(worst.P99, 0), 1e9, check.Note},
		{"not quite stretched", worst.P99, 1e9, 0},
	} {
		found, _ := Station.Judge(facts, check.Overrides{worstFrame.ID: {"stretch": row.stretch, "torn": row.torn}})
		got := check.Grade(0)
		for _, f := range found {
			if f.ID == worstFrame.ID {
				got = max(got, f.Grade)
			}
		}
		if got != row.want {
			t.Errorf("%s: %s, want %s", row.name, got, row.want)
		}
	}
}
