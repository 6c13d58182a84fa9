package inspect

import (
	"math"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

// unskinned takes all that binds out of a figure.
func unskinned(r *rig.Rig) *rig.Rig {
	for i := range r.Surfaces {
		r.Surfaces[i].Skin = rig.None
		r.Nodes[r.Surfaces[i].Node].Skin = rig.None
		m := &r.Meshes[r.Surfaces[i].Mesh]
		m.K, m.Joints, m.Weights = 0, nil, nil
	}
	r.Skins, r.Clips = nil, nil
	return r
}

func sidesOf(t *testing.T, r *rig.Rig) (*check.Finding, string) {
	t.Helper()
	res := examined(t, r)
	for _, s := range res.Stations {
		for i := range s.Findings {
			f := &s.Findings[i]
			if f.ID == "surface/lopsided" && f.Title == "Sides not alike" && f.Grade > check.Note {
				return f, ""
			}
		}
	}
	return nil, res.Exam.Mirror().Doubt()
}

// What is one of a pair, folded, crooked or holds something is not told that its sides
// differ, as long as nothing says that it has two sides.
func TestThingsHaveNoSides(t *testing.T) {
	quiet := func(name string, r *rig.Rig) {
		if f, _ := sidesOf(t, r); f != nil {
			t.Errorf("%s: %s, %s %v; %s", name, f.Title, f.Subject, f.Measures[0], f.Remedy)
		}
	}
	for _, x := range menagerie.Things() {
		quiet(x.Name, x.Build())
	}
	quiet("a real left hand, bare", unskinned(checktest.Named(t, "hand_left.glb")))
	quiet("a real right hand, bare", unskinned(checktest.Named(t, "hand_right.glb")))
}

// swell thickens what lies beyond x by a share, about the line (·, y, z).
func swell(r *rig.Rig, x, y, z, share float64) *rig.Rig {
	m := &r.Meshes[0]
	for v := 0; v < len(m.Positions); v += 3 {
		p := m.Positions[v : v+3]
		if float64(p[0]) > x {
			k := float32(1 + share*math.Min(1, (float64(p[0])-x)/.05))
			p[1], p[2] = float32(y)+k*(p[1]-float32(y)), float32(z)+k*(p[2]-float32(z))
		}
	}
	return r
}

// Lopsided figures are told all the same: with the advice to keep a half where the
// surface tells a person or an animal, without it where it tells nothing.
func TestLopsidedWithoutBinding(t *testing.T) {
	o := menagerie.Options{Unbound: true}
	rows := []struct {
		name  string
		r     *rig.Rig
		halve bool
	}{
		{"a person with one arm a quarter thicker", swell(menagerie.Person(o), .25, 1.42, 0, .25), true},
		{"three heads, one arm half as thick again", swell(menagerie.ThreeHeads(o), .13, .62, 0, .5), true},
		{"an ox with one ear bent", bend(menagerie.Ox(o), .3), true},
		{"a bird with a wing tip a half thicker", swell(menagerie.Bird(o), .52, .39, -.02, .5), false},
		{"a spider with a thick foot", swell(menagerie.Spider(o), .4, .1, 0, .3), false},
	}
	for _, x := range rows {
		f, doubt := sidesOf(t, x.r)
		if f == nil {
			t.Errorf("%s: not told; %s", x.name, doubt)
			continue
		}
		if got := strings.Contains(f.Remedy, "mirror it over the middle plane"); got != x.halve {
			t.Errorf("%s: advice to keep a half is %t: %s", x.name, got, f.Remedy)
		}
	}
}

// bend moves what is highest and beside the middle outwards.
func bend(r *rig.Rig, share float64) *rig.Rig {
	m, top := &r.Meshes[0], float32(0)
	for v := 1; v < len(m.Positions); v += 3 {
		top = max(top, m.Positions[v])
	}
	for v := 0; v < len(m.Positions); v += 3 {
		if p := m.Positions[v : v+3]; p[1] > .75*top && p[0] > .02 {
			p[0] += float32(share) * (p[1] - .75*top)
		}
	}
	return r
}
