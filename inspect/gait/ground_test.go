package gait

import (
	"math"
	"testing"

	"rigloupe/inspect/space"
)

// stay is where a foot is from a second on, till it leaves for the next place so many
// seconds before that.
type stay struct {
	from, swing float64 // seconds
	x, y, z     float64 // metres
}

// way plays the stays of one foot's ankle at 30 Hz, raised by 10 cm on the way.
func way(seconds float64, stays ...stay) (out []space.Vec) {
	for k := range int(seconds*30) + 1 {
		t := float64(k) / 30
		i := 0
		for i+1 < len(stays) && t >= stays[i+1].from-stays[i+1].swing {
			i++
		}
		s := stays[i]
		p := space.Vec{s.x, s.y, s.z}
		if i > 0 && t < s.from {
			b := stays[i-1]
			x := 1 - (s.from-t)/s.swing
			e := (1 - math.Cos(math.Pi*x)) / 2
			p = space.Vec{b.x + (s.x-b.x)*e, b.y + (s.y-b.y)*e + .1*math.Sin(math.Pi*x), b.z + (s.z-b.z)*e}
		}
		out = append(out, p)
	}
	return out
}

// What feet stand on, each case by its ways; 1.75 m high.
func TestLegs(t *testing.T) {
	const s = 4.0
	flat := way(s, stay{x: .1})
	for _, row := range []struct {
		name        string
		left, right []space.Vec
		hips        float64 // over the lower foot
		lift        float64 // of the left foot's ground at the end; 0: level
		share       float64 // that the left foot stands
	}{
		{"one step up a stair, the other foot after it", way(s, stay{x: .1}, stay{1, .4, .1, .18, .3}), way(s, stay{x: -.1}, stay{2, .4, -.1, .18, .3}), .85, .18, .9},
		{"the same, down", way(s, stay{x: .1}, stay{1, .4, .1, -.18, .3}), way(s, stay{x: -.1}, stay{2, .4, -.1, -.18, .3}), .85, 0, .9}, // its lowest is its last
		{"a foot held in the air ahead", way(s, stay{x: .1}, stay{1, .4, .1, .3, .3}), flat, .85, 0, .17},
		{"a step no legs can do", way(s, stay{x: .1}, stay{1, .4, .1, .6, .8}), way(s, stay{x: -.1}, stay{2, .4, -.1, .6, .8}), .85, 0, .17},
		{"straight up, as on a ladder", way(s, stay{x: .1}, stay{1, .4, .1, .3, 0}), way(s, stay{x: -.1}, stay{2, .4, -.1, .3, 0}), .85, 0, .17},
		{"a step of 63°, steeper than stairs", way(s, stay{x: .1}, stay{1, .4, .1, .3, .15}), way(s, stay{x: -.1}, stay{2, .4, -.1, .3, .15}), .85, 0, .17},
		{"a hang in the air after a jump", way(s, stay{x: .1}, stay{1.5, .6, .1, .3, .4}), way(s, stay{x: -.1}, stay{1.5, .6, -.1, .3, .4}), .85, 0, .25},
		{"lies down, feet up", way(s, stay{x: .1}, stay{1, .4, .1, .18, .3}), way(s, stay{x: -.1}, stay{2, .4, -.1, .18, .3}), -1, 0, .17},
		{"a hollow of 8 cm that ends where it began", way(s, stay{x: .1}, stay{1, .4, .1, -.08, .3}, stay{2.4, .4, .1, 0, .6}), way(s, stay{x: -.1}, stay{1.7, .4, -.1, 0, .5}), .85, 0, .27},
	} {
		hips := make([]space.Vec, len(row.left))
		for i := range hips {
			h := min(row.left[i][1], row.right[i][1]) + row.hips
			if row.hips < 0 { // lies propped up from 0.6 s on
				h = .85
				if i > 18 {
					h = .45
				}
			}
			hips[i] = space.Vec{0, h, row.left[i][2]}
		}
		times := make([]float64, len(row.left))
		for i := range times {
			times[i] = float64(i) / 30
		}
		feet, ok := Legs(times, [][][]space.Vec{{row.left}, {row.right}}, hips, up, height)
		if !ok {
			t.Fatal(row.name)
		}
		lift := 0.0
		if l := feet[0].Lift; l != nil {
			lift = l[len(l)-1]
		}
		if math.Abs(lift-row.lift) > 1e-9 || math.Abs(feet[0].Share-row.share) > .06 {
			t.Errorf("%s: the ground at the end is %.3f m up, want %.3f; stands %.2f, want %.2f", row.name, lift, row.lift, feet[0].Share, row.share)
		}
		if row.name == "the same, down" && (feet[0].Lift == nil || math.Abs(feet[0].Lift[0]-.18) > 1e-9) {
			t.Errorf("%s: %v", row.name, feet[0].Lift)
		}
	}
}

// What is left of a ground that is not level when feet creep on it, or bear nothing: each
// constant by a case on either side of it, worked by hand; 1.75 m high.
func TestLegsConstants(t *testing.T) {
	const s = 4.0
	for _, row := range []struct {
		name  string
		creep float64 // metres a second of both feet once they are up
		until float64 // seconds from which on the figure hovers, no foot bearing
		lift  float64
	}{
		{"stands up there", 0, s, .18},
		// Faster than 0.4 m/s, twice what a standing foot slides at most, no foot tells of a ground.
		{"glides by 0.36 m/s", .36, s, .18},
		{"glides by 0.44 m/s", .44, s, 0},
		// Some foot stands for three fifths of the time, or what was found tells too little.
		{"hovers for the last 35 %", 0, .65 * s, .18},
		{"hovers for the last 45 %", 0, .55 * s, 0},
	} {
		feet := [][]space.Vec{way(s, stay{x: .1}, stay{1, .4, .1, .18, .3}), way(s, stay{x: -.1}, stay{1.5, .4, -.1, .18, .3})}
		times, hips := make([]float64, len(feet[0])), make([]space.Vec, len(feet[0]))
		for i := range times {
			times[i] = float64(i) / 30
			for f, from := range [2]float64{1, 1.5} {
				p := &feet[f][i]
				p[2] += row.creep * max(0, times[i]-from)
				if x := times[i] - row.until; x > 0 {
					p[1] += .3 * x // .3 m/s up: no foot rests that rises by more than 0.2
				}
			}
			hips[i] = space.Vec{0, min(feet[0][i][1], feet[1][i][1]) + .85, feet[0][i][2]}
		}
		read, ok := Legs(times, [][][]space.Vec{{feet[0]}, {feet[1]}}, hips, up, height)
		if !ok {
			t.Fatal(row.name)
		}
		lift := 0.0
		if l := read[0].Lift; l != nil {
			lift = l[int(1.8*30)]
		}
		if math.Abs(lift-row.lift) > .006 {
			t.Errorf("%s: the ground at 1.8 s is %.3f m up, want %.3f", row.name, lift, row.lift)
		}
	}
}
