package bends

import (
	"fmt"
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
)

var (
	alongX = [3]float64{1, 0, 0}
	aboutZ = [3]float64{0, 0, 1}
)

// W2–W10 (worked numbers, closed form): what is left of the radius of a tube whose
// places hang on the second joint by w, when that is twisted: √(1 − 4w(1−w) sin²(θ/2))
// by linear blending, all by dual quaternions.
func TestTwistRadius(t *testing.T) {
	for _, w := range []struct {
		name                string
		weight, degrees, is float64
	}{
		{"W2", .5, 30, 0.965926}, {"W3", .5, 60, 0.866025}, {"W4", .5, 90, 0.707107},
		{"W5", .5, 120, 0.500000}, {"W6", .5, 150, 0.258819}, {"W7", .5, 180, 0},
		{"W8", .25, 90, 0.790569}, {"W9", .1, 120, 0.854400}, {"W10", 1. / 3, 150, 0.413105},
	} {
		f := measured(t, tube(1, .3, 20, 32, true, even(w.weight)))
		m := bent(t, f, 1, alongX, w.degrees)
		if m.Radius == nil || m.RadiusDual == nil {
			t.Fatalf("%s: no section", w.name)
		}
		near(t, w.name, *m.Radius, w.is, 1e-6)
		near(t, w.name+" by dual quaternions", *m.RadiusDual, 1, 1e-6)
		// The same all along: the volume keeps the square of it.
		near(t, w.name+" volume", *m.Volume, w.is*w.is, 1e-6)
		near(t, w.name+" volume by dual quaternions", *m.VolumeDual, 1, 1e-6)
	}
}

// The width that a half-and-half section keeps in the plane of a bend, against the
// mitre of a pipe bent as much (worked table, closed form): the ratio is cos²(θ/2).
func TestMitre(t *testing.T) {
	for _, w := range []struct{ degrees, linear, mitre, ratio float64 }{
		{30, 0.965926, 1.035276, 0.933013}, {45, 0.923880, 1.082392, 0.853553},
		{60, 0.866025, 1.154701, 0.750000}, {90, 0.707107, 1.414214, 0.500000},
		{120, 0.500000, 2.000000, 0.250000}, {150, 0.258819, 3.863703, 0.066987},
	} {
		f := measured(t, tube(1, .1, 20, 32, true, ramp(1)))
		m := bent(t, f, 1, aboutZ, w.degrees)
		near(t, fmt.Sprintf("%g°", w.degrees), *m.Radius, w.linear, 1e-6)
		// The mitre by itself: a line of the pipe at a distance of 1 inside the bend meets
		// its own image where both cross the plane half way between.
		s, c := math.Sincos(w.degrees / 2 * math.Pi / 180)
		mitre := mgl64.Vec2{s / c, 1}.Len()
		near(t, "mitre", mitre, w.mitre, 1e-6)
		near(t, "ratio", *m.Radius/mitre, w.ratio, 1e-6)
		// Joints that share a place keep the distance from it: nothing gets narrower.
		if *m.RadiusDual < 1-1e-6 {
			t.Errorf("%g°: %g of the width by dual quaternions", w.degrees, *m.RadiusDual)
		}
	}
}

// W11 (worked number, closed form): the places of an elbow at 90° in the zone itself.
func TestW11InTheZone(t *testing.T) {
	// Four corners of a section at the origin, half and half: (0, .1, 0) goes to
	// (−.05, .05, 0), (0, 0, .1) stays.
	f := measured(t, tube(1, .1, 2, 4, false, ramp(1)))
	z := f.body.newZone(1)
	z.carry(z.turn(aboutZ, 90), 0)
	for _, w := range []struct {
		vertex uint32
		want   mgl64.Vec3
	}{{4, mgl64.Vec3{-.05, .05, 0}}, {5, mgl64.Vec3{0, 0, .1}}, {6, mgl64.Vec3{.05, -.05, 0}}} {
		i := z.local[w.vertex] - 1
		if d := (mgl64.Vec3{z.pos[3*i], z.pos[3*i+1], z.pos[3*i+2]}).Sub(w.want).Len(); d > 1e-8 {
			t.Errorf("vertex %d is %g m off", w.vertex, d)
		}
	}
}

