package weights

import (
	"math"
	"testing"

	"rigloupe/inspect/space"
)

// Half on each of two joints, one of which a pose moves by 2: with one left the place is 1
// off in that pose and in no other. The shift is of the worst pose.
func TestShiftIsOfTheWorstPose(t *testing.T) {
	row := []Hold{{0, .5}, {1, .5}}
	seen := [][]space.Vec{{{}, {}}, {{}, {2, 0, 0}}, {{}, {}}, {{}, {}}}
	if keep, shift := Fewer(row, 1, seen); math.Abs(shift-1) > 1e-12 || keep[0]+keep[1] != 1 {
		t.Errorf("keeps %v, shift %v; want one of them and 1", keep, shift)
	}
}

// Two of the strongest four move alike, so that the fifth can stay in place of one of them
// and nothing moves; three would not do.
func TestFewerKeepsAllItMay(t *testing.T) {
	row := []Hold{{0, .3}, {1, .25}, {2, .2}, {3, .15}, {4, .1}}
	seen := make([][]space.Vec, 4)
	for p := range seen {
		seen[p] = make([]space.Vec, 5)
		seen[p][[]int{0, 2, 3, 4}[p]] = space.Vec{1, float64(p), 2}
		seen[p][1] = seen[p][0]
	}
	keep, shift := Fewer(row, 4, seen)
	want := [5]float64{.55, 0, .2, .15, .1}
	for j := range want {
		got := keep[j]
		if j < 2 {
			got, want[1] = keep[0]+keep[1], .55
		}
		if math.Abs(got-want[j]) > 1e-6 {
			t.Errorf("joint %d keeps %v, want %v", j, got, want[j])
		}
	}
	if shift > 1e-9 {
		t.Errorf("shift %g", shift)
	}
}

// One corner of a triangle between two others, worked out: each round it keeps half of its
// own and takes half of the mean around it.
func TestSoftenRounds(t *testing.T) {
	w := NewWeb([]float32{0, 0, 0, 1, 0, 0, 0, 1, 0}, []uint32{0, 1, 2}, nil)
	around := func(uint32) []Hold { return []Hold{{1, 1}} }
	for rounds, want := range map[int]float64{1: .5, 2: .25, 3: .125} {
		rows := [][]Hold{{{0, 1}}}
		w.Soften([]uint32{0}, rows, around, rounds)
		for _, h := range rows[0] {
			if h.Joint == 0 && math.Abs(h.Weight-want) > 1e-15 || h.Joint == 1 && math.Abs(h.Weight-1+want) > 1e-15 {
				t.Errorf("%d rounds: joint %d has %v", rounds, h.Joint, h.Weight)
			}
		}
	}
}
