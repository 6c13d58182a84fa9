package inspect

import (
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

// without takes out the triangles whose middle is told to go, mesh by mesh.
func without(r *rig.Rig, gone func(x, y, z float64) bool) (n int) {
	for m := range r.Meshes {
		mesh := &r.Meshes[m]
		kept := mesh.Triangles[:0:0]
		for t := 0; t+2 < len(mesh.Triangles); t += 3 {
			var mid [3]float64
			for _, v := range mesh.Triangles[t : t+3] {
				for k := range 3 {
					mid[k] += float64(mesh.Positions[3*v+uint32(k)]) / 3
				}
			}
			if gone(mid[0], mid[1], mid[2]) {
				n++
				continue
			}
			kept = append(kept, mesh.Triangles[t:t+3]...)
		}
		if len(mesh.Primitives) == 1 {
			mesh.Triangles, mesh.Primitives[0].TriCount = kept, len(kept)/3
		}
	}
	return n
}

// Cut cloth is no fault of the weights: a slit in front of the trunk, at whatever height and width, adds no flaw to a sound
// figure, and a jacket's whole open front none. What bound a spot to a far joint is told across a slit as well.
func TestSlits(t *testing.T) {
	flaws := func(r *rig.Rig) (said []string) {
		for _, f := range lookedAt(t, r).Findings() {
			if f.Grade >= check.Flaw {
				said = append(said, f.Title+", "+f.Subject)
			}
		}
		return said
	}
	for _, lo := range []float64{.95, 1, 1.05, 1.1, 1.15, 1.2} {
		for _, wide := range []float64{.02, .05, .08} {
			r := menagerie.Person(menagerie.Options{})
			if without(r, func(_, y, z float64) bool { return z > 0 && y > lo && y < lo+wide }) < 20 {
				t.Fatal("nothing is cut")
			}
			if said := flaws(r); said != nil {
				t.Errorf("a slit of %g m at %g m: %q", wide, lo, said)
			}
		}
	}
	for _, wide := range []float64{.02, .05, .08} {
		r := menagerie.Person(menagerie.Options{})
		without(r, func(x, y, z float64) bool { return z > 0 && y > .95 && y < 1.4 && x > -wide/2 && x < wide/2 })
		if said := flaws(r); said != nil {
			t.Errorf("an open front, %g m: %q", wide, said)
		}
	}
	r := menagerie.Person(menagerie.Options{})
	without(r, func(_, y, z float64) bool { return z > 0 && y > 1 && y < 1.05 })
	if !stray(r) {
		t.Fatal("no vertex to bind wrongly")
	}
	if !slices.ContainsFunc(flaws(r), func(s string) bool {
		return strings.HasPrefix(s, "Patch dragged along") || strings.HasPrefix(s, "Weight far from joint")
	}) {
		t.Errorf("a spot of the belly that hangs on a hand is not told beside a slit: %q", flaws(r))
	}
}

// stray hangs the front of the belly under the slit on the left hand by a third.
func stray(r *rig.Rig) (found bool) {
	hand := slices.IndexFunc(r.Skins[0].Joints, func(j rig.Node) bool { return strings.Contains(strings.ToLower(r.Nodes[j].Name), "hand") })
	if hand < 0 {
		return false
	}
	for i := range r.Meshes {
		m := &r.Meshes[i]
		for v := range m.Positions[:len(m.Positions)/3] {
			x, y, z := m.Positions[3*v], m.Positions[3*v+1], m.Positions[3*v+2]
			if m.K < 2 || z < 0 || y < .9 || y > .97 || x > .05 || x < -.05 {
				continue
			}
			for k := v * m.K; k < v*m.K+m.K; k++ {
				m.Weights[k] *= 2. / 3
			}
			least := v * m.K
			for k := v * m.K; k < v*m.K+m.K; k++ {
				if m.Weights[k] < m.Weights[least] {
					least = k
				}
			}
			m.Joints[least], m.Weights[least], found = uint16(hand), 1./3, true
		}
	}
	return found
}
