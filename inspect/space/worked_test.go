package space

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
)

var unitW = [4]float64{3: 1}

func norm(x, y, z, w float64) [4]float64 {
	q, _ := UnitQuat(FromXYZW([4]float64{x, y, z, w}))
	return XYZW(q)
}

// axis turns about x y z, of any length.
func axis(x, y, z, angle float64) [4]float64 { return XYZW(About(Direction(Vec{x, y, z}), angle)) }

// W22, W25, W27, W28 (worked numbers, closed form).
func TestWorkedTurns(t *testing.T) {
	for _, w := range []struct {
		name      string
		a, b      [4]float64
		want, off float64
	}{
		{"W22 1e-8 rad", unitW, axis(1, 2, 3, 1e-8), 1e-8, 1e-15},
		{"W25", norm(.1, .2, .3, .9), norm(-.4, .5, .1, .7), 78.503624 * degree, 1e-8},
		{"W27", axis(1, 0, 0, 30*degree), axis(0, 1, 0, 40*degree), 49.628434 * degree, 1e-8},
		{"W28 per frame at 30 Hz", unitW, axis(0, 1, 0, 10*degree), 5.235988 / 30, 1e-7},
		{"same", norm(.1, .2, .3, .9), norm(.1, .2, .3, .9), 0, 1e-15},
		{"negated is the same", norm(.1, .2, .3, .9), norm(-.1, -.2, -.3, -.9), 0, 1e-15},
		{"half a turn", unitW, [4]float64{1, 0, 0, 0}, math.Pi, 1e-15},
	} {
		near(t, w.name, Apart(FromXYZW(w.a), FromXYZW(w.b)), w.want, w.off)
	}
}

// W23–W25, W29 (worked numbers, closed form; slerp as glTF 2.0, Appendix C).
func TestWorkedSlerps(t *testing.T) {
	z90, corner := axis(0, 0, 1, 90*degree), [4]float64{.5, .5, .5, .5}
	a, b := norm(.1, .2, .3, .9), norm(-.4, .5, .1, .7)
	minus := func(q [4]float64) [4]float64 { return [4]float64{-q[0], -q[1], -q[2], -q[3]} }
	for _, w := range []struct {
		name  string
		a, b  [4]float64
		t     float64
		want  []float64
		slack float64
	}{
		{"W23 ¼", unitW, z90, .25, []float64{0, 0, .195090, .980785}, 1e-6},
		{"W23 ½", unitW, z90, .5, []float64{0, 0, .382683, .923880}, 1e-6},
		{"W23 ¾", unitW, z90, .75, []float64{0, 0, .555570, .831470}, 1e-6},
		{"W23 ¾, second key negated", unitW, minus(z90), .75, []float64{0, 0, .555570, .831470}, 1e-6},
		{"W24 ⅓", unitW, corner, 1. / 3, []float64{0.197465, 0.197465, 0.197465, 0.939693}, 1e-6},
		{"W24 ½", unitW, corner, .5, []float64{0.288675, 0.288675, 0.288675, 0.866025}, 1e-6},
		{"W25 ¼", a, b, .25, []float64{-0.033250135, 0.300575888, 0.267325753, 0.914923770}, 1e-9},
		{"W25 ½", a, b, .5, []float64{-0.168125166, 0.387160892, 0.219035725, 0.879695245}, 1e-9},
		{"W25 .7", a, b, .7, []float64{-0.272668633, 0.448383185, 0.175714552, 0.832903795}, 1e-9},
		{"W29 at right angles", unitW, [4]float64{1, 0, 0, 0}, .5, []float64{0.707107, 0, 0, 0.707107}, 1e-6},
		{"no turn", a, a, .3, a[:], 1e-15},
		{"no turn, negated", a, minus(a), .3, a[:], 1e-15},
	} {
		got := XYZW(Slerp(FromXYZW(w.a), FromXYZW(w.b), w.t))
		for i, want := range w.want {
			near(t, w.name, got[i], want, w.slack)
		}
	}
	// Tiny turns go evenly too: 1e-7 rad (the straight line) and 1e-5 (the sine).
	for _, angle := range []float64{1e-7, 1e-5} {
		q := Slerp(Still(), About(Vec{0, 0, 1}, angle), .25)
		near(t, "tiny", Turned(q), angle/4, 1e-12*angle+1e-16)
	}
}

// W26 (worked numbers): the straight line made unit differs from slerp by so much;
// a check that Slerp is not the short cut.
func TestW26SlerpIsNotTheStraightLine(t *testing.T) {
	for _, w := range []struct{ angle, want float64 }{
		{60, 0.267480}, {90, 0.918812}, {120, 2.233963}, {170, 6.757567},
	} {
		b, worst := About(Vec{0, 0, 1}, w.angle*degree), 0.0
		for i := range 1001 {
			s := float64(i) / 1000
			line := mgl64.QuatNlerp(Still(), b, s)
			worst = max(worst, Apart(line, Slerp(Still(), b, s))/degree)
		}
		near(t, "W26", worst, w.want, 1e-5)
	}
}
