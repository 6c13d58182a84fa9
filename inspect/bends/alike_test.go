package bends

import (
	"context"
	"slices"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// TestAlike: which joints do the same to the same places, against the vertices of every
// two of them, on the sample with a helper beside each joint that shares its weights.
func TestAlike(t *testing.T) {
	f, err := Measure(context.Background(), exam.New(many(1500)))
	if err != nil {
		t.Fatal(err)
	}
	worst := map[What]map[rig.Node]map[[2]int]bool{} // the vertices of a joint's worst move
	value := map[What]map[rig.Node]float64{}
	put := func(what What, joint rig.Node, v float64, g *group) {
		if worst[what] == nil {
			worst[what], value[what] = map[rig.Node]map[[2]int]bool{}, map[rig.Node]float64{}
		}
		if g == nil || g.count == 0 || !(v > value[what][joint]) {
			return
		}
		value[what][joint], worst[what][joint] = v, map[[2]int]bool{}
		for _, s := range g.spots {
			for _, x := range s.Vertices {
				worst[what][joint][[2]int{s.Surface, int(x)}] = true
			}
		}
	}
	for i := range f.Moves {
		m := &f.Moves[i]
		put(Zone, m.Joint, 1, m.zoneAt)
		put(Cracked, m.Joint, m.Crack, f.spots(m.crackAt))
		if !m.Guessed {
			put(HalfTurned, m.Joint, float64(m.TurnedHalf), f.halfTurned(m))
			put(HalfDrawn, m.Joint, or(m.P99Half, 0), m.drawnAt)
		}
	}
	above := func(a, n rig.Node) bool {
		for ; n >= 0; n = f.body.r.Nodes[n].Parent {
			if n == a {
				return true
			}
		}
		return false
	}
	pairs := 0
	for what, of := range worst {
		for a, mine := range of {
			for b, other := range of {
				if a >= b {
					continue
				}
				both := 0
				for v := range mine {
					if other[v] {
						both++
					}
				}
				want := both > 0 && (above(a, b) || above(b, a)) && 2*both >= min(len(mine), len(other))
				if got := slices.Contains(f.alikeOf(what, b), a); got != want {
					t.Errorf("%s, %s and %s: %v, with %d of %d and %d", what, f.called(a), f.called(b), got, both, len(mine), len(other))
				}
				if want {
					pairs++
				}
			}
		}
	}
	if pairs < 10 {
		t.Errorf("only %d pairs: the test asks nothing", pairs)
	}
}

// TestDrawnOut: where the surface is drawn out half way is the same whether it is looked at
// while the move is measured or worked out again.
func TestDrawnOut(t *testing.T) {
	f, err := Measure(context.Background(), exam.New(many(1500)))
	if err != nil {
		t.Fatal(err)
	}
	asked := 0
	for i := range f.Moves {
		m := &f.Moves[i]
		if m.drawnAt == nil {
			continue
		}
		list := []hit{{move: m}}
		f.drawOut(&gauge{drawn: func(m *Move) (float64, float64) { return m.Degrees / 2, or(m.P99Half, 1) }}, list)
		if a, b := m.drawnAt, list[0].at; a.count != b.count || a.point != b.point || a.count == 0 {
			t.Errorf("%s %s %g: %d vertices at %v, again %d at %v", f.called(m.Joint), m.Axis, m.Degrees, a.count, a.point, b.count, b.point)
		}
		asked++
	}
	if asked < 30 {
		t.Errorf("only %d moves asked", asked)
	}
}
