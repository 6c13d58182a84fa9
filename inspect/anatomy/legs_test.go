package anatomy

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
)

// Legs end in the lower three tenths of the rig, and what is short points down within 50°
// (both common practice, no source): on either side of both.
func TestWhatIsALeg(t *testing.T) {
	at := func(degrees float64) mgl64.Vec3 { // a tenth long, from a joint at .3
		s, c := math.Sincos(degrees * math.Pi / 180)
		return mgl64.Vec3{.1 + .1*s, .3 - .1*c, 0}
	}
	for _, row := range []struct {
		name        string
		first, last mgl64.Vec3
		want        bool
	}{
		{"down to .29 of the height", mgl64.Vec3{.1, .9, 0}, mgl64.Vec3{.1, .29, 0}, true},
		{"down to .31", mgl64.Vec3{.1, .9, 0}, mgl64.Vec3{.1, .31, 0}, false},
		{"short, 49° off straight down", mgl64.Vec3{.1, .3, 0}, at(49), true},
		{"short, 51°", mgl64.Vec3{.1, .3, 0}, at(51), false},
	} {
		right := func(p mgl64.Vec3) mgl64.Vec3 { return mgl64.Vec3{-p[0], p[1], p[2]} }
		f := &finder{pos: []mgl64.Vec3{{0, 1, 0}, row.first, row.last, right(row.first), right(row.last)}}
		if p := f.newPair(0, []rig.Node{1, 2}, []rig.Node{3, 4}, 0, 1); p.isLeg != row.want {
			t.Errorf("%s: a leg: %v", row.name, p.isLeg)
		}
	}
}

// Fore and hind legs hang apart along the ground by two fifths of their length (common
// practice, no source): of legs of a metre, 41 cm are, 39 cm are not. What leans by 51° is
// no pair that stands on four.
func TestForeAndHindApart(t *testing.T) {
	s, c := math.Sincos(51 * math.Pi / 180)
	for _, row := range []struct {
		apart float64
		dir   mgl64.Vec3
		want  bool
	}{{.41, mgl64.Vec3{0, -1, 0}, true}, {.39, mgl64.Vec3{0, -1, 0}, false}, {.8, mgl64.Vec3{0, -c, s}, false}} {
		f := &finder{out: &Roles{}, depth: []int32{0, 1}}
		legs := []limbPair{
			{on: 0, length: 1, dir: row.dir, root: mgl64.Vec3{0, 1, 0}},
			{on: 1, length: 1, dir: row.dir, root: mgl64.Vec3{0, 1, row.apart}},
		}
		if _, _, ok := f.foreAndHind(legs); ok != row.want {
			t.Errorf("%g m apart, along %v: %v", row.apart, row.dir, ok)
		}
	}
}
