package carry

import (
	"math"
	"testing"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/match"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// captureTargets are the figures that the real capture is carried to.
func captureTargets(t testing.TB) map[string]*rig.Rig {
	return map[string]*rig.Rig{
		"sample": sample(lamplighter.Options{Sway: true}), "three heads": menagerie.ThreeHeads(menagerie.Options{}),
		"Knight.glb": real(t, "Knight.glb"), "robot.glb": real(t, "robot.glb"), "cesium_man.gltf": real(t, "cesium_man.gltf"),
	}
}

// The real capture: standing feet slide by no more than 1 cm/s as Motion measures, and
// tread on the floor, not through it. Targets: the project's own. Before soles were those
// of the surface, the knight lay under the floor in 75 % of the clip: its feet are as
// long as half its legs, and its toes dipped.
func TestCaptureStands(t *testing.T) {
	for name, target := range captureTargets(t) {
		m := match.Find(real(t, "01_01.bvh"), target)
		r := carried(t, m, 0, Options{})
		if got := measure(m, r); got.slide > 0.01 || got.stands < 0.8*got.standsIn {
			t.Errorf("%s: standing feet slide by %.2f cm/s and stand %.0f %% of the clip, %.0f %% in the source", name, 100*got.slide, 100*got.stands, 100*got.standsIn)
		}
		under, lowest := feetUnder(r)
		t.Logf("%-16s feet under the floor in %.1f %% of the clip, %.1f %% of the height at most", name, 100*under, 100*lowest)
		if under > 0.05 || lowest > 0.03 {
			t.Errorf("%s: feet are under the floor in %.1f %% of the clip, %.1f %% of the height at most", name, 100*under, 100*lowest)
		}
	}
}

// feetUnder looks at the surface that hangs on feet and toes: in what share of the clip it
// lies deeper than 1 % of the height below where it is lowest at rest, and how deep at
// most, in heights.
func feetUnder(r *Result) (share, deepest float64) {
	target := r.Rig()
	p := r.plan
	foot := make([]bool, len(target.Nodes))
	for _, role := range []string{"leftFoot", "rightFoot", "leftToes", "rightToes"} {
		if n := p.m.T.Bone(role); n >= 0 {
			foot[n] = true
		}
	}
	low := func(pose *deform.Pose) float64 {
		lowest := math.Inf(1)
		for i := range target.Surfaces {
			s := &target.Surfaces[i]
			if s.Skin < 0 {
				continue
			}
			m := &target.Meshes[s.Mesh]
			pos := make([]float32, len(m.Positions))
			deform.NewDeformer(target, i).Apply(pose, deform.Linear, pos, nil, nil, nil)
			for v := range m.Vertices() {
				held := float32(0)
				for c := v * m.K; c < (v+1)*m.K; c++ {
					if foot[target.Skins[s.Skin].Joints[m.Joints[c]]] {
						held += m.Weights[c]
					}
				}
				if held > 0.5 {
					at := xyz(float64(pos[3*v]), float64(pos[3*v+1]), float64(pos[3*v+2]))
					lowest = min(lowest, at.Dot(p.dstUp))
				}
			}
		}
		return lowest
	}
	pose := deform.NewPose(target)
	floor := low(pose)
	looks, under := 0, 0
	for f := 0; f < len(r.times); f += max(1, len(r.times)/100) {
		pose.Sample(rig.Clip(len(target.Clips)-1), float64(r.times[f]))
		deep := (floor - low(pose)) / p.height.dst
		if deepest = max(deepest, deep); deep > 0.01 {
			under++
		}
		looks++
	}
	return float64(under) / float64(looks), deepest
}

// The few points of a sole are as low as the whole foot, within 2 % of its length,
// however it is tilted, up to 80°.
func TestSoleIsTheFoots(t *testing.T) {
	target := sample(lamplighter.Options{})
	m := match.Find(sample(lamplighter.Options{Sway: true}), target)
	r := carried(t, m, 0, Options{FreeFeet: true})
	r.tread()
	p, up := r.plan, r.plan.dstUp
	for _, l := range r.feet {
		for _, part := range []struct {
			joint rig.Node
			sole  sole
		}{{p.drive[l.ankle].node, l.soleA}, {p.drive[l.toes].node, l.soleT}} {
			var all []vec
			for i := range target.Surfaces {
				s := &target.Surfaces[i]
				pos, mesh := deform.RestSurface(target, i), &target.Meshes[s.Mesh]
				for v := range mesh.Vertices() {
					if s.Skin < 0 {
						continue
					}
					joints := target.Skins[s.Skin].Joints
					if k := mesh.Strongest(v, len(joints)); k >= 0 && joints[k] == part.joint {
						all = append(all, xyz(float64(pos[3*v]), float64(pos[3*v+1]), float64(pos[3*v+2])))
					}
				}
			}
			long := 0.0
			for _, q := range all {
				long = max(long, q.Sub(p.dstAt(part.joint)).Len())
			}
			if len(all) < 20 || len(part.sole) < 5 || len(part.sole) > 1+waysRound*len(leanings) {
				t.Fatalf("%s: %d points of %d", target.Nodes[part.joint].Name, len(part.sole), len(all))
			}
			for k := range 200 {
				a := float64(k)
				axis, _ := xyz(math.Sin(a), 0.3*math.Cos(5*a), math.Cos(a)).Unit()
				turn := space.TurnAbout(axis, 80*math.Abs(math.Sin(3*a))*math.Pi/180)
				lowest := math.Inf(-1)
				for _, q := range all {
					lowest = max(lowest, -turn.Rotate(q.Sub(p.dstAt(part.joint))).Dot(up))
				}
				if got := part.sole.under(turn.Mul(p.dstRest[part.joint]), up); got > lowest+1e-6 || got < lowest-0.02*long {
					t.Errorf("%s tilted: reaches %.4f under, the surface %.4f", target.Nodes[part.joint].Name, got, lowest)
				}
			}
		}
	}
}

// Toes bend up by just what keeps them on the floor, no farther than mostCurl, and not at
// all where the source's toes never turn: then the foot is raised for them. Closed form:
// a toe of length a at height h, pitched down by b, comes up by b − asin(h/a).
func TestToesCurl(t *testing.T) {
	for _, row := range []struct {
		name         string
		pitch, high  float64 // degrees, metres
		source       float64 // degrees a second that the source's toes turn
		curl, within float64 // degrees
	}{
		{"clear of the floor", 10, 0.05, 500, 0, 1e-9},
		{"dipping", 40, 0.05, 500, 40 - math.Asin(.05/.1)*180/math.Pi, 0.01},
		{"at most", 90, 0.01, 5000, 50, 0.01},
		{"stiff in the source", 40, 0.05, 0, 0, 1},
	} {
		const n = 61
		l := &foot{toes: 0, soleT: sole{xyz(0, 0, .1)}, e: make([]vec, n), t: make([]vec, n), c: make([]vec, n), wC: make([]quat, n), wT: make([]quat, n), underA: make([]float64, n), underT: make([]float64, n)}
		p := &plan{dstUp: axisY, dstRest: []quat{still}, drive: []drive{{node: 0}}}
		times := make([]float32, n)
		for f := range n {
			times[f] = float32(f) / 30
			l.t[f], l.wC[f] = xyz(0, row.high, 0), degrees(axisX, row.pitch)
			l.wT[f] = degrees(axisX, row.pitch)
			if f > 30 { // what shows how fast the toes go: while they are away from the floor
				l.t[f], l.wT[f] = xyz(0, 5, 0), l.wT[f].Mul(degrees(axisX, -row.source/30*float64(f%2)))
			}
		}
		l.curl(nil, p, times)
		v := l.wT[15].Rotate(xyz(0, 0, .1))
		pitch := math.Asin(-v.Y/.1) * 180 / math.Pi
		if got := row.pitch - pitch; math.Abs(got-row.curl) > row.within {
			t.Errorf("%s: bent up by %.3f°, want %.3f°", row.name, got, row.curl)
		}
		if want := -v.Y; math.Abs(l.underT[15]-want) > 1e-9 {
			t.Errorf("%s: reaches %.4f m under the joint, want %.4f", row.name, l.underT[15], want)
		}
	}
}
