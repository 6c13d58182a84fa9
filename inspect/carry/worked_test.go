package carry

import (
	"context"
	"math"
	"testing"

	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// W22 … W29 (worked numbers, closed form; slerp as glTF 2.0, Appendix C), for the
// rotations of this package.
func TestTurns(t *testing.T) {
	z90 := degrees(axisZ, 90)
	a, b := unit(xyzw(.1, .2, .3, .9)), unit(xyzw(-.4, .5, .1, .7))
	minus := func(q quat) quat { return xyzw(-q.X, -q.Y, -q.Z, -q.W) }
	for _, row := range []struct {
		name  string
		a, b  quat
		share float64
		want  quat
	}{
		{"W23 ¼", still, z90, .25, xyzw(0, 0, .195090, .980785)},
		{"W23 ½", still, z90, .5, xyzw(0, 0, .382683, .923880)},
		{"W23 ¾", still, z90, .75, xyzw(0, 0, .555570, .831470)},
		{"W23 ¾, second negated", still, minus(z90), .75, xyzw(0, 0, .555570, .831470)},
		{"W24 ⅓", still, xyzw(.5, .5, .5, .5), 1. / 3, xyzw(0.197465, 0.197465, 0.197465, 0.939693)},
		{"W24 ½", still, xyzw(.5, .5, .5, .5), .5, xyzw(0.288675, 0.288675, 0.288675, 0.866025)},
		{"W25 .25", a, b, .25, xyzw(-0.033250135, 0.300575888, 0.267325753, 0.914923770)},
		{"W25 .5", a, b, .5, xyzw(-0.168125166, 0.387160892, 0.219035725, 0.879695245)},
		{"W25 .7", a, b, .7, xyzw(-0.272668633, 0.448383185, 0.175714552, 0.832903795)},
		{"W29 opposite", still, xyzw(1, 0, 0, 0), .5, xyzw(0.707107, 0, 0, 0.707107)},
	} {
		got := toward(row.a, row.b, row.share)
		if d := math.Abs(got.X-row.want.X) + math.Abs(got.Y-row.want.Y) + math.Abs(got.Z-row.want.Z) + math.Abs(got.W-row.want.W); d > 3e-6 {
			t.Errorf("%s: %+v, want %+v", row.name, got, row.want)
		}
	}
	// W26: what straight lines between rotations would be off by at worst, 90° apart.
	worst := 0.0
	for k := range 1001 {
		u := float64(k) / 1000
		straight := unit(quat{Z: u * z90.Z, W: 1 - u + u*z90.W})
		worst = max(worst, straight.Back().Mul(toward(still, z90, u)).Angle()*180/math.Pi)
	}
	if math.Abs(worst-0.918812) > 1e-6 {
		t.Errorf("W26: %.6f°, want 0.918812°", worst)
	}
	for _, row := range []struct {
		name         string
		a, b         quat
		want, within float64
	}{
		{"W22", still, space.TurnAbout(axisX, 1e-8), 1e-8 * 180 / math.Pi, 1e-15},
		{"W25", a, b, 78.503624, 1e-6},
		{"W27", degrees(axisX, 30), degrees(axisY, 40), 49.628434, 1e-6},
		{"W28 a thirtieth of 300°/s", still, degrees(axisY, 10), 300. / 30, 1e-9},
	} {
		if got := row.a.Back().Mul(row.b).Angle() * 180 / math.Pi; math.Abs(got-row.want) > row.within {
			t.Errorf("%s: %.9g°, want %.9g°", row.name, got, row.want)
		}
	}
}

// The source of W66 and W67.
func threeJoints() *rig.Rig {
	s := skeleton("source.glb", bonePart{"a", -1, [3]float64{0, 1, 0}, still}, bonePart{"b", 0, [3]float64{.2, .4, 0}, still},
		bonePart{"c", 1, [3]float64{.3, 0, 0}, still}, bonePart{"tip", 2, [3]float64{.25, 0, 0}, still})
	return posed(s, map[int]quat{0: degrees(axisY, 20), 1: degrees(axisZ, -40), 2: degrees(axisY, -60)}, nil)
}

// local is a key of a carried clip: the rotation, or the rest where it has none.
func local(r *Result, n rig.Node) quat {
	for _, c := range r.Clip.Channels {
		if c.Node == n && c.Path == rig.Rotation {
			return xyzw(float64(c.Values[0]), float64(c.Values[1]), float64(c.Values[2]), float64(c.Values[3]))
		}
	}
	return stored(r.plan.m.T.Rig.Nodes[n].R)
}

// W66 (worked number): other axes, the same rest pose.
func TestOtherAxes(t *testing.T) {
	s := threeJoints()
	h := math.Sqrt2 / 2
	target := skeleton("target.glb", bonePart{"a", -1, [3]float64{0, .8, 0}, xyzw(0, h, 0, h)}, bonePart{"b", 0, [3]float64{0, .3, .15}, xyzw(.5, -.5, -.5, .5)},
		bonePart{"c", 1, [3]float64{0, .24, 0}, xyzw(0, .258819, 0, .965926)}, bonePart{"tip", 2, [3]float64{0, .2, 0}, still})
	r := carried(t, paired(s, target), 0, Options{FreeFeet: true})
	for n, want := range []quat{xyzw(0, 0.819152, 0, 0.573576), xyzw(0.640856, -0.298836, -0.640856, 0.298836), xyzw(0.482963, 0.224144, 0.129410, 0.836516)} {
		nearTurn(t, "W66 local "+target.Nodes[n].Name, local(r, rig.Node(n)), want, 3e-6)
	}
	p := at(r, 0)
	for n, want := range []vec{xyz(0, .8, 0), xyz(0.140954, 1.1, -0.051303), xyz(0.313717, 0.945731, -0.114184), xyz(0.444941, 0.881452, 0.022376)} {
		nearVec(t, "W66 place of "+target.Nodes[n].Name, space.Plain(p.World[n].Origin()), want, 2e-6)
	}
}

// W67 (worked number): A-pose against T-pose, without and with the correction.
func TestOtherPose(t *testing.T) {
	s := threeJoints()
	target := skeleton("target.glb", bonePart{"a", -1, [3]float64{0, 1, 0}, still}, bonePart{"b", 0, [3]float64{.2, .4, 0}, degrees(axisZ, -45)},
		bonePart{"c", 1, [3]float64{.3, 0, 0}, still}, bonePart{"tip", 2, [3]float64{.25, 0, 0}, still})
	m := paired(s, target)
	upper := func(p []rig.Affine) vec {
		v, _ := space.Plain(p[2].Origin()).Sub(space.Plain(p[1].Origin())).Unit()
		return v
	}
	r := carried(t, m, 0, Options{FreeFeet: true})
	nearTurn(t, "W67 root", local(r, 0), degrees(axisY, 20), 1e-6)
	nearTurn(t, "W67 upper", local(r, 1), xyzw(0, 0, -.342020, .939693), 2e-6)
	nearTurn(t, "W67 lower", local(r, 2), xyzw(0, -.5, 0, .866025), 2e-6)
	nearVec(t, "W67 direction", upper(at(r, 0).World), xyz(0.719846, -0.642788, -0.262003), 2e-6)
	nearTurn(t, "W67 correction", r.plan.drive[1].fix, degrees(axisZ, 45), 1e-9)
	// Without it the upper bone is off by the whole difference.
	for i := range r.plan.drive {
		d := &r.plan.drive[i]
		d.after = r.plan.srcRest[d.pair.Source].Back().Mul(r.plan.dstRest[d.node])
	}
	player := newPlayer(s, &s.Clips[0], []rig.Node{0, 1, 2, 3}, []rig.Node{0})
	k := newKeys(r.plan, player, 1)
	if err := k.fill(context.Background(), &Result{plan: r.plan, times: []float32{0}}, player, nil); err != nil {
		t.Fatal(err)
	}
	bare := k.world[1].Rotate(r.plan.dstRest[1].Back().Rotate(r.plan.dstAt(2).Sub(r.plan.dstAt(1))))
	bare, _ = bare.Unit()
	nearVec(t, "W67 uncorrected", bare, xyz(0.081900, -0.996195, -0.029809), 2e-6)
}

// W68 (worked number): the hips' way by hip heights and by leg lengths.
func TestHipWay(t *testing.T) {
	figure := func(name string, hip, thigh float64, knees bool) *rig.Rig {
		b := []bonePart{{"hips", -1, [3]float64{0, hip, 0}, still}, {"spine", 0, [3]float64{0, hip * .2, 0}, still}, {"head", 1, [3]float64{0, hip * .4, 0}, still}}
		for _, side := range []struct {
			name string
			x    float64
		}{{"left", .1}, {"right", -.1}} {
			up := len(b)
			b = append(b, bonePart{side.name + "UpperLeg", 0, [3]float64{side.x, 0, 0}, still})
			if knees {
				b = append(b, bonePart{side.name + "LowerLeg", up, [3]float64{0, -thigh, 0}, still}, bonePart{side.name + "Foot", up + 1, [3]float64{0, -thigh, 0}, still})
			} else {
				b = append(b, bonePart{side.name + "Foot", up, [3]float64{0, -hip, 0}, still})
			}
		}
		return skeleton(name, b...)
	}
	for _, row := range []struct {
		name  string
		knees bool
		k     float64
		from  string
		want  vec
	}{
		{"W68 hip heights", false, .8, "hip heights", xyz(0.16, 0.744, 1.12)},
		{"W68 leg lengths", true, .69 / .88, "leg lengths", xyz(0.156818, 0.745114, 1.097727)},
	} {
		s := posed(figure("source.glb", 1, .44, row.knees), nil, map[int]vec{0: xyz(.20, .93, 1.40)})
		target := figure("target.glb", .8, .345, row.knees)
		r := carried(t, match.Find(s, target), 0, Options{FreeFeet: true})
		if math.Abs(r.Scale-row.k) > 1e-6 || r.ScaleFrom != row.from {
			t.Errorf("%s: scale %.6f from the %s, want %.6f from the %s", row.name, r.Scale, r.ScaleFrom, row.k, row.from)
		}
		// The pose is the only one, so its feet, up in the air, would count as the floor.
		shift := xyz(0, r.lift, 0)
		nearVec(t, row.name, space.Plain(at(r, 0).World[0].Origin()).Sub(shift), row.want, 2e-6)
	}
}
