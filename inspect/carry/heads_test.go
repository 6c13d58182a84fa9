package carry

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/match"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// built are figures of other heads than a grown person's, with gear and without.
func built() map[string]*rig.Rig {
	still := menagerie.Options{Still: true}
	return map[string]*rig.Rig{
		"person with gear":      menagerie.Person(menagerie.Options{Still: true, Gear: true}),
		"three heads, gear":     menagerie.ThreeHeads(menagerie.Options{Still: true, Gear: true}),
		"two heads":             menagerie.Heads(2, false, still),
		"two heads and a third": menagerie.Heads(2.3, true, still),
		"four heads":            menagerie.Heads(4, true, still),
		"four heads, no neck":   menagerie.Heads(4, false, still),
		"four heads, gear":      menagerie.Heads(4, true, menagerie.Options{Still: true, Gear: true}),
	}
}

// The targets of carrying over on figures of two to four heads, with gear and without, and
// on the corpus: the real capture and the sample's own clips. Standing feet keep still to
// 1 cm/s in a person's size, by Motion's own measure of the written clip.
func TestHeads(t *testing.T) {
	sources := map[string]*rig.Rig{"sample": sample(lamplighter.Options{Sway: true})}
	sinking(sources["sample"])
	targets := built()
	for _, name := range []string{"01_01.bvh", "Knight.glb", "robot.glb", "cesium_man.gltf"} {
		r := corpus(name)
		switch {
		case r == nil:
			t.Logf("the folder of real models is not beside this one: without %s", name)
		case name == "01_01.bvh":
			sources[name] = r
		default:
			targets[name] = r
		}
	}
	for from, s := range sources {
		for name, target := range targets {
			m := match.Find(s, target)
			for _, clip := range chosen(s, "*") {
				id := fmt.Sprintf("%s %s to %s", from, s.Clips[clip].Name, name)
				r := carried(t, m, clip, Options{})
				rep, err := r.Inspect(context.Background(), nil)
				if err != nil {
					t.Fatal(err)
				}
				got := measure(m, r)
				if got.beyond > 2 {
					t.Errorf("%s: %s is %.1f° beyond", id, got.where, got.beyond)
				}
				if got.times > 1.5 {
					t.Errorf("%s: %s: × %.2f", id, got.fast, got.times)
				}
				if x, where := pop(r); x > 1.5 {
					t.Errorf("%s: %s", id, where)
				}
				for _, f := range rep.Feet {
					if slides := 1.75 * f.After / r.plan.size.dst; !r.inPlace && slides > .01 {
						t.Errorf("%s: the %s foot slides by %.2f cm/s", id, f.Side, 100*slides)
					}
					if !r.inPlace && f.Stands < f.StandsIn-.1 {
						t.Errorf("%s: the %s foot stands for %.2f of the clip, %.2f in the source", id, f.Side, f.Stands, f.StandsIn)
					}
				}
			}
		}
	}
}

// pop is the fastest single step of a leg's joint in the written clip over its fastest in
// the source, from the third moment on (a capture begins in another pose): no step is left
// out, as the hundredth of a capture that a person sees is one.
func pop(r *Result) (times float64, where string) {
	target := r.Rig()
	s := r.plan.m.S.Rig
	fast := func(g *rig.Rig, clip rig.Clip, n, up rig.Node) (most, at float64) {
		p := deform.NewPose(g)
		var last quat
		for f, x := range r.times {
			p.Sample(clip, float64(x))
			q := stored(p.World[up].Decompose().R).Back().Mul(stored(p.World[n].Decompose().R))
			if f > 2 {
				if v := last.Back().Mul(q).Angle() * 180 / math.Pi / float64(x-r.times[f-1]); v > most {
					most, at = v, float64(x)
				}
			}
			last = q
		}
		return most, at
	}
	for i := range r.plan.drive {
		d := &r.plan.drive[i]
		if _, bare := sideRole(d.pair.Role); d.from < 0 || bare != "LowerLeg" && bare != "Foot" {
			continue
		}
		up := &r.plan.drive[d.from]
		is, at := fast(target, rig.Clip(len(target.Clips)-1), d.node, up.node)
		was, _ := fast(s, r.From, d.pair.Source, up.pair.Source)
		if x := is / max(was, 10); x > times {
			times, where = x, fmt.Sprintf("%s %.0f against %.0f °/s at %.2f s", d.pair.Role, is, was, at)
		}
	}
	return times, where
}

