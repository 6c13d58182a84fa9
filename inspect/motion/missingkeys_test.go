package motion

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// cutKeys takes the keys between two of a clip's channels away; of one joint, or of all.
func cutKeys(r *rig.Rig, clip int, only rig.Node, from, to int) {
	c := &r.Clips[clip]
	for i := range c.Channels {
		ch := &c.Channels[i]
		if only >= 0 && ch.Node != only || len(ch.Times) <= to {
			continue
		}
		ch.Times = slices.Delete(slices.Clone(ch.Times), from+1, to)
		ch.Values = slices.Delete(slices.Clone(ch.Values), ch.Width*(from+1), ch.Width*to)
	}
}

func TestMissingKeys(t *testing.T) {
	base := checktest.Built(lamplighter.Options{Sway: true, Vertices: 2000})
	forearm := lamplighter.Node("lowerArm_L")
	for _, row := range []struct {
		name string
		cut  func(*rig.Rig)
		size float64 // seconds; 0: silent
		of   rig.Node
	}{
		{"as it is", func(*rig.Rig) {}, 0, 0},
		{"0.2 s of the forearm", func(r *rig.Rig) { cutKeys(r, 1, forearm, 45, 51) }, 0, 0},
		{"0.23 s of the forearm", func(r *rig.Rig) { cutKeys(r, 1, forearm, 45, 52) }, 7.0 / 30, forearm},
		{"0.3 s of the forearm", func(r *rig.Rig) { cutKeys(r, 1, forearm, 30, 39) }, 0.3, forearm},
		{"0.3 s of all", func(r *rig.Rig) { cutKeys(r, 1, rig.None, 30, 39) }, 0.3, forearm},
		{"a second of all", func(r *rig.Rig) { cutKeys(r, 1, rig.None, 20, 50) }, 1, forearm},
		{"0.3 s of a breath of half a degree", func(r *rig.Rig) { cutKeys(r, 1, lamplighter.Node("spine"), 45, 54) }, 0, 0},
		{"keys that the straight way gives are spared", thin, 0, 0},
		{"a pose that is held", func(r *rig.Rig) {
			ch := turning(r, 1, forearm)
			for k := 30; k <= 40; k++ {
				copy(ch.Values[4*k:4*k+4], ch.Values[4*30:4*30+4])
			}
			// The joint stops for a third of a second: both ends at rest.
			for k := 25; k < 30; k++ {
				copy(ch.Values[4*k:4*k+4], ch.Values[4*30:4*30+4])
			}
			for k := 41; k < 46; k++ {
				copy(ch.Values[4*k:4*k+4], ch.Values[4*30:4*30+4])
			}
			cutKeys(r, 1, forearm, 30, 40)
		}, 0, 0},
		{"a pose held from one step to the next, kept as two keys", func(r *rig.Rig) { holdForearm(r, 0) }, 0, 0},
		{"the same, but the joint comes a fifth of the bow farther", func(r *rig.Rig) { holdForearm(r, 2) }, 10.0 / 30, forearm},
		{"a pose that two joints hold to the end, however they stop", func(r *rig.Rig) { holdBoth(r, 50, 72) }, 0, 0},
		{"from the start, until they leap off", func(r *rig.Rig) { holdBoth(r, 0, 20) }, 0, 0},
		{"two joints that stop at once and go on at once", func(r *rig.Rig) { holdBoth(r, 40, 60) }, 20.0 / 30, forearm},
		{"keys set by hand, now close, now far", func(r *rig.Rig) {
			ch := turning(r, 1, forearm)
			keep := []int{0, 4, 9, 11, 18, 20, 27, 36, 38, 47, 50, 62, 72}
			var times, values []float32
			for _, k := range keep {
				times, values = append(times, ch.Times[k]), append(values, ch.Values[4*k:4*k+4]...)
			}
			ch.Times, ch.Values = times, values
		}, 0, 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := lamplighter.Clone(base)
			for i := range r.Clips[1].Channels { // no array shared between channels
				ch := &r.Clips[1].Channels[i]
				ch.Times, ch.Values = slices.Clone(ch.Times), slices.Clone(ch.Values)
			}
			row.cut(r)
			got := filed(t, r, "motion/missing-keys")
			if row.size == 0 {
				for _, f := range got {
					t.Errorf("%s %v", f.Subject, f.Measures)
				}
				return
			}
			if len(got) != 1 || math.Abs(got[0].Measures[0].Value-row.size) > 1e-3 || !slices.Contains(got[0].Where.Joints, row.of) {
				t.Errorf("%+v, want one of %g s", got, row.size)
			}
		})
	}
}

// holdForearm turns the forearm by 4° a step, stops it at once between keys 30 and 40, but
// for so many degrees, and leaves the keys there out.
func holdForearm(r *rig.Rig, degrees float64) {
	ch := turning(r, 1, lamplighter.Node("lowerArm_L"))
	at := 0.0
	for k := range ch.Times {
		switch {
		case k > 30 && k <= 40:
			at += degrees / 10
		case k > 0:
			at += 4 * float64(1-2*(k/41)) // back again behind it
		}
		for x, v := range about(0, 0, 1, at) {
			ch.Values[4*k+x] = v
		}
	}
	cutKeys(r, 1, lamplighter.Node("lowerArm_L"), 30, 40)
}

// holdBoth turns both forearms ever faster, lets them hold a pose between two keys and
// leaves the keys there out.
func holdBoth(r *rig.Rig, from, to int) {
	for _, name := range []string{"lowerArm_L", "lowerArm_R"} {
		ch := turning(r, 1, lamplighter.Node(name))
		step, at := 4.0, 0.0
		for k := range ch.Times {
			if k <= from || k > to {
				step += 0.1
				at += step
			}
			for x, v := range about(0, 0, 1, at) {
				ch.Values[4*k+x] = v
			}
		}
		cutKeys(r, 1, lamplighter.Node(name), from, to)
	}
}

func turning(r *rig.Rig, clip int, n rig.Node) *rig.Channel {
	for i := range r.Clips[clip].Channels {
		if ch := &r.Clips[clip].Channels[i]; ch.Node == n && ch.Path == rig.Rotation {
			return ch
		}
	}
	return nil
}

// thin makes the forearm turn evenly in the middle and leaves the keys there out, as an
// export does that drops what interpolation gives.
func thin(r *rig.Rig) {
	ch := turning(r, 1, lamplighter.Node("lowerArm_L"))
	for k := range ch.Times {
		for x, v := range about(0, 0, 1, 2*float64(k)) {
			ch.Values[4*k+x] = v
		}
	}
	cutKeys(r, 1, lamplighter.Node("lowerArm_L"), 30, 50)
}
