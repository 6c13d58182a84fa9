package mend

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// surfaceShift poses both figures densely: no vertex may be farther than the tolerance.
func surfaceShift(was, is *rig.Rig) (worst float64) {
	a, b := NewPosed(was), NewPosed(is)
	for c := range was.Clips {
		for i := range 97 {
			at := was.Clips[c].Start + (was.Clips[c].Seconds-was.Clips[c].Start)*float64(i)/96
			a.Pose.Sample(rig.Clip(c), at)
			b.Pose.Sample(rig.Clip(c), at)
			for s := range was.Surfaces {
				p, q := a.Positions(s), b.Positions(s)
				for v := 0; v+2 < len(p); v += 3 {
					worst = max(worst, math.Sqrt(square(p[v:v+3], q[v:v+3])))
				}
			}
		}
	}
	return worst
}

func keysOf(r *rig.Rig) (keys, channels int) {
	for c := range r.Clips {
		for i := range r.Clips[c].Channels {
			keys += len(r.Clips[c].Channels[i].Times)
			channels++
		}
	}
	return keys, channels
}

// Both planted faults clear.
func TestThinPlanted(t *testing.T) {
	for _, f := range planted(thinOut.Answers...) {
		t.Run(f.ID+" "+f.Name, func(t *testing.T) {
			r, _ := f.On(sample())
			s := ofRig(t, r)
			if gradeOf(t, s, f.ID) == 0 {
				t.Skip("a file of lamplighter does not hold it")
			}
			res, _ := s.Examine(t.Context(), nil)
			v := thinOut.Suggest(Look(res))
			if len(v) != 1 {
				t.Fatalf("suggested %v", v)
			}
			x := try(t, s, "thin", v[0])
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			receipt := prove(t, x)
			if !slices.Contains(receipt.Cleared, f.ID) || !receipt.Kept {
				t.Error(receipt.Sentence())
			}
			if d := surfaceShift(s.Rig, x.After.Rig); d > 1.7/17000*1.5 && f.ID == "motion/dead-weight" {
				t.Errorf("the surface is %g m off", d)
			}
			t.Log(receipt.Sentence(), receipt.Measures)
		})
	}
}

// What is thought to cost little is posed all the same: with a reach of nothing, or of a
// part of what it is, keys seem spare that are not, and the tolerance holds.
func TestThinTrustsThePose(t *testing.T) {
	s := ofRig(t, sample())
	for _, part := range []float64{0, .01, .03, .1} {
		th := &thinner{w: &Work{Context: t.Context(), Rig: s.Rig, Exam: examOf(s)}, is: *s.Rig}
		th.prepare()
		for n := range th.reach {
			th.reach[n] *= part
		}
		worst, err := th.thin(1e-3)
		if d := surfaceShift(s.Rig, &th.is); err != nil || worst > 1e-3 || d > 1.1e-3 {
			t.Errorf("a reach of %g: the surface is %g m off, %g told, %v", part, d, worst, err)
		}
	}
}

// A straight ramp of 50 keys needs two, a turn by equal steps too (slerp, glTF 2.0,
// Appendix C); what is bent keeps its corner.
func TestThinRamps(t *testing.T) {
	r := sample()
	head := lamplighter.Node("head")
	var ramp, turn, corner rig.Channel
	for k := range 51 {
		s := float32(k) / 50
		ramp.Times, turn.Times, corner.Times = append(ramp.Times, s), append(turn.Times, s), append(corner.Times, s)
		ramp.Values = append(ramp.Values, s, 2*s, 0)
		h := float64(s) * .6
		turn.Values = append(turn.Values, 0, float32(math.Sin(h)), 0, float32(math.Cos(h)))
		corner.Values = append(corner.Values, 0, float32(math.Abs(float64(s)-.4)), 0)
	}
	ramp.Node, ramp.Path, ramp.Width = head, rig.Translation, 3
	turn.Node, turn.Path, turn.Width = head, rig.Rotation, 4
	corner.Node, corner.Path, corner.Width = head, rig.Translation, 3
	s := ofRig(t, r)
	th := &thinner{w: &Work{Rig: s.Rig, Exam: examOf(s)}, is: *s.Rig}
	th.prepare()
	for _, row := range []struct {
		name string
		ch   rig.Channel
		want []float32
	}{{"ramp", ramp, []float32{0, 1}}, {"turn", turn, []float32{0, 1}}, {"corner", corner, []float32{0, .4, 1}}} {
		ch := row.ch
		th.channel(&ch, 1e-4)
		if !slices.Equal(ch.Times, row.want) {
			t.Errorf("%s keeps %v, want %v", row.name, ch.Times, row.want)
		}
	}
}

// Real figures: no point of the surface is farther than the tolerance, at and between
// moments that the mend itself did not look at, and most keys go.
func TestThinCorpus(t *testing.T) {
	for _, row := range []struct {
		file      string
		tolerance float64
		share     float64 // of the keys that may stay
	}{{"Fox.glb", 0.05, .75}, {"robot.glb", 2e-4, .75}, {"cesium_man.gltf", 1e-4, 1}, {"Knight.glb", 1e-4, .75}} {
		t.Run(row.file, func(t *testing.T) {
			s := corpusState(t, row.file)
			x := try(t, s, "thin", Values{"tolerance": row.tolerance})
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			before, channels := keysOf(s.Rig)
			after, left := keysOf(x.After.Rig)
			d := surfaceShift(s.Rig, x.After.Rig)
			t.Logf("%d keys in %d channels become %d in %d; the surface is %.3g m off at most", before, channels, after, left, d)
			if d > row.tolerance*1.05 {
				t.Errorf("the surface is %g m off, allowed %g", d, row.tolerance)
			}
			if float64(after) > row.share*float64(before) {
				t.Errorf("%d of %d keys stay", after, before)
			}
			// A clip that was thinned is no damaged clip: nothing is found in it that was not there.
			was, is := motionOf(t, s), motionOf(t, x.After)
			for id, seen := range is {
				if seen.grade > was[id].grade {
					t.Errorf("%s is planted: %s, %s", id, seen.Grade, seen.Name)
				}
			}
			if len(x.After.Rig.Clips) != len(s.Rig.Clips) {
				t.Errorf("%d clips of %d are left", len(x.After.Rig.Clips), len(s.Rig.Clips))
			}
		})
	}
}

// motionOf is how the checks of clips end.
func motionOf(t *testing.T, s *State) map[string]Seen {
	t.Helper()
	r, err := inspect.Examine(t.Context(), s.Rig, inspect.Options{Only: []string{"motion"}})
	if err != nil {
		t.Fatal(err)
	}
	_, by := seen(r)
	return by
}

func TestThinRefuses(t *testing.T) {
	r := sample()
	r.Clips = nil
	if x := try(t, ofRig(t, r), "thin", nil); x.After != nil || x.Refused() != "The file has no clip." {
		t.Errorf("%q", x.Refused())
	}
}