// bentRest is the sample with knees and elbows bent at rest by so many degrees.
func bentRest(by float64) *rig.Rig {
	r := sample(lamplighter.Options{Sway: true})
	w := r.RestWorld()
	at := func(name string) vec { return space.Plain(w[lamplighter.Node(name)].Origin()) }
	off := func(a, b, c vec) float64 { // how far the middle leaves the line for such a bend
		p, q := b.Sub(a).Len(), c.Sub(b).Len()
		return 2 * p * q / (p + q) * math.Tan(by*math.Pi/180/2)
	}
	knee := off(at("upperLeg_L"), at("lowerLeg_L"), at("foot_L"))
	elbow := off(at("upperArm_L"), at("lowerArm_L"), at("hand_L"))
	return shaped(r, func(n rig.Node, p vec) vec {
		switch name := r.Nodes[n].Name; {
		case strings.HasPrefix(name, "lowerLeg"):
			p.Z += knee
		case strings.HasPrefix(name, "lowerArm"):
			p.Z -= elbow
		}
		return p
	})
}

// Knees and elbows that are bent at rest by 0, 15 or 30°, in the source and in the target:
// the bones point as in the source all the same, none is told to leave a person's range,
// and kept feet hold the targets.
func TestBentRests(t *testing.T) {
	base := sample(lamplighter.Options{Sway: true})
	for clip := range rig.Clip(2) {
		for _, from := range []float64{0, 15, 30} {
			s, c := base, clip
			if from > 0 { // the same movement by a figure that rests bent
				s = carried(t, match.Find(base, bentRest(from)), clip, Options{FreeFeet: true}).Rig()
				c = rig.Clip(len(s.Clips) - 1)
			}
			for _, to := range []float64{0, 15, 30} {
				id := fmt.Sprintf("clip %d, bent at rest by %g and %g°", clip, from, to)
				m := match.Find(s, bentRest(to))
				r := carried(t, m, c, Options{FreeFeet: true})
				rep, err := r.Inspect(context.Background(), nil)
				if err != nil {
					t.Fatal(err)
				}
				if len(rep.Beyond) > 0 {
					t.Errorf("%s: told to be beyond: %+v", id, rep.Beyond)
				}
				p := deform.NewPose(base)
				for k := range 20 {
					seconds := float64(k) / 19 * base.Clips[clip].Seconds
					p.Sample(clip, seconds)
					q := at(r, seconds)
					for _, b := range [][2]string{{"lowerArm_L", "hand_L"}, {"upperArm_R", "lowerArm_R"}, {"upperLeg_L", "lowerLeg_L"}, {"lowerLeg_R", "foot_R"}} {
						a, e := lamplighter.Node(b[0]), lamplighter.Node(b[1])
						u, v := space.Plain(p.World[e].Origin().Sub(p.World[a].Origin())), space.Plain(q.World[e].Origin().Sub(q.World[a].Origin()))
						if d := math.Atan2(u.Cross(v).Len(), u.Dot(v)) * 180 / math.Pi; d > .01 {
							t.Fatalf("%s: %s points %.2f° elsewhere at %.2f s", id, b[0], d, seconds)
						}
					}
				}
				if got := measure(m, carried(t, m, c, Options{})); got.beyond > 2 || got.times > 1.5 {
					t.Errorf("%s, feet kept: %.1f° beyond (%s), × %.2f (%s)", id, got.beyond, got.where, got.times, got.fast)
				}
			}
		}
	}
	// One that bends backwards by 40° is told with that angle, however the target rests.
	back := sample(lamplighter.Options{})
	n := lamplighter.Node("lowerLeg_L")
	up := stored(back.RestWorld()[back.Nodes[n].Parent].Decompose().R)
	posed(back, map[int]quat{int(n): up.Back().Mul(degrees(axisX, -40)).Mul(up).Mul(stored(back.Nodes[n].R))}, nil)
	var all []float64
	for _, to := range []float64{0, 15, 30} {
		rep, err := carried(t, match.Find(back, bentRest(to)), rig.Clip(len(back.Clips)-1), Options{FreeFeet: true}).Inspect(context.Background(), nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range rep.Beyond {
			if b.Role == "leftLowerLeg" && b.Axis == "flexion" {
				all = append(all, b.Degrees)
			}
		}
	}
	if len(all) != 3 {
		t.Fatalf("a knee 40° backwards is told on %d of 3 rests", len(all))
	}
	w := back.RestWorld()
	at := func(name string) vec { return space.Plain(w[lamplighter.Node(name)].Origin()) }
	u, v := at("lowerLeg_L").Sub(at("upperLeg_L")), at("foot_L").Sub(at("lowerLeg_L"))
	want := math.Atan2(u.Cross(v).Len(), u.Dot(v))*180/math.Pi - 40
	for _, a := range all {
		if math.Abs(a-want) > .5 {
			t.Errorf("a knee turned back by 40° on rests bent by 0, 15 and 30°: %.1f°, want %.1f°", all, want)
		}
	}
}

// A knee that bends both ways in the source, as a machine's may, bends as far both ways in
// the target and no farther, and passes through straight without a jump.
func TestBothWays(t *testing.T) {
	for _, way := range []struct {
		name  string
		bends func(x float64) float64 // of the knee, degrees; x: 0…1 of the clip
	}{
		{"backwards", func(x float64) float64 { return -20 - 25*math.Sin(2*math.Pi*x) }},
		{"both ways", func(x float64) float64 { return 35 * math.Sin(2*math.Pi*x) }},
	} {
		s := sample(lamplighter.Options{})
		both(s, way.bends)
		for name, target := range map[string]*rig.Rig{
			"short legs": unlike()["short legs"], "three heads": menagerie.ThreeHeads(menagerie.Options{Still: true}),
			"person": menagerie.Person(menagerie.Options{Still: true}), "bent at rest": bentRest(30),
		} {
			m := match.Find(s, target)
			r := carried(t, m, rig.Clip(len(s.Clips)-1), Options{})
			got := measure(m, r)
			if got.beyond > 2 || got.times > 1.5 {
				t.Errorf("%s to %s: %.1f° beyond (%s), × %.2f (%s)", way.name, name, got.beyond, got.where, got.times, got.fast)
			}
			if x, where := pop(r); x > 1.5 {
				t.Errorf("%s to %s: %s", way.name, name, where)
			}
		}
	}
}

// both adds a clip in which both knees bend so, thighs turning by half of it the other
// way, and the elbows as the knees do; the hips keep the feet on the ground.
func both(r *rig.Rig, bends func(x float64) float64) {
	w := r.RestWorld()
	at := func(name string) vec { return space.Plain(w[lamplighter.Node(name)].Origin()) }
	thigh, shin := at("lowerLeg_L").Sub(at("upperLeg_L")), at("foot_L").Sub(at("lowerLeg_L"))
	hips := lamplighter.Node("hips")
	c := rig.ClipData{Name: "both", Seconds: 2}
	move := rig.Channel{Node: hips, Path: rig.Translation, Width: 3}
	turns := map[string]*rig.Channel{}
	for i := range 61 {
		t := float32(i) / 30
		a := bends(float64(i) / 60)
		first, second := degrees(axisX, -a/2), degrees(axisX, a/2)
		// The way from hip to ankle changes; the hips give way by it.
		d := first.Rotate(thigh).Add(second.Rotate(shin)).Sub(thigh).Sub(shin)
		move.Times = append(move.Times, t)
		move.Values = append(move.Values, float32(r.Nodes[hips].T[0]), float32(r.Nodes[hips].T[1]-d.Y), float32(r.Nodes[hips].T[2]-d.Z))
		for _, side := range []string{"L", "R"} {
			for name, q := range map[string]quat{
				"upperLeg_": first, "lowerLeg_": degrees(axisX, a), "foot_": degrees(axisX, -a/2), "lowerArm_": degrees(axisY, a),
			} {
				n := lamplighter.Node(name + side)
				ch := turns[name+side]
				if ch == nil {
					ch = &rig.Channel{Node: n, Path: rig.Rotation, Width: 4}
					turns[name+side] = ch
				}
				up := stored(w[r.Nodes[n].Parent].Decompose().R)
				q := up.Back().Mul(q).Mul(up).Mul(stored(r.Nodes[n].R))
				ch.Times = append(ch.Times, t)
				ch.Values = append(ch.Values, float32(q.X), float32(q.Y), float32(q.Z), float32(q.W))
			}
		}
	}
	c.Channels = append(c.Channels, move)
	for _, ch := range turns {
		c.Channels = append(c.Channels, *ch)
	}
	r.Clips = append(r.Clips, c)
}
