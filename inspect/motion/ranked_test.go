package motion

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"rigloupe/inspect/rig"
)

// TestRanked: the ratios ranked by bins are those of all of them in order, whatever they
// are: equal, all of one bin, no numbers, beyond float32, of every size.
func TestRanked(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 11))
	lists := [][]float32{
		{1}, {0, 0, 0}, {2, 1}, slices.Repeat([]float32{1.5}, 500),
		{float32(math.NaN()), float32(math.Inf(1)), -1, float32(math.Copysign(0, -1)), math.MaxFloat32, math.SmallestNonzeroFloat32, 1},
	}
	for range 20 {
		var near, far []float32
		for range 1 + random.IntN(3000) {
			near = append(near, 1+random.Float32()/64)
			far = append(far, float32(math.Exp(40*random.NormFloat64())))
		}
		lists = append(lists, near, far)
	}
	for _, list := range lists {
		u := &tension{ratios: slices.Clone(list)}
		most := u.sift()
		sorted := slices.Clone(list)
		for i, x := range sorted {
			if !(x > 0) || x > math.MaxFloat32 {
				sorted[i] = 0
			}
		}
		slices.Sort(sorted)
		if most != sorted[len(sorted)-1] {
			t.Errorf("of %d: the largest is %g, want %g", len(list), most, sorted[len(sorted)-1])
		}
		for _, k := range []int{0, len(sorted) / 2, (len(sorted) - 1) * 9 / 10, (len(sorted) - 1) * 99 / 100, len(sorted) - 1} {
			if got := u.ranked(k); got != sorted[k] {
				t.Errorf("of %d: rank %d is %g, want %g", len(list), k, got, sorted[k])
			}
		}
	}
}

// TestLowestOfMany: of vertices equally low in one box the first is told, however the box
// is parted.
func TestLowestOfMany(t *testing.T) {
	m := &rig.MeshData{}
	var list []uint32
	for v := range uint32(40 * fewVertices) {
		m.Positions = append(m.Positions, float32(1013-v*7919%1013), float32(v%2), float32(v*104729%997))
		list = append(list, v)
	}
	b := boxOf(m, 0, list)
	if b.parts = b.split(m, nil); len(b.parts) < 40 {
		t.Fatalf("%d parts", len(b.parts))
	}
	s := &sole{}
	s.reset()
	s.testBox(&soleSurface{mesh: m, own: [4]float64{0, 1, 0, 0}}, &b)
	if s.vertex != 0 || s.best != 0 {
		t.Errorf("vertex %d at %g", s.vertex, s.best)
	}
}

// TestBoxIsParted: a box is parted when all its vertices were tested eight times, one of 48
// vertices or fewer never, and what lies lowest is the same before and after.
func TestBoxIsParted(t *testing.T) {
	for _, row := range []struct {
		vertices uint32
		parted   bool
	}{{48, false}, {49, true}, {1000, true}} {
		m := &rig.MeshData{}
		var list []uint32
		for v := range row.vertices {
			m.Positions = append(m.Positions, float32(v*7919%1013), float32((v*31+5)%row.vertices), float32(v*104729%997))
			list = append(list, v)
		}
		b := boxOf(m, 0, list)
		for ask := 1; ask <= 12; ask++ {
			if got, want := b.parts != nil, row.parted && ask > 8; got != want {
				t.Fatalf("%d vertices, before test %d: parted %v", row.vertices, ask, got)
			}
			s := &sole{}
			s.reset()
			s.testBox(&soleSurface{mesh: m, own: [4]float64{0, 1, 0, 0}}, &b)
			if s.best != 0 || m.Positions[3*s.vertex+1] != 0 {
				t.Errorf("%d vertices, test %d: vertex %d at %g", row.vertices, ask, s.vertex, s.best)
			}
		}
	}
}
