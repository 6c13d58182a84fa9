package bvh

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
)

// Every order of three rotations, with the position channels before, between and
// after them, against products of matrices: the first named is the outermost, and
// positions are added to OFFSET whatever stands around them.
func TestAllOrders(t *testing.T) {
	about := map[byte]mgl64.Vec3{'X': {1, 0, 0}, 'Y': {0, 1, 0}, 'Z': {0, 0, 1}}
	angle := map[byte]float64{'X': 20, 'Y': -35, 'Z': 50}
	place := map[byte]float64{'X': 3, 'Y': 4, 'Z': -5}
	rows := 0
	for _, order := range []string{"XYZ", "XZY", "YXZ", "YZX", "ZXY", "ZYX"} {
		turn := mgl64.Ident4()
		for i := range 3 {
			turn = turn.Mul4(mgl64.HomogRotate3D(angle[order[i]]*math.Pi/180, about[order[i]]))
		}
		for split := range 4 { // how many rotations stand before the positions
			var names, values []string
			put := func(axis byte, kind string, v float64) {
				names = append(names, string(axis)+kind)
				values = append(values, fmt.Sprint(v))
			}
			for i := range split {
				put(order[i], "rotation", angle[order[i]])
			}
			for _, axis := range []byte("YZX") {
				put(axis, "position", place[axis])
			}
			for i := split; i < 3; i++ {
				put(order[i], "rotation", angle[order[i]])
			}
			text := "HIERARCHY ROOT A { OFFSET 0 0 0 CHANNELS 6 " + strings.Join(names, " ") + " End Site { OFFSET 1 2 3 } }\nMOTION\nFrames: 1\nFrame Time: 0.1\n" + strings.Join(values, " ")
			got := placesAt(t, read(t, text), 0)
			want := turn.Mul4x1(mgl64.Vec4{1, 2, 3, 0}).Vec3().Add(mgl64.Vec3{3, 4, -5})
			if far(got[0], [3]float64{3, 4, -5}) > 1e-6 || far(got[1], [3]float64(want)) > 1e-6 {
				t.Errorf("%s: %v, want the end at %v", strings.Join(names, " "), got, want)
			}
			rows++
		}
	}
	if rows != 24 {
		t.Errorf("%d orders tried", rows)
	}
}