// W14 (worked number, closed form): where weights change along the surface its true
// normals are not those that the blended matrix carries. Bend of 90°, ramp over a length
// of 2, radius 0.3, a quarter of the weight moved: the triangles around tilt by
// +10.007980°, the deformer's normal by −18.434949°. So what turns over is judged by
// triangles.
func TestW14TrianglesTiltOtherwise(t *testing.T) {
	const rings, sides = 400, 256
	r := tube(1, .3, rings, sides, false, ramp(1))
	m := &r.Meshes[0]
	for i := 0; i < len(m.Positions); i += 3 {
		m.Normals = append(m.Normals, 0, m.Positions[i+1]/.3, m.Positions[i+2]/.3)
	}
	b := newBody(exam.New(r))
	z := b.newZone(1)
	z.carry(z.turn(aboutZ, 90), deform.Linear)
	v := uint32(rings / 4 * sides) // x = −½, y = 0.3
	var sum mgl64.Vec3
	for _, tri := range b.around[b.aroundStart[b.place[v]]:b.aroundStart[b.place[v]+1]] {
		var p [3]mgl64.Vec3
		for k, c := range b.tri[3*tri : 3*tri+3] {
			p[k] = z.place(c, nil)
		}
		sum = sum.Add(p[1].Sub(p[0]).Cross(p[2].Sub(p[0])))
	}
	tilt := func(n mgl64.Vec3) float64 { return math.Atan2(n[0], n[1]) * 180 / math.Pi }
	near(t, "triangles", tilt(sum), 10.007980, 2e-3)

	p := deform.NewPose(r)
	turn := anatomy.Rotation(mgl64.Vec3{}, aboutZ, 90)
	moved := turn.Mul(&p.World[1])
	inv, _ := p.World[0].Inverse()
	p.Local[1] = inv.Mul(&moved)
	p.Update()
	pos, normals := make([]float32, len(m.Positions)), make([]float32, len(m.Positions))
	deform.NewDeformer(r, 0).Apply(p, deform.Linear, pos, normals, nil, nil)
	near(t, "by the matrix", tilt(mgl64.Vec3{float64(normals[3*v]), float64(normals[3*v+1]), 0}), -18.434949, 1e-4)
}

// W12 (worked numbers): volume of the blend zone of a tube whose weights pass from one
// joint to the other along its whole length, against 1 − ⅔ sin²(θ/2) and
// 1 − ⅓ sin²(θ/2); whether its ends are closed or left to the fans.
func TestW12ZoneVolume(t *testing.T) {
	for _, capped := range []bool{true, false} {
		f := measured(t, tube(1, .3, 200, 64, capped, ramp(1)))
		for _, w := range []struct{ degrees, twist, bend float64 }{
			{30, 0.955342, 0.977671}, {60, 0.833333, 0.916667}, {90, 0.666667, 0.833333},
			{120, 0.500000, 0.750000}, {150, 0.377992, 0.688996}, {180, 0.333333, 0.666667},
		} {
			name := fmt.Sprintf("%g°, capped %v", w.degrees, capped)
			m := bent(t, f, 1, alongX, w.degrees)
			near(t, name+" twist", *m.Volume, w.twist, 1e-3)
			near(t, name+" twist by dual quaternions", *m.VolumeDual, 1, 2e-3)
			m = bent(t, f, 1, aboutZ, w.degrees)
			near(t, name+" bend", *m.Volume, w.bend, 1e-3)
		}
	}
}

// The zone alone counts: the same ramp in the middle of a tube ten times as long loses
// the same, though most of the tube keeps its volume.
func TestZoneIsCutOut(t *testing.T) {
	f := measured(t, tube(2, .1, 400, 32, true, ramp(.2)))
	for _, w := range []struct{ degrees, twist, bend float64 }{{60, 0.833333, 0.916667}, {150, 0.377992, 0.688996}} {
		near(t, "twist", *bent(t, f, 1, alongX, w.degrees).Volume, w.twist, 2e-3)
		near(t, "bend", *bent(t, f, 1, aboutZ, w.degrees).Volume, w.bend, 2e-3)
	}
}

// W47 (worked number, closed form): a tube that is twisted about its axis shears. Where
// every ring is stiff, a quad of length L between rings that turn by θ against each
// other is sheared by s = θ·r/L in the limit of small steps: stretches as of
// [[1, s], [0, 1]]. With s = 1 the golden ratio.
func TestW47TwistedTube(t *testing.T) {
	// By dual quaternions a place with w of the weight turns by
	// 2·atan2(w sin θ/2, 1 − w + w cos θ/2): fastest at w = ½. The radius makes that place
	// go sideways by one metre a metre.
	const degrees = 30.0
	theta := degrees * math.Pi / 180
	angle := func(w float64) float64 {
		return 2 * math.Atan2(w*math.Sin(theta/2), 1-w+w*math.Cos(theta/2))
	}
	rate := (angle(.5+1e-5) - angle(.5-1e-5)) / 2e-5 / 2 // radians a metre
	f := measured(t, tube(1, 1/rate, 400, 256, false, ramp(1)))
	near(t, "golden ratio", *bent(t, f, 1, alongX, degrees).MaxDual, 1.618034, 2e-3)
}
