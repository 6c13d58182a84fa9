package carry

import (
	"context"
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/gait"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/match"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// unlike are targets that differ from what moves them.
func unlike() map[string]*rig.Rig {
	base := func() *rig.Rig { return sample(lamplighter.Options{Sway: true}) }
	name := func(r *rig.Rig, n rig.Node) string { return r.Nodes[n].Name }
	r := base()
	hip, foot := space.Plain(r.RestWorld()[lamplighter.Node("upperLeg_L")].Origin()), space.Plain(r.RestWorld()[lamplighter.Node("foot_L")].Origin())
	lost := (hip.Y - foot.Y) / 2
	shoulder := space.Plain(r.RestWorld()[lamplighter.Node("upperArm_L")].Origin())
	out := map[string]*rig.Rig{
		"three heads high": menagerie.ThreeHeads(menagerie.Options{}),
		"a person":         menagerie.Person(menagerie.Options{}),
		"A against T":      sample(lamplighter.Options{Pose: lamplighter.A}),
		"other axes":       reaxed(base()),
		"short legs": shaped(base(), func(n rig.Node, p vec) vec { // half as long, all else lower
			if p.Y >= hip.Y-1e-9 || !strings.Contains(name(r, n), "Leg") && !strings.Contains(name(r, n), "foot") && !strings.Contains(name(r, n), "toes") {
				p.Y -= lost
			} else if p.Y > foot.Y {
				p.Y = foot.Y + (p.Y-foot.Y)/2
			}
			return p
		}),
		"long arms": shaped(base(), func(n rig.Node, p vec) vec {
			if math.Abs(p.X) > shoulder.X {
				p.X = math.Copysign(shoulder.X+1.6*(math.Abs(p.X)-shoulder.X), p.X)
			}
			return p
		}),
		"knees bent at rest": shaped(base(), func(n rig.Node, p vec) vec {
			if strings.HasPrefix(name(r, n), "lowerLeg") {
				p.Z += 0.1
			}
			return p
		}),
		"wide hips": shaped(base(), func(n rig.Node, p vec) vec {
			if s := name(r, n); strings.Contains(s, "Leg") || strings.HasPrefix(s, "foot") || strings.HasPrefix(s, "toes") {
				p.X *= 1.8
			}
			return p
		}),
	}
	turned := base() // the whole faces +X
	root := turned.Order[0]
	q := stored(turned.Nodes[root].R)
	q = degrees(axisY, 90).Mul(q)
	turned.Nodes[root].R = [4]float64{q.X, q.Y, q.Z, q.W}
	turned.Nodes[root].Matrix = turned.Nodes[root].TRS.Affine()
	turned.SetOrder()
	out["pointing elsewhere"] = turned
	return out
}

// Carried onto figures of other build: knees and elbows keep their range, nothing pops,
// feet that stand stand, or are let go and it is said.
func TestUnlikeFigures(t *testing.T) {
	sources := map[string]*rig.Rig{"sample": sample(lamplighter.Options{Sway: true})}
	sinking(sources["sample"])
	if r := corpus("01_01.bvh"); r != nil {
		sources["capture"] = r
	}
	for name, target := range unlike() {
		for from, s := range sources {
			m := match.Find(s, target)
			for clip := range s.Clips {
				r := carried(t, m, rig.Clip(clip), Options{})
				got := measure(m, r)
				id := from + " " + s.Clips[clip].Name + " to " + name
				let := 0.0
				for _, l := range r.feet {
					let = max(let, l.goneFor)
				}
				t.Logf("%-40s beyond %.1f°, speed × %.2f, slides %.1f cm/s of %.1f, let go %.2f s, cost %.0f°", id, got.beyond, got.times, 100*got.slide, 100*got.slideFrom, let, r.cost.Degrees)
				if got.beyond > 2 {
					t.Errorf("%s: %s is %.1f° beyond", id, got.where, got.beyond)
				}
				if got.times > 1.5 {
					t.Errorf("%s: %s: × %.2f", id, got.fast, got.times)
				}
				if !r.inPlace && let == 0 && got.slide > 0.03 {
					t.Errorf("%s: a standing foot slides by %.1f cm/s", id, 100*got.slide)
				}
			}
		}
	}
}

// What the report says of a foot is what the station Motion says of the written clip.
func TestReportIsMotions(t *testing.T) {
	for _, row := range []struct{ source, target string }{{"01_01.bvh", "Knight.glb"}, {"01_01.bvh", "robot.glb"}, {"", ""}} {
		s, target := sample(lamplighter.Options{Sway: true}), sample(lamplighter.Options{Pose: lamplighter.A})
		if row.source != "" {
			s, target = real(t, row.source), real(t, row.target)
		}
		r := carried(t, match.Find(s, target), 0, Options{})
		rep, err := r.Inspect(context.Background(), nil)
		if err != nil {
			t.Fatal(err)
		}
		alone := *target
		alone.Clips = []rig.ClipData{r.Clip}
		facts, err := motion.Station.Measure(context.Background(), exam.New(&alone))
		if err != nil {
			t.Fatal(err)
		}
		feet := facts.(*motion.Facts).Clips[0].Feet
		if len(feet) != len(rep.Feet) {
			t.Fatalf("%d feet, Motion has %d", len(rep.Feet), len(feet))
		}
		for i, f := range rep.Feet {
			if math.Abs(f.After-feet[i].Speed) > 1e-3*r.plan.size.dst || math.Abs(f.Stands-feet[i].Share) > 0.01 {
				t.Errorf("%s → %s, %s: %.4f at %.3f of the clip, Motion %.4f at %.3f", s.File.Name, target.File.Name, f.Side, f.After, f.Stands, feet[i].Speed, feet[i].Share)
			}
		}
	}
}

// A knee that is bent at rest and straight in the clip is straight: no −12°.
func TestStraightKneeIsStraight(t *testing.T) {
	target := unlike()["knees bent at rest"]
	s := sample(lamplighter.Options{Sway: true})
	rep, err := carried(t, match.Find(s, target), 1, Options{FreeFeet: true}).Inspect(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range rep.Beyond {
		if strings.HasSuffix(b.Role, "LowerLeg") {
			t.Errorf("%s %s to %.0f°, a person's %.0f°", b.Role, b.Axis, b.Degrees, b.Limit)
		}
	}
	// And one that truly bends backwards is told of, from straight.
	back := sample(lamplighter.Options{})
	n := lamplighter.Node("lowerLeg_L")
	parent := stored(back.RestWorld()[back.Nodes[n].Parent].Decompose().R)
	turn := parent.Back().Mul(degrees(axisX, -40)).Mul(parent).Mul(stored(back.Nodes[n].R))
	posed(back, map[int]quat{int(n): turn}, nil)
	rep, err = carried(t, match.Find(back, sample(lamplighter.Options{})), rig.Clip(len(back.Clips)-1), Options{FreeFeet: true}).Inspect(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(rep.Beyond, func(b Beyond) bool { return b.Role == "leftLowerLeg" && b.Axis == "flexion" })
	if i < 0 || rep.Beyond[i].Limit != 0 || math.Abs(rep.Beyond[i].Degrees+40) > 6 {
		t.Errorf("40° backwards: %+v", rep.Beyond)
	}
	if !slices.ContainsFunc(rep.Rows, func(w Row) bool { return w.Grade == "flaw" && strings.Contains(w.Text, "left lower leg flexion") }) {
		t.Errorf("no flaw is told: %+v", rep.Rows)
	}
}

// The report: one sentence, marked rows first by weight, valid JSON without empty
// lists as null; the price of keeping feet is told with the way out.
func TestReportRows(t *testing.T) {
	s, target := real(t, "01_01.bvh"), real(t, "Knight.glb")
	rep, err := carried(t, match.Find(s, target), 0, Options{}).Inspect(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Count(rep.Said, ".") == 0 || !strings.HasSuffix(rep.Said, ".") || strings.Contains(rep.Said, "\n") {
		t.Errorf("said: %q", rep.Said)
	}
	weight := map[string]int{"stop": 0, "flaw": 1, "note": 2, "": 3}
	marked := 0
	for i, w := range rep.Rows {
		if i > 0 && weight[w.Grade] < weight[rep.Rows[i-1].Grade] {
			t.Errorf("row %d %q stands after a lighter one", i, w.Text)
		}
		if w.Grade != "" {
			marked++
		}
	}
	if marked == 0 || marked > 8 || marked == len(rep.Rows) {
		t.Errorf("%d of %d rows are marked", marked, len(rep.Rows))
	}
	has := func(parts ...string) {
		t.Helper()
		if !slices.ContainsFunc(rep.Rows, func(w Row) bool {
			return !slices.ContainsFunc(parts, func(p string) bool { return !strings.Contains(w.Text, p) })
		}) {
			t.Errorf("no row says %q", parts)
		}
	}
	has("keeping the feet in their places", "away from the source", "free feet")
	has("through the floor", "of the clip something lies deeper")
	has("let go for")
	has("Motion: ")
	if _, err := json.Marshal(rep); err != nil {
		t.Error(err)
	}
	if rep.Price.Degrees < dearNote || rep.Feet[0].After > gait.Slow {
		t.Errorf("price %+v, feet %+v", rep.Price, rep.Feet)
	}
}
