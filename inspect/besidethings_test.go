package inspect

import (
	"math"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// putAside moves everything that has no joint, metres.
func putAside(r *rig.Rig, x, y, z float32) *rig.Rig {
	for i := range r.Meshes {
		m := &r.Meshes[i]
		for v := 0; v < len(m.Positions); v += 3 {
			m.Positions[v] += x
			m.Positions[v+1] += y
			m.Positions[v+2] += z
		}
		m.Remeasure()
	}
	return r
}

// plank is a box without joints between two places, so wide.
func plank(from, to [3]float64, wide float64) *rig.Rig {
	r := cubes(1, [3]float64{})
	m := &r.Meshes[0]
	for v := range m.Vertices() {
		k := float64(m.Positions[3*v])/.2 + .5
		for c := range 3 {
			across := 0.
			if c > 0 {
				across = wide * float64(m.Positions[3*v+c]) / .2
			}
			m.Positions[3*v+c] = float32(from[c] + k*(to[c]-from[c]) + across)
		}
	}
	m.Remeasure()
	return r
}

// One figure that the surface tells among things is judged by itself, and the things are
// gear: sound ones have no flaw, whatever stands beside, touches or is held.
func TestFigureBesideThings(t *testing.T) {
	at := func(x, y float64) menagerie.Options {
		return menagerie.Options{Unbound: true, At: [3]float64{x, y, 0}}
	}
	type row struct {
		name  string
		r     *rig.Rig
		lead  string
		stand int // figures; 0: one
	}
	person := "A person by its surface, 1.76 m high, and other things (1 surface), not bound to joints. Ready to be bound."
	cart := strings.Replace(person, "1 surface", "6 surfaces", 1) // bed, shaft, four wheels
	rows := []row{
		{"a cart whose wheels a clip turns", menagerie.Merge(menagerie.Person(at(-1, 0)), menagerie.Cart(at(1.5, 0))), cart, 0},
		{"a cart under it", menagerie.Driven(menagerie.Options{Unbound: true}), cart, 0},
		{"a spear in hand", menagerie.Merge(menagerie.Person(at(0, 0)), plank([3]float64{.8, 0, .03}, [3]float64{.85, 2.2, .03}, .03)), person, 0},
		{"a plinth", menagerie.Merge(menagerie.Person(at(0, .5)), plank([3]float64{-.5, .25, 0}, [3]float64{.5, .25, 0}, .5)), person, 0},
		{"a plinth that its soles sink into", menagerie.Merge(menagerie.Person(at(0, .48)), plank([3]float64{-.4, .25, .05}, [3]float64{.6, .25, .05}, .5)), person, 0},
		{"a dog and a lamp post", menagerie.Merge(menagerie.Dog(at(0, 0)), plank([3]float64{1.2, 0, 0}, [3]float64{1.25, 2, 0}, .1)), "A four-legged figure by its surface, 0.736 m high, and other things (1 surface), not bound to joints. Ready to be bound.", 0},
		{"a dog on a lead", menagerie.Merge(menagerie.Dog(at(0, 0)), menagerie.Person(at(1.5, 0)), plank([3]float64{0, .55, .25}, [3]float64{.75, 1.42, 0}, .01)), "2 figures in one file, not bound to joints. Each is to be bound by itself.", 2},
	}
	for _, x := range menagerie.Things() {
		rows = append(rows, row{x.Name, menagerie.Merge(menagerie.Person(at(0, 0)), putAside(x.Build(), 1.9, 0, 0)), person, 0})
	}
	for i, row := range rows {
		if !rounds.Run(i, 6) {
			continue
		}
		t.Run(row.name, func(t *testing.T) {
			res := lookedAt(t, row.r)
			if says := strings.ReplaceAll(res.Verdict().Says, "\u00a0", " "); says != row.lead {
				t.Errorf("it says %q, want %q", says, row.lead)
			}
			if n := len(res.Exam.Figures()); n != row.stand {
				t.Errorf("%d figures, want %d", n, row.stand)
			}
			for _, f := range res.Findings() {
				if f.Grade > check.Note {
					t.Errorf("%s %s: %s, %s %+v", f.Grade, f.ID, f.Title, f.Subject, f.Measures)
				}
			}
		})
	}
}

// A bound figure and what hangs on none of its joints are told apart in words; what it holds
// and wears is not.
func TestOtherThingsInWords(t *testing.T) {
	for _, row := range []struct {
		name string
		r    *rig.Rig
		want string
	}{
		{"a cart and its driver", menagerie.Driven(menagerie.Options{}), "A person, 1.76 m high, and other things (6 surfaces). "},
		{"the same, bones numbered", menagerie.Driven(menagerie.Options{Names: menagerie.Numbered}), "A person, 1.76 m high, and other things (6 surfaces). "},
		{"sword, shield, helmet, cape and book", menagerie.Person(menagerie.Options{Gear: true}), "A person, 1.76 m high. "},
		{"a lantern on a chain of its own", menagerie.Carrying(menagerie.Options{}), "A person, 1.76 m high. "},
		{"yoke and saddle", menagerie.LadenOx(menagerie.Options{}), "A four-legged figure, 1.79 m high. "},
	} {
		if says := strings.ReplaceAll(lookedAt(t, row.r).Verdict().Says, "\u00a0", " "); !strings.HasPrefix(says, row.want) {
			t.Errorf("%s: it says %q, want %q", row.name, says, row.want)
		}
	}
}

// What is wrong with the figure is told of it as if it stood alone; of a figure and a thing
// in one surface nothing is told of sides.
func TestLopsidedBesideACart(t *testing.T) {
	dented := func(metres float32) *rig.Rig {
		r := menagerie.Person(menagerie.Options{Unbound: true})
		m := &r.Meshes[0]
		for v := 0; v < len(m.Positions); v += 3 { // the left foot is drawn out forwards
			if m.Positions[v] > .03 && m.Positions[v+1] < .2 {
				m.Positions[v+2] += metres
			}
		}
		m.Remeasure()
		return r
	}
	share := func(r *rig.Rig) (value float64) {
		for _, f := range lookedAt(t, r).Findings() {
			if f.ID == "surface/lopsided" && f.Grade == check.Flaw {
				value = f.Measures[0].Value
				if !strings.Contains(f.Remedy, "mirror it over the middle plane") {
					t.Errorf("the remedy is %q", f.Remedy)
				}
			}
		}
		return value
	}
	cart := func() *rig.Rig {
		return menagerie.Cart(menagerie.Options{Still: true, At: [3]float64{2.5, 0, 0}})
	}
	for _, by := range []float32{0, .1} {
		alone, both := share(dented(by)), share(menagerie.Merge(dented(by), cart()))
		if math.Abs(alone-both) > 1e-9 || alone > 0 != (by > 0) {
			t.Errorf("a foot drawn out by %g m: %.4f alone, %.4f beside a cart", by, alone, both)
		}
	}
	chair := putAside(menagerie.Things()[7].Build(), 1.9, 0, 0)
	res := lookedAt(t, oneMesh(menagerie.Merge(menagerie.Person(menagerie.Options{Unbound: true}), chair), 1))
	for _, f := range res.Findings() {
		if f.Grade > check.Note {
			t.Errorf("in one surface: %s %s: %s", f.Grade, f.ID, f.Subject)
		}
	}
	for _, s := range res.Stations {
		for _, c := range s.Checks {
			if c.ID == "surface/lopsided" && !strings.Contains(c.Reason, "in one surface") {
				t.Errorf("%s: %s %q", c.ID, c.State, c.Reason)
			}
		}
	}
}
