package mend

import (
	"math"
	"path/filepath"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
)

// wrapped hangs all roots of a file on one node more.
func wrapped(t *testing.T, d *original.Document, by rig.TRS) *State {
	t.Helper()
	d = d.Clone()
	scene := d.Object(original.Scenes, 0)
	roots := scene.Get("nodes").Clone()
	n := d.Add(original.Nodes, original.Object("name", original.Text("above"), "children", roots))
	d.SetTRS(n, by)
	scene.Set("nodes", original.Wholes(n))
	d.Refresh(original.Scenes, 0)
	s, err := Open(d)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Any real figure below a node that scales, turns (z up to y up) and shifts, and below one
// that mirrors: applied it stands where it stood, in every moment, and nothing is left
// above it.
func TestScaleWrapped(t *testing.T) {
	h := 0.7071067811865476
	names, _ := filepath.Glob(corpus + "/*.gl*")
	if len(names) == 0 {
		t.Skip("no folder of real models beside the repository")
	}
	for _, name := range names {
		for what, by := range map[string]rig.TRS{
			"turned and small": {T: [3]float64{1, 2, 3}, R: [4]float64{-h, 0, 0, h}, S: [3]float64{.01, .01, .01}},
			"mirrored":         {R: [4]float64{0, h, 0, h}, S: [3]float64{-1, 1, 1}},
		} {
			t.Run(filepath.Base(name)+" "+what, func(t *testing.T) {
				s := wrapped(t, corpusState(t, filepath.Base(name)).Doc, by)
				x := try(t, s, "scale", nil)
				if x.After == nil {
					t.Fatal(x.Refused())
				}
				sameBut(t, s.Rig, x.After.Rig, reach(s.Rig), nil)
				n := x.After.Rig.Nodes[len(x.After.Rig.Nodes)-1]
				if n.TRS != (rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}) {
					t.Errorf("the node above is %+v", n.TRS)
				}
				r := prove(t, x)
				for _, id := range []string{"intake/unapplied-scale", "intake/uneven-scale"} {
					if r.after(id) != 0 {
						t.Errorf("%s is left: %v", id, r.Refused)
					}
				}
			})
		}
	}
}

// Figures of other kinds: nothing is suggested on one that stands well, and a factor, the
// ground and right angles keep their shape.
func TestScaleMenagerie(t *testing.T) {
	for name, r := range map[string]*rig.Rig{
		"dog":         menagerie.Dog(menagerie.Options{}),
		"spider":      menagerie.Spider(menagerie.Options{}),
		"snake":       menagerie.Snake(menagerie.Options{}),
		"cart":        menagerie.Cart(menagerie.Options{}),
		"two people":  menagerie.Two(menagerie.Options{}),
		"rigid parts": menagerie.Parts(menagerie.Options{}),
		"three heads": menagerie.ThreeHeads(menagerie.Options{Gear: true}),
	} {
		t.Run(name, func(t *testing.T) {
			s := ofRig(t, lamplighter.Clone(r))
			x := try(t, s, "scale", Values{"factor": 2.0})
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			sameBut(t, s.Rig, x.After.Rig, 2*exam.New(s.Rig).Size(), func(p [3]float64) [3]float64 { return [3]float64{2 * p[0], 2 * p[1], 2 * p[2]} })
			turned := lamplighter.Clone(r)
			again := wrapped(t, ofRig(t, turned).Doc, rig.TRS{T: [3]float64{3, 1, 0}, R: [4]float64{0, 0.7071067811865476, 0, 0.7071067811865476}, S: [3]float64{.1, .1, .1}})
			x = try(t, again, "scale", nil)
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			sameBut(t, again.Rig, x.After.Rig, reach(again.Rig), nil)
		})
	}
}

// reach is the figure's diagonal and how far it stands from the origin: steps of float32
// grow with both.
func reach(r *rig.Rig) float64 {
	e := exam.New(r)
	c := e.Box().Center()
	return e.Size() + math.Sqrt(c[0]*c[0]+c[1]*c[1]+c[2]*c[2])
}
