package carry

import (
	"context"
	"math"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/match"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// walks gives a figure one clip, in which it walks over a ground in the size of its legs.
func walks(r *rig.Rig, ground func(size float64) menagerie.Ground) *rig.Rig {
	r = lamplighter.Clone(r)
	r.Clips = nil
	s := match.Find(r, r).T
	size := legSize(s)
	var legs menagerie.Legs
	for n := s.Bone("hips"); n >= 0; n = r.Nodes[n].Parent {
		if isJoint(r)[n] {
			legs.Hips = n
		}
	}
	for i, side := range [2]string{"left", "right"} {
		for k, bone := range [3]string{"UpperLeg", "LowerLeg", "Foot"} {
			legs.Side[i][k] = s.Bone(side + bone)
		}
	}
	return menagerie.Walk(r, legs, ground(size), 8, .17*size)
}

// legSize is the height of a grown person with a figure's legs.
func legSize(s *match.Skeleton) float64 {
	hip, knee, foot := s.At(s.Bone("leftUpperLeg")), s.At(s.Bone("leftLowerLeg")), s.At(s.Bone("leftFoot"))
	return (knee.Sub(hip).Len() + foot.Sub(knee).Len()) / .491
}

// A walk up and down stairs and slopes, carried to figures of other builds: the targets of
// any clip hold, standing feet keep still by Motion's own measure and as long as on the
// level, and nothing goes through what they stand on.
func TestClimbs(t *testing.T) {
	stairs := func(rise float64) func(float64) menagerie.Ground {
		return func(s float64) menagerie.Ground { return menagerie.Stairs(rise*s/1.76, .17*s) }
	}
	slope := func(degrees float64) func(float64) menagerie.Ground {
		return func(float64) menagerie.Ground { return menagerie.Slope(degrees) }
	}
	person := func() *rig.Rig { return menagerie.Person(menagerie.Options{Still: true}) }
	figures := map[string]func() *rig.Rig{
		"person": person,
		"sample": func() *rig.Rig { return sample(lamplighter.Options{}) },
		"three":  func() *rig.Rig { return menagerie.ThreeHeads(menagerie.Options{Still: true}) },
		"knight": func() *rig.Rig { return corpus("Knight.glb") },
		"robot":  func() *rig.Rig { return corpus("robot.glb") },
	}
	for _, pair := range [][2]string{{"person", "sample"}, {"person", "three"}, {"sample", "person"}, {"three", "person"}, {"person", "knight"}, {"knight", "person"}, {"sample", "robot"}} {
		a, b := figures[pair[0]](), figures[pair[1]]()
		if a == nil || b == nil {
			t.Logf("the folder of real models is not beside this one: %s is not carried to %s", pair[0], pair[1])
			continue
		}
		level := 0.0
		for _, g := range rounds.Rows([]struct {
			name string
			on   func(float64) menagerie.Ground
			rise float64 // of the target's ground, × its size
		}{
			{"level", slope(0), 0},
			{"stairs up", stairs(.2), 8 * .2 / 1.76}, {"stairs down", stairs(-.2), -8 * .2 / 1.76},
			{"slope up", slope(10), 8 * .17 * math.Tan(10*math.Pi/180)}, {"slope down", slope(-10), -8 * .17 * math.Tan(10*math.Pi/180)},
		}, 2) {
			m := match.Find(walks(a, g.on), b)
			r := carried(t, m, 0, Options{})
			rep, err := r.Inspect(context.Background(), nil)
			if err != nil {
				t.Fatal(err)
			}
			target := *m.T.Rig
			target.Clips = []rig.ClipData{r.Clip}
			facts, err := motion.Station.Measure(context.Background(), exam.New(&target))
			if err != nil {
				t.Fatal(err)
			}
			c, got := facts.(*motion.Facts).Clips[0], measure(m, r)
			slides, stands := 0.0, 1.0
			for _, f := range c.Feet {
				slides, stands = max(slides, f.Speed), min(stands, f.Share)
			}
			if g.rise == 0 {
				level = stands
			}
			name := pair[0] + " to " + pair[1] + ", " + g.name
			climbs, under := 0.0, -rep.Ground.Lowest/rep.Height
			if c.Climb != nil {
				climbs = (c.Climb.End - c.Climb.Start) / (g.rise * legSize(m.T))
			}
			t.Logf("%-28s beyond %.1f° %s; × %.2f (%s), under %.1f %%, slides %.3f stands %.2f climbs %.2f of it %s %v", name, got.beyond, got.where, got.times, got.fast, 100*under, slides, stands, climbs, gone(r), r.Remarks)
			if got.beyond > 2 || got.times > 1.5 {
				t.Errorf("%s: %.1f° beyond, %s; × %.2f, %s", name, got.beyond, got.where, got.times, got.fast)
			}
			if slides > .01*max(1, legSize(m.T)/1.75) {
				t.Errorf("%s: a standing foot slides by %.1f cm/s", name, 100*slides)
			}
			if stands < level-.08 {
				t.Errorf("%s: a foot stands for %.0f %%, for %.0f %% on the level", name, 100*stands, 100*level)
			}
			if under > .02 {
				t.Errorf("%s: %.1f %% under the ground", name, 100*under)
			}
			// Seven or eight of the eight steps: the lower foot's.
			if g.rise != 0 && (climbs < .84 || climbs > 1.03) {
				t.Errorf("%s: its ground climbs by %.2f of what it should", name, climbs)
			}
			if g.rise == 0 && c.Climb != nil {
				t.Errorf("%s: it climbs: %+v", name, c.Climb)
			}
		}
	}
}
